"""The user names columns, by their heading or their letter."""

from __future__ import annotations

import pytest

from column_evidence import NUMBERS, SIZES, Evidence, roles
from tallyhook.errors import StockListError
from tallyhook.recognising.steps.by_name import by_name


@pytest.mark.parametrize("name", ["Cap.", " cap. ", "b", "B", "column B"])
def test_a_column_by_heading_or_letter(name: str) -> None:
    given = Evidence(("WLL", NUMBERS), ("Cap.", NUMBERS), overrides={"wll": name})
    given.known(0, "wll")
    wll, cap = by_name(given.columns, given.table)
    assert (wll.role, wll.why) == ("ignore", "another column was named as wll")
    assert (cap.role, cap.why, cap.named) == ("wll", "named as wll", True)


def test_several_columns() -> None:
    given = Evidence(("A1", NUMBERS), ("A2", NUMBERS), ("A3", SIZES), overrides={"wll": "A1; A2"})
    assert roles(by_name(given.columns, given.table)) == ["wll", "wll", "ignore"]


def test_what_is_ignored_leaves_other_ignored_columns_alone() -> None:
    given = Evidence(("Size", SIZES), ("Price", NUMBERS), overrides={"ignore": "Size"})
    given.known(0, "size").refused(1, "headed as a price")
    size, price = by_name(given.columns, given.table)
    assert (size.why, price.why) == ("named as ignore", "headed as a price")


def test_a_unit_may_be_named_in_place_of_a_column() -> None:
    given = Evidence(("WLL", NUMBERS), overrides={"unit": "kg"})
    assert by_name(given.columns, given.table) == given.columns


def test_a_column_may_be_headed_by_a_unit() -> None:
    unit = Evidence(("WLL", NUMBERS), ("UOM", ("kg", "lb", "kg")), overrides={"unit": "UOM"})
    assert roles(by_name(unit.columns, unit.table)) == ["ignore", "unit"]
    load = Evidence(("Size", SIZES), ("kg", NUMBERS), overrides={"wll": "kg"})
    assert roles(by_name(load.columns, load.table)) == ["ignore", "wll"]


def test_a_column_that_is_not_there_is_refused() -> None:
    given = Evidence(("WLL", NUMBERS), overrides={"size": "Dia"})
    with pytest.raises(StockListError, match="no column is headed 'Dia'; the headings are 'WLL'"):
        by_name(given.columns, given.table)


def test_one_column_is_not_named_as_two_things() -> None:
    given = Evidence(("WLL", NUMBERS), overrides={"wll": "WLL", "breaking": "A"})
    with pytest.raises(StockListError, match="'WLL' is named as wll and as breaking"):
        by_name(given.columns, given.table)


def test_a_unit_is_no_letter_of_a_column() -> None:
    columns = [(f"H{i}", NUMBERS) for i in range(20)]
    given = Evidence(*columns, overrides={"unit": "t"})  # the 20th column is T
    assert by_name(given.columns, given.table) == given.columns
    given = Evidence(*columns, overrides={"unit": "column T"})
    assert by_name(given.columns, given.table)[19].role == "unit"
