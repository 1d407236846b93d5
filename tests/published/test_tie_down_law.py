"""The tie-down table against 49 CFR 393.108 (annual edition of 2015), typed from the law.

The law prints pounds and kilograms that do not convert in three cells, rates the 9/32 in alloy
chain in its 1/4 in row, and rates 5/16 in grade 80 below grade 70. All of it is kept.
"""

from __future__ import annotations

import pytest

from tallyhook.packages.package import Package

# size name, size [mm]: WLL [kg, lb] of grade 30, 43, 70, 80, 100
LAW = {
    ("1/4", 7): ((580, 1300), (1180, 2600), (1430, 3150), (1570, 3500), (1950, 4300)),
    ("5/16", 8): ((860, 1900), (1770, 3900), (2130, 4700), (2000, 4500), (2600, 5700)),
    ("3/8", 10): ((1200, 2650), (2450, 5400), (2990, 6600), (3200, 7100), (4000, 8800)),
    ("7/16", 11): ((1680, 3700), (3270, 7200), (3970, 8750), None, None),
    ("1/2", 13): ((2030, 4500), (4170, 9200), (5130, 11300), (5400, 12000), (6800, 15000)),
    ("5/8", 16): ((3130, 6900), (5910, 13000), (7170, 15800), (8200, 18100), (10300, 22600)),
}
GRADES = (30, 43, 70, 80, 100)
CELLS = {
    (grade, size_in, size_mm): cell
    for (size_in, size_mm), row in LAW.items()
    for grade, cell in zip(GRADES, row, strict=True)
    if cell is not None
}


def test_the_package_has_the_law_s_table_and_nothing_more(packages: dict[str, Package]) -> None:
    rows = packages["chain"]["ratings"].filter(scheme="us-tiedown")
    stored = {
        (r["grade"], r["size_in"], r["size_mm"]): (r["wll_kg"], r["wll_lb"])
        for r in rows.iter_rows(named=True)
    }
    assert stored == {key: pytest.approx(cell) for key, cell in CELLS.items()}


@pytest.mark.parametrize(
    ("key", "percent"),
    [((30, "1/4", 7), -1.6), ((80, "1/4", 7), -1.1), ((80, "5/16", 8), -2.0)],
)
def test_the_three_cells_that_do_not_convert_are_known_oddities(
    packages: dict[str, Package], key: tuple[int, str, int], percent: float
) -> None:
    kg, lb = CELLS[key]
    assert 100 * (kg / (lb * 0.45359237) - 1) == pytest.approx(percent, abs=0.05)
    oddities = packages["chain"]["known-oddities"].filter(
        rule="pounds-and-kilograms-do-not-convert", key=f"us-tiedown/{key[0]}/{key[2]}"
    )
    assert oddities["observed"].to_list() == [str(kg)]


def test_no_other_cell_differs_by_a_percent() -> None:
    off = {key for key, (kg, lb) in CELLS.items() if abs(kg / (lb * 0.45359237) - 1) > 0.01}
    assert off == {(30, "1/4", 7), (80, "1/4", 7), (80, "5/16", 8)}
