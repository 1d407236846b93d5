"""Reports as text for a terminal: good at 80 columns, without colour, and piped."""

from __future__ import annotations

import io
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import polars as pl
from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from tallyhook.messages import say, say_values
from tallyhook.model.finding import SEVERITIES
from tallyhook.model.layout import Layout
from tallyhook.recognising.rows import HIDDEN_ROW
from tallyhook.reporting.finding_text import (
    origin_lines,
    place_on_screen,
    screen_lines,
)
from tallyhook.reporting.list_text import counts_text, passed_over, practice_text, unchecked
from tallyhook.reporting.report import Report
from tallyhook.reporting.titles import severity_title, to_do_with_these
from tallyhook.wording import CAUTION, row_list, terminal_width

if TYPE_CHECKING:
    from tallyhook.reporting.since import Change

__all__ = ["columns_text", "report_screen", "report_text"]

_STYLE = {"danger": "bold red", "error": "yellow", "warning": "cyan", "note": "dim"}
_PLAIN = ("blank", "heading", "title above the heading", HIDDEN_ROW)  # the last has its own line
_MOST_SHOWN = 200  # findings of a severity that differ in more than their row


def report_text(report: Report, *, change: Change | None = None) -> str:
    """Write a report for people, with what changed if that was asked."""
    out = _console()
    _print_report(out, report, change)
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


def _print_report(out: Console, report: Report, change: Change | None = None) -> None:
    several = len(report.layouts) > 1
    parts = {"file": report.file, "n": report.counts["rows"], "sheets": len(report.layouts)}
    out.print(
        Text(
            say("{file}, {sheets} sheets: {n} items", **parts)
            if several
            else say("{file}: {n} items", **parts)
        )
    )
    versions = ", ".join(f"{name} {version}" for name, version in report.packages.items())
    out.print(Text(say("held against {packages}", packages=versions), style="dim"))
    for severity in SEVERITIES:
        found = report.stock_findings.filter(pl.col("severity") == severity)
        if found.height:
            _print_severity(out, severity, found)
    if report.accepted.height:
        _print_accepted(out, report.accepted)
    _print_uncompared(out, report)
    _print_passed_over(out, report)
    if change is not None:
        _print_change(out, change)
    out.print()
    out.print(Text(say(CAUTION), style="italic"))
    _print_unchecked(out, report.layouts)
    for reason in report.incomplete:
        out.print(Text(say("INCOMPLETE: {why}", why=reason), style="bold"))
    if said := practice_text(report):
        out.print(Text(said))
    out.print(Text(counts_text(report.counts), style="bold"))


def _print_severity(out: Console, severity: str, found: pl.DataFrame) -> None:
    out.print()
    _heading(
        out,
        severity_title(severity).upper(),
        found.height,
        to_do_with_these(severity),
        style=_STYLE[severity],
    )
    once = _each_once(found)
    for finding in once.head(_MOST_SHOWN).iter_rows(named=True):
        _print_finding(out, finding)
    if once.height > _MOST_SHOWN:
        rest = say(
            "and {n} more findings: --html, --xlsx or --format csv lists them all",
            n=once.slice(_MOST_SHOWN)["times"].sum(),
        )
        _indent(out, 2, Text(rest, style="bold"))


def _heading(out: Console, title: str, n: int, rest: str, *, style: str = "bold") -> None:
    out.print(Text(f"{title} ({n}): {rest}", style=style))


def _print_unchecked(out: Console, layouts: Sequence[Layout]) -> None:
    if left := unchecked(layouts):
        out.print(Text(say("NOT CHECKED: {what}", what=left), style="bold"))


def columns_text(layouts: Sequence[Layout]) -> str:
    """Write what each column of a list was taken for, and why."""
    out = _console()
    for layout in layouts:
        out.print(Text(_layout_line(layout)))
        for column in layout.columns:
            unit = f" [{column.unit}]" if column.unit else ""
            gives = "".join(f" {k}={_given(v)}" for k, v in column.gives.items())
            name = repr(column.heading or column.column)
            out.print(Text(f"  {name}: {column.role}{unit}{gives} - {say(column.why)}"))
        skipped = layout.skipped.select("row", say_values(layout.skipped["why"]))
        for row, why in skipped.iter_rows():
            line = say("row {row} skipped: {why}", row=row, why=why)
            out.print(Text(f"  {line}", style="dim"))
    _print_unchecked(out, layouts)
    return _text(out)


def _given(value: str) -> str:
    """Say what a heading gives to its column; an angle may be ``60 to horizontal``."""
    angle, to, reference = value.partition(" to ")
    if not to:
        return value
    if reference == "horizontal":
        return say("{angle} to horizontal", angle=angle)
    return say("{angle} to vertical", angle=angle)


def _layout_line(layout: Layout) -> str:
    file, name, decimal = layout.sheet.file, layout.sheet.name, layout.decimal
    place = say("{file} sheet {sheet}", file=file, sheet=name) if name else file
    heading = (
        say("heading in row {row}", row=layout.heading_row)
        if layout.heading_row
        else say("no heading row")
    )
    parts = {"place": place, "heading": heading, "n": layout.body.height, "mark": decimal}
    if decimal:
        return say("{place}: {heading}, {n} rows, decimal mark '{mark}'", **parts)
    return say("{place}: {heading}, {n} rows", **parts)


def _each_once(found: pl.DataFrame) -> pl.DataFrame:
    """Give findings that say the same of several rows once, with ``times`` and their ``rows``."""
    same = [c for c in found.columns if c not in ("row", "rows", "part", "other_causes")]
    causes = pl.col("other_causes").list.join(",").alias("_others")
    alike = found.group_by(*same, causes, pl.col("rows").hash().alias("_rows"), maintain_order=True)
    several = pl.col("rows").is_null() & (pl.col("times") > 1)
    return alike.agg(
        pl.col("row").alias("_each"),
        pl.col("rows", "other_causes").first(),
        pl.len().alias("times"),
    ).with_columns(
        pl.col("_each").list.first().alias("row"),
        pl.when(several).then("_each").otherwise("rows").alias("rows"),
    )


def _print_finding(out: Console, finding: dict[str, Any]) -> None:
    place = Text.assemble((place_on_screen(finding), "bold"), f"  {finding['item'] or ''}")
    _indent(out, 2, place)
    for line in screen_lines(finding):
        _indent(out, 4, line)
    for line in origin_lines(finding):
        _indent(out, 4, Text(line, style="dim"))


def _print_accepted(out: Console, accepted: pl.DataFrame) -> None:
    out.print()
    _heading(out, say("ACCEPTED"), accepted.height, say("decided on, with a reason"))
    once = _each_once(accepted)
    for finding in once.head(_MOST_SHOWN).iter_rows(named=True):
        _print_finding(out, finding)
    if once.height > _MOST_SHOWN:
        rest = say(
            "and {n} more accepted ones: --html, --xlsx or --format csv lists them all",
            n=once.slice(_MOST_SHOWN)["times"].sum(),
        )
        _indent(out, 2, Text(rest, style="bold"))


def _print_change(out: Console, change: Change) -> None:
    out.print()
    counts = {"new": len(change.new), "gone": len(change.gone), "still": len(change.still)}
    out.print(
        Text(
            say(
                "SINCE {report}: {new} new, {gone} gone, {still} still there",
                report=change.before,
                **counts,
            ),
            style="bold",
        )
    )
    for word, findings in (
        (say("new"), change.new),
        (say("gone"), change.gone),
        (say("told anew"), change.altered),
    ):
        for finding in findings:
            because = f"; {finding['because']}" if finding["because"] else ""
            _indent(out, 2, f"{word}: {finding['where']}, {finding['rule']}{because}")
    for package in change.packages:
        before, now = package.before or say("absent"), package.now or say("absent")
        line = say("{name}: {before} before, {now} now", name=package.name, before=before, now=now)
        _indent(out, 2, line)


def _print_uncompared(out: Console, report: Report) -> None:
    left = report.matched.filter(pl.col("outcome") == "not compared")
    if left.is_empty():
        return
    out.print()
    _heading(out, say("NOT COMPARED"), left.height, say("no table was held against these"))
    reasons = (
        left.group_by("why", maintain_order=True)
        .agg("row")
        .sort(pl.col("row").list.len(), descending=True)
    )
    for why, rows in reasons.iter_rows():
        _indent(out, 2, _reason(why, rows))


def _reason(why: str | None, rows: list[int], sheet: str | None = None) -> str:
    parts = {"why": say(why) if why else why, "n": len(rows), "rows": row_list(rows)}
    if sheet:
        return say("{why}: {n}, rows {rows} of {sheet}", sheet=sheet, **parts)
    return say("{why}: {n}, rows {rows}", **parts)


def _print_passed_over(out: Console, report: Report) -> None:
    """Name the rows that were taken for something other than an item; blank ones go unsaid."""
    found: dict[tuple[str | None, str], list[int]] = {}
    for layout in report.layouts:
        for each in passed_over(layout):
            if each["why"] not in _PLAIN:
                found.setdefault((layout.sheet.name, each["why"]), []).extend(each["rows"])
    if not found:
        return
    out.print()
    count = sum(map(len, found.values()))
    _heading(out, say("PASSED OVER"), count, say("rows that hold no item"))
    for (sheet, why), rows in found.items():
        _indent(out, 2, _reason(why, rows, sheet))


def _indent(out: Console, by: int, content: Text | str) -> None:
    text = content if isinstance(content, Text) else Text(content)
    out.print(Padding(text, (0, 0, 0, by)))


def _console() -> Console:
    terminal = sys.stdout.isatty()
    return Console(
        file=io.StringIO(),
        width=terminal_width(),
        force_terminal=terminal,
        highlight=False,
        soft_wrap=False,
        color_system="auto" if terminal else None,
    )


def _text(out: Console) -> str:
    assert isinstance(out.file, io.StringIO)
    return "\n".join(line.rstrip() for line in out.file.getvalue().split("\n"))
