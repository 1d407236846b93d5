"""A column headed only "load" is the rating when nothing else can be, and it has a unit."""

from __future__ import annotations

import pytest

from column_evidence import LOADS, NUMBERS, SIZES, WORDS, Evidence, roles
from tallyhook.recognising.steps.headed_load import headed_load


def test_it_is_the_rating() -> None:
    given = Evidence(("Size", SIZES), ("Load (kg)", NUMBERS))
    size, load = headed_load(given.columns, given.table)
    assert (size.role, load.role, load.unit) == ("ignore", "wll", "kg")
    assert load.why == "headed 'Load (kg)', and no other column is a load"


@pytest.mark.parametrize(
    ("columns", "why"),
    [
        ((("Load (kg)", WORDS),), "headed as a load but its cells are not loads"),
        ((("kg", NUMBERS),), "headed by a unit alone, which can as well be a weight"),
        ((("Load", NUMBERS),), "headed as some load, without a unit"),
    ],
)
def test_what_speaks_against_it(columns: tuple[tuple[str, tuple[str, ...]], ...], why: str) -> None:
    given = Evidence(*columns)
    (column,) = headed_load(given.columns, given.table)
    assert (column.role, column.why) == ("ignore", why)


def test_another_column_is_the_rating() -> None:
    given = Evidence(("WLL", NUMBERS), ("Load (kg)", NUMBERS)).known(0, "wll")
    _, load = headed_load(given.columns, given.table)
    assert (load.role, load.why) == (
        "ignore",
        "headed as some load; the rated load is another column",
    )


def test_of_two_in_one_unit_neither_is_sure() -> None:
    given = Evidence(("Load (kg)", NUMBERS), ("Loads (kg)", NUMBERS))
    first, second = headed_load(given.columns, given.table)
    assert first.why == second.why == "headed as some load, as another column is"
    assert roles((first, second)) == ["ignore", "ignore"]


@pytest.mark.parametrize("at", [0, 1])
def test_one_that_is_out_by_itself_leaves_the_other_sure(at: int) -> None:
    columns = [("Load (kg)", NUMBERS), ("Loads (kg)", ("red", "blue", "black"))][:: 1 - 2 * at]
    given = Evidence(*columns)
    assert roles(headed_load(given.columns, given.table)).index("wll") == at


@pytest.mark.parametrize("cells", [LOADS, NUMBERS])
def test_a_unit_may_stand_in_the_cells_beside_or_above(cells: tuple[str, ...]) -> None:
    beside = Evidence(("Load", cells), ("", ("kg", "kg", "lb")))
    assert roles(headed_load(beside.columns, beside.table)) == ["wll", "ignore"]
    above = Evidence(("Load", cells), titles=["All ratings in kg"])
    assert roles(headed_load(above.columns, above.table)) == ["wll"]
