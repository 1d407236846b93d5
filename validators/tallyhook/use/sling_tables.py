"""The printed sling tables, above which no rating in use may be.

A table of a scheme that prints the very sling gives its number, whatever the factors come to. The
choke of European slings follows the one official table that prints it: it is taken of the printed
rating, and cut to 10 kg. A rule of thumb gives no more than a table of a neighbouring scheme.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from tallyhook.messages import say
from tallyhook.packages.descriptors import KNOWN_BY
from tallyhook.units import factor
from tallyhook.use.case import Case
from tallyhook.use.families import Family, records
from tallyhook.use.result import Factor
from tallyhook.wording import number_text

__all__ = [
    "basis_of",
    "chokes_by_printed_rating",
    "cut_step",
    "is_tabulated",
    "lowest_step",
    "table_step",
]

_EPS = 1e-9
_CUT_KG = 10
_CUT_LB = 100
_LEGS_OF_THE_TABLE = 2
_TABLES = ("slings", "hitch-slings")


def chokes_by_printed_rating(case: Case, family: Family) -> bool:
    """Whether a choke is taken of the printed rating of one leg, as the official table does."""
    if case.kind != "sling" or case.hitch != "choke" or case.marked_kg is not None:
        return False
    return family.scheme == "european" and case.configuration != "endless"


def cut_step(case: Case, family: Family, kg: float) -> list[Factor]:
    """Cut a choke's rating [kg] to the step that the official choke tables are printed in.

    DGUV Information 209-021, section 2, prints to 10 kg and cuts off what is over; OSHA's table 3
    prints to 100 lb. Of three and four legs no choke table was read: there EN 818-6, which takes
    the choke of the sling's own rating, is the ceiling.
    """
    pounds = family.unit == "lb"
    step, unit = (_CUT_LB, "lb") if pounds else (_CUT_KG, "kg")
    load = round(kg * factor("kg", "lb") if pounds else kg, 6)
    if not pounds and case.legs > _LEGS_OF_THE_TABLE:
        load = min(load, _ceiling(case, family))
    cut = step * math.floor(load / step + _EPS)
    left = cut * factor("lb", "kg") if pounds else float(cut)
    if pounds:
        source, locator = (
            "osha-sling-guidance",
            say("Table 3, choker hitches, is printed to 100 lb"),
        )
    else:
        source = "dguv-209-021"
        locator = say("section 2, choke hitch: 0.8 of the printed rating, cut to 10 kg")
    return [
        Factor(
            name=say(
                "cut to {step} {unit} ({before} {unit} before)",
                step=step,
                unit=unit,
                before=number_text(round(load, 1)),
            ),
            value=float(cut),
            unit=unit,
            left_kg=left,
            source=source,
            locator=locator,
            known_by="computed",
        )
    ]


def _ceiling(case: Case, family: Family) -> float:
    straight = _row(replace(case, hitch="straight", choke_angle=None), family)
    factors = records("use", "hitch-factors", source=family.choke, hitch="choke")
    if straight is None or not factors:
        return math.inf
    return float(straight["wll_kg"]) * float(factors[0]["factor"])


def is_tabulated(case: Case, family: Family) -> bool:
    """Whether a table of the family has this very sling in its hitch."""
    return _row(case, family) is not None


def table_step(case: Case, family: Family, kg: float, *, governs: bool) -> list[Factor]:
    """Give the number that the scheme's own table prints for this very sling, if it prints one.

    Parameters
    ----------
    kg : float
        What the factors come to [kg].
    governs : bool
        Whether the table's number stands in any case; else only where it is the lower one, as
        where a weaker part has set the rating.
    """
    row = _row(case, family)
    if row is None:
        return []
    tight = records("use", "angle-limits", limit="angle-of-choke")[0]["angle_deg"]
    governs = governs and (case.choke_angle is None or case.choke_angle >= tight)
    pounds = family.unit == "lb"
    value = float(row["wll_lb"] if pounds else row["wll_kg"])
    printed = value * factor("lb", "kg") if pounds else value
    if not governs and printed >= kg * (1 - _EPS):
        return []
    note = ""
    if abs(printed - kg) > kg * 1e-6:
        before = number_text(round(kg * factor("kg", "lb") if pounds else kg, 1))
        note = say(
            "the factors come to {before} {unit}; the table stands",
            before=before,
            unit="lb" if pounds else "kg",
        )
    return [
        Factor(
            name=say("as the sling table has it"),
            value=value,
            unit="lb" if pounds else "kg",
            left_kg=printed,
            source=row["source"],
            locator=row["locator"],
            known_by=_known_by(row, family),
            note=note,
        )
    ]


def lowest_step(kg: float, neighbours: Sequence[tuple[Family, Factor]]) -> list[Factor]:
    """Bring what a rule of thumb gives [kg] down to the lowest table of a neighbouring scheme."""
    lower = [n for n in neighbours if n[1].left_kg < kg * (1 - _EPS)]
    if not lower:
        return []
    family, last = min(lower, key=lambda n: n[1].left_kg)
    pounds = family.unit == "lb"
    return [
        Factor(
            name=say("no more than the {family} tables have", family=family.name),
            value=round(last.left_kg * factor("kg", "lb"), 6) if pounds else last.left_kg,
            unit="lb" if pounds else "kg",
            left_kg=last.left_kg,
            source=last.source,
            locator=last.locator,
            known_by=last.known_by,
            note=say("a rule of thumb is no reason to load more than a table allows"),
        )
    ]


def basis_of(steps: Sequence[Factor]) -> str:
    """Say how the very number that is left is known: the word of its table, or of its weakest step.

    A number that a factor has changed is no table's any more: at best it is computed.
    """
    # a rounded number rests on what it was rounded of
    stated = [i for i, s in enumerate(steps) if s.unit != "1" and s.known_by != "computed"]
    last = max(stated, default=0)
    words = [steps[last].known_by]
    words += [s.known_by for s in steps[last + 1 :] if s.unit != "1" or abs(s.value - 1) > _EPS]
    if len(words) > 1:
        words.append("computed")
    known = [w for w in words if w in KNOWN_BY]
    return max(known, key=KNOWN_BY.index, default="computed")


def _row(case: Case, family: Family) -> dict[str, Any] | None:
    """Find the row of the sling table for this sling: the first whose angle reaches so far."""
    if not family.scheme:
        return None
    configuration, hitch = case.configuration, case.hitch
    if hitch == "basket":
        # a single basket is a column of two legs, where a table prints it at all
        if family.unit != "lb" or configuration != "1-leg":
            return None
        configuration, hitch = "2-leg", "straight"
    wanted = {
        "scheme": family.scheme, "grade": case.grade, "size_mm": case.size_mm,
        "configuration": configuration, "hitch": hitch,
    }  # fmt: skip
    rows = [r for table in _TABLES for r in records("chain", table, **wanted)]
    column = "wll_lb" if family.unit == "lb" else "wll_kg"
    angle = case.largest_angle or 0.0
    if configuration in ("1-leg", "endless"):
        angle = 0.0
    reached = [
        r
        for r in rows
        if angle <= float(r["angle_to_deg"]) + _EPS
        and r[column] is not None
        and _known_by(r, family) != "recalled"
    ]
    return min(reached, key=lambda r: float(r["angle_to_deg"]), default=None)


def _known_by(row: dict[str, Any], family: Family) -> str:
    column = "wll_lb_known_by" if family.unit == "lb" else "wll_kg_known_by"
    return str(row.get(column) or row["known_by"])
