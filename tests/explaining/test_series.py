"""The ratings as series: which an item may claim, and what stands beside them.

EN 818-2, grade 8 [kg]: 7 mm 1,500, 8 mm 2,000, 10 mm 3,150, 13 mm 5,300. 49 CFR 393.108, grade 80:
3/8 7,100 lb (3,200 kg). EN 818-4 table 3, 10 mm: two legs 4,250 to 45 degrees, 3,150 to 60.
"""

from __future__ import annotations

from typing import Any

import polars as pl
import pytest

from cause_items import item
from tallyhook.explaining.series import RatingSeries, table_unit
from tallyhook.packages.reference import REFERENCE_SCHEMA

TEN = {"kind": "chain", "grade": 80, "size_mm": 10.0}
SLING = TEN | {"kind": "sling", "scheme": "european", "legs": 2}


def _loads(ratings: Any) -> list[tuple[str, float, str]]:
    return [(r.scheme, r.value, r.unit) for r in ratings]


def test_an_item_may_claim_every_scheme_unless_it_names_one(series: RatingSeries) -> None:
    american = [
        ("us-chain", 7100, "lb"), ("us-chain", 3200, "kg"), ("us-tiedown", 7100, "lb"),
        ("us-tiedown", 3200, "kg"),
    ]  # fmt: skip
    every = _loads(series.own(item(**TEN)))
    assert every[0] == ("european", 3150, "kg")  # a size in millimetres: the metric system first
    assert sorted(every[1:]) == sorted(american)
    inch = _loads(series.own(item(**TEN, size_in="3/8")))
    assert inch[-1] == ("european", 3150, "kg") and sorted(inch[:-1]) == sorted(american)
    assert _loads(series.own(item(**TEN, scheme="european"))) == [("european", 3150, "kg")]
    assert series.own(item(**TEN, scheme="old-grade-6")) == []


def test_a_part_for_two_sizes_may_claim_both(series: RatingSeries) -> None:
    both = item(**(TEN | {"size_mm": 7.0}), size_mm_to=8.0, scheme="european")
    assert sorted(r.kg for r in series.own(both)) == [1500, 2000]


@pytest.mark.parametrize(
    ("fields", "loads"),
    [
        ({"angle_to_deg": 45.0}, [4250]),
        ({"angle_to_deg": 30.0}, [4250]),
        ({"angle_to_deg": 46.0}, [3150]),
        ({"angle_to_deg": 60.0}, [3150]),
        ({"angle_to_deg": 61.0}, []),
        ({}, [3150, 4250]),
        ({"legs": 1}, [3150]),
        ({"legs": 1, "angle_to_deg": 60.0}, [3150]),  # one leg hangs straight
        ({"legs": 3}, [4750, 6700]),
        ({"legs": None, "legs_range": "3-4"}, [4750, 6700]),
    ],
)
def test_a_sling_claims_the_ratings_of_its_legs_and_angle(
    fields: dict[str, Any], loads: list[float], series: RatingSeries
) -> None:
    assert sorted(r.kg for r in series.own(item(**(SLING | fields)))) == loads


def test_a_grab_hook_claims_the_ratings_of_its_cradle(series: RatingSeries) -> None:
    hook = TEN | {"kind": "grab-hook", "scheme": "european"}
    assert {r.kg for r in series.own(item(**hook, cradle="yes"))} == {3150}
    assert {r.kg for r in series.own(item(**hook, cradle="no"))} == {2520, 2362.5}
    assert {r.kg for r in series.own(item(**hook))} == {3150, 2520, 2362.5}
    # a cradle on chain says nothing of its rating
    assert {r.kg for r in series.own(item(**TEN, scheme="european", cradle="no"))} == {3150}


def test_the_rating_to_show_beside_another_is_of_its_scheme_and_unit(series: RatingSeries) -> None:
    own = series.own(item(**TEN))
    for scheme, value, unit in (("us-tiedown", 7100, "lb"), ("us-chain", 3200, "kg")):
        (other,) = (
            r
            for r in series.own(item(**(TEN | {"grade": 70})))
            if (r.scheme, r.unit) == (scheme, unit)
        )
        beside = own.beside(other)
        assert (beside.scheme, beside.value, beside.unit) == (scheme, value, unit)
    (european,) = series.own(item(**TEN, scheme="european"))
    assert own.beside(european) is european
    # of two sizes the smaller, which promises less
    both = series.own(item(**(TEN | {"size_mm": 7.0}), size_mm_to=8.0, scheme="european"))
    assert both.beside(european).size_mm == 7.0


def test_other_grades_of_the_same_make_up(series: RatingSeries) -> None:
    found = series.other_grades(item(**SLING, angle_to_deg=45.0))
    assert {r.grade for ratings in found for r in ratings} == {40, 100}
    assert all(r.legs == 2 for ratings in found for r in ratings)
    chain = series.other_grades(item(**TEN, scheme="european"))  # of whatever scheme
    assert [{r.grade for r in ratings} for ratings in chain] == [
        {30}, {40}, {43}, {60}, {70}, {100},
    ]  # fmt: skip


def test_neighbours_are_sizess_of_one_ladder(series: RatingSeries) -> None:
    ten = item(**TEN, scheme="european")
    assert [sorted({r.size_mm for r in sizes}) for sizes in series.neighbours(ten, 1)] == [
        [8],
        [13],
    ]
    assert [sorted({r.size_mm for r in sizes}) for sizes in series.neighbours(ten, 2)] == [
        [7],
        [16],
    ]
    assert [r.kg for sizes in series.neighbours(ten, 1) for r in sizes] == [2000, 5300]
    every = series.neighbours(item(**TEN), 1)
    assert {r.scheme for sizes in every for r in sizes} == {"european", "us-chain", "us-tiedown"}
    smallest = item(**(TEN | {"size_mm": 4.0}), scheme="european")
    assert [sizes[0].size_mm for sizes in series.neighbours(smallest, 1)] == [5]
    largest = item(**(TEN | {"size_mm": 45.0}), scheme="european")
    assert [sizes[0].size_mm for sizes in series.neighbours(largest, 1)] == [40]
    assert series.neighbours(item(**(TEN | {"size_mm": 9.0})), 1) == []
    assert series.neighbours(item(**(TEN | {"grade": 50})), 1) == []


def test_lookalikes_are_sizes_of_schemes_that_lack_the_items_own(series: RatingSeries) -> None:
    # 7/32 in is 5.5 mm and American alone; 6 mm is European alone (chain.ratings)
    six = series.lookalikes(item(**(TEN | {"size_mm": 6.0})))
    assert {(r.scheme.split("-")[0], r.size_mm) for r in six} == {("us", 5.5)}
    assert {970.0, 2100.0} <= {r.value for r in six}
    american = series.lookalikes(item(**(TEN | {"size_mm": 5.5})))
    assert {(r.scheme, r.size_mm) for r in american} >= {("european", 6.0)}
    assert series.lookalikes(item(**TEN, scheme="european")) == []


# --- a made-up table, where the published ones leave a case out ---


def _series(*rows: dict[str, Any]) -> RatingSeries:
    plain = {
        "kind": "chain", "scheme": "a", "grade": 80, "size_mm": 10.0, "unit": "kg", "known_by": "published",
        "source": "s", "locator": "l",
    }  # fmt: skip
    made = [
        dict.fromkeys(REFERENCE_SCHEMA) | plain | {"value_kg": row.get("value")} | row
        for row in rows
    ]
    return RatingSeries(pl.DataFrame(made, schema=REFERENCE_SCHEMA, orient="row"))


def test_ratings_from_memory_stand_apart() -> None:
    series = _series(
        {"value": 1000.0}, {"value": 1100.0, "known_by": "recalled"},
        {"value": 900.0, "known_by": "recalled", "scheme": "b", "size_mm": 9.5},
        {"value": 800.0, "scheme": "b", "size_mm": 9.5}, {"value": 500.0, "scheme": "b", "size_mm": 8.9},
    )  # fmt: skip
    ten = item(**TEN)
    assert [r.kg for r in series.own(ten)] == [1000]
    assert [r.kg for r in series.remembered(ten)] == [1100]
    assert series.remembered(item(**TEN, scheme="b")) == []
    # within a tenth: 9.5 mm, not 8.9; those from memory may explain
    assert [r.kg for r in series.lookalikes(ten)] == [800, 900]


def test_sizess_are_in_the_order_of_their_sizes_whatever_the_order_of_the_table() -> None:
    series = _series(*({"size_mm": s, "value": 100 * s} for s in (16.0, 8.0, 10.0, 13.0)))
    assert [r.kg for sizes in series.neighbours(item(**TEN), 1) for r in sizes] == [800, 1300]


def test_one_cell_is_printed_in_two_units() -> None:
    series = _series(
        {"value": 7100.0, "unit": "lb", "value_kg": 3220.5}, {"value": 3200.0},
        {"value": 5000.0, "size_mm": 13.0},
    )  # fmt: skip
    pounds, kilograms = series.own(item(**TEN))
    if pounds.unit != "lb":
        pounds, kilograms = kilograms, pounds
    for unit in ("kg", "t", "kN", "daN"):
        assert series.in_unit(pounds, unit) is kilograms
        assert table_unit(unit) == "kg"
    for unit in ("lb", "short ton", "lbf"):
        assert series.in_unit(kilograms, unit) is pounds
        assert table_unit(unit) == "lb"
    (alone,) = series.own(item(**(TEN | {"size_mm": 13.0})))
    assert series.in_unit(alone, "lb") is alone
    # what a list in that unit would copy as it stands
    assert [u for u in ("lb", "kg", "t", "short ton", "kN") if series.prints_in(pounds, u)] == [
        "lb"
    ]
    assert [u for u in ("lb", "kg", "t", "short ton", "kN") if series.prints_in(kilograms, u)] == [
        "kg",
        "t",
    ]


def test_the_law_prints_the_ratings_of_the_american_family(series: RatingSeries) -> None:
    own = series.own(item(**TEN))
    assert {(r.scheme, r.counts_as) for r in own} == {
        ("european", "european"), ("us-chain", "us-chain"), ("us-tiedown", "us-chain"),
    }  # fmt: skip


def test_cells_differ_by_whatever_the_table_parts_them() -> None:
    parts: list[dict[str, Any]] = [
        {}, {"kind": "hook"}, {"scheme": "b"}, {"grade": 100}, {"size_mm": 8.0}, {"cradle": "no"},
        {"deduction": "20"}, {"legs": 2}, {"angle_to_deg": 45.0},
    ]  # fmt: skip
    series = _series(*({"value": 1000.0} | part for part in parts))
    ratings = [
        r for part in parts for r in series.at(part.get("kind", "chain"), part.get("grade", 80), part.get("size_mm", 10.0))
    ]  # fmt: skip
    assert len({r.cell for r in ratings}) == len(parts)
