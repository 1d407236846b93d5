"""Loads with units, heavier than the goods, are ratings though no heading says so."""

from __future__ import annotations

import pytest

from column_evidence import LOADS, NUMBERS, SIZES, Evidence, roles
from tallyhook.recognising.steps.rating_by_cells import rating_by_cells


def test_one_column_of_loads() -> None:
    given = Evidence(("Wibble", LOADS), ("Size", SIZES))
    wibble, size = rating_by_cells(given.columns, given.table)
    assert (wibble.role, wibble.why, size.role) == (
        "wll",
        "its cells are loads with a unit",
        "ignore",
    )


def test_what_was_said_against_its_heading_stays_in_the_reason() -> None:
    given = Evidence(("Size", LOADS)).refused(0, "headed as a size but its cells are loads")
    (column,) = rating_by_cells(given.columns, given.table)
    why = "headed as a size but its cells are loads; its cells are loads with a unit"
    assert (column.role, column.why) == ("wll", why)


@pytest.mark.parametrize("cells", [("1.4 lb", "3 lb"), ("12 kg", "15 kg"), NUMBERS])
def test_weights_and_bare_numbers_are_not(cells: tuple[str, ...]) -> None:
    given = Evidence(("Wibble", cells))
    assert rating_by_cells(given.columns, given.table) == given.columns


def test_a_rating_is_known_already() -> None:
    given = Evidence(("WLL", NUMBERS), ("Wibble", LOADS)).known(0, "wll")
    assert roles(rating_by_cells(given.columns, given.table)) == ["wll", "ignore"]


def test_one_load_in_two_units() -> None:
    # 1 lb is 0.45359237 kg (international yard and pound agreement, 1959)
    pounds = ("4400 lb", "6900 lb", "11700 lb")
    given = Evidence(("Wibble", LOADS), ("Wobble", pounds))
    found = rating_by_cells(given.columns, given.table)
    assert roles(found) == ["wll", "wll"]
    assert found[0].why == "its cells are loads with a unit, the same load in two units"


def test_four_times_as_much_is_the_breaking_force_where_no_heading_says_more() -> None:
    fourfold = ("8000 kg", "12600 kg", "21200 kg")
    bare = Evidence(("", fourfold), ("", LOADS))
    breaking, rating = rating_by_cells(bare.columns, bare.table)
    assert (breaking.role, rating.role) == ("breaking", "wll")
    assert breaking.why == "its cells are 4.0 times the rated load"
    headed = Evidence(("Wibble", fourfold), ("Wobble", LOADS))
    doubted = rating_by_cells(headed.columns, headed.table)
    assert {(c.role, c.why) for c in doubted} == {
        ("ignore", "its cells are loads, as those of another column are")
    }


def test_numbers_with_units_beside_them_where_there_is_no_heading() -> None:
    given = Evidence(("", NUMBERS), ("", ("kg", "kg", "lb")))
    numbers, _ = rating_by_cells(given.columns, given.table)
    assert numbers.why == "its cells are numbers, with units of load in column B"
    headed = Evidence(("Wibble", NUMBERS), ("", ("kg", "kg", "lb")))
    assert rating_by_cells(headed.columns, headed.table) == headed.columns


@pytest.mark.parametrize(
    "cells", [("0.1", "0.15", "0.1"), ("red", "blue", "red"), ("7", "red", "x")]
)
def test_what_units_beside_do_not_make_a_rating(cells: tuple[str, ...]) -> None:
    given = Evidence(("", cells), ("", ("kg", "kg", "lb")))
    assert rating_by_cells(given.columns, given.table) == given.columns


def test_numbers_without_units_or_of_another_role_are_left_alone() -> None:
    bare = Evidence(("", NUMBERS), ("", SIZES))
    assert rating_by_cells(bare.columns, bare.table) == bare.columns
    part = Evidence(("", NUMBERS), ("", ("kg", "kg", "lb"))).known(0, "part")
    assert rating_by_cells(part.columns, part.table) == part.columns


def test_two_columns_of_which_one_has_a_gap_are_not_compared() -> None:
    given = Evidence(("Wibble", LOADS), ("Wobble", ("4400 lb", "", "11700 lb")))
    assert roles(rating_by_cells(given.columns, given.table)) == ["ignore", "ignore"]
