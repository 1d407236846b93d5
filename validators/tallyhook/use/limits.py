"""Removal limits of a hook or a chain, document by document, and measurements against them.

Every limit is a row of ``inspection.limits`` (or of the chain's wear tables), turned into the
length or angle at which this very part is out. A part that is out by one document and in by
another is shown so: which document binds is the reader's to say.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from tallyhook.messages import say, to_say
from tallyhook.use.families import records
from tallyhook.use.limit_card import MEASURES, PAST, UNMEASURED, WITHIN, Limit, LimitCard, grows
from tallyhook.use.result import UseRefused
from tallyhook.use.terms import grade_number, nominal_size
from tallyhook.use.terms import length_mm as read_length

__all__ = ["Limit", "LimitCard", "limits"]

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
    "remove": to_say("take out of service"),
    "do-not-use": to_say("do not use"),
    "deficiency": to_say("a deficiency: the sentence names no action"),
    "reject": to_say("reject"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class _AsNew:
    """A part as new: what it is, its nominal chain size, and its dimensions by measure.

    Lengths are in [mm], the area in [mm2]. `worn_from_mm` is the diameter that a percentage of
    wear is taken of: that of the bar, unless it is known from memory alone and would allow more.
    """

    item: str
    size_mm: float | None
    dimensions: Mapping[str, float]
    worn_from_mm: float | None = None

    def of(self, measure: str) -> float | None:
        """Give the dimension of a measure as new, if it is known."""
        return self.dimensions.get(measure)


def limits(
    item: str = "hook",
    *,
    throat_mm: float | None = None,
    section_mm: float | None = None,
    gauge_mm: float | None = None,
    seat_mm: float | None = None,
    area_mm2: float | None = None,
    size: float | str | None = None,
    grade: int | str | None = None,
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
    size, grade : float or str, optional
        Nominal size of a chain, and its grade: the bar of a chain in inches may be thicker than
        its size says (7/16 in of grade 43 is 11.9 mm). Without a grade the thickest bar of the
        size counts.
    length_mm : float, optional
        Length of a stretch of chain as new [mm].
    documents : tuple of str
        Slugs of the documents to show; all of them otherwise.
    measured : mapping, optional
        What was measured, by measure: ``throat``, ``section``, ``link`` (thinnest place of a
        link), ``wear`` (off a link), ``length``, ``gauge``, ``seat`` [mm], ``area``
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
            say("no removal limits are known for '{item}'", item=item),
            next_step=say("use {names}", names=", ".join(_ITEMS)),
        )
    size_mm, size_name = nominal_size(size) if size is not None else (None, "")
    number = grade_number(grade) if grade is not None else None
    bar = _bar(size_mm, size_name, number) if size_mm is not None and item == "chain" else None
    given = {
        "throat": throat_mm,
        "section": section_mm,
        "gauge": gauge_mm,
        "seat": seat_mm,
        "area": area_mm2,
        "link": bar.mm if bar else None,
        "length": length_mm,
    }
    as_new = _AsNew(
        item=item, size_mm=size_mm, dimensions=_dimensions(given),
        worn_from_mm=bar.worn_from_mm if bar else None,
    )  # fmt: skip
    found = [one for row in _rows(item, documents) for one in _from_row(row, as_new)]
    if not found:
        raise UseRefused(
            say("none of these documents has a removal limit for a {item}", item=item),
            next_step=say("name others, or none"),
        )
    readings = dict(measured or {})
    _known_measures(found, readings)
    held = tuple(_held(row, readings) for row in found)
    for name in readings:
        _refuse_unheld(name, [r for r in held if r.measure == name])
    part = item.replace("-", " ")
    if item == "chain" and size_name:
        part = say("{size} chain", size=size_name)
        if number is not None:
            part = say("{size} chain of grade {grade}", size=size_name, grade=number)
    return LimitCard(part=part, nominal=as_new.dimensions, limits=held)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Bar:
    """The bar of a chain as new [mm], and the diameter that a percentage of wear is taken of."""

    mm: float
    worn_from_mm: float


def _bar(size_mm: float, name: str, grade: int | None) -> _Bar:
    """Find the bar of a chain [mm] in the tables of dimensions; its size where none has it.

    A size in inches without a grade takes the thickest bar that any grade has: wear is then told
    too early and never too late. A bar that is known from memory makes a limit stricter, never
    laxer.
    """
    rows = records("chain", "dimensions", dimension="material-diameter", size_mm=size_mm)
    if grade is not None:
        rows = [r for r in rows if r["grade"] == grade]
    elif not name.endswith(" in"):
        rows = []  # a metric size is the diameter of the bar
    thickest = max(rows, key=lambda r: float(r["value_mm"]), default=None)
    if thickest is None or float(thickest["value_mm"]) <= size_mm:
        return _Bar(mm=size_mm, worn_from_mm=size_mm)
    bar = float(thickest["value_mm"])
    return _Bar(mm=bar, worn_from_mm=size_mm if thickest["known_by"] == "recalled" else bar)


def _dimensions(given: Mapping[str, float | None]) -> dict[str, float]:
    """Take the dimensions that were given [mm, area in mm2]; each is above nothing."""
    known = {name: float(value) for name, value in given.items() if value is not None}
    for name, value in known.items():
        if 0 < value < float("inf"):
            continue
        if name == "area":
            raise UseRefused(say("the {name} is no area: {value:g} mm2", name=name, value=value))
        raise UseRefused(say("the {name} is no length: {value:g} mm", name=name, value=value))
    return known


def _rows(item: str, documents: Sequence[str]) -> list[dict[str, Any]]:
    return [
        row
        for row in records("inspection", "limits")
        if row["item"] in _ITEMS[item] and (not documents or row["source"] in documents)
    ]


def _from_row(row: Mapping[str, Any], as_new: _AsNew) -> Iterator[Limit]:
    if row["comparison"] in _SEEN:
        yield from _looked_for(row)
    elif row["comparison"] == "table":
        yield from _from_table(row, as_new.size_mm)
    elif row["criterion"] in MEASURES:  # temperatures are limits of use and not of a part
        yield from _measured_limits(row, as_new)


def _looked_for(row: Mapping[str, Any]) -> Iterator[Limit]:
    """Give the limit of what is seen or not, such as cracks."""
    criterion = str(row["criterion"])
    if criterion in _FAULTY and row["note"]:
        yield _limit(dict(row) | {"note": ""}, f"{criterion}-faulty", None, "", row["note"])
    else:
        name = f"{criterion}-faulty" if criterion in _FAULTY else criterion
        yield _limit(row, name, None, "", say("any that is seen"))
    if criterion == "bend-or-twist":  # a document that takes any has no room for a measured one
        yield _limit(row, "twist", 0.0, "deg", say("any visible twist"))


def _measured_limits(row: Mapping[str, Any], as_new: _AsNew) -> Iterator[Limit]:
    measure, unit, _ = MEASURES[row["criterion"]]
    wear = row["criterion"] == "wear"
    if as_new.item == "chain" and wear:
        measure = "link"
    if row["value_deg"] is not None:
        rule = say("out of the plane that it had as new")
        yield _limit(row, measure, row["value_deg"], "deg", rule)
    elif row["value_percent"] is not None:
        yield _percent(row, measure, unit, as_new.of(measure))
        if measure == "link":  # what is worn off is the same loss, measured as such
            yield _worn(row, unit, as_new.worn_from_mm)
    elif not wear:  # a wear in mm that one sheet gives for one size is in the wear tables
        yield _limit(row, measure, row["value_mm"], unit, row["applies_to"])


def _worn(row: Mapping[str, Any], unit: str, from_mm: float | None) -> Limit:
    percent = float(row["value_percent"])
    worn = None if from_mm is None else round(from_mm * percent / 100, 6)
    rule = say("worn by more than {percent:g} percent of new", percent=percent)
    return _limit(row, "wear", worn, unit, rule)


def _percent(row: Mapping[str, Any], measure: str, unit: str, as_new: float | None) -> Limit:
    percent, cap = float(row["value_percent"]), row["cap_mm"]
    more = MEASURES[row["criterion"]][2]
    rule = say("{percent:g} percent less than new", percent=percent)
    if more:
        rule = say("{percent:g} percent more than new", percent=percent)
    if cap is not None:
        rule = say("{rule}, at most {cap:g} mm", rule=rule, cap=cap)
    if row["comparison"] == "at-or-above":
        rule = say("{rule} (that much is already too much)", rule=rule)
    if as_new is None:
        return _limit(row, measure, None, unit, rule)
    change = as_new * percent / 100
    if cap is not None:
        change = min(change, float(cap))
    return _limit(row, measure, round(as_new + change if more else as_new - change, 6), unit, rule)


def _from_table(row: Mapping[str, Any], size_mm: float | None) -> Iterator[Limit]:
    """Read the wear tables by size; the inspection row says which table its document applies."""
    package, table = str(row["table"]).split(".")
    for cell in records(package, table, source=row["source"]):
        if size_mm is None or cell["size_mm"] != size_mm or cell["case"] != row["case"]:
            continue
        merged = dict(row) | {"locator": cell["locator"], "known_by": cell["known_by"]}
        merged["note"] = cell["note"] or ""
        if table == "link-thickness":
            rule = say("thinner than {least:g} in at any place", least=cell["min_thickness_in"])
            yield _limit(merged, "link", cell["min_thickness_mm"], "mm", rule)
        else:
            rule = say(
                "worn by more than {most:g} in of {size} in at any place",
                most=cell["max_wear_in"],
                size=cell["size_in"],
            )
            yield _limit(merged, "wear", cell["max_wear_mm"], "mm", rule)


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
        action=say(_ACTIONS[row["action"]]) if row["action"] in _ACTIONS else row["action"],
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
            raise UseRefused(
                say("{what} is seen or not", what=row.measure),
                next_step=say("answer yes or no"),
            )
        return replace(row, verdict=PAST if given == "yes" else WITHIN)
    value = _value(row, given)
    if row.known_by == "recalled":
        return replace(row, measured=value)
    beyond = value - row.limit if grows(row.measure) else row.limit - value
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
            say("'{value}' is no measurement of {what}", value=given, what=row.measure),
            next_step=say("write it in {unit}", unit=row.unit),
        )
    return value


def _refuse_unheld(name: str, rows: list[Limit]) -> None:
    """Refuse a measurement that was held against nothing: silence would read as a pass."""
    if any(r.verdict != UNMEASURED for r in rows):
        return
    if all(r.known_by == "recalled" for r in rows):
        raise UseRefused(
            say(
                "the only limits for {name} are from memory, and none is held against it",
                name=name,
            ),
            next_step=say("take other documents"),
        )
    new = "size" if name in ("link", "wear") else name
    argument = new if new == "size" else f"{new}_{rows[0].unit}"
    raise UseRefused(
        say(
            "the {name} was measured, and nothing says what it was as new, so no limit can be held "
            "against it",
            name=name,
        ),
        next_step=say(
            "give --{option} as new ({argument} in Python)", option=new, argument=argument
        ),
    )


def _known_measures(rows: list[Limit], measured: Mapping[str, float | str]) -> None:
    known = dict.fromkeys(r.measure for r in rows)
    for name in measured:
        if name not in known:
            raise UseRefused(
                say("nothing here is held against '{name}'", name=name),
                next_step=say("use one of {names}", names=", ".join(known)),
            )
