"""Columns headed with a grade, a size or a leg count are ratings where something says so."""

from __future__ import annotations

import pytest

from column_evidence import LOADS, NUMBERS, SIZES, Evidence, roles
from tallyhook.recognising.steps.table_of_ratings import table_of_ratings

GRADES = (("Size", SIZES), ("Grade 80", NUMBERS), ("Grade 100", NUMBERS))


def test_a_title_says_that_they_are_ratings() -> None:
    given = Evidence(*GRADES, titles=["Working load limits"]).known(0, "size")
    columns = table_of_ratings(given.columns, given.table)
    assert roles(columns) == ["size", "wll", "wll"]
    assert columns[1].gives == {"grade": "80"}
    assert columns[1].why == "one column of a table of ratings, for grade 80"


@pytest.mark.parametrize("titles", [[], ["Chain by the foot"]])
def test_without_a_word_of_ratings_they_are_not(titles: list[str]) -> None:
    given = Evidence(*GRADES, titles=titles).known(0, "size")
    columns = table_of_ratings(given.columns, given.table)
    assert roles(columns) == ["size", "ignore", "ignore"]
    why = "its heading fixes a value, but nothing says that its numbers are rated loads"
    assert columns[1].why == why


def test_a_price_list_is_none() -> None:
    given = Evidence(*GRADES, titles=["Price"])
    assert roles(table_of_ratings(given.columns, given.table)) == ["ignore"] * 3


def test_loads_with_units_need_no_title() -> None:
    given = Evidence(("Size", SIZES), ("Grade 80", LOADS), ("Grade 100", LOADS))
    assert roles(table_of_ratings(given.columns, given.table)) == ["ignore", "wll", "wll"]


def test_a_rating_beside_that_fixes_the_same_says_so() -> None:
    given = Evidence(("WLL Grade 80", NUMBERS), ("Grade 100", NUMBERS))
    given.known(0, "wll", gives={"grade": "80"})
    assert roles(table_of_ratings(given.columns, given.table)) == ["wll", "wll"]


def test_the_corner_heads_the_sizes() -> None:
    given = Evidence(("WLL", ("8", "10", "13")), ("Grade 80", LOADS), titles=["WLL"]).known(
        0, "wll"
    )
    columns = table_of_ratings(given.columns, given.table)
    assert roles(columns) == ["size", "wll"]
    assert columns[0].why == "the first column of a table of ratings"


def test_ratings_that_the_user_named_are_all() -> None:
    given = Evidence(("Cap.", NUMBERS), ("Grade 100", LOADS)).known(0, "wll", named=True)
    assert roles(table_of_ratings(given.columns, given.table)) == ["wll", "ignore"]


CHART = (("Size", SIZES), ("2-leg 0-45°", NUMBERS), ("2-leg 45-60°", NUMBERS))


def test_a_chart_of_legs_and_angles_needs_a_unit_alone() -> None:
    for columns, titles, expected in (
        (CHART, ["Values in t"], ["ignore", "wll", "wll"]),
        (CHART, [], ["ignore"] * 3),
        (CHART[:2], ["Values in t"], ["ignore"] * 2),  # one column is no chart
        (GRADES, ["Values in t"], ["ignore"] * 3),  # nor are grades: they may be prices or weights
    ):
        given = Evidence(*columns, titles=titles)
        assert roles(table_of_ratings(given.columns, given.table)) == expected


def test_other_columns_of_numbers_are_not_taken_along() -> None:
    given = Evidence(
        ("Wibble", NUMBERS),
        ("Breaking load grade 80", NUMBERS),
        ("Grade 80", NUMBERS),
        titles=["WLL"],
    )
    assert roles(table_of_ratings(given.columns, given.table)) == ["ignore", "ignore", "wll"]


def test_a_unit_of_length_makes_no_rating() -> None:
    columns = (("Grade 80 (mm)", NUMBERS), ("Grade 100 (mm)", NUMBERS))
    bare = Evidence(*columns)
    assert roles(table_of_ratings(bare.columns, bare.table)) == ["ignore", "ignore"]
    titled = Evidence(*columns, titles=["WLL"])
    found = table_of_ratings(titled.columns, titled.table)
    assert [(c.role, c.unit) for c in found] == [("wll", None)] * 2


@pytest.mark.parametrize("cells", [SIZES, NUMBERS, ("70", "80", "90")])
def test_what_is_no_corner(cells: tuple[str, ...]) -> None:
    # no bare numbers, too large for sizes, or in the middle larger than any chain
    given = Evidence(("WLL", cells), ("Grade 80", LOADS), titles=["WLL"]).known(0, "wll")
    assert roles(table_of_ratings(given.columns, given.table)) == ["wll", "wll"]


def test_a_corner_that_the_user_named_is_a_rating() -> None:
    given = Evidence(
        ("WLL", ("8", "10", "13")), ("SWL", NUMBERS), ("Grade 80", LOADS), titles=["WLL"]
    )
    given.known(0, "wll", named=True).known(1, "wll", gives={"grade": "70"})
    assert roles(table_of_ratings(given.columns, given.table)) == ["wll", "wll", "wll"]


def test_all_columns_must_agree() -> None:
    # one of two ratings fixes nothing: it may be the total, and the others prices
    beside = Evidence(("Wibble", NUMBERS), ("Grade 80", NUMBERS), ("Grade 100", NUMBERS))
    beside.known(0, "wll").known(1, "wll", gives={"grade": "80"})
    assert roles(table_of_ratings(beside.columns, beside.table)) == ["wll", "wll", "ignore"]
    mixed = Evidence(("2-leg 0-45°", NUMBERS), ("Grade 80", NUMBERS), titles=["Values in t"])
    assert roles(table_of_ratings(mixed.columns, mixed.table)) == ["ignore", "ignore"]
