"""What is known of columns, and how decisions and their reasons are kept."""

from __future__ import annotations

import pytest

from column_evidence import NUMBERS, SIZES, Evidence
from tallyhook.errors import StockListError
from tallyhook.recognising.evidence import (
    column_named,
    columns_sought,
    having,
    how_to_name,
    name_of,
    replaced,
    sample_of,
    shown_among,
)


def test_a_reason_grows_until_another_decision_takes_its_place() -> None:
    (column,) = Evidence(("WLL", NUMBERS)).columns
    assert (column.role, column.why) == ("ignore", "")
    rated = column.decided("wll", "headed 'WLL'", gives={"grade": "80"})
    rated = rated.with_unit("kg", "in kg as named").added("more", "and more")
    assert rated.why == "headed 'WLL', in kg as named, and more"
    assert (rated.role, rated.unit, rated.gives) == ("wll", "kg", {"grade": "80"})
    refused = rated.refused("the rated load is 'SWL'")
    assert (refused.role, refused.unit, refused.gives) == ("ignore", None, {})
    assert refused.why == "the rated load is 'SWL'"
    assert [d.what for d in refused.decisions] == ["wll", "kg", "more", "ignore"]


def test_a_doubt_changes_the_reason_alone() -> None:
    (column,) = Evidence(("WLL", NUMBERS)).columns
    doubted = column.decided("size", "a").doubted("b")
    assert (doubted.role, doubted.why) == ("size", "b")


def test_columns_by_role_and_name() -> None:
    given = Evidence(("Size", SIZES), ("C", NUMBERS), ("", NUMBERS)).known(0, "size")
    size, named_c, third = given.columns
    assert having(given.columns, "size", "wll") == [size]
    assert columns_sought(given.columns, " ".join(["size"])) == [size]
    assert columns_sought(given.columns, "c") == [named_c]  # a heading goes before a letter
    assert columns_sought(given.columns, "column C") == [third]
    assert columns_sought(given.columns, "A") == [size]
    assert columns_sought(given.columns, "D") == []
    with pytest.raises(StockListError, match="no column is headed 'D'"):
        column_named(given.columns, "D", given.table)
    changed = replaced(given.columns, third.decided("wll", "said"))
    assert [c.role for c in changed] == ["size", "ignore", "wll"]


def test_columns_of_one_heading_are_named_by_their_letters() -> None:
    given = Evidence(("WLL", NUMBERS), ("A", NUMBERS), ("wll ", NUMBERS), ('7" WLL', NUMBERS))
    first, a, second, quoted = given.columns
    with pytest.raises(
        StockListError, match=r"A and C are all headed 'WLL'.*--column size=\"column A\""
    ):
        column_named(given.columns, "WLL", given.table, "size")
    for column, name in ((first, "column A"), (a, "A"), (second, "C"), (quoted, "D")):
        assert name_of(column, given.columns) == name
        assert column_named(given.columns, name, given.table) == column
    assert shown_among(a, given.columns) == "'A'"
    assert shown_among(second, given.columns) == "'wll ' in column C"


def test_how_a_column_is_named() -> None:
    assert how_to_name(wll="Cap.") == ('--column wll="Cap." (in Python columns={"wll": "Cap."})')


def test_a_sample_is_the_top_and_rows_from_all_over() -> None:
    from tallyhook.recognising.thresholds import SAMPLE_ROWS

    frame = Evidence(("Size", ["8"] * (10 * SAMPLE_ROWS))).table.frame
    rows = sample_of(frame)["row"].to_list()
    assert rows[:SAMPLE_ROWS] == list(range(2, SAMPLE_ROWS + 2))
    assert 2 * SAMPLE_ROWS <= len(rows) <= 2 * SAMPLE_ROWS + SAMPLE_ROWS // 5
    assert rows[-1] > 9.9 * SAMPLE_ROWS
    assert sample_of(frame.head(100)).height == 100
