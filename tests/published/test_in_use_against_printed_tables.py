"""``in_use`` against every printed sling table that we hold, cell by cell.

Nothing is above the printed number of the same document and scheme. Where in-use gives less, the
rule that does so is named. The choke tables are typed here from the documents themselves.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from tallyhook.packages.package import Package
from tallyhook.use.run import in_use

# DGUV Information 209-021 (2021-08), section 2, choke hitch and endless chains of grade 4 [kg]:
# one leg; two legs to 45 deg and from 45 to 60 deg; endless; endless doubled
GRADE_4_CHOKE = {
    8: (800, 1120, 800, 1600, 4000), 10: (1280, 1790, 1280, 2500, 6400),
    13: (2120, 2960, 2120, 4250, 10600), 16: (3200, 4480, 3200, 6300, 16000),
    18: (4000, 5600, 4000, 8000, 20000), 20: (5040, 7050, 5040, 10000, 25200),
    23: (6400, 8960, 6400, 13200, 32000), 26: (8480, 11870, 8480, 17000, 42400),
    28: (10000, 14000, 10000, 20000, 50000), 32: (12800, 17920, 12800, 25000, 64000),
    36: (16000, 22400, 16000, 31500, 80000), 40: (20000, 28000, 20000, 40000, 100000),
    45: (25200, 35280, 25200, 50000, 126000),
}  # fmt: skip
# the same, section 3, first row: 4 mm of grade 8
GRADE_8_CHOKE = {4: (400, 560, 400, 800, 2000)}
WAYS: tuple[dict[str, Any], ...] = (
    {"legs": 1, "hitch": "choke"},
    {"legs": 2, "angle": 45, "hitch": "choke"},
    {"legs": 2, "angle": 60, "hitch": "choke"},
    {"legs": "endless"},
    {"legs": "endless", "hitch": "doubled"},
)

# OSHA, Guidance on Safe Sling Use, table 3, choker hitches [lb], as far as it was read: grade 80,
# one leg; two legs at 60, 45 and 30 deg to the horizontal; three or four at 60
TABLE_3 = {
    "7/32": (1700, 2900, 2400, 1700, 4400), "9/32": (2800, 5000, 3900, 2800),
    "5/16": (3600, 6200, 5100, 3600), "3/8": (5700, 9800, 8000, 5700), "1/2": (9600,),
}  # fmt: skip
CHOKERS: tuple[dict[str, Any], ...] = (
    {"legs": 1}, {"legs": 2, "angle": 60}, {"legs": 2, "angle": 45}, {"legs": 2, "angle": 30},
    {"legs": 3, "angle": 60},
)  # fmt: skip


@pytest.mark.parametrize(("grade", "table"), [(4, GRADE_4_CHOKE), (8, GRADE_8_CHOKE)])
def test_the_official_choke_and_endless_tables(grade: int, table: dict[int, Any]) -> None:
    for size, printed in table.items():
        found = tuple(in_use(grade=grade, size=size, **way).wll_kg for way in WAYS)
        assert found == pytest.approx(printed), size


def test_american_chokers_come_out_as_table_3_prints_them() -> None:
    for size, printed in TABLE_3.items():
        for way, pounds in zip(CHOKERS, printed, strict=False):
            told = way | {"hitch": "choke", "angle_to": "horizontal"}
            left = in_use(by="us", grade=80, size=size, **told)
            assert left.wll_lb == pytest.approx(pounds), (size, way)
            assert left.basis == "restated"


def test_what_table_3_was_not_read_of_is_cut_to_its_step() -> None:
    # 1/2 in at 60 deg, two legs: 0.8 x 20,800 lb is 16,640; 1/2 in of grade 100, one leg: 0.8 x 15,000
    told: dict[str, Any] = {"by": "us", "hitch": "choke", "size": "1/2 in"}
    two = in_use(grade=80, legs=2, angle=60, angle_to="horizontal", **told)
    assert two.wll_lb == pytest.approx(16600) and two.basis == "practice"
    assert in_use(grade=100, **told).wll_lb == pytest.approx(12000)


def _cells(packages: dict[str, Package]) -> Iterator[tuple[dict[str, Any], dict[str, Any]]]:
    chain = packages["chain"]
    for row in chain["slings"].to_dicts() + chain["hitch-slings"].to_dicts():
        legs = row["legs"] if row["configuration"] != "endless" else "endless"
        way = {
            "legs": legs,
            "angle": row["angle_to_deg"],
            "angle_to": "vertical",
            "hitch": row["hitch"],
        }
        if legs in (1, "endless"):
            way.pop("angle")
        yield row, {"grade": row["grade"], "size": row["size_mm"], **way}


def test_every_cell_of_the_sling_tables_comes_out_as_it_is_printed(
    packages: dict[str, Package],
) -> None:
    by = {"european": "european", "us-chain": "us"}
    cells = list(_cells(packages))
    assert len(cells) > 800
    for row, case in cells:
        left = in_use(by=by[row["scheme"]], **case)
        column = "wll_lb" if row["scheme"] == "us-chain" else "wll_kg"
        assert getattr(left, column) == pytest.approx(row[column]), row["rating_id"]
        known = row.get("wll_kg_known_by") if column == "wll_kg" else None
        assert left.basis == (known or row["known_by"]), row["rating_id"]


def test_no_australian_rule_of_thumb_is_above_a_printed_table(packages: dict[str, Package]) -> None:
    compared = 0
    for row, case in _cells(packages):
        if row["grade"] not in (40, 80) or case["legs"] in (3, 4) or row["size_mm"] < 5.5:
            continue  # no rule for grade 100, no factors for three legs; chain from 5.5 mm
        if case["hitch"] == "doubled":
            continue  # no Australian document has one
        left = in_use(by="australian", **case)
        printed = row["wll_kg"] if row["wll_lb"] is None else row["wll_lb"] * 0.45359237
        assert left.wll_kg is not None and left.wll_kg <= printed + 1e-6, row["rating_id"]
        assert left.basis == "rule of thumb"
        compared += 1
    assert compared >= 130


def test_an_american_basket_is_rated_as_two_legs() -> None:
    # OSHA, table 1: the column of two legs is "also single basket"; 3/8 in at 60 deg 12,300 lb
    left = in_use(by="us", grade=80, size="3/8", hitch="basket", angle=60, angle_to="horizontal")
    assert left.wll_lb == pytest.approx(12300)
