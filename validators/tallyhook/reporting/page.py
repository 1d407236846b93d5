"""The page: one self-contained file that opens by double click and asks the network for nothing.

Everything from the list goes through the template's escaping or into JSON with no ``<`` in it,
and the page's own policy lets only the scripts run that were put in here, by their hashes.
"""

from __future__ import annotations

import base64
import hashlib
import json
import re
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import polars as pl
from markupsafe import Markup, escape

from tallyhook import __version__
from tallyhook.controls import without_controls
from tallyhook.extras import need
from tallyhook.messages import language, say, say_count
from tallyhook.model.finding import SEVERITIES
from tallyhook.reporting.finding_text import (
    TITLES,
    acceptance,
    row_numbers,
    rows_of,
    sure_percent,
)
from tallyhook.reporting.list_text import checked_sheets, not_compared, practice_text, unchecked
from tallyhook.reporting.pictures import draw
from tallyhook.reporting.points import group_titles, line_table
from tallyhook.reporting.titles import (
    cause_explanation,
    cause_title,
    rule_title,
    severity_title,
    source_address,
    source_title,
    to_do,
)
from tallyhook.wording import CAUTION, row_ranges, times_text

if TYPE_CHECKING:
    from tallyhook.reporting.pictures import Pictures
    from tallyhook.reporting.report import Report
    from tallyhook.reporting.since import Change

__all__ = ["MOST_FINDINGS", "page_html"]

MOST_FINDINGS = 2_000
"""Findings written out on the page, worst first; it says how many more there are."""

_MOST_ITEMS = 60  # items written out under one reason; all their row numbers are given

_ASSETS = Path(__file__).resolve().parent / "assets"


def page_html(
    report: Report,
    *,
    ratings: pl.DataFrame | None = None,
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
    change : Change, optional
        The change since an earlier report (`tallyhook.reporting.since.since`).

    Raises
    ------
    MissingExtra
        The libraries that draw it are not installed.
    """
    need("page")
    pictures = draw(report, ratings)
    findings = _worst_first(report.stock_findings)[:MOST_FINDINGS]
    sheets = checked_sheets(report)
    template = _environment().get_template("page.html.jinja")
    return without_controls(
        template.render(
            report=report,
            name=re.split(r"[\\/]", report.file)[-1],
            counts=report.counts,
            items_on_sheets=_items_on_sheets(report.counts["rows"], sheets),
            severity_counts={s: report.counts["severity"].get(s, 0) for s in SEVERITIES},
            sheets=sheets,
            unchecked=unchecked(report.layouts),
            findings=findings,
            left_out=max(report.stock_findings.height - MOST_FINDINGS, 0),
            rules=sorted({f["rule"] for f in findings}),
            causes=sorted({(f["cause_title"], f["cause"]) for f in findings if f["cause"]}),
            practice=practice_text(report),
            uncompared=_reasons(not_compared(report)),
            accepted=_worst_first(report.accepted),
            change=change,
            **_words(),
            **_drawn(pictures),
            **_assets(),
        )
    )


def _words() -> dict[str, Any]:
    """What the page says of any list, in the language of the reader."""
    return {
        "language": language(),
        "say": _say,
        "say_count": _say_count,
        "title": {field: say(title) for field, title in TITLES.items()},
        "severities": SEVERITIES,
        "severity_title": severity_title,
        "to_do": to_do,
        "acceptance": acceptance,
        "caution": say(CAUTION),
        "version": __version__,
        "script_texts": _json_text(json.dumps(_script_texts(), ensure_ascii=False)),
    }


def _script_texts() -> dict[str, str]:
    """The messages that the page's script fills in."""
    return {
        "shown": say("{shown} of {all} shown"),
        "open_all": say("Open all"),
        "close_all": say("Close all"),
        "grade": say("grade {grade}"),
        "row": say("row {row}"),
    }


def _drawn(pictures: Pictures) -> dict[str, Any]:
    """The pictures, and the tables that say the same."""
    head, body = line_table(pictures.lines)
    titles = group_titles()
    return {
        "pictures": pictures,
        "key": [(group, titles[group], n) for group, n in pictures.groups.items()],
        "line_head": head,
        "line_body": body,
        "dashes": {line.scheme: line.dash for line in pictures.lines},
        "documents": _json_text(pictures.documents),
        "items": _json_text(pictures.items),
        "points": _json_text(pictures.points),
    }


def _assets() -> dict[str, Any]:
    """The style and the scripts, and the hashes by which the page's policy knows them."""
    library = _library()
    script = (_ASSETS / "page.js").read_text(encoding="utf-8")
    return {
        "style": (_ASSETS / "page.css").read_text(encoding="utf-8"),
        "library": library,
        "script": script,
        "hashes": [_hash(library), _hash(script)],
    }


def _say(message: str, /, **parts: Any) -> Markup:
    """Say a message of the page, which may hold tags; its parts are escaped."""
    return Markup(say(message, **_escaped(parts)))


def _say_count(one: str, many: str, n: int, /, **parts: Any) -> Markup:
    return Markup(say_count(one, many, n, **_escaped(parts)))


def _escaped(parts: dict[str, Any]) -> dict[str, Any]:
    # a number keeps its form: {n:,}
    return {k: v if isinstance(v, int | float) else escape(v) for k, v in parts.items()}


def _items_on_sheets(items: int, sheets: list[dict[str, Any]]) -> str:
    count = say_count("{n} item", "{n} items", items)
    if len(sheets) > 1:
        return say("{items} on {n} sheets", items=count, n=len(sheets))
    if sheets and sheets[0]["name"]:
        return say("{items} on sheet {sheet}", items=count, sheet=sheets[0]["name"])
    return count


def _worst_first(findings: pl.DataFrame) -> list[dict[str, Any]]:
    """The findings with what the page says of them, worst first; numbered as they were."""
    numbered = enumerate(findings.iter_rows(named=True))
    records = [_finding(number, finding) for number, finding in numbered]
    return sorted(records, key=lambda f: (f["severity_rank"], f["first_row"]))


def _finding(number: int, finding: dict[str, Any]) -> dict[str, Any]:
    """A finding with what the page says of it."""
    return finding | {
        "number": number,
        "where": row_numbers(finding),
        "first_row": min(rows_of(finding), default=0),
        "severity_rank": SEVERITIES.index(finding["severity"]),
        "cause_title": cause_title(finding["cause"]),
        "cause_explanation": cause_explanation(finding["cause"]),
        "other_titles": [cause_title(c) for c in finding["other_causes"] or []],
        "rule_title": rule_title(finding["rule"]),
        "source_title": source_title(finding["source"]),
        "source_address": source_address(finding["source"]),
        "times": times_text(finding["ratio"]),
        "sure": sure_percent(finding),
    }


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
