"""Hand a report on: to the terminal, as a page, as a workbook, to other programs."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tallyhook.extras import need
from tallyhook.reporting.gates import MostNotCompared
from tallyhook.reporting.report import Report

if TYPE_CHECKING:
    from tallyhook.reporting.since import Change

__all__ = ["Delivery", "deliver", "need_writers", "print_records"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """Where a report goes: `format` on stdout, and the files that are wanted.

    `fail_on` and `most_not_compared` say what fails the check.

    `source` is the list itself, which the marked workbook keeps as it was; `extra` the maker's
    packages that were used.
    """

    format: str = "text"
    html: Path | None = None
    xlsx: Path | None = None
    decisions: Path | None = None
    since: Path | None = None
    fail_on: str = "error"
    most_not_compared: MostNotCompared | None = None
    source: Path | None = None
    extra: tuple[Path, ...] = ()


def need_writers(wanted: Delivery) -> None:
    """See, before any work, that the libraries are installed that write what is wanted.

    Raises
    ------
    MissingExtra
        One of them is not.
    """
    if wanted.html is not None:
        need("page", "--html")
    if wanted.xlsx is not None:
        need("export", "--xlsx")


def deliver(report: Report, wanted: Delivery) -> Report:
    """Write everything that is wanted and give the report that is left after the decisions.

    Raises
    ------
    TallyhookError
        A file of decisions or an earlier report cannot be read, or a file cannot be written; what
        stood there before still stands.
    """
    from tallyhook.packages.package import all_packages

    packages = all_packages(wanted.extra)
    change: Change | None = None
    if wanted.decisions is not None:
        from tallyhook.reporting.decisions import apply_decisions

        report = apply_decisions(report, wanted.decisions).report
    if wanted.since is not None:
        from tallyhook.reporting.since import since

        change = since(report, wanted.since, packages=packages)
    if wanted.html is not None:
        from tallyhook.files import write_whole
        from tallyhook.packages.reference import reference_ratings
        from tallyhook.reporting.page import page_html

        ratings = reference_ratings(packages) if wanted.extra else None
        page = page_html(report, ratings=ratings, change=change)
        write_whole(wanted.html, page)
    if wanted.xlsx is not None:
        from tallyhook.reporting.workbook import write_workbook

        write_workbook(report, wanted.xlsx, wanted.source)
    _print(report, wanted, change)
    for path in (wanted.html, wanted.xlsx):
        if path is not None:
            print(f"tallyhook: wrote {path}", file=sys.stderr)
    return report


def _print(report: Report, wanted: Delivery, change: Change | None) -> None:
    if wanted.format == "text":
        from tallyhook.reporting.terminal import report_text

        print(report_text(report, change=change), end="")
    elif wanted.format == "json":
        more: dict[str, Any] = {}
        if change is not None:
            more["change"] = change.to_dict()
        sys.stdout.writelines(report.json_pieces(more))
    else:
        print_records([report], wanted)


def print_records(
    reports: Sequence[Report], wanted: Delivery, not_checked: Sequence[tuple[str, str]] = ()
) -> None:
    """Write reports on stdout as the records or test cases that are wanted.

    `not_checked` are the lists that could not be checked, and why.
    """
    if wanted.format == "junit":
        from tallyhook.reporting.junit import to_junit

        most = wanted.most_not_compared
        told = to_junit(
            *reports, fail_on=wanted.fail_on, not_checked=not_checked, most_not_compared=most
        )
        print(told, end="")
        return
    from tallyhook.reporting import formats

    if wanted.format == "parquet":
        sys.stdout.flush()
        sys.stdout.buffer.write(formats.to_parquet(*reports, not_checked=not_checked))
    elif wanted.format == "csv":
        print(formats.to_csv(*reports, not_checked=not_checked), end="")
    else:
        sys.stdout.writelines(formats.ndjson_pieces(*reports, not_checked=not_checked))
