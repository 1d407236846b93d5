"""Values of a column that stand with two different items, in rows that lie in several parts."""

from __future__ import annotations

import polars as pl

from tallyhook.rules.contradictions import (
    contradicting_hashes,
    contradicting_rows,
    keys_by_hash,
)


def test_one_value_alone_is_enough() -> None:
    rows = pl.DataFrame({"row": [2, 3, 4], "part": ["A", "A", None], "key": [0, 1, 2]})
    assert contradicting_rows(rows, "part")["row"].to_list() == [2, 3]
    assert contradicting_rows(rows.tail(2), "part").is_empty()


def test_parts_of_several_batches_are_compared_as_if_they_were_one() -> None:
    first = pl.DataFrame({"part": ["A", "B", "C", None, "E", "E"], "key": [1, 2, 3, 4, 6, 5]})
    second = pl.DataFrame({"part": ["A", "B", "D", None], "key": [1, 7, 4, 9]})
    shares = 3
    pairs = [
        [keys_by_hash(batch, "part", share, shares) for batch in (first, second)]
        for share in range(shares)
    ]
    held = pl.concat([summary for pair in pairs for summary in pair])
    assert held.height == 7  # each part of each batch in one share
    two = pl.concat([contradicting_hashes(pair) for pair in pairs])
    assert set(two) == set(pl.Series(["B", "E"]).hash())
    alone = pl.concat([contradicting_hashes([pair[0]]) for pair in pairs])
    assert set(alone) == set(pl.Series(["E"]).hash())
