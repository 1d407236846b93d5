"""What an answer says beside its figures: the conditions, what is taken for granted, and notes."""

from __future__ import annotations

from tallyhook.messages import say
from tallyhook.use.case import Case
from tallyhook.use.documents import short
from tallyhook.use.families import Family, records
from tallyhook.wording import number_text

__all__ = ["assumed", "conditions", "symmetry_notes"]


def conditions(case: Case) -> tuple[str, ...]:
    """Name the conditions of use as they were understood."""
    named = [say("{size} grade {grade} {kind}", size=case.size, grade=case.grade, kind=case.kind)]
    if case.kind == "sling":
        endless = case.configuration == "endless"
        named.append(say("endless") if endless else say("legs: {legs}", legs=case.legs))
        named.append(say("hitch: {hitch}", hitch=case.hitch))
    if case.largest_angle is not None:
        angle = number_text(round(case.largest_angle, 2))
        named.append(say("{angle} deg to the vertical", angle=angle))
    if case.form:
        named.append(
            say("form: {form}, loaded: {position}", form=case.form, position=case.load_position)
        )
    if case.edge_radius_mm is not None:
        named.append(say("edge radius {radius:g} mm", radius=case.edge_radius_mm))
    unit = f"deg{case.heat.scale.upper()}"
    if case.heat.in_use is not None:
        named.append(say("at {value} {unit}", value=number_text(case.heat.in_use), unit=unit))
    if case.heat.before is not None:
        value = number_text(case.heat.before)
        named.append(say("exposed to {value} {unit} before", value=value, unit=unit))
    if case.shortened == "cradle":
        named.append(say("shortened with cradle"))
    elif case.shortened != "no":
        named.append(say("shortened without cradle"))
    if case.uneven:
        named.append(say("load shared unevenly"))
    return tuple(named)


def assumed(case: Case) -> tuple[str, ...]:
    """Name what is taken for granted because nothing was said of it."""
    taken = []
    if case.kind in ("sling", "chain") and case.edge_radius_mm is None:
        taken.append(say("no sharp edge under the chain"))
    if case.heat.in_use is None:
        taken.append(say("a temperature at which the rating is not reduced"))
    if case.heat.before is None:
        taken.append(say("no earlier exposure to heat"))
    if case.legs > 1 and not case.uneven:
        taken.append(say("legs alike, and a load that they share evenly"))
    if not case.components and case.kind == "sling":
        taken.append(say("master link and fittings rated no lower than the chain"))
    taken.append(say("parts inspected and none past a removal limit"))
    return tuple(taken)


def symmetry_notes(case: Case, family: Family, kg: float) -> tuple[str, ...]:
    """Say where EN 818-6 does not let the load of a rating [kg] be taken as evenly shared."""
    if family.name != "european" or case.legs == 1 or case.uneven:
        return ()
    limits = {r["limit"]: r for r in records("use", "angle-limits", source="en-818-6")}
    least, share = limits["symmetry-leg-angle"], limits["symmetry-load"]
    notes = []
    if case.largest_angle is not None and case.largest_angle < least["angle_deg"]:
        notes.append(
            say(
                "below {angle:g} deg to the vertical {document} ({locator}) does not let symmetry "
                "be taken for granted: have a competent person rate the lift, or count {left:g} "
                "percent",
                angle=least["angle_deg"],
                document=short(least["source"]),
                locator=least["locator"],
                left=limits["asymmetric-load"]["load_percent"],
            )
        )
    if case.load_kg is not None and case.load_kg >= share["load_percent"] / 100 * kg:
        notes.append(
            say(
                "from {percent:g} percent of the rating up {document} ({locator}) does not let "
                "symmetry be taken for granted: have a competent person rate the lift",
                percent=share["load_percent"],
                document=short(share["source"]),
                locator=share["locator"],
            )
        )
    return tuple(notes)
