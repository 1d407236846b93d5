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
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tallyhook.messages import say
from tallyhook.units import STANDARD_GRAVITY
from tallyhook.use.documents import as_clause, short
from tallyhook.use.families import FAMILIES, records
from tallyhook.use.result import UseRefused
from tallyhook.wording import CAUTION, number_text, rounded_down, rounded_up, wrapped

__all__ = ["LegTensions", "leg_tensions"]

_Vector = NDArray[np.float64]
_TOLERANCE = 1e-9
_SAME_LENGTH = 1e-6  # of a leg; closer than that two geometries are one
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
        place, slack = _array([hook], "hook")[0], frozenset[int]()
    else:
        place, slack = _hang(anchors, np.asarray(lengths, dtype=np.float64), mass)
    return _share(anchors, place, mass, load_kg, slack, lengths)


def _share(
    anchors: _Vector, hook: _Vector, mass: _Vector, load_kg: float, slack: frozenset[int],
    lengths: Sequence[float] | None,
) -> LegTensions:  # fmt: skip
    arms = anchors - hook
    reach = np.linalg.norm(arms, axis=1)
    plumb = mass - hook
    if reach.min() < _TOLERANCE or np.linalg.norm(plumb) < _TOLERANCE:
        raise UseRefused(
            say("the hook sits in the load"),
            next_step=say("check the points and the hook's place"),
        )
    down = plumb / np.linalg.norm(plumb)
    taut = [n for n in range(len(anchors)) if n not in slack]
    pulls = (arms / reach[:, None])[taut].T  # a column a leg: its direction, seen from the hook
    least, most = _bounds(pulls, down)
    elastic = _elastic(pulls, reach[taut], down)
    determinate = bool(np.allclose(least, most, atol=1e-7))
    fill = [_of_all_legs(v * load_kg, taut, len(anchors)) for v in (least, most, elastic)]
    angles = np.degrees(np.arccos(np.clip(arms @ down / reach, -1, 1)))
    tilt = float(np.degrees(np.arccos(np.clip(-down[2], -1, 1))))
    worst = float(angles[taut].max())
    return LegTensions(
        load_kg=load_kg,
        hook=(float(hook[0]), float(hook[1]), float(hook[2])),
        lengths=tuple(map(float, reach if lengths is None else lengths)),
        angles_deg=tuple(float(a) for a in angles),
        tilt_deg=tilt,
        determinate=determinate,
        tensions_kg=fill[0] if determinate else None,
        least_kg=fill[0],
        most_kg=fill[1],
        elastic_kg=None if determinate else fill[2],
        uniform_kg=_uniform(len(anchors), worst, load_kg),
        notes=tuple(_notes(anchors, hook, mass, down, determinate, slack, tilt)),
    )


def _bounds(pulls: _Vector, down: _Vector) -> tuple[_Vector, _Vector]:
    """Give the least and the most of each pull over all that balance the load and push nowhere.

    The pulls that balance the load without pushing are a convex set, and its corners are those
    where no more legs pull than equilibrium can settle: each leg's extremes are among them.
    """
    legs = pulls.shape[1]
    corners = []
    for number in range(1, min(legs, 3) + 1):
        for chosen in combinations(range(legs), number):
            part = pulls[:, chosen]
            if np.linalg.matrix_rank(part, tol=1e-9) < number:
                continue
            found, *_ = np.linalg.lstsq(part, down, rcond=None)
            if np.linalg.norm(part @ found - down) < 1e-7 and found.min() > -1e-7:
                corner = np.zeros(legs)
                corner[list(chosen)] = np.maximum(found, 0.0)
                corners.append(corner)
    if not corners:
        raise UseRefused(
            say(
                "no pull in these legs holds the load so: a leg would have to push, or the load "
                "would turn until its centre of gravity hangs below the hook"
            ),
            next_step=say("check the centre of gravity against the points"),
        )
    return np.min(corners, axis=0), np.max(corners, axis=0)


def _elastic(pulls: _Vector, reach: _Vector, down: _Vector) -> _Vector:
    """Share the load as equal elastic legs do: stiffness as 1 / length, and no leg pushes.

    The load sinks by a small `d`; each leg stretches by its share of it. Legs that would be
    pressed are let go and the rest is solved anew.
    """
    active = list(range(pulls.shape[1]))
    while True:
        part = pulls[:, active]
        stiffness = np.diag(1.0 / reach[active])
        sink, *_ = np.linalg.lstsq(part @ stiffness @ part.T, down, rcond=None)
        found = stiffness @ part.T @ sink
        if found.min() > -1e-9 or len(active) == 1:
            shares = np.zeros(pulls.shape[1])
            shares[active] = np.maximum(found, 0.0)
            return shares
        active.pop(int(found.argmin()))


def _hang(anchors: _Vector, lengths: _Vector, mass: _Vector) -> tuple[_Vector, frozenset[int]]:
    """Find where legs of these lengths meet when the load hangs, and which of them are slack."""
    if lengths.shape != (len(anchors),) or not (np.isfinite(lengths).all() and lengths.min() > 0):
        raise UseRefused(
            say("{legs} legs have {legs} lengths, all above nothing", legs=len(anchors))
        )
    if len(anchors) == 2:
        return _meet_two(anchors, lengths, mass), frozenset()
    found = []
    for chosen in combinations(range(len(anchors)), 3):
        place = _meet_three(anchors[list(chosen)], lengths[list(chosen)], mass)
        if place is None:
            continue
        spare = lengths - np.linalg.norm(anchors - place, axis=1)
        slack = frozenset(int(n) for n in np.flatnonzero(spare > _SAME_LENGTH * lengths))
        if (spare < -_SAME_LENGTH * lengths).any() or not _holds(anchors, place, mass, slack):
            continue
        found.append((place, slack))
    if not found:
        raise UseRefused(
            say("legs of these lengths do not meet over the load's centre of gravity"),
            next_step=say("check the lengths and the points"),
        )
    # the load hangs as low below the hook as the legs let it
    return max(found, key=lambda f: float(np.linalg.norm(mass - f[0])))


def _holds(anchors: _Vector, place: _Vector, mass: _Vector, slack: frozenset[int]) -> bool:
    taut = [n for n in range(len(anchors)) if n not in slack]
    arms = anchors[taut] - place
    down = (mass - place) / np.linalg.norm(mass - place)
    try:
        _bounds((arms / np.linalg.norm(arms, axis=1)[:, None]).T, down)
    except UseRefused:
        return False
    return True


def _meet_two(anchors: _Vector, lengths: _Vector, mass: _Vector) -> _Vector:
    """Meet two legs in the plane of their points and the centre of gravity, away from it."""
    along = anchors[1] - anchors[0]
    width = float(np.linalg.norm(along))
    if width < _TOLERANCE:
        raise UseRefused(say("the two legs are fixed at one point"))
    along = along / width
    offset = (lengths[0] ** 2 - lengths[1] ** 2 + width**2) / (2 * width)
    height2 = lengths[0] ** 2 - offset**2
    if height2 <= _TOLERANCE:
        raise UseRefused(
            say("the two legs are too short to meet"), next_step=say("check the lengths")
        )
    aside = mass - anchors[0]
    aside = aside - (aside @ along) * along
    if np.linalg.norm(aside) < _TOLERANCE:
        # the centre of gravity lies in line with the points: the plane that stands upright
        aside = -np.array([0.0, 0.0, 1.0]) + along[2] * along
    if np.linalg.norm(aside) < _TOLERANCE:
        raise UseRefused(
            say("the two points lie above each other"), next_step=say("check the points")
        )
    up = -aside / np.linalg.norm(aside)
    meet: _Vector = anchors[0] + offset * along + np.sqrt(height2) * up
    return meet


def _meet_three(anchors: _Vector, lengths: _Vector, mass: _Vector) -> _Vector | None:
    """Meet three legs on the side of their plane that points up (three spheres)."""
    ex = anchors[1] - anchors[0]
    d = float(np.linalg.norm(ex))
    if d < _TOLERANCE:
        return None
    ex = ex / d
    third = anchors[2] - anchors[0]
    i = float(third @ ex)
    ey = third - i * ex
    j = float(np.linalg.norm(ey))
    if j < _TOLERANCE:
        return None  # three points in line settle no place
    ey = ey / j
    ez = np.cross(ex, ey)
    x = (lengths[0] ** 2 - lengths[1] ** 2 + d**2) / (2 * d)
    y = (lengths[0] ** 2 - lengths[2] ** 2 + i**2 + j**2 - 2 * i * x) / (2 * j)
    z2 = lengths[0] ** 2 - x**2 - y**2
    if z2 <= _TOLERANCE:
        return None
    up = ez if ez[2] > 0 or (ez[2] == 0 and (anchors[0] - mass) @ ez > 0) else -ez
    meet: _Vector = anchors[0] + x * ex + y * ey + np.sqrt(z2) * up
    return meet


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


def _notes(
    anchors: _Vector, hook: _Vector, mass: _Vector, down: _Vector, determinate: bool,
    slack: frozenset[int], tilt: float,
) -> list[str]:  # fmt: skip
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
    for leg in sorted(slack):
        notes.append(
            say("leg {number} is longer than it needs to be and hangs slack", number=leg + 1)
        )
    if tilt > _TILTED_DEG:
        notes.append(
            say(
                "the load hangs tilted by {tilt:.1f} deg until its centre of gravity is plumb",
                tilt=tilt,
            )
        )
    if float((anchors @ down).max()) > float(mass @ down):
        notes.append(
            say(
                "the centre of gravity lies above a point where a leg is fixed: such a load can "
                "turn over"
            )
        )
    return notes


def _array(values: Sequence[Sequence[float]], name: str) -> _Vector:
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


def _of_all_legs(values: _Vector, taut: Sequence[int], legs: int) -> tuple[float, ...]:
    """Give the pulls of the taut legs among nought for those that hang slack."""
    full = np.zeros(legs)
    full[list(taut)] = values
    return tuple(float(v) for v in full)


def _kg(value: float) -> str:
    # someone will choose a leg by it: a pull is never shown smaller than it is
    return f"{number_text(rounded_up(value))} kg"


def _kn(value: float) -> str:
    return f"{number_text(rounded_up(value * STANDARD_GRAVITY / 1000))} kN"
