"""Rules on a file of decisions; each takes the decisions with what they matched.

The frame has a row for each decision: ``line``, ``row_key``, ``rule``, ``decision``, ``who``,
``why``, ``date``, ``expires``, ``document``, ``observed``, ``item`` as written, ``defect`` (what makes it
unreadable, or null), ``matched`` (findings it fits), ``undocumented`` (dangers among them that it
cannot accept for want of a document), ``expired`` (true when its last day is over), ``with_sheet``
(in a list of several sheets, what a bare row of theirs is to be called; null otherwise), ``lacks``
(`NUMBER_MISSING`, `ITEM_MISSING`, `ROW_ALONE`, `COLUMN_ALONE`, or null: why it cannot accept what it fits),
``shown`` (what stands there) and ``against`` (the lines of decisions that contradict it, or null).
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say_each

__all__ = ["COLUMN_ALONE", "ITEM_MISSING", "NUMBER_MISSING", "ROW_ALONE", "decision_findings"]

NUMBER_MISSING, ITEM_MISSING, ROW_ALONE, COLUMN_ALONE = "number", "item", "row", "column"
"""What a decision lacks that accepts a danger without its number, or one number of several items, a
row without what stands in it, or a danger for a whole column."""


def decision_findings(
    broken: pl.DataFrame,
    *,
    column: str,
    observed: pl.Expr,
    expected: str | pl.Expr,
    note: str | None = None,
) -> pl.DataFrame:
    """Turn decisions that break a rule into findings; they name the line, not a row of the list."""
    return broken.select(
        say_each("decision in line {line}: {row_key}", line="line", row_key="row_key").alias(
            "item"
        ),
        pl.lit(column).alias("column"),
        observed.alias("observed"),
        (expected if isinstance(expected, pl.Expr) else pl.lit(expected)).alias("expected"),
        pl.lit(note, dtype=pl.String).alias("note"),
    )
