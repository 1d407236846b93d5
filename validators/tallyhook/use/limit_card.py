"""The card of removal limits of one part: its lines, as text and as a page to print."""

from __future__ import annotations

import html
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from tallyhook.messages import say, to_say
from tallyhook.use.documents import UNVERIFIED, short
from tallyhook.wording import CAUTION, number_text, wrapped

__all__ = ["MEASURES", "PAST", "UNMEASURED", "WITHIN", "Limit", "LimitCard", "grows"]

PAST, WITHIN = to_say("past the limit"), to_say("within the limit")
UNMEASURED = to_say("not measured")

MEASURES = {
    "throat-opening": ("throat", "mm", True),
    "gauge-length": ("gauge", "mm", True),
    "seat-height": ("seat", "mm", False),
    "wear": ("section", "mm", False),
    "area-loss": ("area", "mm2", False),
    "twist": ("twist", "deg", True),
    "stretch": ("length", "mm", True),
    "link-size": ("link", "mm", False),
}
"""By criterion: what is measured, its unit, and whether it grows as the part wears."""


# what is measured or looked for, as a card names it; a word of several parts as a code does
_NAMES = (
    to_say("area"), to_say("bend"), to_say("cracks"), to_say("gauge"), to_say("length"),
    to_say("link"), to_say("seat"), to_say("section"), to_say("throat"), to_say("twist"),
    to_say("bend or twist"), to_say("latch faulty"), to_say("lock faulty"),
)  # fmt: skip
_PARTS = (
    to_say("hook"), to_say("crane hook"), to_say("double crane hook"), to_say("chain"),
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One removal limit of one document, for this part.

    `limit` is in `unit`; none for what is looked for and not measured, and for what the nominal
    dimension was not given for.
    """

    criterion: str
    measure: str
    limit: float | None
    unit: str
    at: str
    measured: float | None
    verdict: str
    action: str
    rule: str
    source: str
    locator: str
    known_by: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitCard:
    """The removal limits of one part; `nominal` are its dimensions as new [mm, area in mm2]."""

    part: str
    nominal: Mapping[str, float]
    limits: tuple[Limit, ...]

    @property
    def past(self) -> tuple[Limit, ...]:
        """The limits that a measurement is past, by verified figures."""
        return tuple(r for r in self.limits if r.verdict == PAST)

    def strictest(self) -> tuple[Limit, ...]:
        """Give the strictest verified limit of each measure, in the order of the card."""
        best: dict[str, Limit] = {}
        for row in self.limits:
            if row.limit is None or row.known_by == "recalled":
                continue
            held = best.get(row.measure)
            if held is None or _strictness(row) < _strictness(held):
                best[row.measure] = row
        return tuple(best.values())

    def to_dict(self) -> dict[str, Any]:
        """Give the card as plain data, with the caution."""
        return asdict(self) | {"caution": say(CAUTION)}

    def to_text(self) -> str:
        """Write the card, a block for each measure, the strictest limit first."""
        lines = wrapped(say("Removal limits: {part}", part=self._title()))
        strictest, marked = self.strictest(), say("strictest")
        for measure, rows in self._grouped().items():
            lines += ["", say(measure)]
            for row in rows:
                mark = f"  {marked}" if row in strictest and len(rows) > 1 else ""
                lines += wrapped(f"{_shown(row)}{_judged(row)}{mark}", first="  ", indent=4)
                known = "" if row.known_by == "published" else f" ({_known(row)})"
                where = f"{short(row.source)}, {row.locator}; {row.action}{known}"
                lines += wrapped(where, indent=4)
                lines += wrapped(row.note, indent=4) if row.note else []
        lines += ["", *wrapped(self._summary())]
        return "\n".join([*lines, "", *wrapped(say(CAUTION))]) + "\n"

    def to_html(self) -> str:
        """Write the card as one self-contained page that prints on one sheet."""
        strictest = self.strictest()
        body = []
        for measure, rows in self._grouped().items():
            name = measure.replace("-", " ")
            body.append(f'<tr class="head"><th colspan="4">{html.escape(say(name))}</th></tr>')
            body += [_page_row(a, best=any(r in strictest for r in a)) for a in _alike(rows)]
        heads = (say("out of service"), say("measured"), say("verdict"), say("document"))
        bold = say("In bold: the strictest verified limit of each measure.")
        return _PAGE.format(
            title=html.escape(say("Removal limits: {part}", part=self._title())),
            heads="".join(f"<th>{html.escape(head)}</th>" for head in heads),
            rows="\n".join(body),
            caution=html.escape(say(CAUTION)),
            summary=html.escape(f"{self._summary()} {bold}"),
            part=html.escape(say("Part")),
            date=html.escape(say("Date")),
            inspector=html.escape(say("Inspected by")),
        )

    def _title(self) -> str:
        units = {"area": "mm2"}
        given = ", ".join(
            f"{say(k)} {number_text(v)} {units.get(k, 'mm')}" for k, v in self.nominal.items()
        )
        part = say(self.part)
        return say("{part}, as new: {given}", part=part, given=given) if given else part

    def _grouped(self) -> dict[str, list[Limit]]:
        groups: dict[str, list[Limit]] = {}
        for row in self.limits:
            groups.setdefault(row.measure, []).append(row)
        return {m: sorted(rows, key=_card_order) for m, rows in groups.items()}

    def _summary(self) -> str:
        judged = sum(r.verdict in (PAST, WITHIN) for r in self.limits)
        if not judged:
            return say("Nothing was measured.")
        if not self.past:
            return say(
                "Within all {number} limits held against it; the others were not measured.",
                number=judged,
            )
        return say(
            "Past {past} of {number} limits held against it, by: {documents}.",
            past=len(self.past),
            number=judged,
            documents=", ".join(dict.fromkeys(short(r.source) for r in self.past)),
        )


def grows(measure: str) -> bool:
    """Whether a measure grows as the part wears."""
    return next((g for m, _, g in MEASURES.values() if m == measure), True)


def _card_order(row: Limit) -> tuple[bool, tuple[float, bool]]:
    return row.limit is None, _strictness(row)


def _strictness(row: Limit) -> tuple[float, bool]:
    limit = row.limit or 0.0
    return (limit if grows(row.measure) else -limit), row.at != "at-or-above"


def _alike(rows: list[Limit]) -> list[list[Limit]]:
    """Put limits together that come to one figure, so that the card stays one sheet."""
    groups: dict[tuple[float | None, str, str, str], list[Limit]] = {}
    for row in rows:
        rule = "" if row.limit is not None else row.rule
        groups.setdefault((row.limit, row.at, row.verdict, rule), []).append(row)
    return list(groups.values())


def _page_row(alike: list[Limit], *, best: bool) -> str:
    first = alike[0]
    kind = "past" if first.verdict == PAST else "best" if best else ""
    cells = (
        _shown(first, "; ".join(dict.fromkeys(r.rule for r in alike))),
        "" if first.measured is None else f"{first.measured:g} {first.unit}",
        "" if first.verdict == UNMEASURED else say(first.verdict),
        "; ".join(f"{short(r.source)}, {r.locator} ({_known(r)})" for r in alike),
    )
    shown = "".join(f"<td>{html.escape(c)}</td>" for c in cells)
    return f'<tr class="{kind}">{shown}</tr>'


def _shown(row: Limit, rules: str = "") -> str:
    rule = rules or row.rule
    if row.limit is None:
        return rule
    parts = {"limit": number_text(round(row.limit, 2)), "unit": row.unit, "rule": rule}
    if row.at == "at-or-above" and grows(row.measure):
        return say("from {limit} {unit} up: {rule}", **parts)
    if row.at == "at-or-above":
        return say("from {limit} {unit} down: {rule}", **parts)
    if grows(row.measure):
        return say("above {limit} {unit}: {rule}", **parts)
    return say("below {limit} {unit}: {rule}", **parts)


def _judged(row: Limit) -> str:
    verdict = say(row.verdict)
    if row.measured is None:
        return "" if row.verdict == UNMEASURED else f"; {verdict}"
    value = f"{row.measured:g} {row.unit}"
    return say("; measured {value}, {verdict}", value=value, verdict=verdict)


def _known(row: Limit) -> str:
    return say(UNVERIFIED) if row.known_by == "recalled" else row.known_by


_PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<title>{title}</title>
<style>
@page {{ size: A4; margin: 12mm }}
body {{ font: 8.5pt/1.25 sans-serif; color: #000; background: #fff }}
body {{ max-width: 186mm; margin: auto }}
h1 {{ font-size: 13pt; margin: 0 0 2mm }}
table {{ border-collapse: collapse; width: 100% }}
th, td {{ text-align: left; vertical-align: top; padding: .6mm 1.5mm }}
tr {{ break-inside: avoid; border-bottom: .2mm solid #999 }}
tr.head th {{ border-bottom: .4mm solid #000; padding-top: 1.5mm; font-size: 9.5pt }}
tr.best td:first-child {{ font-weight: bold }}
tr.past td:nth-child(-n+3) {{ font-weight: bold; text-decoration: underline }}
td:nth-child(1) {{ width: 34% }}
td:nth-child(2), td:nth-child(3) {{ white-space: nowrap }}
thead th {{ font-weight: normal; font-style: italic }}
footer {{ margin-top: 3mm; font-size: 8pt }}
footer p {{ margin: 1mm 0 }}
</style>
</head>
<body>
<h1>{title}</h1>
<table>
<thead><tr>{heads}</tr></thead>
<tbody>
{rows}
</tbody>
</table>
<footer>
<p>{summary}</p>
<p>{caution}</p>
<p>{part}: ________________ &nbsp; {date}: ____________ &nbsp; {inspector}: ________________</p>
</footer>
</body>
</html>
"""
