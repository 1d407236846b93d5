"""The factors of use against the documents that print them, each typed here from its document."""

from __future__ import annotations

import math
from typing import Any

import pytest

from tallyhook.use.result import UseRefused
from tallyhook.use.run import in_use
from tallyhook.use.terms import to_vertical

US: dict[str, Any] = {"by": "us", "grade": 80, "size": "3/8"}  # 7,100 lb: 49 CFR 393.108
EN: dict[str, Any] = {"by": "european", "grade": 80, "size": 10}  # 3.15 t: EN 818-2


# ASME B30.9, table 9-1.8.1-1 as restated: degF, then what is left while hot and after, grade 80
# and grade 100 [percent off in the table]
ASME_HEAT = [
    (400, 0.90, 1.00, 0.85, 1.00),
    (500, 0.85, 1.00, 0.75, 0.95),
    (600, 0.80, 0.95, 0.70, 0.85),
    (700, 0.70, 0.90, 0.60, 0.80),
    (800, 0.60, 0.85, 0.50, 0.75),
    (900, 0.50, 0.80, 0.40, 0.70),
    (1000, 0.40, 0.75, 0.30, 0.65),
]


@pytest.mark.parametrize(("degrees", "hot80", "after80", "hot100", "after100"), ASME_HEAT)
def test_american_heat_table(
    degrees: float, hot80: float, after80: float, hot100: float, after100: float
) -> None:
    for grade, pounds, hot, after in ((80, 7100, hot80, after80), (100, 8800, hot100, after100)):
        told: dict[str, Any] = {"by": "us", "grade": grade, "size": "3/8"}
        assert in_use(**told, temperature_f=degrees).wll_lb == pytest.approx(pounds * hot)
        assert in_use(**told, exposed_f=degrees).wll_lb == pytest.approx(pounds * after)


# EN 818-6, temperature tables as DGUV Information 209-021 restates them
@pytest.mark.parametrize(
    ("grade", "degrees", "left"),
    [
        (80, -40, 1.0), (80, 200, 1.0), (80, 201, 0.9), (80, 300, 0.9), (80, 301, 0.75), (80, 400, 0.75),
        (40, -40, 1.0), (40, 300, 1.0), (40, 301, 0.75), (40, 400, 0.75), (40, 475, 0.5),
        (100, 200, 1.0),
    ],
)  # fmt: skip
def test_european_heat_tables(grade: int, degrees: float, left: float) -> None:
    cold = in_use(by="european", grade=grade, size=10).wll_kg
    assert cold is not None
    hot = in_use(by="european", grade=grade, size=10, temperature_c=degrees)
    assert hot.wll_kg == pytest.approx(cold * left)


@pytest.mark.parametrize(
    ("told", "degrees", "document"),
    [
        (EN, 401, "EN 818-6"),  # not permitted above 400 degC
        (EN, -41, "EN 818"),
        (EN | {"grade": 40}, 476, "EN 818-6"),
        (EN | {"grade": 100}, 201, "Grade 10"),
        (US, 539, "ASME B30.9"),  # 1,000 degF: taken out of service
        (US, -40, "ASME B30.9"),  # at -40 and below the maker is asked
        (US | {"grade": 100}, -30, "ASTM A973"),  # the chain's scope ends at -29 degC
        ({"by": "australian", "grade": 80, "size": 10}, -11, "AS 3775"),
    ],
)
def test_outside_a_heat_table_nothing_is_guessed(
    told: dict[str, Any], degrees: float, document: str
) -> None:
    with pytest.raises(UseRefused, match=document):
        in_use(**told, temperature_c=degrees)


# EN 818-6, annex A: 1 above twice the chain's diameter, 0.7 to twice, 0.5 to once
@pytest.mark.parametrize(
    ("radius", "left"), [(20.1, 1.0), (20, 0.7), (10.1, 0.7), (10, 0.5), (1, 0.5), (0, 0.5)]
)
def test_european_edge_factors(radius: float, left: float) -> None:
    assert in_use(**EN, edge_radius_mm=radius).wll_kg == pytest.approx(3150 * left)


def test_choke_factors() -> None:
    # EN 818-6, annex A: 0.8 for one leg and for several; DGUV Information 209-021, section 2, takes
    # it of the printed rating: 0.8 x 3,150 kg, two legs 1.4 times that, cut to 10 kg
    assert in_use(**EN, hitch="choke").wll_kg == pytest.approx(0.8 * 3150)
    assert in_use(**EN, legs=2, angle=45, hitch="choke").wll_kg == pytest.approx(3520)
    # OSHA's table 3 prints 5,700 lb for 0.8 x 7,100 = 5,680; no more than that
    left = in_use(**US, hitch="choke", choke_angle=120).wll_lb
    assert left is not None and 5600 <= left <= 5700.001


# Rigging Handbook, third edition: 49 percent of the choker rating below 30 degrees of angle of
# choke. No named document that was read has a figure from 30 to 120 degrees: the stricter holds.
@pytest.mark.parametrize("angle", [119.5, 90, 60, 30, 20])
def test_a_sharp_choke_is_half_a_choke(angle: float) -> None:
    left = in_use(**US, hitch="choke", choke_angle=angle)
    assert left.wll_lb == pytest.approx(2700)  # 7,100 x 0.8 x 0.49 is 2,783: cut to 100 lb
    assert ("may be higher" in str([s.note for s in left.steps])) is (angle >= 30)
    assert in_use(**US, hitch="choke", choke_angle=180).wll_lb == pytest.approx(
        in_use(**US, hitch="choke").wll_lb
    )


def test_grab_hook_without_cradle() -> None:
    # several independent pages, no document: minus 20 percent; AS 3775.2, note: minus 25; with cradle none
    for told, less in ((EN, 0.8), (US, 0.8), ({"by": "australian", "grade": 80, "size": 10}, 0.75)):
        whole, bare = in_use(**told).wll_kg, in_use(**told, shortened="no-cradle").wll_kg
        assert whole is not None
        assert bare == pytest.approx(whole * less)
        assert in_use(**told, shortened="cradle").wll_kg == pytest.approx(whole)


def test_grab_hooks_of_the_rating_table_are_met(packages: dict[str, Any]) -> None:
    table = packages["grab-hooks"]["ratings"].to_dicts()
    rows = [r for r in table if r["scheme"] == "european" and r["deduction"] != "no-cradle-25"]
    assert rows
    for r in rows:
        left = in_use(
            "grab-hook",
            grade=r["grade"],
            size=r["size_mm"],
            shortened="cradle" if r["cradle"] else "no-cradle",
        )
        assert left.wll_kg == pytest.approx(r["wll_kg"])


def test_uneven_load_halves_the_marked_rating() -> None:
    # EN 818-6, annex A: 50 percent when no competent person rates the lift
    assert in_use(**EN, legs=4, angle=45, asymmetric=True).wll_kg == pytest.approx(6700 / 2)


@pytest.mark.parametrize(
    ("angles", "uneven"),
    [([30, 45], False), ([29, 45], True), ([15, 30], False), ([14, 28], True)],
)
def test_symmetry_conditions_of_en_818_6(angles: list[float], uneven: bool) -> None:
    # annex A: every leg at 15 deg or more, and within 15 deg of each other
    left = in_use(**EN, legs=2, angle=angles)
    assert left.wll_kg == pytest.approx(4250 / 2 if uneven else 4250)


def test_a_sorting_hook_is_rated_by_its_maker_and_nowhere_on_its_tip() -> None:
    # no named document rates one by the size of its chain, or says what is left at its tip; loads
    # are applied to the throat (29 CFR 1915.113(b)(2))
    told: dict[str, Any] = {"grade": 80, "size": 10, "form": "sorting"}
    with pytest.raises(UseRefused, match="give the marked rating"):
        in_use("hook", **told, load_angle=35)
    marked = told | {"marked_kg": 3150}
    assert in_use("hook", **marked, load_angle=35).wll_kg == pytest.approx(3150)
    with pytest.raises(UseRefused, match="ask the maker"):
        in_use("hook", **marked, load_angle=46)
    with pytest.raises(UseRefused, match=r"1915.113\(b\)\(2\)"):
        in_use("hook", **marked, load_position="tip")


@pytest.mark.parametrize("position", ["tip", "side", "back"])
def test_other_hooks_are_loaded_in_the_throat_only(position: str) -> None:
    with pytest.raises(UseRefused, match=r"1915.113\(b\)\(2\)"):
        in_use("hook", grade=80, size=10, form="self-closing", load_position=position)


@pytest.mark.parametrize("horizontal", [30, 45, 60, 75, 90])
def test_the_three_angles_are_one(horizontal: float) -> None:
    # geometry: to the vertical 90 less to the horizontal, included twice to the vertical
    beta = math.degrees(
        math.atan2(math.cos(math.radians(horizontal)), math.sin(math.radians(horizontal)))
    )
    assert to_vertical(horizontal, "horizontal") == pytest.approx(beta, abs=1e-9)
    assert to_vertical(2 * (90 - horizontal), "included") == pytest.approx(beta, abs=1e-9)


def test_american_leg_factors_are_legs_times_sine() -> None:
    # ASME B30.9: legs times the sine of the angle to the horizontal, three legs at most counted
    for legs in (2, 3, 4):
        for angle in (60, 45, 30):
            factor = in_use(**US, legs=legs, angle=angle, angle_to="horizontal").steps[1].value
            assert factor == pytest.approx(min(legs, 3) * math.sin(math.radians(angle)), abs=6e-4)
