"""Sizes, grades, words, units and codes are known by their cells, where no heading explains."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from column_evidence import GRADES, LOADS, NUMBERS, SIZES, WORDS, Evidence, roles
from tallyhook.recognising.steps.others_by_cells import others_by_cells

CODES = ("C-1", "C-2", "C-3")


@pytest.mark.parametrize(
    ("cells", "role", "why"),
    [
        (SIZES, "size", "its cells are sizes"),
        (("3/8", "1/2", "5/8"), "size", "its cells are sizes"),
        (GRADES, "grade", "its cells are grades"),
        (("80", "100", "80"), "grade", "its cells are grades"),
        (("80", "80", "80"), "ignore", "no heading, and its cells do not say what it is"),
        (("80", "100"), "ignore", "no heading, and its cells do not say what it is"),
        (("8", "10", "12"), "ignore", "no heading, and its cells do not say what it is"),
        (WORDS, "description", "its cells are words"),
        (CODES, "part", "its cells are codes, each another"),
        (("kg", "kg", "lb"), "unit", "its cells are units"),
        (NUMBERS, "ignore", "no heading, and its cells do not say what it is"),
        (("8", "10", "13"), "ignore", "no heading, and its cells do not say what it is"),
    ],
)
def test_a_column_without_a_heading(cells: Sequence[str], role: str, why: str) -> None:
    given = Evidence(("", cells))
    (column,) = others_by_cells(given.columns, given.table)
    assert (column.role, column.why) == (role, why)


def test_below_headings_codes_and_units_are_left_alone() -> None:
    given = Evidence(("Wibble", CODES), ("Wobble", ("kg", "kg", "lb")))
    found = others_by_cells(given.columns, given.table)
    assert [(c.role, c.why) for c in found] == [("ignore", "nothing says what it is")] * 2


def test_of_two_columns_of_sizes_neither_is_taken_unless_they_are_equal() -> None:
    given = Evidence(("Wibble", SIZES), ("Wobble", SIZES))
    assert roles(others_by_cells(given.columns, given.table)) == ["size", "size"]
    given = Evidence(("Wibble", SIZES), ("Wobble", SIZES[::-1]))
    found = others_by_cells(given.columns, given.table)
    assert roles(found) == ["ignore", "ignore"]
    assert {c.why for c in found} == {"in doubt: 'Wibble' and 'Wobble' could each be the size"}


def test_of_two_columns_of_grades_neither_is_taken() -> None:
    for order in (1, -1):
        columns = [("Wibble", ("G80", "G100", "G80")), ("Wobble", ("G70", "G80", "G43"))][::order]
        given = Evidence(*columns)
        assert roles(others_by_cells(given.columns, given.table)) == ["ignore", "ignore"]


@pytest.mark.parametrize("order", [1, -1])
def test_without_a_heading_the_codes_that_differ_most_are_the_part(order: int) -> None:
    columns = [("", ("BIN-1", "BIN-2", "BIN-2", "BIN-3")), ("", ("P-1", "P-2", "P-3", "P-4"))]
    given = Evidence(*columns[::order])
    found = others_by_cells(given.columns, given.table)
    assert [c.role for c in found][::order] == ["ignore", "part"]


def test_what_is_decided_stays() -> None:
    given = Evidence(("Wibble", SIZES), ("WLL", LOADS)).refused(0, "headed as a price")
    given.known(1, "wll")
    assert others_by_cells(given.columns, given.table) == given.columns
