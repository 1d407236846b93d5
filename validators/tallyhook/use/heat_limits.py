"""At which temperature a grade may not be used at all, by the limits of the rating packages.

`in_use` asks what heat leaves of a rating and refuses where the document has no answer; a hook that
is suggested for a job has to be one that some document lets be used there at all. Both read the
same tables.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tallyhook.messages import say
from tallyhook.use.documents import short
from tallyhook.use.families import FAMILIES, Family, records
from tallyhook.wording import number_text

__all__ = ["Ban", "banned_temperature", "heat_is_open"]

_EPS = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Ban:
    """Why a grade may not be used at a temperature, and the document that says so."""

    reason: str
    source: str
    locator: str
    known_by: str


def banned_temperature(family: Family, grade: int, celsius: float) -> Ban | None:
    """Say why nothing of a grade may be used at a temperature [deg C]; none where it may be.

    The family's own document decides. Where the family has none for the grade, the strictest
    document that any family has does; where there is none at all, the highest limit that is named
    for any grade. Of cold the specification of the family's chain decides, and where it names no
    lower end, the lowest that any document names.

    Examples
    --------
    EN 818-6: grade 8 is not used above 400 degC; ASME B30.9 ends at 1000 degF.

    >>> banned_temperature(FAMILIES["european"], 80, 401).source
    'en-818-6'
    >>> banned_temperature(FAMILIES["us"], 80, 401) is None
    True
    """
    hot = _hot_end(family, grade)
    if celsius > hot["value"] + _EPS:
        reason = say(
            "{document} ends at {limit} degC, and a hook of grade {grade} gets {value} degC hot.",
            document=short(hot["source"]),
            limit=number_text(round(hot["value"], 1)),
            grade=grade,
            value=number_text(celsius),
        )
        return _ban(reason, hot)
    cold = _cold_end(family, grade)
    if celsius < cold["value"] - _EPS or (celsius < cold["value"] + _EPS and not cold["included"]):
        reason = say(
            "{document} names nothing colder than {limit} degC, and a hook of grade {grade} gets "
            "{value} degC cold: ask the maker.",
            document=short(cold["source"]),
            limit=number_text(cold["value"]),
            grade=grade,
            value=number_text(celsius),
        )
        return _ban(reason, cold)
    return None


def heat_is_open(family: Family, grade: int) -> bool:
    """Whether no document read here says what heat does to a grade of a family."""
    return grade not in family.heat


def _hot_end(family: Family, grade: int) -> dict[str, Any]:
    own = family.heat.get(grade)
    if own:
        return _hot_end_of(own, grade)
    families = FAMILIES.values()
    documents = dict.fromkeys(f.heat[grade] for f in families if grade in f.heat)
    if documents:
        return min((_hot_end_of(source, grade) for source in documents), key=_value)
    every = {(source, g) for f in families for g, source in f.heat.items()}
    return max((_hot_end_of(source, g) for source, g in sorted(every)), key=_value)


def _hot_end_of(source: str, grade: int) -> dict[str, Any]:
    """Give the end of a document's heat table for a grade; the stricter of its two scales."""
    rows = records("use", "heat-factors", source=source, grade=grade)
    last = max(rows, key=lambda r: float(r["temperature_to_c"]))
    ends = [float(last["temperature_to_c"])]
    if last["temperature_to_f"] is not None:
        ends.append((float(last["temperature_to_f"]) - 32) / 1.8)
    return dict(last) | {"value": min(ends)}


def _cold_end(family: Family, grade: int) -> dict[str, Any]:
    """Give the strictest lower end: of the heat table, and of the chain's specification."""
    ends = []
    if grade in family.heat:
        rows = records("use", "heat-factors", source=family.heat[grade], grade=grade)
        named = [r for r in rows if r["temperature_from_c"] is not None]
        ends += [
            dict(r) | {"value": float(r["temperature_from_c"]), "included": r["from_included"]}
            for r in sorted(named, key=lambda r: float(r["temperature_from_c"]))[:1]
        ]
    every = [r for r in records("chain", "grades") if r["temperature_min_c"] is not None]
    own = [r for r in every if (r["scheme"], r["grade"]) == (family.scheme, grade)]
    ends += [_of_specification(r) for r in own]
    # where none is named, the lowest that any document names is as far as one may go
    ends = ends or [_of_specification(min(every, key=lambda r: float(r["temperature_min_c"])))]
    return max(ends, key=lambda r: (r["value"], not r["included"]))


def _of_specification(row: Mapping[str, Any]) -> dict[str, Any]:
    return dict(row) | {"value": float(row["temperature_min_c"]), "included": True}


def _value(row: Mapping[str, Any]) -> float:
    return float(row["value"])


def _ban(reason: str, row: Mapping[str, Any]) -> Ban:
    return Ban(
        reason=reason, source=row["source"], locator=row["locator"], known_by=row["known_by"]
    )
