"""What is noted of an item: in the order it was met, each clause once, and never lost when real."""

from __future__ import annotations

from tallyhook.interpreting.notes import Notes


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
