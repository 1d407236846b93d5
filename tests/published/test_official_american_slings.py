"""American chain slings against OSHA, Guidance on Safe Sling Use, tables 1 and 2, typed from it.

The 126 rated loads of vertical and bridle hitches, with the angle of a leg to the horizontal. Most
are legs times the sine times the single leg, three legs at most counted, to the nearest 100 lb.
"""

from __future__ import annotations

import pandas as pd

import tallyhook
from tallyhook.packages.package import Package

# one leg; two legs at 60, 45, 30 degrees to the horizontal; three and four legs at 60, 45, 30 [lb]
TABLE_1_GRADE_80 = {
    "7/32": (2100, 3600, 3000, 2100, 5500, 4400, 3200),
    "9/32": (3500, 6100, 4900, 3500, 9100, 7400, 5200),
    "5/16": (4500, 7800, 6400, 4500, 11700, 9500, 6800),
    "3/8": (7100, 12300, 10000, 7100, 18400, 15100, 10600),
    "1/2": (12000, 20800, 17000, 12000, 31200, 25500, 18000),
    "5/8": (18100, 31300, 25600, 18100, 47000, 38400, 27100),
    "3/4": (28300, 49000, 40000, 28300, 73500, 60000, 42400),
    "7/8": (34200, 59200, 48400, 34200, 88900, 72500, 51300),
    "1": (47700, 82600, 67400, 47700, 123900, 101200, 71500),
    "1-1/4": (72300, 125200, 102200, 72300, 187800, 153400, 108400),
}
TABLE_2_GRADE_100 = {
    "7/32": (2700, 4700, 3800, 2700, 7000, 5700, 4000),
    "9/32": (4300, 7400, 6100, 4300, 11200, 9100, 6400),
    "5/16": (5700, 9900, 8100, 5700, 14800, 12100, 8500),
    "3/8": (8800, 15200, 12400, 8800, 22900, 18700, 13200),
    "1/2": (15000, 26000, 21200, 15000, 39000, 31800, 22500),
    "5/8": (22600, 39100, 32000, 22600, 58700, 47900, 33900),
    "3/4": (35300, 61100, 49900, 35300, 91700, 74900, 53000),
    "7/8": (42700, 74000, 60400, 42700, 110900, 90600, 64000),
}
SIZES_MM = {
    "7/32": 5.5, "9/32": 7, "5/16": 8, "3/8": 10, "1/2": 13, "5/8": 16, "3/4": 20, "7/8": 22,
    "1": 26, "1-1/4": 32,
}  # fmt: skip
# legs, angle to the horizontal; the package counts from the vertical
COLUMNS = ((1, 90), (2, 60), (2, 45), (2, 30), (3, 60), (3, 45), (3, 30))
LOADS = {
    (grade, size, legs, angle): load
    for grade, table in ((80, TABLE_1_GRADE_80), (100, TABLE_2_GRADE_100))
    for size, row in table.items()
    for (legs, angle), load in zip(COLUMNS, row, strict=True)
}
# where the printed load is not the rule's to the nearest 100 lb, a tie either way
NOT_THE_RULE = {(80, "7/32", 3, 45), (80, "1-1/4", 3, 45)}
# legs times sine to three decimals; 2 x sin 45 in full would give 67,500 for the 67,400 of 1 in
FACTORS = {
    (1, 90): 1, (2, 60): 1.732, (2, 45): 1.414, (2, 30): 1, (3, 60): 2.598, (3, 45): 2.121,
    (3, 30): 1.5,
}  # fmt: skip


def test_the_package_has_the_126_printed_loads_as_published(packages: dict[str, Package]) -> None:
    assert len(LOADS) == 126
    stored = {
        (r["grade"], r["size_mm"], r["legs"], 90 - r["angle_to_deg"]): r
        for r in packages["chain"]["slings"].filter(scheme="us-chain").iter_rows(named=True)
    }
    for (grade, size, legs, angle), load in LOADS.items():
        for counted in (legs, 4) if legs == 3 else (legs,):
            row = stored[grade, SIZES_MM[size], counted, angle if legs > 1 else 90]
            said = (row["wll_lb"], row["source"], row["known_by"], row["locator"][:7])
            table = "table 1" if grade == 80 else "table 2"
            assert said == (load, "osha-sling-guidance", "published", table), row["rating_id"]


def test_no_kilogram_figure_of_several_legs_is_above_the_printed_pounds(
    packages: dict[str, Package],
) -> None:
    # the kilograms of one leg are the chain's: 49 CFR 393.108 prints 10,300 kg for 22,600 lb
    rows = packages["chain"]["slings"].filter(scheme="us-chain").to_dicts()
    rows = [r for r in rows if r["legs"] > 1]
    above = [r["rating_id"] for r in rows if r["wll_kg"] > r["wll_lb"] * 0.45359237]
    assert above == []


def test_single_legs_are_the_published_ratings_of_chain(packages: dict[str, Package]) -> None:
    ratings = packages["chain"]["ratings"].filter(scheme="us-chain")
    stored = {(r["grade"], r["size_in"]): r for r in ratings.iter_rows(named=True)}
    for (grade, size, legs, _), load in LOADS.items():
        if legs == 1:
            row = stored[grade, size]
            assert (row["wll_lb"], row["known_by"]) == (load, "published"), row["rating_id"]


def test_what_the_rule_does_not_give_is_a_known_oddity(packages: dict[str, Package]) -> None:
    off = {
        (grade, size, legs, angle)
        for (grade, size, legs, angle), load in LOADS.items()
        if abs(load - FACTORS[legs, angle] * LOADS[grade, size, 1, 90]) > 50 + 1e-6
    }
    assert off == NOT_THE_RULE
    oddities = packages["chain"]["known-oddities"].filter(
        rule="sling-rating-is-not-the-leg-factor-times-the-chain"
    )
    keys = {
        f"us-chain/{grade}/{SIZES_MM[size]:g}/{legs}-leg/30/45"
        for grade, size, _, _ in NOT_THE_RULE
        for legs in (3, 4)
    }
    assert set(oddities["key"]) == keys


def test_the_official_loads_as_a_list_all_agree() -> None:
    lines = [
        {
            "Item": f"{legs}-leg chain sling {size} in grade {grade}"
            + (f", {angle} deg to the horizontal" if legs > 1 else ""),
            "WLL lb": load,
        }
        for (grade, size, legs, angle), load in LOADS.items()
    ]
    report = tallyhook.check(pd.DataFrame(lines), scheme="us-chain")
    assert len(report.items) == 126
    assert report.items.loc[report.items["outcome"] != "agree"].empty
    assert report.findings.empty
