"""Chain slings in a hitch, and European slings of grade 10, against the documents.

DGUV Information 209-021 (August 2021), section 2, choke hitch and endless chains of grade 4, typed
from it. OSHA, Guidance on Safe Sling Use, table 3, as a restatement prints it. Grade 10: leg factors
of EN 818-4 of 2 x (pi d^2 / 4) x 250 N/mm2, down to the R40 series of ISO 3, worked out by hand.
"""

from __future__ import annotations

import pytest

from tallyhook.packages.package import Package

# size [mm]: choke of one leg, two legs to 45, two legs to 60 degrees; endless, endless double [kg]
GRADE_4 = {
    8: (800, 1120, 800, 1600, 4000), 10: (1280, 1790, 1280, 2500, 6400),
    13: (2120, 2960, 2120, 4250, 10600), 16: (3200, 4480, 3200, 6300, 16000),
    18: (4000, 5600, 4000, 8000, 20000), 20: (5040, 7050, 5040, 10000, 25200),
    23: (6400, 8960, 6400, 13200, 32000), 26: (8480, 11870, 8480, 17000, 42400),
    28: (10000, 14000, 10000, 20000, 50000), 32: (12800, 17920, 12800, 25000, 64000),
    36: (16000, 22400, 16000, 31500, 80000), 40: (20000, 28000, 20000, 40000, 100000),
    45: (25200, 35280, 25200, 50000, 126000),
}  # fmt: skip
# size: one leg; two legs at 60, 45, 30 degrees to the horizontal; three or four legs at 60 [lb]
CHOKER = {
    5.5: (1700, 2900, 2400, 1700, 4400), 7: (2800, 5000, 3900, 2800, None),
    8: (3600, 6200, 5100, 3600, None), 10: (5700, 9800, 8000, 5700, None),
    13: (9600, None, None, None, None),
}  # fmt: skip


def _loads(packages: dict[str, Package], table: str, column: str, **of: object) -> dict:
    rows = packages["chain"][table].filter(**of).iter_rows(named=True)
    return {
        (r["size_mm"], r["configuration"], r["hitch"], r["angle_to_deg"]): r[column] for r in rows
    }


def test_grade_4_in_a_hitch_is_as_the_insurers_print_it(packages: dict[str, Package]) -> None:
    of = {"scheme": "european", "grade": 40, "source": "dguv-209-021", "known_by": "published"}
    found = _loads(packages, "hitch-slings", "wll_kg", **of)
    found |= _loads(packages, "slings", "wll_kg", **of)
    places = (
        ("1-leg", "choke", 0), ("2-leg", "choke", 45), ("2-leg", "choke", 60),
        ("endless", "choke", 0), ("endless", "doubled", 0),
    )  # fmt: skip
    assert found == {
        (size, *place): load
        for size, row in GRADE_4.items()
        for place, load in zip(places, row, strict=True)
    }


def test_choker_hitches_are_as_the_restatement_of_table_3_prints_them(
    packages: dict[str, Package],
) -> None:
    found = _loads(packages, "hitch-slings", "wll_lb", scheme="us-chain", known_by="restated")
    places = (("1-leg", 0), ("2-leg", 30), ("2-leg", 45), ("2-leg", 60), ("3-leg", 30))
    expected = {
        (size, configuration, "choke", angle): load
        for size, row in CHOKER.items()
        for (configuration, angle), load in zip(places, row, strict=True)
        if load
    }
    expected[5.5, "4-leg", "choke", 30] = 4400
    assert found == expected


@pytest.mark.parametrize(
    ("grade", "size", "one", "two"),
    [
        # 0.8 x 3,150 = 2,520; 1.4 x 2,520 = 3,528
        (80, 10, 2520, 3520),
        # 0.8 x 1,120 = 896, cut; 1.4 x the 890 that would be printed = 1,246
        (80, 6, 890, 1240),
        # 0.8 x 4,000 = 3,200; 1.4 x 3,200 = 4,480
        (100, 10, 3200, 4480),
    ],
)
def test_other_grades_take_the_rounding_of_that_table(
    packages: dict[str, Package], grade: int, size: float, one: int, two: int
) -> None:
    of = {"scheme": "european", "grade": grade, "size_mm": size, "known_by": "computed"}
    found = _loads(packages, "hitch-slings", "wll_kg", **of)
    assert found[size, "1-leg", "choke", 0] == one == found[size, "2-leg", "choke", 60]
    assert found[size, "2-leg", "choke", 45] == two


# size [mm]: one leg; two legs to 45, to 60; three and four legs to 45, to 60; endless [kg]
GRADE_10 = {
    # 157.08 mm2 x 250 N/mm2 / 9.80665 = 4,004.4 kg: x 1.4 = 5,606, x 2.1 = 8,409, x 1.6 = 6,407
    10: (4000, 5600, 4000, 8000, 6000, 6300),
    # 265.46 mm2: 6,767.5 kg: x 1.4 = 9,474, x 2.1 = 14,212, x 1.5 = 10,151, x 1.6 = 10,828
    13: (6700, 9000, 6700, 14000, 10000, 10600),
    # 3,180.86 mm2: 81,089 kg: x 1.4 = 113,524, x 2.1 = 170,287, x 1.5 = 121,633, x 1.6 = 129,742
    45: (80000, 112000, 80000, 170000, 118000, 125000),
}  # fmt: skip


def test_grade_10_slings_are_the_leg_factor_of_the_unrounded_chain(
    packages: dict[str, Package],
) -> None:
    rows = packages["chain"]["slings"].filter(scheme="european", grade=100)
    assert set(rows["known_by"]) == {"computed"}
    # the sizes of EN 818-2, one to four legs and endless
    assert rows.height == 20 * 8
    found = _loads(packages, "slings", "wll_kg", scheme="european", grade=100)
    for size, row in GRADE_10.items():
        one, two_45, two_60, three_45, three_60, endless = row
        assert found[size, "1-leg", "straight", 0] == one
        assert found[size, "2-leg", "straight", 45] == two_45
        assert found[size, "2-leg", "straight", 60] == two_60
        for legs in ("3-leg", "4-leg"):
            assert found[size, legs, "straight", 45] == three_45
            assert found[size, legs, "straight", 60] == three_60
        assert found[size, "endless", "choke", 0] == endless
