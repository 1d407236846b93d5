"""Published sling tables, cell by cell, through ``in_use``.

European: EN 818-4 (grade 8) and EN 818-5 (grade 4), as DGUV Information 209-021 restates them;
grade 10 by the same method. American: sling tables of grade 80 and 100 chain printed to 100 lb
(ASME B30.9 and OSHA's guidance on alloy steel chain slings have the same factors).
"""

from __future__ import annotations

from typing import Any

import pytest

from tallyhook.packages.package import Package
from tallyhook.use.run import in_use


def _cells(packages: dict[str, Package], scheme: str) -> list[dict[str, Any]]:
    return [r for r in packages["chain"]["slings"].to_dicts() if r["scheme"] == scheme]


def _legs(row: dict[str, Any]) -> dict[str, Any]:
    if row["configuration"] == "endless":
        return {"legs": "endless"}
    return {"legs": row["legs"], "angle": row["angle_to_deg"], "angle_to": "vertical"}


def test_every_cell_of_the_european_tables(packages: dict[str, Package]) -> None:
    cells = _cells(packages, "european")
    assert len(cells) > 250  # 20 sizes of grade 8, 13 of grade 4, 10 of grade 10
    found = {
        (r["grade"], r["size_mm"], r["configuration"], r["angle_to_deg"]): in_use(
            by="european", grade=r["grade"], size=r["size_mm"], **_legs(r)
        ).wll_kg
        for r in cells
    }
    printed = {
        (r["grade"], r["size_mm"], r["configuration"], r["angle_to_deg"]): pytest.approx(
            r["wll_kg"]
        )
        for r in cells
    }
    assert found == printed


def test_every_cell_of_the_american_tables(packages: dict[str, Package]) -> None:
    cells = _cells(packages, "us-chain")
    assert len(cells) > 150
    for r in cells:
        left = in_use(by="us", grade=r["grade"], size=r["size_mm"], **_legs(r))
        assert left.wll_lb == pytest.approx(r["wll_lb"]), r


# EN 818-4, table 3 [t]: 1 leg; 2 legs to 45 and to 60 deg; 3 and 4 legs to 45 and to 60 deg;
# endless, choked. Typed from DGUV Information 209-021, not from our tables.
EN_818_4 = {
    6: (1.12, 1.6, 1.12, 2.36, 1.7, 1.8),
    8: (2, 2.8, 2, 4.25, 3, 3.15),
    10: (3.15, 4.25, 3.15, 6.7, 4.75, 5),
    13: (5.3, 7.5, 5.3, 11.2, 8, 8.5),
    16: (8, 11.2, 8, 17, 11.8, 12.5),
}


@pytest.mark.parametrize("size", EN_818_4)
def test_table_3_of_en_818_4(size: int) -> None:
    ways: list[dict[str, Any]] = [
        {"legs": 1},
        {"legs": 2, "angle": 45},
        {"legs": 2, "angle": 60},
        {"legs": 3, "angle": 45},
        {"legs": 4, "angle": 60},
        {"legs": "endless"},
    ]
    found = tuple(in_use(grade=8, size=size, **way).wll_kg for way in ways)
    assert found == pytest.approx([1000 * t for t in EN_818_4[size]])


# OSHA guidance on alloy steel chain slings, grade 80, 3/8 in [lb]: double at 60, 45 and 30
# degrees to the horizontal; the triple and quadruple of the same table.
@pytest.mark.parametrize(
    ("legs", "angle", "pounds"),
    [
        ("single", 90, 7100),
        ("double", 60, 12300),
        ("double", 45, 10000),
        ("double", 30, 7100),
        ("triple", 60, 18400),
        ("triple", 45, 15100),
        ("triple", 30, 10600),
        ("quad", 60, 18400),
    ],
)
def test_three_eighths_grade_80_to_the_horizontal(legs: str, angle: float, pounds: float) -> None:
    left = in_use(by="us", grade=80, size="3/8", legs=legs, angle=angle, angle_to="horizontal")
    assert left.wll_lb == pytest.approx(pounds)


def test_double_basket_of_the_army_stays_below_the_sine_rule() -> None:
    # US Army PS 622, page 10: two 1/4 in chains of 3,500 lb, 60 deg: 6,000 lb, and the sine rule
    # gives 2 x 3,500 x sin 60 = 6,062
    left = in_use(by="us", grade=80, size="9/32", hitch="basket", angle=60, angle_to="horizontal")
    assert left.wll_lb == pytest.approx(2 * 3500 * 3**0.5 / 2, abs=50)


# Australian dogging training material: load factors by included angle, 60 -> 1.73, 90 -> 1.41,
# 120 -> 1.0; reeve factors for round and square loads.
@pytest.mark.parametrize(("included", "times"), [(60, 1.73), (90, 1.41), (120, 1.0)])
def test_australian_angle_factors_by_the_included_angle(included: float, times: float) -> None:
    left = in_use(
        by="australian",
        grade=80,
        size=10,
        legs=2,
        angle=included,
        angle_to="included",
        marked_kg=3150,
    )
    assert left.wll_kg == pytest.approx(3150 * times)


@pytest.mark.parametrize(
    ("hitch", "shape", "times"),
    [
        ("basket", "round", 2.0),
        ("basket", "square", 1.0),
        ("choke", "round", 0.75),
        ("choke", "square", 0.5),
    ],
)
def test_australian_reeve_factors(hitch: str, shape: str, times: float) -> None:
    left = in_use(
        by="australian", grade=80, size=10, hitch=hitch, angle=0, load_shape=shape, marked_kg=1000
    )
    assert left.wll_kg == pytest.approx(1000 * times)


def test_queensland_formula_and_endless_factor() -> None:
    # Guide for doggers, July 2010: SWL = D^2 x grade x 0.4, 10 mm grade 80 is 3,200 kg, and
    # D^2 x grade x 0.3 for grade 30, 10 mm is 900 kg; the European table prints 3,150 kg for the
    # same chain, and a rule of thumb gives no more than that
    left = in_use(by="australian", grade=80, size=10)
    assert left.steps[0].value == pytest.approx(3200)
    assert left.wll_kg == pytest.approx(3150)
    assert left.basis == "rule of thumb" and "rule of thumb" in left.to_text()
    assert in_use("chain", by="australian", grade=30, size=10, lifting=False).steps[0].value == (
        pytest.approx(900)
    )
    # AS 3775: an endless sling up to 1.5 times its chain
    assert in_use(by="australian", grade=80, size=10, legs="endless").wll_kg == pytest.approx(4800)


def test_tie_down_law() -> None:
    # 49 CFR 393.108: 3/8 in grade 70 is 6,600 lb
    left = in_use("chain", by="us-tiedown", grade=70, size="3/8", lifting=False)
    assert left.wll_lb == pytest.approx(6600)
