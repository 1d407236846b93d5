"""A table without ratings is refused, with advice that fits it."""

from __future__ import annotations

import pytest

from column_evidence import LOADS, NUMBERS, SIZES, WORDS, Evidence
from tallyhook.recognising.steps.rating_required import NoRatedLoadError, rating_required


def test_a_column_or_the_descriptions_hold_ratings() -> None:
    column = Evidence(("WLL", NUMBERS)).known(0, "wll")
    assert rating_required(column.columns, column.table) == column.columns
    texts = Evidence(("Item", ("hook, WLL 2 t", "hook, 3.15 t", "chain"))).known(0, "description")
    assert rating_required(texts.columns, texts.table) == texts.columns


@pytest.mark.parametrize(
    ("given", "message"),
    [
        (
            Evidence(("Item", WORDS), ("Size", SIZES)),
            r"no column can be the rated load; the headings are 'Item', 'Size'.*name the column",
        ),
        (
            Evidence(("", WORDS), ("", ("8", "10", "13")), ("", NUMBERS)),
            r'no heading was found and no column holds loads with a unit.*wll="C"',
        ),
        (
            Evidence(("", WORDS)),
            r"no column holds numbers that could be loads.*check that it is the list",
        ),
        (
            Evidence(("Item", ()), ("WLL", ())),
            r"there are headings \('Item', 'WLL'\) and no rows below them.*exported whole",
        ),
    ],
)
def test_the_advice_fits(given: Evidence, message: str) -> None:
    with pytest.raises(NoRatedLoadError, match=message):
        rating_required(given.columns, given.table)


def test_loads_in_a_column_that_is_not_read_are_no_ratings() -> None:
    given = Evidence(("Item", WORDS), ("Weight", LOADS)).known(0, "description").refused(1)
    with pytest.raises(NoRatedLoadError):
        rating_required(given.columns, given.table)
