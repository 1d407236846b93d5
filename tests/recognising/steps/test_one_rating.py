"""Of two columns of one rating, the one that is sure is kept; in doubt it is asked."""

from __future__ import annotations

import pytest

from column_evidence import NUMBERS, Evidence, roles
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


def test_of_equal_columns_the_first_is_kept() -> None:
    given = two("WLL", "SWL", NUMBERS)
    assert roles(one_rating(given.columns, given.table)) == ["wll", "ignore"]


def test_other_units_or_other_grades_are_other_ratings() -> None:
    for more in ({"unit": "lb"}, {"unit": "kg", "gives": {"grade": "80"}}):
        given = two("WLL", "SWL").known(1, "wll", **more)
        assert one_rating(given.columns, given.table) == given.columns
