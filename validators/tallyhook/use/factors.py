"""The factors of an edge under the chain, of a shortened chain and of a load shared unevenly.

Each function gives the lines it adds (most often one or none) or refuses. A table is read as it
stands, and outside of it nothing is guessed.
"""

from __future__ import annotations

import math
from typing import Any

from tallyhook.messages import say
from tallyhook.use.case import Case
from tallyhook.use.documents import as_clause, short
from tallyhook.use.families import Family, in_range, records
from tallyhook.use.result import Factor, UseRefused

__all__ = ["edge_steps", "shortening_steps", "uneven_steps"]

_DEVICES = {
    "cradle": ("cradle-grab", "shortener-with-full-support"),
    "no-cradle": ("grab", "shortener-without-full-support"),
}


def edge_steps(case: Case, family: Family) -> list[Factor]:
    """Give the line of an edge under the chain, by its radius in diameters of the chain."""
    radius = case.edge_radius_mm
    if radius is None:
        return []
    if not (math.isfinite(radius) and radius >= 0):
        raise UseRefused(say("an edge has no radius of {radius:g} mm", radius=radius))
    if not family.edge:
        raise UseRefused(
            say(
                "no {family} document read here has a factor for chain over an edge",
                family=family.name,
            ),
            next_step=say("pad the edge, ask the maker, or see what the European documents give"),
        )
    ratio = radius / case.size_mm
    for row in records("use", "edge-factors", source=family.edge):
        if in_range(ratio, row, "radius_from_diameters", "radius_to_diameters"):
            return [Factor.of_row(say("edge"), row["factor"], row, _edge_note(radius, ratio))]
    raise UseRefused(
        say(
            "{document} has no factor for an edge of {radius:g} mm",
            document=short(family.edge),
            radius=radius,
        )
    )


def _edge_note(radius: float, ratio: float) -> str:
    note = say(
        "a radius of {radius:g} mm is {ratio:.2f} x the chain's diameter",
        radius=radius,
        ratio=ratio,
    )
    if ratio >= 1:
        return note
    return f"{note}; {_other_document(records('use', 'edge-factors', source='dguv-109-017')[0])}"


def _other_document(row: dict[str, Any]) -> str:
    return say(
        "{document} ({locator}) has {factor:g}",
        document=short(row["source"]),
        locator=row["locator"],
        factor=row["factor"],
    )


def shortening_steps(case: Case, family: Family) -> list[Factor]:
    """Give the line of a shortened chain."""
    if case.shortened == "no":
        return []
    if case.shortened not in _DEVICES:
        raise UseRefused(
            say("'{word}' says not how it is shortened", word=case.shortened),
            next_step=say("use no, cradle or no-cradle"),
        )
    number = case.legs if case.shortened_legs is None else case.shortened_legs
    if not 1 <= number <= case.legs:
        raise UseRefused(
            say("{number} of {legs} legs cannot be shortened", number=number, legs=case.legs)
        )
    if not family.shortened:
        raise UseRefused(
            say(
                "no {family} document read here says what a shortener leaves of the rating",
                family=family.name,
            )
        )
    row = _shortening_row(family.shortened[case.shortened], case.shortened)
    notes = []
    if number < case.legs:
        notes.append(
            say(
                "{number} of {legs} legs shortened: the table takes all legs alike, so the "
                "weakest leg sets the sling; see that the legs still share the load",
                number=number,
                legs=case.legs,
            )
        )
    if case.shortened == "no-cradle" and row["source"] != "as-3775":
        notes.append(_other_document(_shortening_row("as-3775", case.shortened)))
    name = say("shortened by a grab hook without cradle")
    if case.shortened == "cradle":
        name = say("shortened by a grab hook with cradle")
    return [Factor.of_row(name, row["factor"], row, "; ".join(notes))]


def _shortening_row(source: str, shortened: str) -> dict[str, Any]:
    rows = records("use", "shortening-factors", source=source)
    return next(r for r in rows if r["device"] in _DEVICES[shortened])


def uneven_steps(case: Case, family: Family) -> list[Factor]:
    """Give the line of a load that the legs do not share evenly."""
    if not case.uneven or case.legs == 1:
        return []
    if not family.asymmetric:
        assumed = records("use", "sling-rules", rule="legs-counted", source="common-practice")[0]
        raise UseRefused(
            say(
                "{reason}, and the {family} tables are for symmetrical loads only ({document}, "
                "{locator})",
                reason=case.uneven,
                family=family.name,
                document=short(assumed["source"]),
                locator=assumed["locator"],
            ),
            next_step=say(
                "have a qualified person rate the lift, or work out the pulls with leg_tensions"
            ),
        )
    row = records("use", "angle-limits", source=family.asymmetric, limit="asymmetric-load")[0]
    two = records("use", "sling-rules", rule="legs-counted", source="bg-bau-slings")[0]
    note = f"{case.uneven}; {short(two['source'])}: {as_clause(two['text'])}"
    name = say("uneven load, not rated by a competent person")
    return [Factor.of_row(name, row["load_percent"] / 100, row, note)]
