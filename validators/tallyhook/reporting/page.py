"""The page: one self-contained file that opens by double click and asks the network for nothing.

Everything from the list goes through the template's escaping or into JSON with no ``<`` in it,
and the page's own policy lets only the scripts run that were put in here, by their hashes.
"""

from __future__ import annotations

import base64
import hashlib
import re
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import polars as pl

from tallyhook import __version__
from tallyhook.model.finding import SEVERITIES
from tallyhook.reporting.parts import (
    TO_DO,
    cause_explanation,
    cause_title,
    checked_sheets,
    not_compared,
    row_ranges,
    rows_of,
    rule_title,
    source_address,
    source_title,
    unchecked,
)
from tallyhook.reporting.pictures import GROUPS, MARKERS, draw, line_table
from tallyhook.wording import CAUTION, number_text

if TYPE_CHECKING:
    from tallyhook.reporting.report import Report
    from tallyhook.reporting.since import Change

__all__ = ["MOST_FINDINGS", "page_html"]

MOST_FINDINGS = 2_000
"""Findings written out on the page, worst first; it says how many more there are."""

_MOST_ITEMS = 60  # items written out under one reason; all their row numbers are given

_ASSETS = Path(__file__).resolve().parent / "assets"

_KEY = {
    "agree": "agrees",
    "several-legs": "agrees: sling of several legs, above the line by its leg factor",
    "accepted": "contradicted, with no open finding",
    "no-cradle": "agrees: grab hook without cradle, below the line by its deduction",
}


def page_html(
    report: Report,
    *,
    ratings: pl.DataFrame | None = None,
    accepted: pl.DataFrame | None = None,
    change: Change | None = None,
) -> str:
    """Write the report as one HTML file.

    Parameters
    ----------
    report : Report
        The checked list.
    ratings : frame, optional
        The ratings it was held against, for the lines of the first picture; the built-in ones
        otherwise.
    accepted : frame, optional
        Findings accepted by a decision (`tallyhook.reporting.decisions.Decided.accepted`).
    change : Change, optional
        The change since an earlier report (`tallyhook.reporting.since.since`).
    """
    pictures = draw(report, ratings)
    findings = _told_all(report.stock_findings)[:MOST_FINDINGS]
    head, body = line_table(pictures.lines)
    library = _library()
    script = (_ASSETS / "page.js").read_text(encoding="utf-8")
    template = _environment().get_template("page.html.jinja")
    return str(
        template.render(
            report=report,
            name=re.split(r"[\\/]", report.file)[-1],
            counts=report.counts,
            severities=SEVERITIES,
            severity_counts={s: report.counts["severity"].get(s, 0) for s in SEVERITIES},
            to_do=TO_DO,
            caution=CAUTION,
            version=__version__,
            sheets=checked_sheets(report),
            unchecked=unchecked(report.layouts),
            findings=findings,
            left_out=max(report.stock_findings.height - MOST_FINDINGS, 0),
            rules=sorted({f["rule"] for f in findings}),
            causes=sorted({(f["cause_title"], f["cause"]) for f in findings if f["cause"]}),
            uncompared=_reasons(not_compared(report)),
            accepted=[] if accepted is None else _told_all(accepted),
            change=change,
            row_ranges=row_ranges,
            where=_where,
            pictures=pictures,
            key=[(g, _KEY.get(g, g), pictures.groups[g]) for g in GROUPS if g in pictures.groups],
            markers=MARKERS,
            line_head=head,
            line_body=body,
            dashes={line.scheme: line.dash for line in pictures.lines},
            number=number_text,
            documents=_json_text(pictures.documents),
            items=_json_text(pictures.items),
            points=_json_text(pictures.points),
            style=(_ASSETS / "page.css").read_text(encoding="utf-8"),
            library=library,
            script=script,
            hashes=[_hash(library), _hash(script)],
        )
    )


def _told_all(findings: pl.DataFrame) -> list[dict[str, Any]]:
    """The findings with what the page says of them, worst first; numbered as they were."""
    told = [_told(number, finding) for number, finding in enumerate(findings.iter_rows(named=True))]
    return sorted(told, key=lambda f: (f["severity_rank"], f["first_row"]))


def _told(number: int, finding: dict[str, Any]) -> dict[str, Any]:
    """A finding with what the page says of it."""
    return finding | {
        "number": number,
        "where": _where(finding),
        "first_row": min(rows_of(finding), default=0),
        "severity_rank": SEVERITIES.index(finding["severity"]),
        "cause_title": cause_title(finding["cause"]),
        "cause_explanation": cause_explanation(finding["cause"]),
        "other_titles": [cause_title(c) for c in finding["other_causes"] or []],
        "rule_title": rule_title(finding["rule"]),
        "source_title": source_title(finding["source"]),
        "source_address": source_address(finding["source"]),
        "times": f"{finding['ratio']:.3g}" if finding["ratio"] else "",
        "sure": None if finding["confidence"] is None else round(100 * finding["confidence"]),
    }


def _where(finding: dict[str, Any]) -> str:
    return row_ranges(rows_of(finding)) or "-"


def _reasons(left: pl.DataFrame) -> list[dict[str, Any]]:
    """The items that were not compared, by reason, the most frequent first."""
    groups = left.group_by("why", maintain_order=True).agg(pl.len(), pl.all())
    reasons = []
    for group in groups.sort("len", descending=True, maintain_order=True).iter_rows(named=True):
        items = zip(group["sheet"], group["row"], group["item"], group["unread"], strict=True)
        shown = [
            {"sheet": s, "row": r, "item": i or "", "unread": u or ""}
            for (s, r, i, u), _ in zip(items, range(_MOST_ITEMS), strict=False)
        ]
        reasons.append(
            {
                "why": group["why"],
                "count": group["len"],
                "rows": row_ranges(group["row"]),
                "items": shown,
                "more": max(group["len"] - _MOST_ITEMS, 0),
            }
        )
    return reasons


def _json_text(text: str) -> str:
    """Make JSON safe inside a script element: no tag can begin in it, no line end breaks it."""
    return (
        text.replace("<", "\\u003c")
        .replace(">", "\\u003e")
        .replace("&", "\\u0026")
        .replace("\u2028", "\\u2028")
        .replace("\u2029", "\\u2029")
    )


def _hash(script: str) -> str:
    digest = base64.b64encode(hashlib.sha256(script.encode("utf-8")).digest()).decode("ascii")
    return f"'sha256-{digest}'"


@cache
def _library() -> str:
    """Give the plotting library's own script, as it is installed."""
    from bokeh.resources import Resources

    text: str = Resources(mode="inline", components=["bokeh"]).js_raw[0]
    if "</script" in text.lower() or "\r" in text:
        raise ValueError("the plotting library cannot stand inside a script element")
    return text


@cache
def _environment() -> Any:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    return Environment(
        loader=FileSystemLoader(_ASSETS),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
