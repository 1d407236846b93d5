"""European chain and slings against the tables of EN 818-2, -3, -4 and -5, whole.

The values stand here as they were read in restatements of the standards (a maker's catalogue page
for EN 818-2 and EN 818-3, DGUV Information 209-021 for EN 818-4 and EN 818-5), and neither come
from our packages nor from our formulas.
"""

from __future__ import annotations

import polars as pl
import pytest

from tallyhook.formulas import chain_force, european_wll, round_down_r40, round_force
from tallyhook.packages.package import Package

# size [mm]: WLL [t]
EN_818_2_GRADE_8 = {
    4: 0.5, 5: 0.8, 6: 1.12, 7: 1.5, 8: 2, 10: 3.15, 13: 5.3, 16: 8, 18: 10, 19: 11.2, 20: 12.5,
    22: 15, 23: 16, 25: 20, 26: 21.2, 28: 25, 32: 31.5, 36: 40, 40: 50, 45: 63,
}  # fmt: skip
EN_818_3_GRADE_4 = {
    7: 0.75, 8: 1, 10: 1.6, 13: 2.65, 16: 4, 18: 5, 19: 5.6, 20: 6.3, 22: 7.5, 23: 8, 25: 10,
    26: 10.6, 28: 12.5, 32: 16, 36: 20, 40: 25, 45: 31.5,
}  # fmt: skip
# grade 10 chain as several pages print it, to the method of EN 818-2
GRADE_10 = {
    6: 1.4, 7: 1.9, 8: 2.5, 10: 4, 13: 6.7, 16: 10, 19: 14, 20: 16, 22: 19, 26: 26.5, 32: 40,
}  # fmt: skip
TABLES = {80: EN_818_2_GRADE_8, 40: EN_818_3_GRADE_4, 100: GRADE_10}
# EN 818-1, grade symbols: a quarter of the stress at break [N/mm2]
STRESSES = {40: 100.0, 80: 200.0, 100: 250.0}

# EN 818-3 table 5, size [mm]: manufacturing proof force, breaking force [kN]
EN_818_3_FORCES = {
    7: (15.4, 30.8), 8: (20.1, 40.2), 10: (31.4, 62.8), 13: (53.1, 106), 16: (80.4, 161),
    18: (102, 204), 19: (113, 227), 20: (126, 251), 22: (152, 304), 23: (166, 332),
    25: (196, 393), 26: (212, 425), 28: (246, 493), 32: (322, 643), 36: (407, 814),
    40: (503, 1010), 45: (636, 1270),
}  # fmt: skip
# EN 818-2, the three sizes whose forces were read
EN_818_2_FORCES = {4: (12.6, 20.1), 5: (19.6, 31.4), 6: (28.3, 45.2)}

# leg factor to 45 and to 60 degrees to the vertical: EN 818-4 table 3, headings
FACTORS = (1.4, 1.0, 2.1, 1.5, 1.6)
COLUMNS = (
    ("2-leg", 45),
    ("2-leg", 60),
    ("3-leg", 45),
    ("3-leg", 60),
    ("endless", 0),
)
# size [mm]: two legs to 45, to 60; three and four legs to 45, to 60; endless [t]
EN_818_4_GRADE_8 = {
    4: (0.71, 0.5, 1.06, 0.75, 0.8), 5: (1.12, 0.8, 1.6, 1.18, 1.25), 6: (1.6, 1.12, 2.36, 1.7, 1.8),
    7: (2.12, 1.5, 3.15, 2.24, 2.5), 8: (2.8, 2, 4.25, 3, 3.15), 10: (4.25, 3.15, 6.7, 4.75, 5),
    13: (7.5, 5.3, 11.2, 8, 8.5), 16: (11.2, 8, 17, 11.8, 12.5), 18: (14, 10, 21.2, 15, 16),
    19: (16, 11.2, 23.6, 17, 18), 20: (17, 12.5, 26.5, 19, 20), 22: (21.2, 15, 31.5, 22.4, 23.6),
    23: (23.6, 16, 35.5, 25, 26.5), 25: (28, 20, 40, 30, 31.5), 26: (30, 21.2, 45, 31.5, 33.5),
    28: (33.5, 25, 50, 37.5, 40), 32: (45, 31.5, 67, 47.5, 50), 36: (56, 40, 85, 60, None),
    40: (71, 50, 106, 75, None), 45: (90, 63, 132, 95, None),
}  # fmt: skip
EN_818_5_GRADE_4 = {
    8: (1.4, 1, 2.12, 1.5, 1.6), 10: (2.24, 1.6, None, 2.36, 2.5), 13: (3.75, 2.65, 5.6, 4, 4.25),
    16: (5.6, 4, 8.5, 6, 6.3), 18: (7.1, 5, 10.6, 7.5, 8), 20: (8.5, 6.3, 13.2, 9.5, 10),
    23: (11.8, 8, 17, 12.5, 13.2), 26: (15, 10.6, 22.4, 16, 17), 28: (17, 12.5, 25, 18, 20),
    32: (22.4, 16, 33.5, 23.6, 25), 36: (28, 20, 42.5, 30, 31.5), 40: (35.5, 25, 53, 37.5, 40),
    45: (45, 31.5, 67, 47.5, 50),
}  # fmt: skip
SLINGS = {80: EN_818_4_GRADE_8, 40: EN_818_5_GRADE_4}

# EN 818-2 and EN 818-3: the sizes whose dimensions were read. pitch, inside width at least,
# outside width at most, weld diameter at most, bend deflection at least, diameter tolerance [mm]
DIMENSIONS = {
    (80, 4): (12, 5.2, 14.8, 4.4, 3.2, 0.16), (80, 5): (15, 6.5, 18.5, 5.5, 4, 0.2),
    (80, 6): (18, 7.8, 22.2, 6.6, 4.8, 0.24), (40, 19): (57, 24.7, 70.3, 20.9, 15, 1),
    (40, 28): (84, 36.4, 104, 30.8, 22, 1.4), (40, 36): (108, 46.8, 133, 39.6, 29, 1.8),
}  # fmt: skip
NAMES = (
    "pitch-nominal", "inside-width-min", "outside-width-max", "weld-diameter-max",
    "bend-deflection-min", "diameter-tolerance",
)  # fmt: skip


@pytest.mark.parametrize("grade", TABLES)
def test_the_formula_gives_every_printed_rating(grade: int) -> None:
    given = {size: round_down_r40(european_wll(size, STRESSES[grade])) for size in TABLES[grade]}
    assert given == pytest.approx(TABLES[grade])


@pytest.mark.parametrize("grade", TABLES)
def test_the_package_has_the_whole_printed_table(packages: dict[str, Package], grade: int) -> None:
    ratings = packages["chain"]["ratings"].filter(scheme="european", grade=grade)
    stored = dict(ratings.select("size_mm", "wll_kg").iter_rows())
    # grade 10 is worked out in the sizes of EN 818-2, of which pages print eleven
    sizes = EN_818_2_GRADE_8 if grade == 100 else TABLES[grade]
    assert set(stored) == set(sizes)
    printed = {size: 1000 * wll for size, wll in TABLES[grade].items()}
    assert {size: stored[size] for size in printed} == pytest.approx(printed)


@pytest.mark.parametrize(
    ("grade", "table", "proof", "breaking"),
    [(40, EN_818_3_FORCES, 200, 400), (80, EN_818_2_FORCES, 500, 800)],
    ids=["EN 818-3", "EN 818-2"],
)
def test_forces_are_the_printed_ones(
    packages: dict[str, Package],
    grade: int,
    table: dict[int, tuple[float, float]],
    proof: float,
    breaking: float,
) -> None:
    forces = packages["chain"]["forces"].filter(scheme="european", grade=grade)
    for size, printed in table.items():
        given = tuple(round_force(chain_force(size, stress)) for stress in (proof, breaking))
        assert given == pytest.approx(printed), size
        at_size = dict(forces.filter(size_mm=size).select("force", "force_kn").iter_rows())
        assert (at_size["proof"], at_size["breaking"]) == pytest.approx(printed), size


@pytest.mark.parametrize("grade", SLINGS)
def test_every_printed_sling_rating_follows_and_is_stored(
    packages: dict[str, Package], grade: int
) -> None:
    slings = packages["chain"]["slings"].filter(scheme="european", grade=grade)
    for size, row in SLINGS[grade].items():
        for (configuration, angle), factor, printed in zip(COLUMNS, FACTORS, row, strict=True):
            if printed is None:
                continue
            place = (grade, size, configuration, angle)
            given = round_down_r40(factor * european_wll(size, STRESSES[grade]))
            assert given == pytest.approx(printed), place
            stored = slings.filter(
                (pl.col("size_mm") == size)
                & (pl.col("configuration") == configuration)
                & (pl.col("angle_to_deg") == angle)
            )
            assert stored["wll_kg"].to_list() == pytest.approx([1000 * printed]), place


def test_a_sling_rated_from_the_rounded_chain_rating_would_be_wrong() -> None:
    # EN 818-4 prints 1.6 t for two legs of 6 mm grade 8; 1.4 x the printed 1.12 t gives 1.5
    assert round_down_r40(1.4 * EN_818_2_GRADE_8[6]) == 1.5
    assert EN_818_4_GRADE_8[6][0] == 1.6


@pytest.mark.parametrize(("grade", "size"), DIMENSIONS)
def test_link_dimensions_are_the_printed_ones(
    packages: dict[str, Package], grade: int, size: int
) -> None:
    stored = packages["chain"]["dimensions"].filter(scheme="european", grade=grade, size_mm=size)
    values = dict(stored.select("dimension", "value_mm").iter_rows())
    assert tuple(values[n] for n in NAMES) == pytest.approx(DIMENSIONS[grade, size])
