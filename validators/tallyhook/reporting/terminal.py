"""Reports as text for a terminal: good at 80 columns, without colour, and piped."""

from __future__ import annotations

import io
import shutil
import sys
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

import polars as pl
from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from tallyhook.model.finding import SEVERITIES
from tallyhook.packages.package import built_in_packages
from tallyhook.recognising.recognise import Layout
from tallyhook.recognising.rowkinds import HIDDEN_ROW
from tallyhook.reporting.parts import unchecked
from tallyhook.reporting.report import Report
from tallyhook.wording import CAUTION, number_text

if TYPE_CHECKING:
    from tallyhook.reporting.since import Change

__all__ = ["columns_text", "report_screen", "report_text", "table_text"]

_STYLE = {"danger": "bold red", "error": "yellow", "warning": "cyan", "note": "dim"}
_TO_DO = {
    "danger": "take these off the list until they are corrected",
    "error": "correct these",
    "warning": "have a person look at these",
    "note": "know these",
}
_PLAIN = ("blank", "heading", "title above the heading", HIDDEN_ROW)  # the last is told apart
_MOST_ROWS = 12  # row numbers written out before the rest is counted
_MOST_TOLD = 200  # findings of a severity that differ in more than their row, likewise


def report_text(
    report: Report, *, accepted: pl.DataFrame | None = None, change: Change | None = None
) -> str:
    """Write a report for people, with what was accepted and what changed if that was asked."""
    out = _console()
    _print_report(out, report, accepted, change)
    return _text(out)


def report_screen(report: Report, *, width: int) -> str:
    """Write a report as a terminal of some width gets it, with the codes of its colours."""
    out = Console(
        file=io.StringIO(),
        width=width,
        height=25,
        highlight=False,
        # whatever the environment says of the terminal that tallyhook runs in
        force_terminal=True,
        color_system="standard",
        no_color=False,
    )
    _print_report(out, report)
    return _text(out)


def _print_report(
    out: Console,
    report: Report,
    accepted: pl.DataFrame | None = None,
    change: Change | None = None,
) -> None:
    counts = report.counts
    sheets = f", {len(report.layouts)} sheets" if len(report.layouts) > 1 else ""
    out.print(Text(f"{report.file}{sheets}: {counts['rows']} items"))
    versions = ", ".join(f"{name} {version}" for name, version in report.packages.items())
    out.print(Text(f"held against {versions}", style="dim"))
    causes = _titles("vocabulary", "causes", "cause")
    documents = _titles("sources", "documents", "source")
    for severity in SEVERITIES:
        found = report.stock_findings.filter(pl.col("severity") == severity)
        if found.height:
            out.print()
            heading = f"{severity.upper()} ({found.height}): {_TO_DO[severity]}"
            out.print(Text(heading, style=_STYLE[severity]))
            told = _alike(found)
            for finding in told.head(_MOST_TOLD).iter_rows(named=True):
                _print_finding(out, finding, causes, documents)
            if told.height > _MOST_TOLD:
                rest = told.slice(_MOST_TOLD)["times"].sum()
                every = "--html, --xlsx or --format csv lists them all"
                _indent(out, 2, Text(f"and {rest} more findings: {every}", style="bold"))
    if accepted is not None and accepted.height:
        _print_accepted(out, accepted)
    _print_uncompared(out, report)
    _print_passed_over(out, report)
    if change is not None:
        _print_change(out, change)
    out.print()
    out.print(Text(CAUTION, style="italic"))
    if left := unchecked(report.layouts):
        out.print(Text(f"NOT CHECKED: {left}", style="bold"))
    if not report.complete:
        out.print(Text(f"INCOMPLETE: {', '.join(report.crashed)} did not answer", style="bold"))
    out.print(
        Text(
            f"{counts['agree']} agree, {counts['contradicted']} contradicted, "
            f"{counts['not_compared']} not compared, {counts['rows']} items in all",
            style="bold",
        )
    )


def columns_text(layouts: Sequence[Layout]) -> str:
    """Write what each column of a list was taken for, and why."""
    out = _console()
    for layout in layouts:
        name = f" sheet {layout.sheet.name}" if layout.sheet.name else ""
        heading = f"heading in row {layout.heading_row}" if layout.heading_row else "no heading row"
        decimal = f", decimal mark '{layout.decimal}'" if layout.decimal else ""
        out.print(Text(f"{layout.sheet.file}{name}: {heading}, {layout.body.height} rows{decimal}"))
        for column in layout.columns:
            unit = f" [{column.unit}]" if column.unit else ""
            gives = "".join(f" {k}={v}" for k, v in column.gives.items())
            out.print(
                Text(
                    f"  {column.heading or column.column!r}: "
                    f"{column.role}{unit}{gives} - {column.why}"
                )
            )
        for row, why in layout.skipped.select("row", "why").iter_rows():
            out.print(Text(f"  row {row} skipped: {why}", style="dim"))
    if left := unchecked(layouts):
        out.print(Text(f"NOT CHECKED: {left}", style="bold"))
    return _text(out)


def table_text(rows: pl.DataFrame) -> str:
    """Write rows of a rating table as one block a row, with the caution."""
    out = _console()
    for row in rows.iter_rows(named=True):
        shown = {
            k: number_text(v) if isinstance(v, float) else v
            for k, v in row.items()
            if v not in (None, "")
        }
        out.print(Text("; ".join(f"{k} {v}" for k, v in shown.items())))
    out.print()
    out.print(Text(f"{rows.height} rows. {CAUTION}", style="italic"))
    return _text(out)


def _alike(found: pl.DataFrame) -> pl.DataFrame:
    """Tell findings that say the same of several rows once, with ``times`` and their ``rows``."""
    same = [c for c in found.columns if c not in ("row", "rows", "other_causes")]
    causes = pl.col("other_causes").list.join(",").alias("_others")
    told = found.group_by(*same, causes, pl.col("rows").hash().alias("_rows"), maintain_order=True)
    several = pl.col("rows").is_null() & (pl.col("times") > 1)
    return told.agg(
        pl.col("row").alias("_each"),
        pl.col("rows", "other_causes").first(),
        pl.len().alias("times"),
    ).with_columns(
        pl.col("_each").list.first().alias("row"),
        pl.when(several).then("_each").otherwise("rows").alias("rows"),
    )


def _print_finding(
    out: Console, finding: dict[str, Any], causes: dict[str, str], documents: dict[str, str]
) -> None:
    where = _where(finding)
    sheet = f" of {finding['sheet']}" if finding["sheet"] else ""
    _indent(out, 2, Text.assemble((f"{where}{sheet}", "bold"), f"  {finding['item'] or ''}"))
    ratio = f" ({_times(finding['ratio'])})" if finding["ratio"] else ""
    _indent(
        out, 4, f"{finding['column']}: {finding['observed']}; expected {finding['expected']}{ratio}"
    )
    if finding["cause"]:
        sure = (
            f", {round(100 * finding['confidence'])} % sure"
            if finding["confidence"] is not None
            else ""
        )
        told = causes.get(finding["cause"], finding["cause"])
        _indent(out, 4, f"likely cause: {told}{sure}")
    if finding["other_causes"]:
        _indent(out, 4, f"or: {'; '.join(causes.get(c, c) for c in finding['other_causes'])}")
    if finding["note"]:
        _indent(out, 4, finding["note"])
    if finding["source"]:
        title = documents.get(finding["source"], finding["source"])
        locator = f", {finding['locator']}" if finding["locator"] else ""
        _indent(out, 4, Text(f"source: {title}{locator}", style="dim"))
    _indent(out, 4, Text(f"rule: {finding['rule']}", style="dim"))


def _print_accepted(out: Console, accepted: pl.DataFrame) -> None:
    out.print()
    out.print(Text(f"ACCEPTED ({accepted.height}): decided on, with a reason", style="bold"))
    for finding in accepted.iter_rows(named=True):
        until = f", until {finding['expires']}" if finding["expires"] else ""
        paper = f" ({finding['document']})" if finding["document"] else ""
        _indent(
            out,
            2,
            f"{_where(finding)}: {finding['rule']}, by {finding['who']} on {finding['date']}"
            f"{until}: {finding['why']}{paper}",
        )


def _print_change(out: Console, change: Change) -> None:
    out.print()
    counts = f"{len(change.new)} new, {len(change.gone)} gone, {len(change.still)} still there"
    out.print(Text(f"SINCE {change.before}: {counts}", style="bold"))
    for word, findings in (
        ("new", change.new),
        ("gone", change.gone),
        ("told anew", change.altered),
    ):
        for finding in findings:
            because = f"; {finding['because']}" if finding["because"] else ""
            _indent(out, 2, f"{word}: {finding['where']}, {finding['rule']}{because}")
    for package in change.packages:
        _indent(
            out,
            2,
            f"{package.name}: {package.before or 'absent'} before, {package.now or 'absent'} now",
        )


def _where(finding: dict[str, Any]) -> str:
    if finding["rows"]:
        return f"rows {_numbers(finding['rows'])}"
    return f"row {finding['row']}" if finding["row"] is not None else str(finding["file"] or "")


def _print_uncompared(out: Console, report: Report) -> None:
    left = report.matched.filter(pl.col("outcome") == "not compared")
    if left.is_empty():
        return
    out.print()
    out.print(Text(f"NOT COMPARED ({left.height}): no table was held against these", style="bold"))
    reasons = (
        left.group_by("why", maintain_order=True)
        .agg("row")
        .sort(pl.col("row").list.len(), descending=True)
    )
    for why, rows in reasons.iter_rows():
        _indent(out, 2, f"{why}: {len(rows)}, rows {_numbers(rows)}")


def _print_passed_over(out: Console, report: Report) -> None:
    """Tell the rows that were taken for something other than an item; blank ones go unsaid."""
    skipped = [
        each.skipped.with_columns(pl.lit(each.sheet.name, dtype=pl.String).alias("sheet"))
        for each in report.layouts
    ]
    told = pl.concat(skipped).filter(~pl.col("why").is_in(_PLAIN))
    if told.is_empty():
        return
    out.print()
    out.print(Text(f"PASSED OVER ({told.height}): rows that hold no item", style="bold"))
    groups = told.group_by("sheet", "why", maintain_order=True).agg("row")
    for sheet, why, rows in groups.iter_rows():
        where = f" of {sheet}" if sheet else ""
        _indent(out, 2, f"{why}: {len(rows)}, rows {_numbers(rows)}{where}")


def _numbers(rows: Iterable[int]) -> str:
    rows = list(rows)
    more = f" and {len(rows) - _MOST_ROWS} more" if len(rows) > _MOST_ROWS else ""
    return ", ".join(map(str, rows[:_MOST_ROWS])) + more


def _times(ratio: float) -> str:
    return f"{ratio:.3g} times"


def _titles(package: str, table: str, key: str) -> dict[str, str]:
    rows = built_in_packages()[package][table]
    return dict(zip(rows[key], rows["title"], strict=True))


def _indent(out: Console, by: int, content: Text | str) -> None:
    text = content if isinstance(content, Text) else Text(content)
    out.print(Padding(text, (0, 0, 0, by)))


def _console() -> Console:
    terminal = sys.stdout.isatty()
    width = shutil.get_terminal_size((80, 24)).columns
    return Console(
        file=io.StringIO(),
        width=max(width, 40),
        force_terminal=terminal,
        highlight=False,
        soft_wrap=False,
        color_system="auto" if terminal else None,
    )


def _text(out: Console) -> str:
    assert isinstance(out.file, io.StringIO)
    return "\n".join(line.rstrip() for line in out.file.getvalue().split("\n"))
