"""The step of judging: run the stock rules over the matched items."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache, partial

import polars as pl

from tallyhook.matching.readings import readings
from tallyhook.model.distinct import DistinctItems, items_of_rows
from tallyhook.model.finding import SEVERITIES, STOCK_FINDING_SCHEMA
from tallyhook.packages.package import Package
from tallyhook.rules import Rule, all_rules

__all__ = ["Judgement", "findings_by_row", "judge", "sort_findings"]

_KEYED = {**STOCK_FINDING_SCHEMA, "key": pl.UInt32}


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """The findings, and the rules that crashed instead of answering (name -> what happened).

    Findings about an item have its ``key`` and no row yet (`findings_by_row` gives them their
    rows); those about rows that contradict each other have their row.
    """

    findings: pl.DataFrame
    crashed: dict[str, str]


def judge(
    distinct: pl.DataFrame,
    contradicting: Callable[[str], pl.DataFrame],
    reference: pl.DataFrame,
    packages: Mapping[str, Package],
    *,
    file: str,
) -> Judgement:
    """Run every stock rule; a rule that crashes is named and the others still run.

    Parameters
    ----------
    distinct : frame
        The distinct items (`tallyhook.model.distinct.DistinctItems`), matched.
    contradicting : callable
        Gives the rows whose value of a column stands with two different items, wherever the rows
        lie; for the rules that hold rows against each other.
    reference : frame
        The ratings they were matched with.
    packages : mapping of str to Package
        Where a rule's other tables (``package.table``) come from.
    file : str
        The list's name, written into every finding.
    """
    rules = all_rules("stock")
    of_distinct = distinct.with_columns(
        pl.col("key").cast(pl.Int64).alias("row"), pl.lit(None, dtype=pl.String).alias("part")
    )
    # worked out when a rule asks for them
    others = cache(partial(readings, of_distinct, reference))
    # asked for before any rule runs: what fails there is no crash of a rule
    of_rows = {
        rule.across: items_of_rows(contradicting(rule.across), distinct)
        for rule in rules
        if rule.across is not None
    }
    parts, crashed = [pl.DataFrame(schema=_KEYED)], {}
    for rule in rules:
        items = of_distinct if rule.across is None else of_rows[rule.across]
        try:
            found = rule.check(
                *(_table(name, items, reference, others, packages) for name in rule.reads)
            )
        except Exception as error:  # a rule is foreign code to the run: name it and go on
            crashed[rule.name] = f"{type(error).__name__}: {error}"
            continue
        if found.height:
            parts.append(_complete(found, rule, file))
    return Judgement(findings=_without_replaced(pl.concat(parts)), crashed=crashed)


def findings_by_row(findings: pl.DataFrame, listed: DistinctItems) -> pl.DataFrame:
    """Give the findings about items to every row that holds the item, worst first, then by row."""
    # only what the order depends on is given to the rows and sorted: the texts follow once
    own = findings.with_row_index("n").select("n", "row", "part", "key", "severity", "rule")
    keyed = own.filter(pl.col("row").is_null()).drop("row", "part")
    rows = listed.rows.filter(pl.col("key").is_in(keyed["key"].unique().implode()))
    # one rule may find two faults in one row: in the order of the rule's own answer
    given = rows.select(pl.col("row").cast(pl.Int64), "part", "key").join(
        keyed, on="key", how="inner", maintain_order="left_right"
    )
    ordered = sort_findings(pl.concat([given.select(own.columns), own.drop_nulls("row")]))
    placed = findings[ordered["n"]].with_columns(ordered["row"], ordered["part"])
    return placed.select(list(_KEYED))


def sort_findings(findings: pl.DataFrame) -> pl.DataFrame:
    """Sort findings: the worst first, then by row and rule."""
    rank = {severity: i for i, severity in enumerate(SEVERITIES)}
    return findings.sort(
        pl.col("severity").replace_strict(rank, return_dtype=pl.Int8),
        "row",
        "rule",
        maintain_order=True,
        nulls_last=False,
    )


def _without_replaced(findings: pl.DataFrame) -> pl.DataFrame:
    """Drop a finding where a more specific rule has one for the same row and column."""
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
    package, table = name.split(".")
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
