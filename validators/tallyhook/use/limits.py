"""Removal limits of a hook or a chain as a card, document by document, and measurements against it.

Every limit is a row of ``inspection.limits`` (or of the chain's wear tables), turned into the
length or angle at which this very part is out. A part that is out by one document and in by
another is shown so: which document binds is the reader's to say.
"""

from __future__ import annotations

import html
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

from tallyhook.use.families import records
from tallyhook.use.result import UseRefused, short, wrapped
from tallyhook.use.terms import length_mm as read_length
from tallyhook.use.terms import nominal_size
from tallyhook.wording import CAUTION, number_text

__all__ = ["Limit", "LimitCard", "limits"]

PAST, WITHIN, UNMEASURED = "past the limit", "within the limit", "not measured"

# criterion -> (what is measured, its unit, whether it grows as the part wears)
_MEASURES = {
    "throat-opening": ("throat", "mm", True),
    "gauge-length": ("gauge", "mm", True),
    "seat-height": ("seat", "mm", False),
    "wear": ("section", "mm", False),
    "area-loss": ("area", "mm2", False),
    "twist": ("twist", "deg", True),
    "latch-tip-gap": ("tip-gap", "mm", True),
    "stretch": ("length", "mm", True),
    "link-size": ("link", "mm", False),
}
_ITEMS = {
    "hook": ("hook",),
    "crane-hook": ("crane-hook", "derrick-hook"),
    "double-crane-hook": ("double-crane-hook",),
    "chain": ("chain",),
}
_SEEN = ("any",)
_OTHER_UNITS = {"deg": ("deg", "°"), "mm2": ("mm2", "mm²")}
_FAULTY = ("latch", "lock")  # named so that yes is the fault and never the part
_ACTIONS = {
    "remove": "take out of service",
    "do-not-use": "do not use",
    "deficiency": "a deficiency: the sentence names no action",
    "reject": "reject",
}


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
    """The removal limits of one part."""

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
            grows = _grows(row.measure)
            held = best.get(row.measure)
            if held is None or _strictness(row, grows) < _strictness(held, grows):
                best[row.measure] = row
        return tuple(best.values())

    def to_dict(self) -> dict[str, Any]:
        """Give the card as plain data, with the caution."""
        return asdict(self) | {"caution": CAUTION}

    def to_text(self) -> str:
        """Write the card, a block for each measure, the strictest limit first."""
        lines = wrapped(f"Removal limits: {self._title()}")
        strictest = self.strictest()
        for measure, rows in self._grouped().items():
            lines += ["", measure]
            for row in rows:
                mark = "  strictest" if row in strictest and len(rows) > 1 else ""
                lines += wrapped(f"{_shown(row)}{_told(row)}{mark}", first="  ", indent=4)
                known = "" if row.known_by == "published" else f" ({_known(row)})"
                where = f"{short(row.source)}, {row.locator}; {row.action}{known}"
                lines += wrapped(where, indent=4)
                lines += wrapped(row.note, indent=4) if row.note else []
        lines += ["", *wrapped(self._summary())]
        return "\n".join([*lines, "", *wrapped(CAUTION)]) + "\n"

    def to_html(self) -> str:
        """Write the card as one self-contained page that prints on one sheet."""
        strictest = self.strictest()
        body = []
        for measure, rows in self._grouped().items():
            name = html.escape(measure.replace("-", " "))
            body.append(f'<tr class="head"><th colspan="4">{name}</th></tr>')
            body += [_page_row(a, best=any(r in strictest for r in a)) for a in _alike(rows)]
        return _PAGE.format(
            title=html.escape(self._title()),
            rows="\n".join(body),
            caution=html.escape(CAUTION),
            summary=html.escape(self._summary()),
        )

    def _title(self) -> str:
        units = {"area": "mm2"}
        given = ", ".join(
            f"{k} {number_text(v)} {units.get(k, 'mm')}" for k, v in self.nominal.items()
        )
        return f"{self.part}, as new: {given}" if given else self.part

    def _grouped(self) -> dict[str, list[Limit]]:
        groups: dict[str, list[Limit]] = {}
        for row in self.limits:
            groups.setdefault(row.measure, []).append(row)
        return {m: sorted(rows, key=_card_order) for m, rows in groups.items()}

    def _summary(self) -> str:
        judged = [r for r in self.limits if r.verdict in (PAST, WITHIN)]
        if not judged:
            return "Nothing was measured."
        if self.past:
            by = ", ".join(dict.fromkeys(short(r.source) for r in self.past))
            return f"Past {len(self.past)} of {len(judged)} limits held against it, by: {by}."
        return f"Within all {len(judged)} limits held against it; the others were not measured."


def limits(
    item: str = "hook",
    *,
    throat_mm: float | None = None,
    section_mm: float | None = None,
    gauge_mm: float | None = None,
    seat_mm: float | None = None,
    area_mm2: float | None = None,
    size: float | str | None = None,
    length_mm: float | None = None,
    documents: tuple[str, ...] = (),
    measured: Mapping[str, float | str] | None = None,
) -> LimitCard:
    """Give the removal limits of a hook or chain of given dimensions, document by document.

    Parameters
    ----------
    item : str
        ``hook``, ``crane-hook``, ``double-crane-hook`` or ``chain``.
    throat_mm, section_mm, gauge_mm, seat_mm : float, optional
        Dimensions as new: throat opening, thickness of the section that wears, gauge length
        between punch marks, height of the seat [mm].
    area_mm2 : float, optional
        Cross-section as new [mm2].
    size : float or str, optional
        Nominal size of a chain.
    length_mm : float, optional
        Length of a stretch of chain as new [mm].
    documents : tuple of str
        Slugs of the documents to show; all of them otherwise.
    measured : mapping, optional
        What was measured, by measure: ``throat``, ``section``, ``link`` (thinnest place of a
        link), ``wear`` (off a link), ``length``, ``gauge``, ``seat``, ``tip-gap`` [mm], ``area``
        [mm2], ``twist`` [deg]; and ``yes`` or ``no`` for what is looked for, such as ``cracks``,
        ``bend-or-twist``, ``latch-faulty``.

    Raises
    ------
    UseRefused
        The item, a document or a measurement is unknown, a dimension is no length, or nothing
        can be held against a measurement, such as a throat whose opening as new is not given.

    Examples
    --------
    29 CFR 1910.184(e)(9)(ii): 15 percent more throat than new is the end, 57.5 mm for 50 mm.

    >>> card = limits("hook", throat_mm=50, documents=("29-cfr-1910-184",))
    >>> [r.limit for r in card.limits if r.criterion == "throat-opening"]
    [57.5]
    """
    if item not in _ITEMS:
        raise UseRefused(
            f"no removal limits are known for '{item}'", next_step=f"use {', '.join(_ITEMS)}"
        )
    size_mm, size_name = nominal_size(size) if size is not None else (None, "")
    nominal = {
        "throat": throat_mm,
        "section": section_mm,
        "gauge": gauge_mm,
        "seat": seat_mm,
        "area": area_mm2,
        "link": size_mm if item == "chain" else None,
        "length": length_mm,
    }
    as_new = {k: float(v) for k, v in nominal.items() if v is not None}
    for name, value in as_new.items():
        if not 0 < value < float("inf"):
            what, unit = ("area", "mm2") if name == "area" else ("length", "mm")
            raise UseRefused(f"the {name} is no {what}: {value:g} {unit}")
    rows = [
        r
        for r in records("inspection", "limits")
        if r["item"] in _ITEMS[item] and (not documents or r["source"] in documents)
    ]
    found = [one for r in rows for one in _from_row(r, item, as_new, size_mm)]
    if not found:
        raise UseRefused(
            f"none of these documents has a removal limit for a {item}",
            next_step="name others, or none",
        )
    part = f"{size_name} chain" if item == "chain" and size_name else item.replace("-", " ")
    given = dict(measured or {})
    _known_measures(found, given)
    card = tuple(_held(r, given) for r in found)
    for name in given:
        _refuse_unheld(name, [r for r in card if r.measure == name])
    return LimitCard(part=part, nominal=as_new, limits=card)


def _from_row(
    row: Mapping[str, Any], item: str, nominal: Mapping[str, float], size_mm: float | None
) -> Iterator[Limit]:
    criterion = str(row["criterion"])
    if row["comparison"] in _SEEN:
        faulty = criterion in _FAULTY
        rule = str(row["note"]) if faulty and row["note"] else "any that is seen"
        told = dict(row) | {"note": ""} if rule == row["note"] else row
        yield _limit(told, f"{criterion}-faulty" if faulty else criterion, None, "", rule)
        if criterion == "bend-or-twist":  # a document that takes any has no room for a measured one
            yield _limit(row, "twist", 0.0, "deg", "any visible twist")
        return
    if row["comparison"] == "table":
        yield from _from_table(row, size_mm)
        return
    if criterion not in _MEASURES:
        return  # temperatures are limits of use and not of a part on the bench
    measure, unit, grows = _MEASURES[criterion]
    if item == "chain" and criterion == "wear":
        measure = "link"
    if row["value_deg"] is not None:
        yield _limit(row, measure, row["value_deg"], "deg", "out of the plane that it had as new")
        return
    if row["value_percent"] is None:
        if criterion == "wear":
            return  # a wear in mm that one sheet gives for one size is in the wear tables
        yield _limit(row, measure, row["value_mm"], unit, row["applies_to"])
        return
    yield _percent(row, measure, unit, grows, nominal.get(measure))
    if measure == "link":  # what is worn off is the same loss, measured as such
        percent = float(row["value_percent"])
        worn = None if size_mm is None else round(size_mm * percent / 100, 6)
        yield _limit(row, "wear", worn, unit, f"worn by more than {percent:g} percent of new")


def _percent(
    row: Mapping[str, Any], measure: str, unit: str, grows: bool, as_new: float | None
) -> Limit:
    percent, cap = float(row["value_percent"]), row["cap_mm"]
    rule = f"{percent:g} percent {'more' if grows else 'less'} than new"
    if cap is not None:
        rule += f", at most {cap:g} mm"
    if row["comparison"] == "at-or-above":
        rule += " (that much is already too much)"
    if as_new is None:
        return _limit(row, measure, None, unit, rule)
    change = as_new * percent / 100
    if cap is not None:
        change = min(change, float(cap))
    return _limit(row, measure, round(as_new + change if grows else as_new - change, 6), unit, rule)


def _from_table(row: Mapping[str, Any], size_mm: float | None) -> Iterator[Limit]:
    """Read the wear tables by size; the inspection row says which table its document applies."""
    package, table = str(row["table"]).split(".")
    for cell in records(package, table, source=row["source"]):
        if size_mm is None or cell["size_mm"] != size_mm or cell["locator"] != row["locator"]:
            continue
        told = dict(row) | {"locator": cell["locator"], "known_by": cell["known_by"]}
        told["note"] = cell["note"] or ""
        if table == "link-thickness":
            rule = f"thinner than {cell['min_thickness_in']:g} in at any place"
            yield _limit(told, "link", cell["min_thickness_mm"], "mm", rule)
        else:
            rule = (
                f"worn by more than {cell['max_wear_in']:g} in of {cell['size_in']} in at any place"
            )
            yield _limit(told, "wear", cell["max_wear_mm"], "mm", rule)


def _limit(
    row: Mapping[str, Any], measure: str, limit: float | None, unit: str, rule: str
) -> Limit:
    return Limit(
        criterion=row["criterion"],
        measure=measure,
        limit=limit,
        unit=unit,
        at=row["comparison"],
        measured=None,
        verdict=UNMEASURED,
        action=_ACTIONS.get(row["action"], row["action"]),
        rule=rule,
        source=row["source"],
        locator=row["locator"],
        known_by=row["known_by"],
        note=row["note"] or "",
    )


def _held(row: Limit, measured: Mapping[str, float | str]) -> Limit:
    """Hold a measurement against a limit; a figure from memory never says within."""
    given = measured.get(row.measure)
    if given is None:
        return row
    if row.limit is None:
        if row.at not in _SEEN:
            return row
        if given not in ("yes", "no"):
            raise UseRefused(f"{row.measure} is seen or not", next_step="answer yes or no")
        return replace(row, verdict=PAST if given == "yes" else WITHIN)
    value = _value(row, given)
    if row.known_by == "recalled":
        return replace(row, measured=value)
    beyond = value - row.limit if _grows(row.measure) else row.limit - value
    past = beyond > 1e-9 or (row.at == "at-or-above" and beyond > -1e-9)
    return replace(row, measured=value, verdict=PAST if past else WITHIN)


def _value(row: Limit, given: float | str) -> float:
    if isinstance(given, str) and row.unit == "mm":
        return read_length(given)
    if isinstance(given, str):
        units = _OTHER_UNITS.get(row.unit, ())
        given = next((given.removesuffix(u) for u in units if given.endswith(u)), given)
    try:
        value = float(given)
    except ValueError:
        value = float("nan")
    if not 0 <= value < float("inf"):
        raise UseRefused(
            f"'{given}' is no measurement of {row.measure}",
            next_step=f"write it in {row.unit}",
        )
    return value


def _refuse_unheld(name: str, rows: list[Limit]) -> None:
    """Refuse a measurement that was held against nothing: silence would read as a pass."""
    if any(r.verdict != UNMEASURED for r in rows):
        return
    if all(r.known_by == "recalled" for r in rows):
        raise UseRefused(
            f"the only limits for {name} are from memory, and none is held against it",
            next_step="take other documents",
        )
    new = "size" if name in ("link", "wear") else name
    argument = new if new == "size" else f"{new}_{rows[0].unit}"
    raise UseRefused(
        f"the {name} was measured, and nothing says what it was as new, so no limit can be held "
        "against it",
        next_step=f"give --{new} as new ({argument} in Python)",
    )


def _known_measures(rows: list[Limit], measured: Mapping[str, float | str]) -> None:
    known = dict.fromkeys(r.measure for r in rows)
    for name in measured:
        if name not in known:
            raise UseRefused(
                f"nothing here is held against '{name}'", next_step=f"use one of {', '.join(known)}"
            )


def _card_order(row: Limit) -> tuple[bool, tuple[float, bool]]:
    return row.limit is None, _strictness(row, _grows(row.measure))


def _strictness(row: Limit, grows: bool) -> tuple[float, bool]:
    limit = row.limit or 0.0
    return (limit if grows else -limit), row.at != "at-or-above"


def _grows(measure: str) -> bool:
    return next((g for m, _, g in _MEASURES.values() if m == measure), True)


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
        "" if first.verdict == UNMEASURED else first.verdict,
        "; ".join(f"{short(r.source)}, {r.locator} ({_known(r)})" for r in alike),
    )
    shown = "".join(f"<td>{html.escape(c)}</td>" for c in cells)
    return f'<tr class="{kind}">{shown}</tr>'


def _shown(row: Limit, rules: str = "") -> str:
    rule = rules or row.rule
    if row.limit is None:
        return rule
    word = "above" if _grows(row.measure) else "below"
    if row.at == "at-or-above":
        word = "from"
    return f"{word} {number_text(round(row.limit, 2))} {row.unit}: {rule}"


def _told(row: Limit) -> str:
    if row.verdict == UNMEASURED and row.measured is None:
        return ""
    value = "" if row.measured is None else f" measured {row.measured:g} {row.unit},"
    return f";{value} {row.verdict}"


def _known(row: Limit) -> str:
    return "UNVERIFIED, from memory" if row.known_by == "recalled" else row.known_by


_PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<title>Removal limits: {title}</title>
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
<h1>Removal limits: {title}</h1>
<table>
<thead><tr><th>out of service</th><th>measured</th><th>verdict</th><th>document</th></tr></thead>
<tbody>
{rows}
</tbody>
</table>
<footer>
<p>{summary} In bold: the strictest verified limit of each measure.</p>
<p>{caution}</p>
<p>Part: ________________ &nbsp; Date: ____________ &nbsp; Inspected by: ________________</p>
</footer>
</body>
</html>
"""
