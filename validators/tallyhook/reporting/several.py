"""The reports of several lists that were checked in one call, each as if it had been alone."""

from __future__ import annotations

import json
import sys
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from tallyhook import __version__
from tallyhook.messages import say
from tallyhook.reporting.delivery import Delivery, print_records
from tallyhook.reporting.json_schemas import SCHEMA_VERSION

if TYPE_CHECKING:
    from tallyhook.reporting.report import Report

__all__ = ["deliver_several", "several_json_pieces", "several_text"]

NotChecked = tuple[str, str]
"""A list that could not be checked, and why."""


def several_json_pieces(
    reports: Sequence[Report], not_checked: Sequence[NotChecked], packages: Mapping[str, str]
) -> Iterator[str]:
    """Write one JSON object piece by piece: ``lists`` holds the report of each list, whole.

    ``complete`` says whether every list was checked and its report is complete. A list that could
    not be checked is named in ``lists_not_checked``; `packages` are those that all were held
    against.
    """
    head = {
        "tool": "tallyhook",
        "version": __version__,
        "schema_version": SCHEMA_VERSION,
        "packages": dict(packages),
        "complete": not not_checked and all(report.complete for report in reports),
        "lists_not_checked": [{"file": file, "why": why} for file, why in not_checked],
    }
    yield json.dumps(head, indent=2, ensure_ascii=False).removesuffix("\n}") + ',\n  "lists": ['
    for number, report in enumerate(reports):
        yield ",\n" if number else "\n"
        yield from report.json_pieces()
    yield "]\n}\n"


def several_text(reports: Sequence[Report], not_checked: Sequence[NotChecked]) -> str:
    """Write one report after another for people, and the counts of all at the end."""
    from tallyhook.reporting.list_text import counts_text
    from tallyhook.reporting.terminal import report_text

    count = len(reports) + len(not_checked)
    parts = [
        say("LIST {number} OF {count}", number=number, count=count) + "\n" + report_text(report)
        for number, report in enumerate(reports, start=1)
    ]
    left = [say("NOT CHECKED: {file}: {why}", file=file, why=why) for file, why in not_checked]
    counts: Counter[str] = Counter()
    for report in reports:
        counts.update({n: c for n, c in report.counts.items() if isinstance(c, int)})
    whole = say("ALL {count} LISTS: {counts}", count=count, counts=counts_text(counts))
    return "\n".join([*parts, *(f"{line}\n" for line in [*left, whole])])


def deliver_several(
    reports: Sequence[Report],
    not_checked: Sequence[NotChecked],
    packages: Mapping[str, str],
    wanted: Delivery,
) -> None:
    """Write the reports on stdout in the format that is wanted, as one document."""
    if wanted.format == "text":
        print(several_text(reports, not_checked), end="")
    elif wanted.format == "json":
        sys.stdout.writelines(several_json_pieces(reports, not_checked, packages))
    else:
        print_records(reports, wanted, not_checked)
