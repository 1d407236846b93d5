"""What agrees, what does not, and what is not compared at all.

The expected ratings are published: EN 818-2 (10 mm grade 8: 3.15 t; 20 mm: 12.5 t), 49 CFR
393.108 (3/8 in grade 80: 7,100 lb, 3,200 kg; grade 30 1/4 in: 1,300 lb, 580 kg), EN 818-4 table 3
(10 mm grade 8 two legs: 4.25 t to 45 degrees, 3.15 t to 60).
"""

from __future__ import annotations

from typing import Any

import polars as pl
import pytest

from tallyhook.matching.match import match
from tallyhook.model.items import items_frame

POUND = 0.45359237  # kg, exact: international yard and pound agreement, 1959


def outcome(reference: pl.DataFrame, **item: Any) -> tuple[str, str | None]:
    base = {
        "row": 2,
        "kind": "chain",
        "grade": 80,
        "size_mm": 10.0,
        "wll_unit": "kg",
        "wll_step_kg": 1.0,
    }
    matched = match(items_frame([base | item]), reference)
    return matched["outcome"][0], matched["why"][0]


@pytest.mark.parametrize(
    ("kg", "unit", "step"),
    [
        (3150.0, "t", 10.0),  # as EN 818-2 prints it
        (7100 * POUND, "lb", 100 * POUND),  # as the law prints it
        (3200.0, "kg", 100.0),  # the law's kilogram column
        (3210.0, "kg", 10.0),  # between the two units of one rating
        (6945 * POUND, "lb", POUND),  # 3.15 t in pounds, 6,944.6, rounded to a pound
        (6940 * POUND, "lb", 10 * POUND),  # ... to ten pounds
        (3.55 * 907.18474, "short ton", 9.07),  # 7,100 lb in short tons of 2,000 lb
        (31.4 / 9.80665 * 1000, "kN", 10.2),  # 3,200 kg as a force to a tenth of a kilonewton
    ],
)
def test_a_published_rating_agrees_in_every_unit(
    reference: pl.DataFrame, kg: float, unit: str, step: float
) -> None:
    assert outcome(reference, wll_kg=kg, wll_unit=unit, wll_step_kg=step) == ("agree", None)


@pytest.mark.parametrize(
    ("kg", "step"),
    [
        (12600.0, 100.0),  # four times too much
        (3300.0, 100.0),  # 2.5 percent above the highest: no rounding
        (3000.0, 1000.0),  # 4.8 percent below the lowest: rounded too far to be the rating
        (3190.0, 10.0),  # between the schemes and equal to neither
        (3251.0, 1.0),  # one percent above, written to the kilogram: a typing slip
    ],
)
def test_another_number_is_contradicted(reference: pl.DataFrame, kg: float, step: float) -> None:
    assert outcome(reference, wll_kg=kg, wll_step_kg=step) == ("contradicted", None)


@pytest.mark.parametrize(
    ("kg", "unit", "step", "expected"),
    [
        (4700 / 2.2, "kg", 0.1, "agree"),  # the law's 4,700 lb over 2.2 (common practice)
        (2136.0, "kg", 1.0, "agree"),  # ... to the kilogram
        (2135.0, "kg", 1.0, "agree"),  # ... or to five
        (2143.0, "kg", 1.0, "contradicted"),  # half a percent above: neither
        (4686 * POUND, "lb", POUND, "agree"),  # the law's 2,130 kg by 2.2
        (4690 * POUND, "lb", 10 * POUND, "agree"),
        (4650 * POUND, "lb", 10 * POUND, "contradicted"),
    ],
)
def test_a_rating_converted_by_two_point_two_agrees(
    reference: pl.DataFrame, kg: float, unit: str, step: float, expected: str
) -> None:
    # 49 CFR 393.108: 5/16 in grade 70 is rated 2,130 kg, 4,700 lb
    part = {"grade": 70, "size_mm": 8.0, "wll_kg": kg, "wll_unit": unit, "wll_step_kg": step}
    assert outcome(reference, **part)[0] == expected


def test_a_claimed_scheme_narrows_the_comparison(reference: pl.DataFrame) -> None:
    assert outcome(reference, wll_kg=3200.0, scheme="european")[0] == "contradicted"
    assert outcome(reference, wll_kg=3150.0, scheme="european")[0] == "agree"


def test_a_part_for_two_sizes_may_carry_either_rating(reference: pl.DataFrame) -> None:
    # common practice: a hook for 7 and 8 mm grade 8 chain is rated 2 t
    two = {"kind": "hook", "size_mm": 7.0, "size_mm_to": 8.0}
    assert outcome(reference, wll_kg=2000.0, **two)[0] == "agree"
    assert outcome(reference, wll_kg=1500.0, **two)[0] == "agree"
    assert outcome(reference, wll_kg=3150.0, **two)[0] == "contradicted"


def test_sling_ratings_depend_on_legs_and_angle(reference: pl.DataFrame) -> None:
    sling = {"kind": "sling", "legs": 2}
    assert outcome(reference, wll_kg=4250.0, angle_to_deg=45.0, **sling)[0] == "agree"
    assert outcome(reference, wll_kg=4250.0, angle_to_deg=60.0, **sling)[0] == "contradicted"
    assert outcome(reference, wll_kg=3150.0, angle_to_deg=60.0, **sling)[0] == "agree"


def test_a_grab_hook_without_cradle_loses_a_fifth(reference: pl.DataFrame) -> None:
    # common practice, several makers' pages; 25 percent in AS 3775.2
    bare = {"kind": "grab-hook", "cradle": "no"}
    assert outcome(reference, wll_kg=2520.0, wll_step_kg=10.0, **bare)[0] == "agree"
    assert outcome(reference, wll_kg=3150.0, wll_step_kg=10.0, **bare)[0] == "contradicted"
    assert outcome(reference, wll_kg=3150.0, kind="grab-hook", cradle="yes")[0] == "agree"


@pytest.mark.parametrize(
    ("item", "why"),
    [
        ({"kind": "other", "wll_kg": 1.0}, "it is no chain, chain hook, grab hook or chain sling"),
        ({"wll_kg": None}, "no working load limit could be read"),
        ({"wll_kg": 3150.0, "size_mm": None}, "no size could be read"),
        ({"wll_kg": 3150.0, "grade": None}, "no grade could be read"),
        ({"wll_kg": 9000.0, "size_mm": 17.0}, "no rating table covers this kind, size and grade"),
        ({"wll_kg": 3150.0, "kind": "sling"}, "the number of legs could not be read"),
    ],
)
def test_what_cannot_be_compared_says_why(
    reference: pl.DataFrame, item: dict[str, Any], why: str
) -> None:
    assert outcome(reference, **item) == ("not compared", why)


def test_a_recalled_rating_never_lets_a_row_pass(reference: pl.DataFrame) -> None:
    # grade 100, 1-1/4 in, 90,400 lb is recalled only (facts: us-chain-ratings)
    recalled = {"grade": 100, "size_mm": 32.0, "scheme": "us-chain"}
    assert outcome(reference, wll_kg=90400 * POUND, wll_unit="lb", **recalled) == (
        "not compared",
        "the only rating for it is from memory and unverified",
    )


def test_every_row_has_one_outcome(reference: pl.DataFrame) -> None:
    rows = [
        {
            "row": n,
            "kind": k,
            "grade": g,
            "size_mm": 10.0,
            "wll_kg": 3150.0,
            "wll_unit": "kg",
            "wll_step_kg": 10.0,
        }
        for n, (k, g) in enumerate(
            [("chain", 80), ("chain", None), (None, 80), ("hook", 80), ("chain", 80)]
        )
    ]
    matched = match(items_frame(rows), reference)
    assert matched["row"].to_list() == [0, 1, 2, 3, 4]
    assert matched["outcome"].to_list() == [
        "agree",
        "not compared",
        "not compared",
        "agree",
        "agree",
    ]


def test_no_items_are_matched_into_the_same_columns(reference: pl.DataFrame) -> None:
    chain = {"row": 2, "kind": "chain", "grade": 80, "size_mm": 10.0, "wll_unit": "kg"}
    one = items_frame([chain | {"wll_kg": 3150.0, "wll_step_kg": 1.0}])
    matched, none = match(one, reference), match(one.clear(), reference)
    assert none.is_empty()
    assert list(none.schema.items()) == list(matched.schema.items())


# 49 CFR 393.108: 1/2 in (13 mm) grade 80 12,000 lb, which is 6 tons of 2,000 lb; 3/8 in 7,100 lb
@pytest.mark.parametrize(
    ("size", "tons", "expected"),
    [
        (13.0, 6.0, "not compared"),  # right in short tons, ten percent too much in tonnes
        (13.0, 5.44, "not compared"),  # 12,000 lb in tonnes
        (13.0, 7.5, "contradicted"),  # 15,000 lb even in short tons
        (10.0, 14.2, "contradicted"),  # the breaking force of 28,400 lb in short tons
        (10.0, 3.0, "not compared"),  # below in short tons
    ],
)
def test_bare_tons_are_contradicted_only_above_every_source_in_both_readings(
    reference: pl.DataFrame, size: float, tons: float, expected: str
) -> None:
    item = {"size_mm": size, "wll_value": tons, "wll_unit": "ton", "wll_step_kg": None}
    found, why = outcome(reference, **item)
    assert found == expected
    assert (why is None) == (expected == "contradicted")
    assert why is None or "which ton" in why


def test_a_row_without_a_size_says_so_whatever_its_ton(reference: pl.DataFrame) -> None:
    item = {"size_mm": None, "wll_value": 95.4, "wll_unit": "ton", "wll_step_kg": None}
    assert outcome(reference, **item) == ("not compared", "no size could be read")


# in tons of 2,000 lb: 7,100 lb are 3.55 and 18,100 lb are 9.05 (published chain tables)
@pytest.mark.parametrize(
    ("size", "tons", "expected"),
    [(10.0, 3.6, "agree"), (16.0, 9.1, "agree"), (10.0, 3.7, "contradicted")],
)
def test_half_a_step_agrees_whatever_the_last_bit_of_a_product(
    reference: pl.DataFrame, size: float, tons: float, expected: str
) -> None:
    ton = 2000 * POUND
    item = {"size_mm": size, "wll_unit": "short ton", "wll_step_kg": ton / 10}
    for kg in (tons * ton, tons * 907.18474, round(tons * 10) * (ton / 10)):
        assert outcome(reference, wll_kg=kg, **item)[0] == expected


# EN 818-4 table 3, 10 mm grade 8, two legs: 4.25 t to 45 degrees to the vertical, 3.15 t to 60
@pytest.mark.parametrize(
    ("scheme", "kg", "expected"),
    [
        (None, 3150.0, "agree"),  # right in both readings, or below
        (None, 4250.0, "not compared"),  # right only where 60 counts from the horizontal
        (None, 6300.0, "contradicted"),  # above in both
        ("european", 4250.0, "contradicted"),  # EN 818-4 counts from the vertical
        ("european", 3150.0, "agree"),
        ("us-chain", 12300 * POUND, "agree"),  # 2 x sin 60 x 7,100 lb: from the horizontal
    ],
)
def test_an_angle_from_an_unsaid_line_never_passes_by_its_laxer_reading(
    reference: pl.DataFrame, scheme: str | None, kg: float, expected: str
) -> None:
    item = {
        "kind": "sling", "legs": 2, "angle_if_vertical_deg": 60.0, "angle_if_horizontal_deg": 30.0,
        "scheme": scheme, "wll_kg": kg, "wll_step_kg": 10.0 if scheme != "us-chain" else 100 * POUND,
    }  # fmt: skip
    assert outcome(reference, **item)[0] == expected


def test_one_leg_has_no_angle(reference: pl.DataFrame) -> None:
    item = {"kind": "sling", "legs": 1, "wll_kg": 3150.0, "wll_step_kg": 10.0}
    angle = {"angle_if_vertical_deg": 60.0, "angle_if_horizontal_deg": 30.0}
    assert outcome(reference, **item, **angle) == ("agree", None)


# the names that the ratings have in chain.ratings, chain.slings: scheme, grade, size, legs, angle
@pytest.mark.parametrize(
    ("item", "name"),
    [
        ({"wll_kg": 3150.0, "wll_step_kg": 10.0}, "chain/european/80/10mm"),
        ({"wll_kg": 7100 * POUND, "wll_unit": "lb", "wll_step_kg": POUND}, "chain/us-chain/80/10mm"),
        ({"wll_kg": 3200.0, "scheme": "us-chain"}, "chain/us-chain/80/10mm"),
        ({"wll_kg": 12600.0}, None),  # contradicted
        ({"wll_kg": 3150.0, "grade": None}, None),  # not compared
        # 4.25 t is its rating to 45 degrees to the vertical, 3.15 t to 60
        (
            {"kind": "sling", "legs": 2, "scheme": "european", "angle_to_deg": 45.0, "wll_kg": 4250.0},
            "sling/european/80/10mm/2-leg/0-45deg",
        ),
        (  # right only where 60 counts from the horizontal: it does not pass by that rating
            {
                "kind": "sling", "legs": 2, "angle_if_vertical_deg": 60.0,
                "angle_if_horizontal_deg": 30.0, "wll_kg": 4250.0,
            },
            None,
        ),
        (  # the rating that holds in either reading, though that to 45 degrees is as near
            {
                "kind": "sling", "legs": 2, "angle_if_vertical_deg": 60.0, "scheme": "european",
                "angle_if_horizontal_deg": 30.0, "wll_kg": 3150.0, "wll_step_kg": 10.0,
            },
            "sling/european/80/10mm/2-leg/45-60deg",
        ),
    ],
)  # fmt: skip
def test_an_item_that_agrees_names_the_rating_that_lets_it_pass(
    reference: pl.DataFrame, item: dict[str, Any], name: str | None
) -> None:
    base = {
        "row": 2,
        "kind": "chain",
        "grade": 80,
        "size_mm": 10.0,
        "wll_unit": "kg",
        "wll_step_kg": 1.0,
    }
    assert match(items_frame([base | item]), reference)["agreed_id"].to_list() == [name]


def test_an_item_is_never_let_pass_by_a_rating_of_the_laxer_reading(
    reference: pl.DataFrame,
) -> None:
    # as if a document rated both angles alike: both agree, and one holds in either reading
    alike = {c: pl.lit(3150.0) for c in ("value", "value_kg", "low_kg", "high_kg")}
    two_legs = reference.filter(
        pl.col("rating_id").str.starts_with("sling/european/80/10mm/2-leg/")
        & (pl.col("unit") == "kg")
    ).with_columns(**alike)
    item = {
        "row": 2, "kind": "sling", "grade": 80, "size_mm": 10.0, "legs": 2, "wll_kg": 3150.0,
        "wll_unit": "kg", "wll_step_kg": 10.0, "angle_if_vertical_deg": 60.0,
        "angle_if_horizontal_deg": 30.0,
    }  # fmt: skip
    for order in (two_legs, two_legs.reverse()):
        matched = match(items_frame([item]), order)
        assert matched.select("outcome", "agreed_id").row(0) == (
            "agree",
            "sling/european/80/10mm/2-leg/45-60deg",
        )
