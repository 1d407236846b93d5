"""What is noted of an item: in the order it was met, each clause once, and never lost when real."""

from __future__ import annotations

import json

from tallyhook.interpreting.notes import Notes
from tallyhook.model.layout import Column


def test_a_ton_that_is_settled_leaves_a_contradiction_standing() -> None:
    notes = Notes()
    notes.add("wll", "nobody says which ton")
    notes.contradicts("wll", described="4 t", column="3 t")
    notes.add("grade", "no grade")
    notes.settle("wll")
    assert notes.unread() == ("wll: description says 4 t and the column says 3 t; grade: no grade")


def test_the_same_clause_stands_once() -> None:
    notes = Notes()
    notes.take([("size", "too far"), ("legs", "which?"), ("size", "too far")], "size")
    assert notes.unread() == "size: too far"
    assert Notes().unread() is None


def test_a_cell_that_two_readers_could_not_read_is_told_once() -> None:
    column = Column(column="c4", heading="MBF kN", role="breaking", why="its heading")
    notes = Notes()
    notes.unread_cell("breaking", "'#VALUE!' is an error of a spreadsheet", column, "#VALUE!")
    notes.unread_cell("breaking", "no number could be read from '#VALUE!'", column, "#VALUE!")
    assert json.loads(notes.unread_cells() or "") == [
        {
            "role": "breaking",
            "column": "MBF kN",
            "cell": "#VALUE!",
            "why": "'#VALUE!' is an error of a spreadsheet",
        }
    ]
