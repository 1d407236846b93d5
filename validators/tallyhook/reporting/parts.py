"""Findings in words: titles of causes, sources and rules in place of their slugs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache
from typing import TYPE_CHECKING, Any

import polars as pl

from tallyhook.errors import TallyhookError
from tallyhook.model.sheet import HIDDEN
from tallyhook.packages.package import built_in_packages
from tallyhook.recognising.rowkinds import HIDDEN_ROW
from tallyhook.rules import all_rules, rule_named

if TYPE_CHECKING:
    from tallyhook.recognising.recognise import Layout
    from tallyhook.reporting.report import Report

__all__ = [
    "TO_DO",
    "cause_explanation",
    "cause_title",
    "checked_sheets",
    "not_compared",
    "row_ranges",
    "rows_of",
    "rule_title",
    "source_address",
    "source_title",
    "unchecked",
]

TO_DO = {
    "danger": "take off the list until corrected",
    "error": "correct",
    "warning": "have a person look",
    "note": "know",
}
"""What a reader does about a finding of each severity."""


@cache
def _rows(package: str, table: str, key: str) -> dict[str, dict[str, Any]]:
    return {row[key]: row for row in built_in_packages()[package][table].iter_rows(named=True)}


def cause_title(cause: str | None) -> str:
    """Give a cause's title; two causes joined by " and " give two titles."""
    known = _rows("vocabulary", "causes", "cause")
    parts = (cause or "").split(" and ")
    return ", and ".join(str(known[p]["title"]) if p in known else p for p in parts)


def cause_explanation(cause: str | None) -> str:
    """Say what a cause is and what to do about it; empty for one that is not in the vocabulary."""
    known = _rows("vocabulary", "causes", "cause")
    return " ".join(
        str(known[p]["explanation"]) for p in (cause or "").split(" and ") if p in known
    )


def source_title(source: str | None) -> str:
    """Give a document's title, or say which table of ours ``package.table`` is."""
    known = _rows("sources", "documents", "source")
    if not source or source in known:
        return str(known[source]["title"]) if source else ""
    package, dot, table = source.partition(".")
    if dot and package in built_in_packages():
        return f"table {table} of the package {package}"
    return source


def source_address(source: str | None) -> str:
    """Give the web address a document was read at; empty when there is none."""
    known = _rows("sources", "documents", "source")
    address = str(known[source]["address"]) if source in known else ""
    return address if address.startswith(("https://", "http://")) else ""


def rule_title(rule: str) -> str:
    """Give the first sentence of a rule's page; a rule that is not ours is named as it is."""
    for each in all_rules("decision"):
        if each.name == rule:
            return each.title
    try:
        return rule_named(rule).title
    except TallyhookError:
        return rule


def rows_of(finding: dict[str, Any]) -> list[int]:
    """List the rows that a finding is about."""
    if finding["rows"]:
        return list(finding["rows"])
    return [] if finding["row"] is None else [finding["row"]]


def row_ranges(rows: Iterable[int]) -> str:
    """Write row numbers as ranges.

    Examples
    --------
    >>> row_ranges([2, 3, 4, 9, 11, 12])
    '2-4, 9, 11-12'
    """
    ordered = sorted(set(rows))
    runs: list[list[int]] = []
    for row in ordered:
        if runs and row == runs[-1][1] + 1:
            runs[-1][1] = row
        else:
            runs.append([row, row])
    return ", ".join(str(a) if a == b else f"{a}-{b}" for a, b in runs)


def not_compared(report: Report) -> pl.DataFrame:
    """The items that no table was held against: sheet, row, item, why, unread; in list order."""
    left = report.matched.filter(pl.col("outcome") == "not compared")
    return left.select("sheet", "row", "item", pl.col("why").fill_null(""), "unread")


def unchecked(layouts: Sequence[Layout]) -> str:
    """Say which rows and sheets of a list were not looked at; empty when all were.

    Examples
    --------
    >>> from tallyhook.reading.lists import sheet_from_frame
    >>> from tallyhook.recognising.recognise import recognise_all
    >>> import polars as pl
    >>> frame = pl.DataFrame({"Chain": ["10 mm G8", "13 mm G8"], "WLL kg": [3150, 5300]})
    >>> unchecked(recognise_all(sheet_from_frame(frame)))
    ''
    """
    parts, count = [], 0
    rows: dict[str | None, list[int]] = {}
    for each in layouts:  # several tables may stand on one sheet
        if len(hidden := each.skipped.filter(pl.col("why") == HIDDEN_ROW)["row"]):
            rows.setdefault(each.sheet.name, []).extend(hidden)
    if rows:
        number = sum(map(len, rows.values()))
        told = "; ".join(
            row_ranges(found) + (f" of '{name}'" if name else "") for name, found in rows.items()
        )
        parts.append(f"{_counted(number, 'hidden row')} ({told})")
        count += number
    sheets = dict.fromkeys(pair for each in layouts for pair in each.sheet.left_out)
    hidden_sheets = [name for name, why in sheets if why == HIDDEN]
    if hidden_sheets:
        names = ", ".join(f"'{name}'" for name in hidden_sheets)
        parts.append(f"{_counted(len(hidden_sheets), 'hidden sheet')} ({names})")
    refused = [f"'{name}': {why}" for name, why in sheets if why != HIDDEN]
    if refused:
        parts.append(f"{_counted(len(refused), 'other sheet')} ({'; '.join(refused)})")
    if not parts:
        return ""
    steps = ["unhide the rows"] if rows else []
    steps += ["name a sheet with --sheet"] if sheets else []
    was = "was" if count + len(sheets) == 1 else "were"
    return f"{_listed(parts)} {was} not checked; to check them, {' or '.join(steps)}"


def _counted(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _listed(parts: Sequence[str]) -> str:
    return " and ".join(p for p in (", ".join(parts[:-1]), parts[-1]) if p)


def checked_sheets(report: Report) -> list[dict[str, Any]]:
    """What each sheet of the list was taken for: its columns, and the rows passed over."""
    sheets = []
    for layout in report.layouts:
        passed = layout.skipped.group_by("why", maintain_order=True).agg("row")
        sheets.append(
            {
                "name": layout.sheet.name,
                "heading_row": layout.heading_row,
                "rows": layout.body.height,
                "columns": [
                    {
                        "heading": c.heading or c.column,
                        "role": c.role,
                        "unit": c.unit or "",
                        "why": c.why,
                    }
                    for c in layout.columns
                ],
                "skipped": [
                    {"why": why, "count": len(rows), "rows": row_ranges(rows)}
                    for why, rows in passed.iter_rows()
                ],
            }
        )
    return sheets
