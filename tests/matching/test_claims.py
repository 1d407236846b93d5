"""Which published ratings an item may claim.

EN 818-2, grade 8 [kg]: 7 mm 1,500, 8 mm 2,000, 10 mm 3,150. 49 CFR 393.108, grade 80: 3/8 7,100 lb
(3,200 kg). EN 818-4 table 3, 10 mm: two legs 4,250 kg to 45 degrees, 3,150 to 60; three and four
6,700 and 4,750. Grab hooks without cradle lose a fifth (common practice) or a quarter (AS 3775.2).
"""

from __future__ import annotations

from typing import Any

import polars as pl
import pytest

from tallyhook.matching.claims import (
    CLAIM_COLUMNS,
    PublishedRatings,
    angles_read,
    holds_in_every_reading,
    pairs,
)
from tallyhook.matching.match import CASE_COLUMNS
from tallyhook.model.items import ITEM_SCHEMA
from tallyhook.packages.reference import REFERENCE_SCHEMA

TEN = {"kind": "chain", "grade": 80, "size_mm": 10.0}
SLING = TEN | {"kind": "sling", "scheme": "european", "legs": 2}
HOOK = TEN | {"kind": "grab-hook", "scheme": "european"}


def _item(**fields: Any) -> dict[str, Any]:
    return dict.fromkeys(CLAIM_COLUMNS) | fields


@pytest.fixture(scope="module")
def published(reference: pl.DataFrame) -> PublishedRatings:
    return PublishedRatings(reference)


def _loads(published: PublishedRatings, **fields: Any) -> list[float]:
    return sorted(r.value for _, r in published.claimed(_item(**fields)))


@pytest.mark.parametrize(
    ("fields", "loads"),
    [
        (TEN, [3150, 3200, 3200, 7100, 7100]),  # EN 818-2, the chain specifications, the law
        (TEN | {"scheme": "european"}, [3150]),
        (TEN | {"scheme": "us-tiedown"}, [3200, 7100]),
        (TEN | {"scheme": "old-grade-6"}, []),
        (TEN | {"grade": 50}, []),
        (TEN | {"size_mm": 9.0}, []),
        (TEN | {"scheme": "european", "size_mm": 7.0, "size_mm_to": 8.0}, [1500, 2000]),
        (TEN | {"scheme": "european", "cradle": "no"}, [3150]),  # chain has no cradle
        (TEN | {"scheme": "european", "legs": 2, "angle_to_deg": 60.0}, [3150]),
        (HOOK | {"cradle": "yes"}, [3150, 3150]),
        (HOOK | {"cradle": "no"}, [2362.5, 2520]),
        (HOOK, [2362.5, 2520, 3150, 3150]),
        (SLING, [3150, 4250]),
        (SLING | {"angle_to_deg": 45.0}, [4250]),
        (SLING | {"angle_to_deg": 1.0}, [4250]),
        (SLING | {"angle_to_deg": 0.0}, []),
        (SLING | {"angle_to_deg": 45.1}, [3150]),
        (SLING | {"angle_to_deg": 60.0}, [3150]),
        (SLING | {"angle_to_deg": 60.1}, []),
        (SLING | {"legs": 3}, [4750, 6700]),
        (SLING | {"legs": None, "legs_range": "3-4"}, [4750, 6700]),
        (SLING | {"legs": None}, []),
        (SLING | {"legs": 1}, [3150]),
        (SLING | {"legs": 1, "angle_to_deg": 60.0}, [3150]),  # one leg hangs straight
        # from which line its angle counts is not said: either reading
        (SLING | {"angle_if_vertical_deg": 60.0, "angle_if_horizontal_deg": 30.0}, [3150, 4250]),
        (SLING | {"angle_if_vertical_deg": 40.0, "angle_if_horizontal_deg": 50.0}, [3150, 4250]),
        (SLING | {"angle_if_vertical_deg": 45.0, "angle_if_horizontal_deg": 45.0}, [4250]),
        (SLING | {"angle_if_vertical_deg": 70.0, "angle_if_horizontal_deg": 20.0}, [4250]),
    ],
)
def test_an_item_claims_the_ratings_of_its_kind_size_grade_and_make_up(
    fields: dict[str, Any], loads: list[float], published: PublishedRatings
) -> None:
    found = _loads(published, **fields)
    # a cradle is confirmed by more than one document
    assert sorted(set(found)) == sorted(set(loads))


@pytest.mark.parametrize(
    ("fields", "angles"),
    [
        ({}, ()),
        ({"angle_to_deg": 45.0}, (45.0,)),
        ({"angle_to_deg": 45.0, "angle_if_vertical_deg": 60.0}, (45.0,)),
        ({"angle_if_vertical_deg": 60.0, "angle_if_horizontal_deg": 30.0}, (60.0, 30.0)),
        ({"angle_if_vertical_deg": 30.0, "angle_if_horizontal_deg": 60.0}, (60.0, 30.0)),
        ({"angle_if_vertical_deg": 60.0}, (60.0,)),
        ({"angle_if_horizontal_deg": 60.0}, ()),
    ],
)
def test_the_angles_that_a_sling_may_stand_at_the_widest_first(
    fields: dict[str, Any], angles: tuple[float, ...]
) -> None:
    assert angles_read(_item(**fields)) == angles


@pytest.mark.parametrize(
    ("fields", "strict"),
    [
        (SLING, {4250: True, 3150: True}),
        (SLING | {"angle_to_deg": 45.0}, {4250: True}),
        # 60 degrees to the vertical or to the horizontal: 4,250 kg hold in the laxer reading alone
        (SLING | {"angle_if_vertical_deg": 60.0, "angle_if_horizontal_deg": 30.0},
         {4250: False, 3150: True}),
        (SLING | {"angle_if_vertical_deg": 45.0, "angle_if_horizontal_deg": 45.0}, {4250: True}),
        (SLING | {"legs": 1, "angle_if_vertical_deg": 60.0, "angle_if_horizontal_deg": 30.0},
         {3150: True}),
        (TEN | {"scheme": "european", "angle_if_vertical_deg": 60.0, "angle_if_horizontal_deg": 30.0},
         {3150: True}),
    ],
)  # fmt: skip
def test_a_rating_holds_in_every_reading_of_an_angle_or_in_one(
    fields: dict[str, Any], strict: dict[float, bool], published: PublishedRatings
) -> None:
    item = _item(**fields)
    found = {r.value: holds_in_every_reading(item, r) for _, r in published.claimed(item)}
    assert found == strict


# --- a made-up table ---


def _table(*rows: dict[str, Any]) -> pl.DataFrame:
    plain = {
        "kind": "chain", "scheme": "a", "grade": 80, "size_mm": 10.0, "unit": "kg",
        "known_by": "published", "source": "s", "locator": "l",
    }  # fmt: skip
    made = [dict.fromkeys(REFERENCE_SCHEMA) | plain | row for row in rows]
    return pl.DataFrame(made, schema=REFERENCE_SCHEMA, orient="row")


def test_ratings_from_memory_are_claimed_and_stand_apart() -> None:
    published = PublishedRatings(
        _table(
            {"value_kg": 1000.0},
            {"value_kg": 1100.0, "known_by": "recalled"},
            {"value_kg": 800.0, "size_mm": 8.0},
        )
    )
    assert [r.kg for r in published.at("chain", 80, 10.0)] == [1000]
    assert [r.kg for r in published.remembered_at("chain", 80, 10.0)] == [1100]
    assert [(place, r.kg) for place, r in published.claimed(_item(**TEN))] == [(0, 1000), (1, 1100)]
    assert sorted(r.kg for r in published.every()) == [800, 1000]
    assert published.at("chain", 80, 9.0) == published.remembered_at("hook", 80, 10.0) == []


def test_a_table_that_prints_no_angle_is_for_none() -> None:
    sling = {"kind": "sling", "legs": 2, "value_kg": 1.0}
    published = PublishedRatings(
        _table(sling, sling | {"angle_to_deg": 45.0}, sling | {"legs": None})
    )
    found = published.claimed(_item(**(SLING | {"scheme": "a", "angle_to_deg": 45.0})))
    assert [place for place, _ in found] == [1]
    narrow = published.claimed(_item(**(SLING | {"scheme": "a", "angle_to_deg": 0.5})))
    assert [place for place, _ in narrow] == [1]


def test_three_legs_are_counted_where_three_or_four_are_said() -> None:
    sling = {"kind": "sling", "angle_to_deg": 45.0, "value_kg": 1.0}
    published = PublishedRatings(_table(sling | {"legs": 4}, sling | {"legs": 3}))
    either = SLING | {"scheme": "a", "legs": None, "legs_range": "3-4"}
    assert [place for place, _ in published.claimed(_item(**either))] == [1]


def test_cells_differ_by_whatever_the_table_parts_them() -> None:
    parts: list[dict[str, Any]] = [
        {}, {"kind": "hook"}, {"scheme": "b"}, {"grade": 100}, {"size_mm": 8.0}, {"cradle": "no"},
        {"deduction": "20"}, {"legs": 2}, {"angle_to_deg": 45.0},
    ]  # fmt: skip
    every = list(PublishedRatings(_table(*({"value_kg": 1.0} | p for p in parts))).every())
    assert len(every) == len({r.cell for r in every}) == len(parts)
    units = PublishedRatings(_table({"value": 7100.0, "unit": "lb"}, {"value": 3200.0})).every()
    assert len({r.cell for r in units}) == 1  # its pounds and its kilograms are one rating


def test_each_case_is_paired_with_its_ratings_and_keeps_its_own_columns() -> None:
    reference = _table(
        {"value_kg": 1000.0, "scheme": "a"},
        {"value_kg": 1100.0, "scheme": "b"},
        {"value_kg": 900.0, "grade": 100},
    )
    schema = {"case": pl.UInt32} | {c: ITEM_SCHEMA[c] for c in CASE_COLUMNS}
    cases = pl.DataFrame(
        [
            TEN | {"case": 0, "wll_kg": 1.0},
            TEN | {"case": 1, "wll_kg": 2.0, "scheme": "b"},
            TEN | {"case": 2, "wll_kg": 3.0},
            TEN | {"case": 3, "wll_kg": 4.0, "grade": 70},
        ],
        schema=schema,
        orient="row",
    )
    found = pairs(cases, reference)
    told = found.select("case", "wll_kg", "scheme", "ref_scheme", "value_kg", "strict")
    assert list(told.iter_rows()) == [
        (0, 1.0, None, "a", 1000.0, True),
        (0, 1.0, None, "b", 1100.0, True),
        (1, 2.0, "b", "b", 1100.0, True),
        (2, 3.0, None, "a", 1000.0, True),
        (2, 3.0, None, "b", 1100.0, True),
    ]
    assert pairs(cases.tail(1), reference).is_empty()
