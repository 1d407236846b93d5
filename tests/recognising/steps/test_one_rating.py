"""Of two columns of one rating, the one that is sure is kept; in doubt it is asked."""

from __future__ import annotations

import pytest

from column_evidence import LOADS, NUMBERS, Evidence, roles
from tallyhook.errors import StockListError
from tallyhook.recognising.steps.one_rating import one_rating

OTHERS = ("2100", "3200", "5400")


def two(first: str, second: str, cells: tuple[str, ...] = OTHERS) -> Evidence:
    given = Evidence((first, NUMBERS), (second, cells))
    return given.known(0, "wll", unit="kg").known(1, "wll", unit="kg")


def test_it_is_asked_in_doubt() -> None:
    given = two("WLL", "SWL")
    with pytest.raises(StockListError, match=r"'WLL' and 'SWL'; choose one.*wll=\"WLL\""):
        one_rating(given.columns, given.table)


def test_the_named_one_is_kept() -> None:
    given = two("WLL", "SWL").known(1, "wll", unit="kg", named=True)
    wll, swl = one_rating(given.columns, given.table)
    assert (wll.role, wll.why, swl.role) == ("ignore", "the rated load is 'SWL'", "wll")


def test_the_one_headed_so_and_nothing_more_is_kept() -> None:
    given = two("WLL", "WLL of the pair, tested")
    assert roles(one_rating(given.columns, given.table)) == ["wll", "ignore"]


def test_equal_columns_are_all_kept() -> None:
    given = two("WLL", "SWL", NUMBERS)
    assert roles(one_rating(given.columns, given.table)) == ["wll", "wll"]


def test_columns_of_one_name_are_advised_by_their_letters() -> None:
    given = two("WLL", "WLL")
    advice = r"'WLL' in column A and 'WLL' in column B; choose one.*--column wll=\"A\""
    with pytest.raises(StockListError, match=advice):
        one_rating(given.columns, given.table)


def test_other_units_or_other_grades_are_other_ratings() -> None:
    for more in ({"unit": "lb"}, {"unit": "kg", "gives": {"grade": "80"}}):
        given = two("WLL", "SWL").known(1, "wll", **more)
        assert one_rating(given.columns, given.table) == given.columns


def test_units_in_cells_or_beside_them_make_other_ratings() -> None:
    pounds = ("4400 lb", "6900 lb", "some 11700 lb")
    given = Evidence(("WLL", LOADS), ("SWL", pounds)).known(0, "wll").known(1, "wll")
    assert one_rating(given.columns, given.table) == given.columns
    beside = Evidence(("WLL", NUMBERS), ("SWL", OTHERS)).known(0, "wll")
    beside.known(1, "wll", unit_column="c2")
    assert one_rating(beside.columns, beside.table) == beside.columns
    # one stray unit among bare numbers is not the unit of the column
    stray = ("2100", "3200", "5400 lb")
    doubtful = Evidence(("WLL", NUMBERS), ("SWL", stray)).known(0, "wll").known(1, "wll")
    with pytest.raises(StockListError, match="several columns"):
        one_rating(doubtful.columns, doubtful.table)


def test_most_cells_give_the_unit_of_a_column() -> None:
    mostly_kg = ("2000 kg", "3150 kg", "5300 kg", "7100 lb")
    pounds = ("4400 lb", "6900 lb", "11700 lb", "15700 lb")
    given = Evidence(("WLL", mostly_kg), ("SWL", pounds)).known(0, "wll").known(1, "wll")
    assert one_rating(given.columns, given.table) == given.columns


def test_all_columns_must_be_equal_to_be_kept() -> None:
    given = Evidence(("WLL", NUMBERS), ("SWL", NUMBERS), ("Capacity", OTHERS))
    for place in range(3):
        given.known(place, "wll", unit="kg")
    with pytest.raises(StockListError, match="'WLL' and 'SWL' and 'Capacity'"):
        one_rating(given.columns, given.table)
