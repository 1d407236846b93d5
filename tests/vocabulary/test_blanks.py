"""Blanks: one list of what an empty cell may hold, for loads, grades and flags alike."""

from __future__ import annotations

import pytest

from tallyhook.texts.flags import read_flag
from tallyhook.texts.grades import Grade, read_grade
from tallyhook.texts.load_cells import LoadCell, read_load
from tallyhook.vocabulary.blanks import is_blank


@pytest.mark.parametrize(
    "cell",
    ["", " ", "-", "--", "–", "—", "N/A", "n.a.", "TBD", "k.A.", "s/o", "/", "NaN", "<NA>", "NULL"],
)
def test_a_blank_cell_says_nothing_to_any_reader(cell: str) -> None:
    # common practice, no source: marks of lists in four languages
    assert is_blank(cell)
    assert read_load(cell, unit="kg") == LoadCell()
    assert read_grade(cell) == Grade()
    assert read_flag(cell, "latch") == (None, None)


@pytest.mark.parametrize("cell", ["0", "8", "ja", "kg", "na 80", "?", "x", "nil", "#N/A"])
def test_a_cell_that_says_anything_is_not_blank(cell: str) -> None:
    assert not is_blank(cell)
