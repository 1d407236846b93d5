"""``tallyhook check``: hold a stock list, or a feed of Parquet files, against the ratings."""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tallyhook.cli.exit_codes import COULD_NOT_RUN, FOUND, OK
from tallyhook.cli.options import (
    Bound,
    Columns,
    LeaveOut,
    Minutes,
    Profile,
    SheetName,
    Stocks,
    With,
)
from tallyhook.cli.time_limit import time_limit
from tallyhook.cli.values import bounds_of_list, column_headings
from tallyhook.errors import MissingExtra, StockListError, TallyhookError
from tallyhook.messages import say, to_say

if TYPE_CHECKING:
    from tallyhook.cluster.output import FeedReport
    from tallyhook.model.options import ListOptions
    from tallyhook.reporting.delivery import Delivery
    from tallyhook.reporting.report import Report

__all__ = ["check"]

_LONG = 20_000_000  # bytes; shorter lists are read before a bar would show


class ReportFormat(StrEnum):
    """How a report is written on stdout."""

    text = "text"
    json = "json"
    ndjson = "ndjson"
    csv = "csv"
    parquet = "parquet"
    junit = "junit"


class Engine(StrEnum):
    """What the check of a list runs on."""

    threads = "threads"
    dask = "dask"


class Threshold(StrEnum):
    """The least severity that makes the exit code 1."""

    danger = "danger"
    error = "error"
    warning = "warning"
    note = "note"


def check(
    stocks: Stocks,
    sheet: SheetName = None,
    leave_out: LeaveOut = None,
    column: Columns = None,
    profile: Profile = None,
    scheme: Annotated[
        str | None, typer.Option(help=to_say("The rating scheme that rows claim unless they say."))
    ] = None,
    extra: With = None,
    show_columns: Annotated[
        bool, typer.Option("--show-columns", help=to_say("Print what each column was taken for."))
    ] = False,
    save_profile: Annotated[
        Path | None,
        typer.Option("--save-profile", help=to_say("Keep that mapping in a file and stop.")),
    ] = None,
    format: Annotated[
        ReportFormat, typer.Option("--format", help=to_say("How the report is written on stdout."))
    ] = ReportFormat.text,
    html: Annotated[
        Path | None, typer.Option(metavar="FILE", help=to_say("Write a page to look at."))
    ] = None,
    xlsx: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help=to_say("Write the list as a marked workbook.")),
    ] = None,
    decisions: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help=to_say("Findings that were decided on (CSV).")),
    ] = None,
    since: Annotated[
        Path | None,
        typer.Option(metavar="REPORT.json", help=to_say("Say what changed since then.")),
    ] = None,
    fail_on: Annotated[
        Threshold, typer.Option(help=to_say("The least severity that gives exit code 1."))
    ] = Threshold.error,
    most_not_compared: Annotated[
        str | None,
        typer.Option(
            metavar="N|N%", help=to_say("Exit code 1 when more items are not compared than that.")
        ),
    ] = None,
    engine: Annotated[
        Engine,
        typer.Option(help=to_say("dask: LIST is a pattern of Parquet files, 'feed/*.parquet'.")),
    ] = Engine.threads,
    scheduler: Annotated[
        str | None,
        typer.Option(metavar="ADDRESS", help=to_say("The cluster; a local one otherwise.")),
    ] = None,
    output: Annotated[
        Path | None,
        typer.Option("-o", "--output", metavar="FOLDER", help=to_say("Where dask's findings go.")),
    ] = None,
    bound: Bound = None,
    minutes: Minutes = None,
) -> int:
    """Hold one stock list or several against the ratings.

    Exit code, one for all, 2 before 1 before 0: 0 nothing at or above --fail-on, 1 findings, or
    more not compared than --most-not-compared, 2 could not run or ran incompletely: of a list
    nothing was compared, or a sheet or table that looks like ratings was neither checked nor left
    out by name (--sheet, --leave-out).
    """
    from tallyhook.model.options import ListOptions
    from tallyhook.reporting.delivery import Delivery
    from tallyhook.reporting.gates import most_not_compared as bound_of

    gc.freeze()  # what was imported stays to the end, and need not be looked at again and again
    options = ListOptions(
        sheet=sheet,
        leave_out=tuple(leave_out or ()),
        columns=column_headings(column),
        profile=profile,
        scheme=scheme,
        extra=tuple(extra or ()),
        bounds=bounds_of_list(bound),
    )
    delivery = Delivery(
        format=format.value,
        html=html,
        xlsx=xlsx,
        decisions=decisions,
        since=since,
        fail_on=fail_on.value,
        most_not_compared=None if most_not_compared is None else bound_of(most_not_compared),
        source=stocks[0],
        extra=tuple(extra or ()),
    )
    if engine is Engine.dask:
        of_lists = {
            "--show-columns": show_columns,
            "--save-profile": save_profile,
            "--bound": bound,
            "--leave-out": leave_out,
        }
        _refuse_options(
            of_lists | _of_reports(delivery),
            to_say("{option} is for one list, not for a feed"),
            say("leave it out"),
        )
        if len(stocks) > 1:
            raise TallyhookError(
                say("a feed is one pattern, and here are {count} files", count=len(stocks)),
                next_step=say("put the pattern in quotes: 'feed/*.parquet'"),
            )
        with time_limit(minutes):
            return _check_feed(stocks[0], output, options, delivery, scheduler=scheduler)
    _refuse_options(
        {"--scheduler": scheduler, "--output": output},
        to_say("{option} is for a feed"),
        say("add --engine dask, or leave it out"),
    )
    if len(stocks) > 1:
        of_one_list = {"--show-columns": show_columns, "--save-profile": save_profile}
        _refuse_options(
            of_one_list | {n: v for n, v in _of_reports(delivery).items() if n != "--format"},
            to_say("{option} is for one list"),
            say("check the lists one by one, or leave it out"),
        )
        with time_limit(minutes):
            return _check_lists(stocks, options, delivery)
    with time_limit(minutes):
        if show_columns or save_profile:
            return _show_columns(stocks[0], options, save_profile)
        return _check_list(stocks[0], options, delivery)


def _of_reports(delivery: Delivery) -> dict[str, object]:
    return {
        "--format": delivery.format != ReportFormat.text,
        "--html": delivery.html,
        "--xlsx": delivery.xlsx,
        "--decisions": delivery.decisions,
        "--since": delivery.since,
    }


def _refuse_options(given: Mapping[str, object], message: str, next_step: str) -> None:
    for option, value in given.items():
        if value:
            raise TallyhookError(say(message, option=option), next_step=next_step)


def _check_feed(
    pattern: Path,
    output: Path | None,
    options: ListOptions,
    delivery: Delivery,
    *,
    scheduler: str | None,
) -> int:
    from tallyhook.cluster.run import run_feed

    if output is None:
        raise TallyhookError(
            say("findings of a feed go to a folder"), next_step=say("name it with -o")
        )
    found = run_feed(str(pattern), output, options, scheduler=scheduler)
    print(
        say(
            "{agree} agree, {contradicted} contradicted, {not_compared} not compared, {rows} "
            "items in all: {folder}",
            agree=found.counts["agree"],
            contradicted=found.counts["contradicted"],
            not_compared=found.counts["not_compared"],
            rows=found.counts["rows"],
            folder=output,
        )
    )
    return _exit_code([found], delivery)


def _show_columns(stock: Path, options: ListOptions, profile: Path | None) -> int:
    """Print what each column was taken for, and keep it in a profile if one is named."""
    from tallyhook.bounds import within_bounds
    from tallyhook.interpreting.list_items import layouts_of
    from tallyhook.reporting.terminal import columns_text

    with within_bounds(options.bounds):
        layouts = layouts_of(stock, options)
    if profile is not None:
        from tallyhook.recognising.profiles import profile_from_layout, save_profile

        save_profile(profile_from_layout(layouts[0]), profile)
    print(columns_text(layouts), end="")
    return OK


def _check_lists(stocks: Sequence[Path], options: ListOptions, delivery: Delivery) -> int:
    """Check several lists; one that cannot be checked is named and the others still are."""
    from tallyhook.checking import rating_basis
    from tallyhook.interpreting.list_items import column_choice
    from tallyhook.reporting.several import deliver_several

    column_choice(options)  # what is wrong with the options is wrong for every list
    packages = {name: p.version for name, p in rating_basis(options).packages.items()}
    reports: list[Report] = []
    not_checked: list[tuple[str, str]] = []
    for stock in stocks:
        try:
            reports.append(_report_of(stock, options))
        except (StockListError, MissingExtra) as error:
            not_checked.append((str(stock), error.what))
            print(f"tallyhook: {error}", file=sys.stderr)
    deliver_several(reports, not_checked, packages, delivery)
    code = _exit_code(reports, delivery)
    return COULD_NOT_RUN if not_checked else code


def _report_of(stock: Path, options: ListOptions) -> Report:
    from tallyhook.reading.lists import need_reader

    need_reader(stock)
    from tallyhook.checking import check as run

    with _progress(stock) as progress:
        return run(
            stock,
            sheet=options.sheet,
            leave_out=options.leave_out,
            columns=options.columns,
            profile=options.profile,
            scheme=options.scheme,
            extra=options.extra,
            bounds=options.bounds,
            progress=progress,
        )


def _check_list(stock: Path, options: ListOptions, delivery: Delivery) -> int:
    from tallyhook.reporting.delivery import deliver, need_writers

    need_writers(delivery)
    return _exit_code([deliver(_report_of(stock, options), delivery)], delivery)


def _exit_code(reports: Sequence[Report | FeedReport], delivery: Delivery) -> int:
    """Say why an answer is not whole, or that too much was not compared, and give the exit code."""
    code = OK
    for report in reports:
        reasons = list(report.incomplete)
        most = delivery.most_not_compared
        if report.failed(delivery.fail_on):
            code = max(code, FOUND)
        if most is not None and (left := most.exceeded(report.counts)):
            reasons.append(left)
            code = max(code, FOUND)
        for reason in reasons:
            print(f"tallyhook: {report.file}: {reason}.", file=sys.stderr)
    return code if all(report.complete for report in reports) else COULD_NOT_RUN


@contextmanager
def _progress(stock: Path) -> Iterator[Callable[[int], None] | None]:
    """Show a bar on stderr while a long list is read, if somebody is watching."""
    watched = sys.stderr.isatty() and stock.is_file() and stock.stat().st_size > _LONG
    if not watched:
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    # the braces are the bar's own: it fills them in as it goes
    counted = TextColumn(say("{number} rows read", number="{task.completed:,.0f}"))
    bar = Progress(
        BarColumn(), counted, TimeElapsedColumn(), console=Console(stderr=True), transient=True
    )
    with bar:
        task = bar.add_task(say("reading"), total=None)
        yield lambda rows: bar.update(task, completed=rows)
