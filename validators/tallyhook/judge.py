"""Run the stock rules over the matched items."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import polars as pl

from tallyhook.packages import Package
from tallyhook.rules import FINDING_COLUMNS, SEVERITIES, all_rules

__all__ = ["STOCK_FINDING_SCHEMA", "Judgement", "judge"]

_NUMBERS = {"row": pl.Int64, "ratio": pl.Float64, "confidence": pl.Float64}

STOCK_FINDING_SCHEMA: dict[str, pl.DataType | type[pl.DataType]] = {
    **{name: _NUMBERS.get(name, pl.String) for name in FINDING_COLUMNS},
    "other_causes": pl.List(pl.String),
    "rows": pl.List(pl.Int64),  # for a finding about a column or a block, in place of `row`
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """The findings, and the rules that crashed instead of answering (name -> what happened)."""

    findings: pl.DataFrame
    crashed: dict[str, str]


def judge(
    items: pl.DataFrame, reference: pl.DataFrame, packages: Mapping[str, Package], *, file: str
) -> Judgement:
    """Run every stock rule; a rule that crashes is named and the others still run.

    Parameters
    ----------
    items : frame
        Items as `tallyhook.match.match` returns them.
    reference : frame
        The ratings they were matched with.
    packages : mapping of str to Package
        Where a rule's other tables (``package.table``) come from.
    file : str
        The list's name, written into every finding.
    """
    parts, crashed = [pl.DataFrame(schema=STOCK_FINDING_SCHEMA)], {}
    for rule in all_rules("stock"):
        try:
            found = rule.check(*(_table(name, items, reference, packages) for name in rule.reads))
        except Exception as error:  # a rule is foreign code to the run: name it and go on
            crashed[rule.name] = f"{type(error).__name__}: {error}"
            continue
        if found.height:
            parts.append(_complete(found, rule.name, rule.severity, file))
    findings = _without_replaced(pl.concat(parts))
    rank = {severity: i for i, severity in enumerate(SEVERITIES)}
    findings = findings.sort(
        pl.col("severity").replace_strict(rank, return_dtype=pl.Int8),
        "row",
        "rule",
        maintain_order=True,
        nulls_last=False,
    )
    return Judgement(findings=findings, crashed=crashed)


def _without_replaced(findings: pl.DataFrame) -> pl.DataFrame:
    """Drop a finding where a more specific rule speaks of the same row and column."""
    replaced = [
        {"by": each.name, "rule": name} for each in all_rules("stock") for name in each.instead_of
    ]
    if not replaced:
        return findings
    pairs = pl.DataFrame(replaced)
    place = ["sheet", "row", "column"]
    specific = findings.rename({"rule": "by"}).join(pairs, on="by").select(*place, "rule").unique()
    return findings.join(
        specific, on=[*place, "rule"], how="anti", nulls_equal=True, maintain_order="left"
    )


def _table(
    name: str, items: pl.DataFrame, reference: pl.DataFrame, packages: Mapping[str, Package]
) -> pl.DataFrame:
    if name in ("items", "reference"):
        return items if name == "items" else reference
    package, table = name.split(".", 1)
    return packages[package][table]


def _complete(found: pl.DataFrame, name: str, severity: str, file: str) -> pl.DataFrame:
    have = found.columns
    fixed = {"rule": name, "severity": severity, "file": file}
    return found.select(
        pl.col(column).cast(dtype)
        if column in have
        else pl.lit(fixed.get(column)).cast(dtype).alias(column)
        for column, dtype in STOCK_FINDING_SCHEMA.items()
    )
