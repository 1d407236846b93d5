"""Which scheme a list follows."""

from __future__ import annotations

from typing import Any

import polars as pl

from tallyhook.matching.followed import followed_schemes


def _votes(*rows: tuple[str | None, str, bool, str | None, int]) -> list[tuple[Any, ...]]:
    frame = pl.DataFrame(
        rows, schema=["sheet", "wll_column", "metric", "agrees_with", "times"], orient="row"
    ).with_columns(pl.when("metric").then(None).otherwise(pl.lit("3/8")).alias("size_in"))
    return sorted(followed_schemes(frame.drop("metric")).iter_rows(), key=str)


def test_a_list_follows_a_scheme_by_five_rows_and_three_quarters_of_those_that_decide() -> None:
    assert _votes((None, "t", True, "european", 5)) == [(None, "t", True, "european")]
    assert _votes((None, "t", True, "european", 4)) == []
    six_of_eight = [("a", "t", True, "european", 6), ("a", "t", True, "us-chain", 2)]
    assert _votes(*six_of_eight) == [("a", "t", True, "european")]
    assert _votes(("a", "t", True, "european", 5), ("a", "t", True, "us-chain", 2)) == []
    # rows that agree with several schemes decide nothing
    assert _votes(("a", "t", True, "european", 5), ("a", "t", True, None, 50)) == [
        ("a", "t", True, "european")
    ]


def test_sheets_columns_and_systems_of_sizes_follow_their_own_scheme() -> None:
    rows = [
        ("a", "t", True, "european", 5),
        ("a", "t", False, "us-chain", 5),
        ("a", "lb", True, "us-chain", 5),
        ("b", "t", True, "us-chain", 5),
        ("c", "t", True, "us-chain", 3),
        ("c", "t", True, "us-chain", 2),
    ]
    assert _votes(*rows) == [
        ("a", "lb", True, "us-chain"),
        ("a", "t", False, "us-chain"),
        ("a", "t", True, "european"),
        ("b", "t", True, "us-chain"),
        ("c", "t", True, "us-chain"),
    ]
