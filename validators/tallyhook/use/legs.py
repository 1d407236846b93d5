"""The factors of a sling's legs and of its hitch.

Each function gives the lines it adds (most often one or none) or refuses. A table is read as it
stands: between two rows the stricter one holds, and outside of it nothing is guessed.
"""

from __future__ import annotations

import math
from typing import Any

from tallyhook.messages import say
from tallyhook.use.case import Case
from tallyhook.use.documents import short
from tallyhook.use.families import Family, record, records
from tallyhook.use.result import Factor, UseRefused
from tallyhook.wording import number_text

__all__ = ["hitch_steps", "leg_steps"]

_EPS = 1e-9


def leg_steps(case: Case, family: Family) -> list[Factor]:
    """Give the line of the legs of a sling.

    Raises
    ------
    UseRefused
        The family has no factor for such a sling, or none for so flat a leg.
    """
    if case.hitch == "doubled":
        return []  # no factor was read: its table has it or nothing does
    if case.configuration == "endless":
        return [_endless_step(case, family)]
    basket = case.hitch == "basket"
    if case.configuration == "1-leg" and not basket:
        return _single_leg(case, family)
    if case.grade not in family.legs:
        raise UseRefused(
            say(
                "no {family} document read here has leg factors for grade {grade}",
                family=family.name,
                grade=case.grade,
            )
        )
    if case.largest_angle is None:
        raise _no_angle(case)
    counted = "2-leg" if basket else case.configuration
    source = family.legs[case.grade]
    rows = records("use", "leg-factors", source=source, configuration=counted, hitch="straight")
    if not rows:
        raise UseRefused(
            say(
                "{document} has no leg factor for {configuration} slings",
                document=short(source),
                configuration=counted,
            )
        )
    plumb = _plumb_basket(family, case.largest_angle) if basket else None
    if plumb is not None:
        return [plumb]
    rows.sort(key=lambda r: float(r["angle_to_deg"]))
    fitting = [r for r in rows if case.largest_angle <= r["angle_to_deg"] + _EPS]
    if not fitting:
        raise UseRefused(_too_flat(family, source, case.largest_angle, rows[-1]["angle_to_deg"]))
    return [_tabulated(fitting[0], counted, case.largest_angle, basket=basket)]


def _no_angle(case: Case) -> UseRefused:
    part = say("a sling of {legs} legs", legs=case.configuration[0])
    if case.hitch == "basket":
        part = say("the two parts of a basket")
    return UseRefused(
        say("what {part} may carry depends on the leg angle, and none was given", part=part),
        next_step=say("give the angle"),
    )


def _plumb_basket(family: Family, angle: float) -> Factor | None:
    """Give the line of a basket whose two parts hang as good as plumb, where a document has one."""
    name = say("basket, two vertical parts")
    if family.unit == "lb":
        plumb = _treated_as_vertical()
        if angle <= plumb["angle_deg"] + _EPS:
            note = say(
                "a part within {limit:g} deg of plumb is rated as a vertical one",
                limit=plumb["angle_deg"],
            )
            return Factor.of_row(name, 2.0, plumb, note, known_by="computed")
    if angle < _EPS and family.basket:
        row = _basket_row(family, "round")
        return Factor.of_row(name, row["factor"], row)
    return None


def _tabulated(row: dict[str, Any], counted: str, angle: float, *, basket: bool) -> Factor:
    most = record("use", "sling-rules", "", rule="legs-counted", source="common-practice")
    carrying = min(int(counted[0]), int(most["count"]))  # a fourth leg may hang slack
    shown, upper = number_text(round(angle, 2)), number_text(row["angle_to_deg"])
    cosine = carrying * math.cos(math.radians(angle))
    note = say("{legs} x cos {angle} deg is {value:.3f}", legs=carrying, angle=shown, value=cosine)
    if angle < row["angle_to_deg"] - _EPS:
        taken = say("{angle} deg takes the row to {upper} deg", angle=shown, upper=upper)
        note = f"{taken}; {note}"
    legs = say("{legs} legs", legs=counted[0])
    if basket:
        legs = say("basket, its two parts counted as two legs")
    name = say(
        "{legs}, {lower} to {upper} deg to the vertical",
        legs=legs,
        lower=number_text(row["angle_from_deg"]),
        upper=upper,
    )
    return Factor.of_row(name, row["leg_factor"], row, note, "computed" if basket else "")


def _single_leg(case: Case, family: Family) -> list[Factor]:
    angle = case.largest_angle
    if angle is not None and angle > _treated_as_vertical()["angle_deg"] + _EPS:
        raise UseRefused(
            say("one leg hangs plumb and not at {angle:g} deg", angle=angle),
            next_step=say(
                "name two legs, or the basket hitch, or work out the pull with leg_tensions"
            ),
        )
    source = family.legs.get(case.grade, "")
    rows = records("use", "leg-factors", source=source, configuration="1-leg")
    return [Factor.of_row(say("1 leg, vertical"), row["leg_factor"], row) for row in rows]


def _treated_as_vertical() -> dict[str, Any]:
    return record("use", "angle-limits", "", source="29-cfr-1910-184", limit="treated-as-vertical")


def _endless_step(case: Case, family: Family) -> Factor:
    if case.grade not in family.endless:
        raise UseRefused(
            say(
                "no {family} document read here rates an endless sling of grade {grade}",
                family=family.name,
                grade=case.grade,
            )
        )
    row = record(
        "use",
        "leg-factors",
        say("has no factor for endless slings"),
        source=family.endless[case.grade],
        configuration="endless",
    )
    if case.hitch != "choke":
        raise UseRefused(
            say(
                "{document} ({locator}) rates endless slings for the choke hitch only",
                document=short(row["source"]),
                locator=row["locator"],
            )
        )
    return Factor.of_row(say("endless sling, choked"), row["leg_factor"], row)


def _too_flat(family: Family, source: str, angle: float, last: float) -> str:
    ends = say(
        "the table of {document} ends at {last} deg to the vertical ({other} to the horizontal), "
        "and the leg hangs at {angle}",
        document=short(source),
        last=number_text(last),
        other=number_text(90 - last),
        angle=number_text(round(angle, 2)),
    )
    if not family.flattest:
        return ends
    row = record("use", "angle-limits", "", source=family.flattest, limit="leg-angle")
    return f"{ends}; {short(family.flattest)} ({row['locator']}): {row['consequence']}"


# --- hitch --------------------------------------------------------------------------------------


def hitch_steps(case: Case, family: Family) -> list[Factor]:
    """Give the lines of a choke or a basket; a straight pull has none.

    The shape of the load is asked for by Australian documents only. The angle of choke is that
    between the two parts of the chain; from 120 deg up a choke has drawn itself tight.
    """
    if case.hitch in ("straight", "doubled"):
        return []
    if case.load_shape not in (None, "round", "square"):
        raise UseRefused(
            say("'{shape}' is no load shape", shape=case.load_shape),
            next_step=say("use round or square"),
        )
    if case.hitch == "basket":
        return _basket_steps(case, family)
    return _choke_steps(case, family)


def _choke_steps(case: Case, family: Family) -> list[Factor]:
    angle = case.choke_angle
    if angle is not None and not 0 < angle <= 180:
        raise UseRefused(
            say("no choke draws to an angle of {angle:g} deg", angle=angle),
            next_step=say("it lies from 0 to 180"),
        )
    tight = record("use", "angle-limits", "", limit="angle-of-choke")["angle_deg"]
    sharp = angle is not None and angle < tight
    if case.configuration == "endless" and not sharp:
        return []  # its factor is for the choke already
    if not family.choke:
        raise UseRefused(say("no {family} document read here rates a choke", family=family.name))
    shape = "any"
    notes = []
    if records("use", "hitch-factors", source=family.choke, hitch="choke", load_shape="square"):
        shape = case.load_shape or "square"
        if case.load_shape is None:
            notes.append(_stricter_shape())
    if sharp and angle is not None:
        return _sharp_choke(family, shape, angle)
    if angle is None:
        notes.append(
            say(
                "holds from an angle of choke of {tight:g} deg; below it the choke carries less",
                tight=tight,
            )
        )
    row = record("use", "hitch-factors", "", source=family.choke, hitch="choke", load_shape=shape)
    name = say("choke") if shape == "any" else say("choke, {shape} load", shape=shape)
    return [Factor.of_row(name, row["factor"], row, "; ".join(notes))]


def _basket_steps(case: Case, family: Family) -> list[Factor]:
    if case.configuration != "1-leg":
        raise UseRefused(
            say("no document read here has a factor for more than one basket at a time"),
            next_step=say("rate one basket, or the legs as straight ones"),
        )
    if not family.basket or case.load_shape == "round":
        return []
    square, rounded = (_basket_row(family, shape) for shape in ("square", "round"))
    note = say(
        "reeve factor {factor:g} in place of {usual:g}",
        factor=square["factor"],
        usual=rounded["factor"],
    )
    if case.load_shape is None:
        note = f"{_stricter_shape()}; {note}"
    left = square["factor"] / rounded["factor"]
    return [Factor.of_row(say("basket, square load"), left, square, note, "computed")]


def _basket_row(family: Family, shape: str) -> dict[str, Any]:
    return record(
        "use", "hitch-factors", "", source=family.basket, hitch="basket", load_shape=shape
    )


def _stricter_shape() -> str:
    return say("the shape of the load was not given, and the stricter row is taken")


def _sharp_choke(family: Family, shape: str, angle: float) -> list[Factor]:
    """Give the lines of a choke drawn to a sharper angle than its rating holds for.

    One document has a figure, for the sharpest: it holds for every angle up to the usual choke, as
    nothing that was read has one between.
    """
    row = record("use", "hitch-factors", "", source="rigging-handbook", choke_angle="below 30")
    usual = record("use", "hitch-factors", "", source=family.choke, hitch="choke", load_shape=shape)
    note = ""
    if angle >= row["choke_angle_to_deg"]:
        note = say(
            "printed below {limit:g} deg; nothing that was read has a figure from there to "
            "{angle:g} deg: the maker's may be higher",
            limit=row["choke_angle_to_deg"],
            angle=angle,
        )
    name = say("angle of choke {angle:g} deg", angle=angle)
    return [
        Factor.of_row(say("choke"), usual["factor"], usual),
        Factor.of_row(name, row["factor"], row, note),
    ]
