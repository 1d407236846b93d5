"""The case that ``in_use`` is asked about, as a record that every step takes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from tallyhook.messages import say
from tallyhook.units import factor
from tallyhook.use.families import Family, records
from tallyhook.use.ratings import Rated
from tallyhook.use.result import UseRefused
from tallyhook.use.terms import as_load, sling_configuration, to_vertical

__all__ = [
    "Case",
    "Heat",
    "configuration_of",
    "hitch_of",
    "leg_angles",
    "load_of",
    "marked_rating",
    "possible_references",
    "require_kind",
    "temperatures",
    "uneven_share",
]

_KINDS = ("sling", "chain", "hook", "grab-hook")
_HITCHES = ("straight", "choke", "basket", "doubled")
_EPS = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Heat:
    """Temperatures of a part: in use, and the highest it was ever exposed to before.

    Both are in [deg C], or in [deg F] when `scale` is ``f``; none where nothing was said.
    """

    in_use: float | None = None
    before: float | None = None
    scale: str = "c"


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A job as stated, read once for all families of documents.

    Attributes
    ----------
    kind : str
        ``sling``, ``chain``, ``hook`` or ``grab-hook``.
    grade, size_mm, size
        Grade number, nominal diameter of the chain [mm] and the name it was given by.
    configuration : str
        ``1-leg`` to ``4-leg``, or ``endless``.
    largest_angle : float or None
        The largest leg angle [deg to the vertical]; none when no angle was given.
    hitch, load_shape, choke_angle
        ``straight``, ``choke``, ``basket`` or ``doubled``; ``round`` or ``square``; angle of
        choke [deg].
    edge_radius_mm : float or None
        Radius of the sharpest edge under the chain [mm].
    heat : Heat
        Temperatures in use and before.
    shortened, shortened_legs
        ``no``, ``cradle`` or ``no-cradle``, and how many legs are; none for all of them.
    uneven : str
        Why the load cannot be taken as evenly shared; empty where it can.
    form, load_position, load_angle
        Form of the hook, where the load sits in it, and the load angle of a sorting hook [deg].
    marked_kg : float or None
        Marked rating of one leg [kg].
    components : tuple of mapping
        Other parts of the assembly, as `tallyhook.use.assembly.part_of` reads them.
    lifting : bool
        Whether something is lifted.
    load_kg : float or None
        The load to hold against what is left [kg].
    """

    kind: str
    grade: int
    size_mm: float
    size: str
    configuration: str
    largest_angle: float | None
    hitch: str
    load_shape: str | None
    choke_angle: float | None
    edge_radius_mm: float | None
    heat: Heat
    shortened: str
    shortened_legs: int | None
    uneven: str
    form: str | None
    load_position: str
    load_angle: float | None
    marked_kg: float | None
    components: tuple[Mapping[str, Any], ...]
    lifting: bool
    load_kg: float | None

    @property
    def legs(self) -> int:
        """How many legs hang from the hook; one for an endless sling."""
        return 1 if self.configuration == "endless" else int(self.configuration[0])

    @property
    def rated(self) -> Rated:
        """What the tables rate: a grab hook is looked up as its chain."""
        kind = "chain" if self.kind == "grab-hook" else self.kind
        return Rated(kind=kind, grade=self.grade, size_mm=self.size_mm, size=self.size)


def require_kind(kind: str) -> None:
    """Refuse a kind of thing that has no rating here."""
    if kind not in _KINDS:
        raise UseRefused(
            say("'{kind}' has no rating here", kind=kind),
            next_step=say("use one of {names}", names=", ".join(_KINDS)),
        )


def configuration_of(kind: str, legs: int | str) -> str:
    """Name a sling by its legs; all other kinds hang from one."""
    configuration = sling_configuration(legs)
    if kind != "sling" and configuration != "1-leg":
        raise UseRefused(say("a {kind} has no legs", kind=kind), next_step=say("name a sling"))
    return configuration


def hitch_of(hitch: str | None, configuration: str) -> str:
    """Give the hitch: as stated, else choke for an endless sling and straight for the others."""
    known = hitch or ("choke" if configuration == "endless" else "straight")
    if known not in _HITCHES:
        raise UseRefused(
            say("'{hitch}' is no hitch", hitch=known),
            next_step=say("use straight, choke or basket, or doubled for an endless sling"),
        )
    if known == "doubled" and configuration != "endless":
        raise UseRefused(
            say("only an endless sling is doubled"), next_step=say("say endless for its legs")
        )
    return known


def leg_angles(angle: float | Sequence[float] | None, reference: str) -> list[float]:
    """Give the leg angles [deg to the vertical]; none when nothing was said."""
    if angle is None:
        return []
    several = [angle] if isinstance(angle, int | float) else list(angle)
    return [to_vertical(float(a), reference) for a in several]


def possible_references(
    angle: float | Sequence[float] | None, stated: str | None, family: Family
) -> tuple[str, ...]:
    """Give what an angle may be measured to: as stated, or to the vertical, as tables count.

    American tables count from the horizontal and riggers write both: there it may be either, but
    for what no leg can hang at (90 to the vertical, 0 to the horizontal). The last one is what is
    taken where they come to the same.
    """
    if stated is not None:
        return (stated,)
    if angle is None or family.unit != "lb":
        return ("vertical",)
    possible = []
    for reference in ("horizontal", "vertical"):
        with suppress(UseRefused):
            leg_angles(angle, reference)
            possible.append(reference)
    return tuple(possible) or ("vertical",)


def temperatures(
    *,
    in_use_c: float | None,
    in_use_f: float | None,
    before_c: float | None,
    before_f: float | None,
) -> Heat:
    """Read temperatures that are given in one of two scales [deg C or deg F]."""
    in_fahrenheit = in_use_f is not None or before_f is not None
    if in_fahrenheit and (in_use_c is not None or before_c is not None):
        raise UseRefused(
            say("temperatures are given in degC and in degF"),
            next_step=say("give them in one of the two"),
        )
    if in_fahrenheit:
        return Heat(in_use=in_use_f, before=before_f, scale="f")
    return Heat(in_use=in_use_c, before=before_c)


def load_of(load_kg: float | None) -> float | None:
    """Take a load [kg] that weighs something, or none."""
    if load_kg is not None and not load_kg > 0:
        raise UseRefused(say("a load weighs something, not {load:g} kg", load=load_kg))
    return load_kg


def marked_rating(marked_kg: float | None, marked_lb: float | None) -> float | None:
    """Read a marked rating that is given in [kg] or in [lb], in [kg]."""
    if marked_kg is not None and marked_lb is not None:
        raise UseRefused(
            say("the marked rating is given twice"), next_step=say("give it in kg or in lb")
        )
    what = say("the marked rating")
    if marked_lb is not None:
        return as_load(marked_lb, what) * factor("lb", "kg")
    return None if marked_kg is None else as_load(marked_kg, what)


def uneven_share(
    angles: Sequence[float], plan_angles: Sequence[float] | None, *, stated: bool
) -> str:
    """Say why a load cannot be taken as evenly shared (EN 818-6, annex A), or nothing.

    Parameters
    ----------
    angles : sequence of float
        Leg angles [deg to the vertical].
    plan_angles : sequence of float or None
        Angles between neighbouring legs, seen from above [deg].
    stated : bool
        Whether the load is said to be uneven.
    """
    if stated:
        return say("the load is stated to be uneven")
    limits = {r["limit"]: r["angle_deg"] for r in records("use", "angle-limits", source="en-818-6")}
    if len(angles) > 1:
        least, difference = min(angles), max(angles) - min(angles)
        if difference > limits["symmetry-difference"] + _EPS:
            return say("the leg angles differ by {difference:g} deg", difference=difference)
        if least < limits["symmetry-leg-angle"] - _EPS:
            return say(
                "a leg hangs at {angle:g} deg, below {least:g} deg",
                angle=least,
                least=limits["symmetry-leg-angle"],
            )
    if plan_angles and max(plan_angles) - min(plan_angles) > limits["symmetry-plan-angle"] + _EPS:
        return say(
            "the angles between the legs in plan differ by {difference:g} deg",
            difference=max(plan_angles) - min(plan_angles),
        )
    return ""
