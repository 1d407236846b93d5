"""Run the stock rules over the matched items."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, partial

import polars as pl

from tallyhook.matching.readings import readings
from tallyhook.model.distinct import DistinctItems
from tallyhook.model.finding import SEVERITIES, STOCK_FINDING_SCHEMA
from tallyhook.packages.package import Package
from tallyhook.rules import Rule, all_rules

__all__ = [
    "Judgement",
    "hashes_apart",
    "in_order",
    "judge",
    "part_hashes",
    "spread",
]

_KEYED = {**STOCK_FINDING_SCHEMA, "key": pl.UInt32}

_PARTS = 8  # shares that the part numbers of a long list are compared in, to spare memory


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """The findings, and the rules that crashed instead of answering (name -> what happened).

    Findings about an item have its ``key`` and no row yet (`spread` gives them to the rows);
    those about rows that contradict each other have their row.
    """

    findings: pl.DataFrame
    crashed: dict[str, str]


def judge(
    listed: DistinctItems, reference: pl.DataFrame, packages: Mapping[str, Package], *, file: str
) -> Judgement:
    """Run every stock rule; a rule that crashes is named and the others still run.

    Parameters
    ----------
    listed : DistinctItems
        Items as `tallyhook.matching.match.match` returns them, and their rows.
    reference : frame
        The ratings they were matched with.
    packages : mapping of str to Package
        Where a rule's other tables (``package.table``) come from.
    file : str
        The list's name, written into every finding.
    """
    items = listed.distinct.with_columns(
        pl.col("key").cast(pl.Int64).alias("row"), pl.lit(None, dtype=pl.String).alias("part")
    )
    others = cache(partial(readings, items, reference))  # worked out when a rule asks for them
    parts, crashed = [pl.DataFrame(schema=_KEYED)], {}
    for rule in all_rules("stock"):
        try:
            its = items if rule.across is None else listed.items(_apart(listed, rule.across))
            found = rule.check(
                *(_table(name, its, reference, others, packages) for name in rule.reads)
            )
        except Exception as error:  # a rule is foreign code to the run: name it and go on
            crashed[rule.name] = f"{type(error).__name__}: {error}"
            continue
        if found.height:
            parts.append(_complete(found, rule, file))
    return Judgement(findings=_without_replaced(pl.concat(parts)), crashed=crashed)


def spread(findings: pl.DataFrame, listed: DistinctItems) -> pl.DataFrame:
    """Give the findings about items to every row that holds the item, in the usual order."""
    # only what the order hangs on is given to the rows and sorted: the words follow once
    own = findings.with_row_index("n").select("n", "row", "key", "severity", "rule")
    keyed = own.filter(pl.col("row").is_null()).drop("row")
    rows = listed.rows.filter(pl.col("key").is_in(keyed["key"].unique().implode()))
    # one rule may speak twice of one row: in the order of the rule's own answer
    given = rows.select(pl.col("row").cast(pl.Int64), "key").join(
        keyed, on="key", how="inner", maintain_order="left_right"
    )
    told = in_order(pl.concat([given.select(own.columns), own.drop_nulls("row")]))
    return findings[told["n"]].with_columns(told["row"]).select(list(_KEYED))


def in_order(findings: pl.DataFrame) -> pl.DataFrame:
    """Sort findings: the worst first, then by row and rule."""
    rank = {severity: i for i, severity in enumerate(SEVERITIES)}
    return findings.sort(
        pl.col("severity").replace_strict(rank, return_dtype=pl.Int8),
        "row",
        "rule",
        maintain_order=True,
        nulls_last=False,
    )


def _apart(listed: DistinctItems, column: str) -> pl.DataFrame:
    """Give the rows whose value of a column stands with two different items."""
    # most stand once: sorting the hashes is the cheapest way to know
    ordered = listed.rows[column].drop_nulls().hash().sort()
    twice = ordered.filter(ordered == ordered.shift()).unique()
    rows = _with_hash(listed.rows, column, twice)
    shares = (part_hashes(rows, column, share, _PARTS) for share in range(_PARTS))
    return _with_hash(rows, column, pl.concat([hashes_apart([summary]) for summary in shares]))


def _with_hash(rows: pl.DataFrame, column: str, hashes: pl.Series) -> pl.DataFrame:
    if hashes.is_empty():
        return rows.clear()
    return rows.filter(pl.col(column).hash().is_in(hashes.implode()))


def part_hashes(rows: pl.DataFrame, column: str, share: int, shares: int) -> pl.DataFrame:
    """Summarise a share of the values of a column by hash: the least and the last of their keys.

    Rows without a value are left out. Summaries of several batches go to `hashes_apart`.
    """
    return (
        rows.lazy()
        .filter(pl.col(column).is_not_null())
        .select("key", pl.col(column).hash().alias("hash"))
        .filter(pl.col("hash") % shares == share)
        .group_by("hash")
        .agg(pl.col("key").min().alias("least"), pl.col("key").max().alias("most"))
        .collect()
    )


def hashes_apart(summaries: Sequence[pl.DataFrame]) -> pl.Series:
    """Give the hashes that stand with two different items, from all summaries of a share."""
    merged = pl.concat(summaries)
    if len(summaries) > 1:
        merged = merged.group_by("hash").agg(pl.col("least").min(), pl.col("most").max())
    return merged.filter(pl.col("least") != pl.col("most"))["hash"]


def _without_replaced(findings: pl.DataFrame) -> pl.DataFrame:
    """Drop a finding where a more specific rule speaks of the same row and column."""
    replaced = [
        {"by": each.name, "rule": name} for each in all_rules("stock") for name in each.instead_of
    ]
    if not replaced:
        return findings
    pairs = pl.DataFrame(replaced)
    place = ["key", "row", "column"]
    specific = findings.rename({"rule": "by"}).join(pairs, on="by").select(*place, "rule").unique()
    return findings.join(
        specific, on=[*place, "rule"], how="anti", nulls_equal=True, maintain_order="left"
    )


def _table(
    name: str,
    items: pl.DataFrame,
    reference: pl.DataFrame,
    others: Callable[[], pl.DataFrame],
    packages: Mapping[str, Package],
) -> pl.DataFrame:
    if name in ("items", "reference"):
        return items if name == "items" else reference
    if name == "readings":
        return others()
    package, table = name.split(".", 1)
    return packages[package][table]


def _complete(found: pl.DataFrame, rule: Rule, file: str) -> pl.DataFrame:
    if rule.across is None:
        found = found.with_columns(pl.col("row").cast(pl.UInt32).alias("key")).drop("row")
    have = found.columns
    fixed = {"rule": rule.name, "severity": rule.severity, "file": file}
    return found.select(
        pl.col(column).cast(dtype)
        if column in have
        else pl.lit(fixed.get(column)).cast(dtype).alias(column)
        for column, dtype in _KEYED.items()
    )
