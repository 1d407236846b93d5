"""The statics of a load that hangs on two to four legs: where they meet, and what each may carry.

At the hook the pulls of the legs add up to the weight, which hangs plumb below it. Two and three
legs are settled by that alone; four are not, and what equilibrium leaves open is a range.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from tallyhook.messages import say
from tallyhook.use.result import UseRefused

__all__ = ["Hanging", "Vector", "bounds", "elastic_shares", "hang_by_lengths"]

Vector = NDArray[np.float64]
_TOLERANCE = 1e-9
_SAME_LENGTH = 1e-6  # of a leg; closer than that two geometries are one


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Hanging:
    """A load that hangs still, in any one unit of length.

    `anchors` are the places where its legs are fixed, a row each; `hook` is where they meet, `mass`
    its centre of gravity, `slack` the legs that carry nothing.
    """

    anchors: Vector
    hook: Vector
    mass: Vector
    slack: frozenset[int] = frozenset()

    @property
    def arms(self) -> Vector:
        """Each leg from the hook to its anchor."""
        return self.anchors - self.hook

    @property
    def reach(self) -> Vector:
        """The distance from the hook to each anchor."""
        reach: Vector = np.linalg.norm(self.arms, axis=1)
        return reach

    @property
    def down(self) -> Vector:
        """The direction of the plumb line, from the hook to the centre of gravity."""
        plumb = self.mass - self.hook
        down: Vector = plumb / np.linalg.norm(plumb)
        return down

    @property
    def taut(self) -> list[int]:
        """The legs that pull."""
        return [n for n in range(len(self.anchors)) if n not in self.slack]

    @property
    def pulls(self) -> Vector:
        """The direction of each taut leg, seen from the hook, a column each."""
        directions: Vector = (self.arms / self.reach[:, None])[self.taut].T
        return directions

    @property
    def angles_deg(self) -> Vector:
        """Each leg's angle to the plumb line [deg]."""
        angles: Vector = np.degrees(np.arccos(np.clip(self.arms @ self.down / self.reach, -1, 1)))
        return angles

    @property
    def tilt_deg(self) -> float:
        """How far the load turns until its centre of gravity is plumb [deg]."""
        return float(np.degrees(np.arccos(np.clip(-self.down[2], -1, 1))))

    @property
    def top_heavy(self) -> bool:
        """Whether the centre of gravity lies above a point where a leg is fixed."""
        return float((self.anchors @ self.down).max()) > float(self.mass @ self.down)

    def refuse_hook_in_load(self) -> None:
        """Refuse a hook that sits at an anchor or in the centre of gravity."""
        plumb = self.mass - self.hook
        if self.reach.min() < _TOLERANCE or np.linalg.norm(plumb) < _TOLERANCE:
            raise UseRefused(
                say("the hook sits in the load"),
                next_step=say("check the points and the hook's place"),
            )


def bounds(pulls: Vector, down: Vector) -> tuple[Vector, Vector]:
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


def elastic_shares(pulls: Vector, reach: Vector, down: Vector) -> Vector:
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


def hang_by_lengths(anchors: Vector, lengths: Vector, mass: Vector) -> Hanging:
    """Find where legs of these lengths meet when the load hangs, and which of them are slack."""
    if lengths.shape != (len(anchors),) or not (np.isfinite(lengths).all() and lengths.min() > 0):
        raise UseRefused(
            say("{legs} legs have {legs} lengths, all above nothing", legs=len(anchors))
        )
    if len(anchors) == 2:
        return Hanging(anchors=anchors, hook=_meet_two(anchors, lengths, mass), mass=mass)
    found = []
    for chosen in combinations(range(len(anchors)), 3):
        place = _meet_three(anchors[list(chosen)], lengths[list(chosen)], mass)
        if place is None:
            continue
        spare = lengths - np.linalg.norm(anchors - place, axis=1)
        slack = frozenset(int(n) for n in np.flatnonzero(spare > _SAME_LENGTH * lengths))
        hanging = Hanging(anchors=anchors, hook=place, mass=mass, slack=slack)
        if (spare >= -_SAME_LENGTH * lengths).all() and _holds(hanging):
            found.append(hanging)
    if not found:
        raise UseRefused(
            say("legs of these lengths do not meet over the load's centre of gravity"),
            next_step=say("check the lengths and the points"),
        )
    # the load hangs as low below the hook as the legs let it
    return max(found, key=lambda each: float(np.linalg.norm(mass - each.hook)))


def _holds(hanging: Hanging) -> bool:
    try:
        bounds(hanging.pulls, hanging.down)
    except UseRefused:
        return False
    return True


def _meet_two(anchors: Vector, lengths: Vector, mass: Vector) -> Vector:
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
    meet: Vector = anchors[0] + offset * along + np.sqrt(height2) * up
    return meet


def _meet_three(anchors: Vector, lengths: Vector, mass: Vector) -> Vector | None:
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
    meet: Vector = anchors[0] + x * ex + y * ey + np.sqrt(z2) * up
    return meet
