"""The command line. Heavy libraries are imported inside the commands, so that help is instant."""

from __future__ import annotations

import gc
import io
import os
import shutil
import sys
import textwrap
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from tallyhook.cli.use import register
from tallyhook.errors import TallyhookError

__all__ = ["app", "main"]

OK, FOUND, COULD_NOT_RUN = 0, 1, 2
_USUAL = 80  # columns of a terminal

app = typer.Typer(
    name="tallyhook",
    help="Load ratings for hooks, grab hooks and chain; the check of a stock list against them.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


class Format(StrEnum):
    """How results are written on stdout."""

    text = "text"
    json = "json"


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


With = Annotated[
    list[Path] | None,
    typer.Option("--with", metavar="FOLDER", help="A maker's rating package to use as well."),
]


def main() -> None:
    """Run the command line; every refusal is one sentence on stderr and exit code 2."""
    # typer.run would print a traceback for our own errors
    if isinstance(sys.stdout, io.TextIOWrapper):  # an argument may hold half a character
        sys.stdout.reconfigure(errors="replace")
    try:
        code = app(standalone_mode=False)
    except TallyhookError as error:
        _refuse(str(error))
    except typer.Abort:
        _refuse("Stopped.")
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(OK)
    except Exception as error:
        usage = getattr(error, "format_message", None)
        if usage is None:
            raise
        _refuse(f"{usage().rstrip('.')}; 'tallyhook --help' shows how it is called.")
    sys.exit(code or OK)


def _refuse(sentence: str) -> None:
    told = f"tallyhook: {sentence}"
    width = shutil.get_terminal_size().columns
    # where it is usual a line stays whole, for those who search for it; no word is ever broken
    if width < _USUAL and ("COLUMNS" in os.environ or sys.stderr.isatty()):
        told = textwrap.fill(told, max(width, 40), break_long_words=False, break_on_hyphens=False)
    print(told, file=sys.stderr)
    sys.exit(COULD_NOT_RUN)


def _version(wanted: bool) -> None:
    if wanted:
        from tallyhook import __version__

        print(f"tallyhook {__version__}")
        raise typer.Exit


@app.callback()
def _app(
    version: Annotated[
        bool,
        typer.Option(
            "--version", callback=_version, is_eager=True, help="Show the version and stop."
        ),
    ] = False,
) -> None:
    pass


Stock = Annotated[Path, typer.Argument(metavar="LIST", help="The stock list: CSV, XLSX and more.")]
SheetName = Annotated[str | None, typer.Option("--sheet", help="Only this sheet of a workbook.")]
Columns = Annotated[
    list[str] | None,
    typer.Option("--column", metavar="ROLE=HEADING", help='Such as wll="Cap."; may be repeated.'),
]
Profile = Annotated[
    Path | None, typer.Option("--profile", help="A file that keeps a shop's mapping of columns.")
]


def _refuse_options(given: Mapping[str, object], what: str, next_step: str) -> None:
    for name, value in given.items():
        if value:
            raise TallyhookError(f"{name} {what}", next_step=next_step)


@app.command()
def check(
    stock: Stock,
    sheet: SheetName = None,
    column: Columns = None,
    profile: Profile = None,
    scheme: Annotated[
        str | None, typer.Option(help="The rating scheme that rows claim unless they say.")
    ] = None,
    extra: With = None,
    show_columns: Annotated[
        bool, typer.Option("--show-columns", help="Print what each column was taken for.")
    ] = False,
    save_profile: Annotated[
        Path | None, typer.Option("--save-profile", help="Keep that mapping in a file and stop.")
    ] = None,
    format: Annotated[
        ReportFormat, typer.Option("--format", help="How the report is written on stdout.")
    ] = ReportFormat.text,
    html: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write a page to look at.")
    ] = None,
    xlsx: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write the list as a marked workbook.")
    ] = None,
    decisions: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Findings that were decided on (CSV).")
    ] = None,
    since: Annotated[
        Path | None, typer.Option(metavar="REPORT.json", help="Say what changed since then.")
    ] = None,
    fail_on: Annotated[
        Threshold, typer.Option(help="The least severity that gives exit code 1.")
    ] = Threshold.error,
    engine: Annotated[
        Engine, typer.Option(help="dask: LIST is a pattern of Parquet files, 'feed/*.parquet'.")
    ] = Engine.threads,
    scheduler: Annotated[
        str | None, typer.Option(metavar="ADDRESS", help="The cluster; a local one otherwise.")
    ] = None,
    output: Annotated[
        Path | None,
        typer.Option("-o", "--output", metavar="FOLDER", help="Where dask's findings go."),
    ] = None,
) -> int:
    """Hold a stock list against the ratings.

    Exit code: 0 nothing at or above --fail-on, 1 findings, 2 could not run or ran incompletely.
    """
    from tallyhook.checking import check as run
    from tallyhook.model.options import ListOptions
    from tallyhook.reporting.delivery import Delivery, deliver

    gc.freeze()  # what was imported stays to the end, and need not be looked at again and again
    wanted = dict(_pair(text) for text in column or [])
    options = ListOptions(
        sheet=sheet, columns=wanted, profile=profile, scheme=scheme, extra=tuple(extra or ())
    )
    of_dask = {"--scheduler": scheduler, "--output": output}
    if engine is Engine.threads:
        _refuse_options(of_dask, "is for a feed", "add --engine dask, or leave it out")
    else:
        from tallyhook.cluster.run import run_feed

        of_lists = {
            "--show-columns": show_columns,
            "--save-profile": save_profile,
            "--format": format is not ReportFormat.text,
            "--html": html,
            "--xlsx": xlsx,
            "--decisions": decisions,
            "--since": since,
        }
        _refuse_options(of_lists, "is for one list, not for a feed", "leave it out")
        if output is None:
            raise TallyhookError("findings of a feed go to a folder", next_step="name it with -o")
        found = run_feed(str(stock), output, options, scheduler=scheduler)
        counts = found.counts
        print(
            f"{counts['agree']} agree, {counts['contradicted']} contradicted, "
            f"{counts['not_compared']} not compared, {counts['rows']} items in all: {output}"
        )
        _name_crashed(found.crashed)
        if found.crashed:
            return COULD_NOT_RUN
        return FOUND if found.failed(fail_on.value) else OK
    if show_columns or save_profile:
        from tallyhook.interpreting.list_items import layouts_of
        from tallyhook.reporting.terminal import columns_text

        layouts = layouts_of(stock, options)
        if save_profile:
            from tallyhook.recognising.profiles import profile_from_layout
            from tallyhook.recognising.profiles import save_profile as save

            save(profile_from_layout(layouts[0]), save_profile)
        print(columns_text(layouts), end="")
        return OK
    with _progress(stock) as progress:
        report = run(
            stock,
            sheet=sheet,
            columns=wanted,
            profile=profile,
            scheme=scheme,
            extra=extra or (),
            progress=progress,
        )
    report = deliver(
        report,
        Delivery(
            format=format.value,
            html=html,
            xlsx=xlsx,
            decisions=decisions,
            since=since,
            fail_on=fail_on.value,
            source=stock,
            extra=tuple(extra or ()),
        ),
    )
    _name_crashed(report.crashed)
    if not report.complete:
        return COULD_NOT_RUN
    return FOUND if report.failed(fail_on.value) else OK


def _name_crashed(crashed: Mapping[str, str]) -> None:
    for name, reason in crashed.items():
        print(f"tallyhook: the rule {name} crashed, no answer ({reason}).", file=sys.stderr)


@app.command()
def tidy(
    stock: Stock,
    output: Annotated[
        Path, typer.Option("-o", "--output", metavar="FOLDER", help="Where it goes.")
    ],
    sheet: SheetName = None,
    column: Columns = None,
    profile: Profile = None,
) -> int:
    """Write a stock list as clean, typed data, with what could not be read."""
    from tallyhook.checking import tidy as run
    from tallyhook.wording import CAUTION

    wanted = dict(_pair(text) for text in column or [])
    wrote = run(stock, output, sheet=sheet, columns=wanted, profile=profile)
    print(f"{output / 'list.csv'}: {wrote['items']} items")
    print(f"{output / 'unread.csv'}: {wrote['unread']} fields that could not be read")
    print(f"{output / 'skipped.csv'}: {wrote['skipped']} rows without an item")
    print(f"No rating in it was checked. {CAUTION}")
    return OK


_LONG = 20_000_000  # bytes; shorter lists are read before a bar would show


@contextmanager
def _progress(stock: Path) -> Iterator[Callable[[int], None] | None]:
    """Show a bar on stderr while a long list is read, if somebody is watching."""
    watched = sys.stderr.isatty() and stock.is_file() and stock.stat().st_size > _LONG
    if not watched:
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    counted = TextColumn("{task.completed:,.0f} rows read")
    bar = Progress(
        BarColumn(), counted, TimeElapsedColumn(), console=Console(stderr=True), transient=True
    )
    with bar:
        task = bar.add_task("reading", total=None)
        yield lambda rows: bar.update(task, completed=rows)


def _pair(text: str, form: str = "ROLE=HEADING", example: str = 'wll="Cap."') -> tuple[str, str]:
    name, equals, value = text.partition("=")
    if not (name and equals and value):
        raise TallyhookError(f"'{text}' is not {form}", next_step=f"write it as {example}")
    return name.strip(), value.strip()


def _condition(text: str) -> tuple[str, str]:
    return _pair(text, "COLUMN=VALUE", "grade=80")


@app.command()
def audit(
    package: Annotated[
        str | None, typer.Argument(help="One package by name or folder; all otherwise.")
    ] = None,
    extra: With = None,
    format: Annotated[
        Format, typer.Option("--format", help="Text for people, or JSON.")
    ] = Format.text,
) -> int:
    """Check the internal consistency of rating packages.

    Exit code: 0 only recorded oddities, 1 findings, 2 could not run or ran incompletely.
    """
    from tallyhook.auditing.audit import audit as run
    from tallyhook.auditing.rendering import render, render_json

    folders = list(extra or ())
    # by os.path: a name too long is no folder, and no error
    if package is not None and os.path.isdir(package):  # noqa: PTH112
        from tallyhook.packages.package import datasets_folder, load_package

        folder = Path(package)
        package = load_package(folder, lenient=True).name
        if folder.resolve() != (datasets_folder() / package).resolve():
            folders.append(folder)
    report = run(only=package, extra=tuple(folders))
    width = shutil.get_terminal_size((80, 24)).columns
    told = render_json(report) if format is Format.json else render(report, max(width, 40))
    print(told, end="")
    if not report.complete:
        return COULD_NOT_RUN
    return FOUND if len(report.findings) else OK


@app.command()
def ratings(
    package: Annotated[str, typer.Argument(help="chain, hooks, grab-hooks, use, inspection ...")],
    table: Annotated[
        str | None, typer.Argument(help="A table of it; its main one otherwise.")
    ] = None,
    where: Annotated[
        list[str] | None,
        typer.Option("--where", metavar="COLUMN=VALUE", help="Only such rows; may be repeated."),
    ] = None,
    format: Annotated[
        Format, typer.Option("--format", help="Text for people, or JSON.")
    ] = Format.text,
) -> int:
    """Look ratings up, with their sources."""
    from tallyhook.packages.lookup import rows_where
    from tallyhook.reporting.terminal import table_text

    rows = rows_where(package, table, dict(_condition(text) for text in where or []))
    print(rows.write_json() if format is Format.json else table_text(rows), end="\n")
    return OK


@app.command()
def export(
    output: Annotated[
        Path, typer.Option("-o", "--output", metavar="FOLDER", help="Where the files go.")
    ],
    packages: Annotated[
        list[str] | None, typer.Argument(metavar="[PACKAGE]...", help="All of them otherwise.")
    ] = None,
    format: Annotated[str, typer.Option(help="csv, json, parquet, sqlite or xlsx.")] = "csv",
) -> int:
    """Write the rating packages as CSV, JSON, Parquet, SQLite or XLSX."""
    from tallyhook.packages.export import export as run
    from tallyhook.wording import CAUTION

    for path in run(output, format=format, packages=packages or ()):
        print(path)
    print(CAUTION)
    return OK


@app.command()
def explain(
    name: Annotated[str | None, typer.Argument(help="A rule, a cause or a source.")] = None,
) -> int:
    """Explain a rule, a cause or a source; without a name, list them all."""
    from tallyhook.docs.explanations import index_text, on_terminal, page_text

    print(on_terminal(index_text() if name is None else page_text(name)), end="")
    return OK


register(app)


if __name__ == "__main__":
    main()
