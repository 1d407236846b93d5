"""Sling leg tensions by statics, for legs of unequal length and angle.

The documents rate a sling as if all its legs hung alike (the uniform load method). Where they do
not, equilibrium says what each leg carries: at the hook, the pulls of the legs add up to the
weight, which hangs plumb below it. Two and three legs are settled by that alone. Four legs are
not: how they share depends on a few millimetres of length, so the answer is a range, and what the
documents do about it is a rule (two legs must be able to carry the whole load).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from tallyhook.messages import say
from tallyhook.units import STANDARD_GRAVITY
from tallyhook.use.documents import as_clause, short
from tallyhook.use.families import FAMILIES, records
from tallyhook.use.result import UseRefused
from tallyhook.use.statics import Hanging, Vector, bounds, elastic_shares, hang_by_lengths
from tallyhook.wording import CAUTION, number_text, rounded_down, rounded_up, wrapped

__all__ = ["LegTensions", "leg_tensions"]

_TILTED_DEG = 0.5  # below it nobody sees that a load hangs tilted
_COMPARED_GRADE = 80  # the grade whose leg factors a family is compared by


@dataclass(frozen=True, slots=True, kw_only=True)
class LegTensions:
    """The pull in each leg of a sling, as a load [kg], and the geometry that it belongs to.

    `tensions_kg` is none when the legs are statically indeterminate. `least_kg` and `most_kg` are
    the bounds over every sharing that equilibrium allows, whatever the lengths do; they equal the
    tensions when there is only one. `elastic_kg` is one of those sharings: that of equal elastic
    legs of exactly these lengths under a rigid load. `uniform_kg` is what the uniform load method
    of each document counts for the most loaded leg.
    """

    load_kg: float
    hook: tuple[float, float, float]
    lengths: tuple[float, ...]
    angles_deg: tuple[float, ...]
    tilt_deg: float
    determinate: bool
    tensions_kg: tuple[float, ...] | None
    least_kg: tuple[float, ...]
    most_kg: tuple[float, ...]
    elastic_kg: tuple[float, ...] | None
    uniform_kg: dict[str, float | None]
    notes: tuple[str, ...]

    @property
    def needed_kg(self) -> float:
        """The rating that every leg needs by statics [kg]: the most that any leg may carry."""
        return max(self.most_kg)

    def to_dict(self) -> dict[str, Any]:
        """Give the answer as plain data, with the caution."""
        return asdict(self) | {"needed_kg": self.needed_kg, "caution": say(CAUTION)}

    def to_text(self) -> str:
        """Write a line for each leg, then the comparison with the documents' method."""
        head = say(
            "{legs} legs, load {load} kg, tilt {tilt:.1f} deg",
            legs=len(self.lengths),
            load=number_text(float(f"{self.load_kg:.4g}")),
            tilt=self.tilt_deg,
        )
        lines = [*wrapped(head), ""]
        for n in range(len(self.lengths)):
            lines += self._leg_lines(n)
        needed = say("Rating that each leg needs by statics: {pull}.", pull=_kg(self.needed_kg))
        lines += ["", *wrapped(needed)]
        for name, kg in self.uniform_kg.items():
            lines += wrapped(self._uniform_text(name, kg))
        for note in self.notes:
            lines += wrapped(say("Note: {note}.", note=note))
        return "\n".join([*lines, "", *wrapped(say(CAUTION))]) + "\n"

    def _leg_lines(self, n: int) -> list[str]:
        if self.tensions_kg is not None:
            pull = say(
                "carries {pull} ({force})",
                pull=_kg(self.tensions_kg[n]),
                force=_kn(self.tensions_kg[n]),
            )
        else:
            pull = say(
                "carries from {least} kg to {most}",
                least=number_text(rounded_down(self.least_kg[n])),
                most=_kg(self.most_kg[n]),
            )
        text = say(
            "length {length:.3g}, {angle:.1f} deg to the vertical, {pull}",
            length=self.lengths[n],
            angle=self.angles_deg[n],
            pull=pull,
        )
        leg = say("leg {number}", number=n + 1)
        lines = wrapped(text, first=f"  {leg}: ", indent=9)
        if self.elastic_kg is not None:
            elastic = say("as equal elastic legs: {pull}", pull=_kg(self.elastic_kg[n]))
            lines += wrapped(elastic, indent=9)
        return lines

    def _uniform_text(self, name: str, kg: float | None) -> str:
        if kg is None:
            return say("Uniform load method, {name}: does not cover these legs.", name=name)
        if kg < self.needed_kg * (1 - 1e-6):
            return say(
                "Uniform load method, {name}: counts {pull} a leg (less than statics).",
                name=name,
                pull=_kg(kg),
            )
        return say("Uniform load method, {name}: counts {pull} a leg.", name=name, pull=_kg(kg))


def leg_tensions(
    points: Sequence[Sequence[float]],
    *,
    load_kg: float,
    centre: Sequence[float],
    hook: Sequence[float] | None = None,
    lengths: Sequence[float] | None = None,
) -> LegTensions:
    """Work out what each leg of a sling carries.

    Parameters
    ----------
    points : sequence of (x, y, z)
        Where the two to four legs are fixed to the load [any one unit of length], z upwards.
    load_kg : float
        The load [kg].
    centre : (x, y, z)
        Its centre of gravity, in the same frame.
    hook : (x, y, z), optional
        Where the legs meet. The load turns until its centre of gravity hangs plumb below it.
    lengths : sequence of float, optional
        The lengths of the legs, in place of `hook`. Legs that are too long hang slack.

    Returns
    -------
    LegTensions
        Pulls in [kg] (1 kg pulls with 9.80665 N), angles in [deg to the vertical].

    Raises
    ------
    UseRefused
        The legs do not reach, a leg would have to push, or the load cannot hang so.

    Examples
    --------
    Two legs at 45 degrees carry the load over the square root of two each.

    >>> ends = [(-1, 0, 0), (1, 0, 0)]
    >>> pulls = leg_tensions(ends, load_kg=1000, centre=(0, 0, 0), hook=(0, 0, 1))
    >>> [round(t, 1) for t in pulls.tensions_kg]
    [707.1, 707.1]
    """
    anchors = _array(points, "points")
    mass = _array([centre], "centre")[0]
    if not 2 <= len(anchors) <= 4:
        raise UseRefused(say("a sling has two to four legs here, not {legs}", legs=len(anchors)))
    if not (np.isfinite(load_kg) and load_kg > 0):
        raise UseRefused(say("a load weighs something, not {load:g} kg", load=load_kg))
    if (hook is None) == (lengths is None):
        raise UseRefused(say("either the hook's place or the lengths of the legs is given"))
    if hook is not None:
        hanging = Hanging(anchors=anchors, hook=_array([hook], "hook")[0], mass=mass)
    else:
        hanging = hang_by_lengths(anchors, np.asarray(lengths, dtype=np.float64), mass)
    hanging.refuse_hook_in_load()
    return _shared(hanging, load_kg, lengths)


def _shared(hanging: Hanging, load_kg: float, lengths: Sequence[float] | None) -> LegTensions:
    least, most = bounds(hanging.pulls, hanging.down)
    elastic = elastic_shares(hanging.pulls, hanging.reach[hanging.taut], hanging.down)
    determinate = bool(np.allclose(least, most, atol=1e-7))
    legs = len(hanging.anchors)
    least_kg, most_kg, elastic_kg = (
        _of_all_legs(shares * load_kg, hanging.taut, legs) for shares in (least, most, elastic)
    )
    x, y, z = map(float, hanging.hook)
    return LegTensions(
        load_kg=load_kg,
        hook=(x, y, z),
        lengths=tuple(map(float, hanging.reach if lengths is None else lengths)),
        angles_deg=tuple(map(float, hanging.angles_deg)),
        tilt_deg=hanging.tilt_deg,
        determinate=determinate,
        tensions_kg=least_kg if determinate else None,
        least_kg=least_kg,
        most_kg=most_kg,
        elastic_kg=None if determinate else elastic_kg,
        uniform_kg=_uniform(legs, float(hanging.angles_deg[hanging.taut].max()), load_kg),
        notes=tuple(_notes(hanging, determinate=determinate)),
    )


def _uniform(legs: int, worst_deg: float, load_kg: float) -> dict[str, float | None]:
    """Give what each document's uniform load method counts for a leg at the worst angle [kg]."""
    counted: dict[str, float | None] = {}
    for family in FAMILIES.values():
        source = family.legs.get(_COMPARED_GRADE)
        rows = (
            records("use", "leg-factors", source=source, configuration=f"{legs}-leg")
            if source
            else []
        )
        if not rows:
            continue
        fitting = [r for r in rows if worst_deg <= r["angle_to_deg"] + 1e-9]
        name = f"{family.name} ({short(str(source))})"
        counted[name] = load_kg / min(r["leg_factor"] for r in fitting[:1]) if fitting else None
    return counted


def _notes(hanging: Hanging, *, determinate: bool) -> list[str]:
    notes = []
    if not determinate:
        two = records("use", "sling-rules", rule="legs-counted", source="bg-bau-slings")[0]
        three = records("use", "sling-rules", rule="legs-counted", source="common-practice")[0]
        notes += [
            say(
                "four legs are statically indeterminate: equilibrium alone does not say how they "
                "share, a difference in length of a few millimetres does; hence the range"
            ),
            f"{short(two['source'])} ({two['locator']}): {as_clause(two['text'])}",
            say(
                "{locator} ({document}): three legs are counted",
                locator=three["locator"],
                document=short(three["source"]),
            ),
        ]
    for leg in sorted(hanging.slack):
        notes.append(
            say("leg {number} is longer than it needs to be and hangs slack", number=leg + 1)
        )
    if hanging.tilt_deg > _TILTED_DEG:
        notes.append(
            say(
                "the load hangs tilted by {tilt:.1f} deg until its centre of gravity is plumb",
                tilt=hanging.tilt_deg,
            )
        )
    if hanging.top_heavy:
        notes.append(
            say(
                "the centre of gravity lies above a point where a leg is fixed: such a load can "
                "turn over"
            )
        )
    return notes


def _array(values: Sequence[Sequence[float]], name: str) -> Vector:
    try:
        array = np.asarray(values, dtype=np.float64)
    except (TypeError, ValueError):
        array = np.empty(0)
    if array.ndim != 2 or array.shape[1] != 3 or not np.isfinite(array).all():
        raise UseRefused(
            say("the {name} are not places of three numbers each", name=name),
            next_step=say("write x, y, z"),
        )
    return array


def _of_all_legs(values: Vector, taut: Sequence[int], legs: int) -> tuple[float, ...]:
    """Give the pulls of the taut legs among nought for those that hang slack."""
    full = np.zeros(legs)
    full[list(taut)] = values
    return tuple(float(v) for v in full)


def _kg(value: float) -> str:
    # someone will choose a leg by it: a pull is never shown smaller than it is
    return f"{number_text(rounded_up(value))} kg"


def _kn(value: float) -> str:
    return f"{number_text(rounded_up(value * STANDARD_GRAVITY / 1000))} kN"
