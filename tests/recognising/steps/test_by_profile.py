"""A profile says what the columns of a shop's list are."""

from __future__ import annotations

import pytest

from column_evidence import NUMBERS, SIZES, Evidence, roles
from tallyhook.errors import StockListError
from tallyhook.recognising.steps.by_profile import by_profile


def test_a_profile_goes_before_the_heading() -> None:
    said = [{"heading": "wibble", "role": "wll", "unit": "lb"}, {"heading": "Gone", "role": "size"}]
    given = Evidence(("Size", SIZES), ("Wibble", NUMBERS), profile=said).known(1, "size")
    size, wibble = by_profile(given.columns, given.table)
    assert size == given.columns[0]  # a column that is gone leaves the others alone
    assert (wibble.role, wibble.unit, wibble.named) == ("wll", "lb", True)
    assert wibble.why == "the profile says so"


def test_what_the_heading_fixes_stays_for_ratings() -> None:
    said = [{"heading": "Grade 80", "role": "wll"}, {"heading": "Grade 100", "role": "description"}]
    given = Evidence(("Grade 80", NUMBERS), ("Grade 100", NUMBERS), profile=said)
    rating, other = by_profile(given.columns, given.table)
    assert (rating.gives, other.gives) == ({"grade": "80"}, {})


def test_a_list_without_the_column_of_ratings_is_refused() -> None:
    given = Evidence(("Size", SIZES), profile=[{"heading": "Cap.", "role": "wll"}])
    with pytest.raises(StockListError, match=r"expects a column headed 'Cap\.'.*are 'Size'"):
        by_profile(given.columns, given.table)


def test_without_a_profile_nothing_changes() -> None:
    given = Evidence(("Size", SIZES)).known(0, "size")
    assert roles(by_profile(given.columns, given.table)) == ["size"]
