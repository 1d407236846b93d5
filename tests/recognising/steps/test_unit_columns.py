"""A column of units belongs to the loads or sizes beside it, or is one of units of sale."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest

from column_evidence import LOADS, NUMBERS, SIZES, Evidence, roles
from tallyhook.errors import StockListError
from tallyhook.recognising.steps.unit_columns import neighbour_with_units, unit_columns

UNITS = ("kg", "lb", "kg")


def test_units_of_the_load_beside_them() -> None:
    given = Evidence(("WLL", NUMBERS), ("Unit", UNITS)).known(0, "wll").known(1, "unit")
    wll, unit = unit_columns(given.columns, given.table)
    assert (wll.unit_column, wll.why) == ("c1", "said before, unit in 'Unit'")
    assert (unit.role, unit.why) == ("unit", "headed 'unit', units of 'WLL'")


def test_a_column_without_a_heading_becomes_one_of_units() -> None:
    given = Evidence(("WLL", NUMBERS), ("", UNITS)).known(0, "wll")
    wll, unit = unit_columns(given.columns, given.table)
    assert (wll.unit_column, unit.role) == ("c1", "unit")
    assert unit.why == "its cells are the units of 'WLL'"


def test_units_of_length_belong_to_the_size() -> None:
    given = Evidence(("Size", ("8", "10", "13")), ("WLL", NUMBERS), ("", ("mm", "mm", "in")))
    given.known(0, "size").known(1, "wll")
    size, wll, unit = unit_columns(given.columns, given.table)
    assert (size.unit_column, wll.unit_column, unit.role) == ("c2", None, "unit")


def test_units_of_sale_and_of_nothing() -> None:
    sale = Evidence(("WLL", NUMBERS), ("Unit", ("ea", "ft", "ea"))).known(0, "wll").known(1, "unit")
    wll, unit = unit_columns(sale.columns, sale.table)
    assert (wll.unit_column, unit.role, unit.why) == (None, "ignore", "its cells are units of sale")
    # loads with units of their own need none beside them
    own = Evidence(("WLL", LOADS), ("Unit", UNITS)).known(0, "wll").known(1, "unit")
    wll, unit = unit_columns(own.columns, own.table)
    assert wll.unit_column is None
    assert unit.why == "its cells are units, of no column that was recognised"


def test_the_neighbour_on_the_right_comes_first() -> None:
    given = Evidence(("", UNITS), ("", NUMBERS), ("", UNITS), ("", SIZES))
    left, numbers, right, sizes = given.columns
    assert neighbour_with_units(numbers, given.columns) == right
    assert neighbour_with_units(sizes, given.columns) == right
    assert neighbour_with_units(left, given.columns) is None
    assert roles(given.columns) == ["ignore"] * 4


def test_a_kind_that_reads_as_a_unit_stays_a_kind() -> None:
    given = Evidence(("WLL", NUMBERS), ("Kind", UNITS)).known(0, "wll").known(1, "kind")
    assert unit_columns(given.columns, given.table) == given.columns


def test_a_few_units_of_load_among_those_of_sale() -> None:
    cells, loads = ("ea", "ft", "kg", "pc"), ("2000", "3150", "5300", "8000")
    given = Evidence(("WLL", loads), ("Unit", cells)).known(0, "wll").known(1, "unit")
    wll, unit = unit_columns(given.columns, given.table)
    assert (wll.unit_column, unit.why) == (None, "its cells are units of sale")


def test_units_of_length_are_no_neighbour_of_a_load() -> None:
    given = Evidence(("", NUMBERS), ("", ("mm", "mm", "in")))
    assert neighbour_with_units(given.columns[0], given.columns) is None


@pytest.mark.parametrize("at", range(3))
def test_the_units_of_a_heading_belong_to_its_load_wherever_they_stand(at: int) -> None:
    columns = [("MBL", ("79", "124", "208")), ("WLL", NUMBERS)]
    given = Evidence(*columns[:at], ("WLL Unit", UNITS), *columns[at:])
    given.columns = tuple(
        c.decided({"MBL": "breaking", "WLL": "wll"}.get(c.heading, "unit"), "said before")
        for c in given.columns
    )
    given.columns = tuple(
        replace(c, serves="wll") if c.role == "unit" else c for c in given.columns
    )
    found = {c.heading: c for c in unit_columns(given.columns, given.table)}
    assert found["WLL"].unit_column == f"c{at}"
    assert found["MBL"].unit_column is None


@pytest.mark.parametrize("order", list(itertools.permutations(range(4))))
def test_two_columns_of_units_are_told_apart_by_the_numbers(order: tuple[int, ...]) -> None:
    # EN 818-2 grade 8: 10 mm is rated 3150 kg and breaks at 126 kN
    columns = [
        ("WLL", ("2000", "3150", "5300")),
        ("Unit", ("kg", "kg", "kg")),
        ("MBL", ("80", "126", "212")),
        ("Unit", ("kN", "kN", "kN")),
    ]
    given = Evidence(*(columns[i] for i in order))
    said = {"WLL": "wll", "MBL": "breaking", "Unit": "unit"}
    given.columns = tuple(c.decided(said[c.heading], "said before") for c in given.columns)
    found = {c.heading: c for c in unit_columns(given.columns, given.table) if c.role != "unit"}
    assert found["WLL"].unit_column == f"c{order.index(1)}"
    assert found["MBL"].unit_column == f"c{order.index(3)}"


def test_in_doubt_neither_column_of_units_is_taken_and_both_are_named() -> None:
    given = Evidence(("UOM", UNITS), ("WLL", NUMBERS), ("Unit", ("kg", "kg", "kg")))
    given.known(0, "unit").known(1, "wll").known(2, "unit")
    uom, wll, unit = unit_columns(given.columns, given.table)
    assert wll.unit_column is None
    assert uom.why == unit.why == "in doubt: 'UOM' and 'Unit' could each hold the units"


@pytest.mark.parametrize("cells", [("kg", "EA", "ST"), ("EA", "EA", "kg")])
def test_a_column_of_units_that_was_named_holds(cells: tuple[str, ...]) -> None:
    given = Evidence(("WLL (lb)", NUMBERS), ("Sold by", cells))
    given.known(0, "wll", unit="lb").known(1, "unit", named=True)
    wll, unit = unit_columns(given.columns, given.table)
    assert wll.unit_column == "c1"
    assert unit.why == "named as unit, units of 'WLL (lb)'"


def test_a_named_column_without_use_is_refused() -> None:
    sale = Evidence(("WLL", NUMBERS), ("Unit", ("ea", "ft", "ea"))).known(0, "wll")
    with pytest.raises(StockListError, match="'Unit' is named as unit and holds none"):
        unit_columns(sale.known(1, "unit", named=True).columns, sale.table)
    own = Evidence(("WLL", LOADS), ("Unit", UNITS)).known(0, "wll")
    with pytest.raises(StockListError, match="'Unit' is named as unit, and no column lacks"):
        unit_columns(own.known(1, "unit", named=True).columns, own.table)
