"""Leg tensions against closed forms and against scipy.

The bounds of indeterminate legs are held against linear programming (scipy.optimize.linprog), the
share of elastic legs against the least complementary energy (scipy.optimize.minimize), and the
meeting point of three legs against scipy.optimize.fsolve.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import fsolve, linprog, minimize

from tallyhook.use.leg_tensions import leg_tensions
from tallyhook.use.result import UseRefused
from tallyhook.wording import CAUTION

SQUARE = [(-1.0, -1.0, 0.0), (1.0, -1.0, 0.0), (1.0, 1.0, 0.0), (-1.0, 1.0, 0.0)]


def _directions(points: Any, hook: Any) -> np.ndarray:
    arms = np.asarray(points) - np.asarray(hook)
    return (arms / np.linalg.norm(arms, axis=1)[:, None]).T


@pytest.mark.parametrize("beta", [10, 30, 45, 60])
def test_two_even_legs(beta: float) -> None:
    # textbook: T = W / (2 cos beta)
    half = math.tan(math.radians(beta))
    pulls = leg_tensions(
        [(-half, 0, 0), (half, 0, 0)], load_kg=1000, centre=(0, 0, -0.5), hook=(0, 0, 1)
    )
    assert pulls.tensions_kg == pytest.approx([500 / math.cos(math.radians(beta))] * 2)
    assert pulls.angles_deg == pytest.approx([beta, beta])


@pytest.mark.parametrize(("left", "right"), [(20, 50), (30, 45), (5, 60)])
def test_two_uneven_legs_follow_lamis_theorem(left: float, right: float) -> None:
    # three forces in balance: each over the sine of the angle between the other two
    a, b = math.radians(left), math.radians(right)
    pulls = leg_tensions(
        [(-math.tan(a), 0, 0), (math.tan(b), 0, 0)], load_kg=1000, centre=(0, 0, -1), hook=(0, 0, 1)
    )
    whole = math.sin(a + b)
    assert pulls.tensions_kg == pytest.approx(
        [1000 * math.sin(b) / whole, 1000 * math.sin(a) / whole]
    )


@pytest.mark.parametrize("beta", [15, 45, 60])
def test_three_even_legs(beta: float) -> None:
    radius = math.tan(math.radians(beta))
    ring = [
        (radius * math.cos(a), radius * math.sin(a), 0)
        for a in (0.0, 2 * math.pi / 3, 4 * math.pi / 3)
    ]
    pulls = leg_tensions(ring, load_kg=3000, centre=(0, 0, 0), hook=(0, 0, 1))
    assert pulls.determinate
    assert pulls.tensions_kg == pytest.approx([1000 / math.cos(math.radians(beta))] * 3)


@settings(deadline=None, max_examples=40)
@given(
    x=st.floats(-0.5, 0.5),
    y=st.floats(-0.4, 0.2),
    depth=st.floats(0.1, 2),
    height=st.floats(0.5, 4),
)
def test_three_uneven_legs_solve_the_equations_of_equilibrium(
    x: float, y: float, depth: float, height: float
) -> None:
    points = [(-1.0, -0.6, 0.0), (1.2, -0.7, 0.1), (0.1, 1.0, -0.1)]
    place = {"load_kg": 500, "centre": (x, y, -depth), "hook": (x, y, height)}
    expected = np.linalg.solve(_directions(points, (x, y, height)), [0, 0, -500])
    assume(abs(expected.min()) > 1e-3)  # not on the very edge of the triangle
    if expected.min() < 0:  # outside of it a leg would have to push
        with pytest.raises(UseRefused, match="have to push"):
            leg_tensions(points, **place)
        return
    pulls = leg_tensions(points, **place)
    assert pulls.tensions_kg == pytest.approx(expected, rel=1e-6, abs=1e-4)


def test_lengths_place_the_hook_where_three_spheres_meet() -> None:
    points, lengths = np.array([(-1.0, -1, 0), (1, -1, 0), (0, 1, 0.2)]), np.array([2.0, 2.1, 1.9])
    pulls = leg_tensions(
        points.tolist(), load_kg=1000, centre=(0.05, -0.2, -0.3), lengths=lengths.tolist()
    )
    met = fsolve(lambda p: np.linalg.norm(points - p, axis=1) - lengths, (0, 0, 2))
    assert pulls.hook == pytest.approx(met, abs=1e-8)
    down = np.array((0.05, -0.2, -0.3)) - met
    tilt = math.degrees(math.acos(-down[2] / np.linalg.norm(down)))
    assert pulls.tilt_deg == pytest.approx(tilt)
    expected = np.linalg.solve(_directions(points, met), 1000 * down / np.linalg.norm(down))
    assert pulls.tensions_kg == pytest.approx(expected)


def test_two_legs_of_unequal_length_hang_with_the_load_plumb_below() -> None:
    # legs 3-4-5 and its mirror: the hook stands over the left end of a beam of 3, leg 4 and 5
    pulls = leg_tensions([(0, 0, 0), (3, 0, 0)], load_kg=900, centre=(0, 0, -1), lengths=[4, 5])
    assert pulls.hook == pytest.approx((0, 0, 4))
    assert pulls.tensions_kg == pytest.approx([900, 0], abs=1e-6)
    assert pulls.tilt_deg == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize(
    ("centre", "hook"),
    [
        ((0, 0, -0.5), (0, 0, 2)),
        ((0.2, 0.1, -1), (0.2, 0.1, 1.5)),
        ((-0.4, 0.3, 0), (-0.4, 0.3, 3)),
    ],
)
def test_four_legs_are_bounded_as_linear_programming_bounds_them(centre: Any, hook: Any) -> None:
    pulls = leg_tensions(SQUARE, load_kg=4000, centre=centre, hook=hook)
    assert not pulls.determinate and pulls.tensions_kg is None
    directions = _directions(SQUARE, hook)
    for leg in range(4):
        one = np.eye(4)[leg]
        most = linprog(-one, A_eq=directions, b_eq=[0, 0, -4000], bounds=(0, None))
        least = linprog(one, A_eq=directions, b_eq=[0, 0, -4000], bounds=(0, None))
        assert pulls.most_kg[leg] == pytest.approx(-most.fun, rel=1e-6)
        assert pulls.least_kg[leg] == pytest.approx(least.fun, rel=1e-6, abs=1e-3)


def test_four_even_legs_come_down_to_two_as_the_documents_say() -> None:
    # BG BAU: two legs must be able to carry the whole load; then W / (2 cos beta)
    pulls = leg_tensions(SQUARE, load_kg=4000, centre=(0, 0, -1), hook=(0, 0, math.sqrt(2)))
    assert pulls.most_kg == pytest.approx([4000 / (2 * math.cos(math.radians(45)))] * 4)
    assert pulls.least_kg == pytest.approx([0] * 4, abs=1e-6)
    assert pulls.elastic_kg == pytest.approx([1000 * math.sqrt(2)] * 4)
    text = pulls.to_text()
    assert "statically indeterminate" in text
    assert "two legs must be able to carry the whole" in " ".join(text.split())
    assert "as equal elastic legs" in text


@pytest.mark.parametrize("centre", [(0.0, 0.0, -1.0), (0.25, 0.1, -1.0), (0.7, 0.7, -1.0)])
def test_elastic_legs_store_the_least_energy(centre: Any) -> None:
    # Menabrea: of all shares that balance the load, elastic legs take that of least T^2 L
    hook = (centre[0], centre[1], 2.0)
    pulls = leg_tensions(SQUARE, load_kg=1.0, centre=centre, hook=hook)
    assert pulls.elastic_kg is not None
    reach = np.linalg.norm(np.asarray(SQUARE) - hook, axis=1)
    directions = _directions(SQUARE, hook)
    least = minimize(
        lambda t: t @ (reach * t), np.full(4, 0.25), method="SLSQP", bounds=[(0, None)] * 4,
        constraints={"type": "eq", "fun": lambda t: directions @ t - [0, 0, -1.0]},
        options={"ftol": 1e-14},
    )  # fmt: skip
    assert pulls.elastic_kg == pytest.approx(least.x, abs=1e-4)


def test_a_fourth_leg_that_is_too_long_hangs_slack() -> None:
    pulls = leg_tensions(SQUARE, load_kg=1000, centre=(0.1, 0.05, -0.2), lengths=[2, 2, 2, 2.02])
    assert pulls.tensions_kg is not None and pulls.tensions_kg[3] == 0
    assert any("leg 4" in n and "slack" in n for n in pulls.notes)
    assert min(pulls.tensions_kg[:3]) > 0


def test_the_documents_count_less_than_statics_for_an_uneven_load() -> None:
    # centre of gravity over one end: that leg carries nearly all, where EN 818-4 counts W / 1.4
    pulls = leg_tensions(
        [(-1, 0, 0), (1, 0, 0)], load_kg=1000, centre=(0.9, 0, -1), hook=(0.9, 0, 3)
    )
    [european] = [kg for name, kg in pulls.uniform_kg.items() if name.startswith("european")]
    assert european == pytest.approx(1000 / 1.4)  # worst leg angle 32 deg: EN 818-4, factor 1.4
    assert pulls.needed_kg > european
    assert "less than statics" in " ".join(pulls.to_text().split())


def test_a_leg_flatter_than_any_table_is_not_counted() -> None:
    pulls = leg_tensions([(-3, 0, 0), (3, 0, 0)], load_kg=1000, centre=(0, 0, -1), hook=(0, 0, 1))
    assert set(pulls.uniform_kg.values()) == {None}


def test_a_high_centre_of_gravity_is_told() -> None:
    high = leg_tensions(SQUARE[:3], load_kg=1, centre=(0.3, -0.3, 0.5), hook=(0.3, -0.3, 3))
    low = leg_tensions(SQUARE[:3], load_kg=1, centre=(0.3, -0.3, -0.5), hook=(0.3, -0.3, 3))
    assert any("turn over" in n for n in high.notes)
    assert not any("turn over" in n for n in low.notes)
    assert " ".join(CAUTION.split()) in " ".join(high.to_text().split())


@pytest.mark.parametrize(
    ("points", "told", "said"),
    [
        (SQUARE[:2], {"centre": (0, 0, -1), "hook": (0, 0, 1)}, "no pull"),  # plane off the centre
        (SQUARE[:3], {"centre": (-0.9, 0.9, -1), "hook": (-0.9, 0.9, 1)}, "no pull"),  # leg pushes
        (SQUARE, {"centre": (0, 0, 0), "lengths": [1, 1, 1, 1]}, "do not meet"),
        (SQUARE[:2], {"centre": (0, -1, -1), "lengths": [0.5, 0.5]}, "too short"),
        (SQUARE[:1], {"centre": (0, 0, 0), "hook": (0, 0, 1)}, "two to four"),
        (SQUARE, {"centre": (0, 0, 0)}, "either"),
        (SQUARE, {"centre": (0, 0), "hook": (0, 0, 1)}, "three numbers"),
        (SQUARE, {"centre": (0, 0, 0), "hook": (0, 0, 0)}, "sits in the load"),
        (SQUARE, {"centre": (0, 0, 0), "lengths": [2, 2]}, "lengths"),
    ],
)
def test_what_cannot_hang_is_refused(points: Any, told: dict[str, Any], said: str) -> None:
    with pytest.raises(UseRefused, match=said):
        leg_tensions(points, load_kg=100, **told)


@pytest.mark.parametrize("load", [0, -1, float("nan"), float("inf")])
def test_a_load_weighs_something(load: float) -> None:
    with pytest.raises(UseRefused, match="weighs"):
        leg_tensions(SQUARE, load_kg=load, centre=(0, 0, 0), hook=(0, 0, 1))


def test_a_needed_rating_is_rounded_up() -> None:
    # W / (2 cos b) with b = 45 deg: 1333.3333 / 1.41421 = 942.81
    pulls = leg_tensions(
        [(-1, 0, 0), (1, 0, 0)], load_kg=4000 / 3, centre=(0, 0, -1), hook=(0, 0, 1)
    )
    assert pulls.needed_kg == pytest.approx(942.809, abs=1e-3)
    assert "needs by statics: 942.9 kg" in pulls.to_text()
    even = leg_tensions(
        [(-1, 0, 0), (1, 0, 0)], load_kg=1000 * 2**0.5, centre=(0, 0, -1), hook=(0, 0, 1)
    )
    assert "needs by statics: 1,000 kg" in even.to_text()
