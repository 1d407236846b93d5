"""The report of an audit, as text for people and as JSON."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Mapping
from typing import Any

import pandas as pd

from tallyhook.auditing.audit import AuditReport
from tallyhook.messages import say

__all__ = ["render", "render_json"]

_LEAD = 9  # columns before the text of a finding


def render(report: AuditReport, width: int = 80) -> str:
    """Write a report as plain text."""
    counts = say(
        "{rules} rules over {values} values: {findings} findings, {accepted} known oddities",
        rules=len(report.rules),
        values=report.values,
        findings=len(report.findings),
        accepted=len(report.accepted),
    )
    lines = [
        *textwrap.wrap("  ".join(f"{n} {v}" for n, v in report.packages.items()), width),
        *textwrap.wrap(counts, width),
    ]
    indent = " " * _LEAD
    for finding in _records(report.findings):
        head = f"{finding['severity']:<{_LEAD - 1}} {finding['rule']}"
        lines += ["", *textwrap.wrap(head, width, subsequent_indent=indent)]
        lines += textwrap.wrap(
            _sentence(finding), width, initial_indent=indent, subsequent_indent=indent
        )
    for title, rules in ((say("crashed"), report.crashed), (say("not run"), report.skipped)):
        for name, why in rules.items():
            lines += ["", *textwrap.wrap(f"{title:<{_LEAD - 1}} {name}: {why}", width)]
    if not report.complete:
        lines += ["", say("The audit is incomplete.")]
    return "\n".join(lines) + "\n"


def render_json(report: AuditReport) -> str:
    """Write a report as JSON: packages, counts, findings, accepted oddities, what did not run."""
    return (
        json.dumps(
            {
                "packages": report.packages,
                "complete": report.complete,
                "values": report.values,
                "rules": list(report.rules),
                "counts": report.counts,
                "findings": _records(report.findings),
                "accepted": _records(report.accepted),
                "crashed": report.crashed,
                "skipped": report.skipped,
            },
            indent=2,
            ensure_ascii=False,
        )
        + "\n"
    )


def _records(frame: pd.DataFrame) -> list[dict[str, Any]]:
    """Give the rows as plain values, with nothing where there is none."""
    plain = frame.astype(object).where(frame.notna(), None)
    return [{str(k): v for k, v in row.items()} for row in plain.to_dict("records")]


def _sentence(finding: Mapping[str, Any]) -> str:
    place = say("{file} line {row}", file=finding["file"], row=finding["row"])
    item = f", {finding['item']}" if finding["item"] else ""
    sentence = f"{place}{item}, {finding['column']}: {finding['observed']}"
    if finding["expected"]:
        sentence += say(", expected {expected}", expected=finding["expected"])
    return sentence + (f" ({finding['note']})" if isinstance(finding["note"], str) else "")
