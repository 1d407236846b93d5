"""What each plausible mistake would leave in the list, worked out by hand from the documents.

EN 818-2, grade 8 [kg]: 7 mm 1,500, 8 mm 2,000, 10 mm 3,150, 13 mm 5,300, 16 mm 8,000; 10 mm breaks
at 126 kN. EN 818-4 table 3, 10 mm: two legs 4,250 to 45 degrees and 3,150 to 60, three and four
6,700 and 4,750. 49 CFR 393.108 [lb]: 3/8 grade 70 6,600, grade 80 7,100 (3,200 kg). Breaking and
proof forces: ASTM A413, A391; EN 818-1 (grade 8: 800 and 500 N/mm2). A pound is 0.45359237 kg, a
short ton 2,000 lb, 1 kg weighs 9.80665 N. Grab hooks without cradle lose a fifth (common practice).
"""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise
from typing import Any

import polars as pl
import pytest

from cause_items import Made, item
from tallyhook.explaining.candidates import Knowledge, predictions
from tallyhook.explaining.mistakes import PREDICTED, SLIPS
from tallyhook.explaining.series import RatingSeries
from tallyhook.explaining.writings import Writing, slips, writings

EUROPEAN = {"kind": "chain", "grade": 80, "size_mm": 10.0, "scheme": "european"}  # 3,150 kg
LAW = {"kind": "chain", "grade": 80, "size_mm": 10.0, "size_in": "3/8", "scheme": "us-tiedown"}
TWO_LEGS = EUROPEAN | {"kind": "sling", "legs": 2, "angle_to_deg": 45.0}  # 4,250 kg
BARE = EUROPEAN | {"kind": "grab-hook", "cradle": "no"}  # 2,520 kg, or 2,362.5 less a quarter
CRADLE = BARE | {"cradle": "yes"}


def _approx(*wanted: tuple[float, str]) -> list[tuple[Any, str]]:
    return [(pytest.approx(value, rel=2e-4), how) for value, how in sorted(wanted)]


# --- units ---

POUNDS, KILOGRAMS = "the number is the rating in pounds", "the number is the rating in kilograms"
SHORT, TONNES = "the number is the rating in short tons", "the number is the rating in tonnes"
KILONEWTONS = "the number is the rating as a force in kilonewtons"


@pytest.mark.parametrize(
    ("cause", "unit", "wanted"),
    [
        # 3,150 kg are 6,944.6 lb
        ("pounds-as-kilograms", "kg", [(6944.6, POUNDS)]),
        ("pounds-as-kilograms", "t", [(6.9446, POUNDS)]),
        # and 6,944.6 read as kilograms are 15,310 lb
        ("pounds-as-kilograms", "lb", [(15310, "the rating in pounds was read as kilograms and converted")]),
        ("pounds-as-kilograms", "kN", []),
        ("kilograms-as-pounds", "lb", [(3150, KILOGRAMS)]),
        ("kilograms-as-pounds", "lbf", [(3150, KILOGRAMS)]),
        ("kilograms-as-pounds", "short ton", [(1.575, KILOGRAMS)]),
        ("kilograms-as-pounds", "kg", [(1428.8, "the rating in kilograms was read as pounds and converted")]),
        ("kilograms-as-pounds", "kN", []),
        # 3.15 t are 3.4723 short tons
        ("short-tons-as-tonnes", "t", [(3.4723, SHORT)]),
        ("short-tons-as-tonnes", "kg", [(3472.3, SHORT)]),
        ("short-tons-as-tonnes", "short ton", []),
        ("tonnes-as-short-tons", "short ton", [(3.15, TONNES)]),
        ("tonnes-as-short-tons", "lb", [(6300, TONNES)]),
        ("tonnes-as-short-tons", "t", []),
        # 3,150 kg weigh 30.891 kN
        ("force-unit-confused", "t", [(30.891, KILONEWTONS)]),
        ("force-unit-confused", "kg", [(30.891, KILONEWTONS), (30891, "the number is the rating in newtons")]),
        ("force-unit-confused", "lb", [(30.891, KILONEWTONS)]),
        ("force-unit-confused", "short ton", [(30.891, KILONEWTONS)]),
        ("force-unit-confused", "kN", [(3.15, TONNES), (3150, "the number is in kilograms")]),
        ("force-unit-confused", "N", [(3150, KILOGRAMS)]),
        ("force-unit-confused", "daN", [(3150, KILOGRAMS)]),
        ("force-unit-confused", "long ton", []),
    ],
)  # fmt: skip
def test_a_load_in_the_wrong_unit(cause: str, unit: str, wanted: Any, made: Made) -> None:
    assert made(cause, **EUROPEAN, wll_unit=unit) == _approx(*wanted)


def test_kilograms_that_are_only_remembered_explain_a_number(made: Made) -> None:
    # 3/4 in grade 80 is 28,300 lb (chain specifications); the 12,800 kg beside it are recalled
    american = LAW | {"size_mm": 20.0, "size_in": "3/4", "scheme": "us-chain"}
    assert made("kilograms-as-pounds", **american, wll_unit="lb") == _approx(
        (12800, KILOGRAMS), (12837, KILOGRAMS)
    )
    assert made("tonnes-as-short-tons", **american, wll_unit="short ton") == _approx(
        (12.8, TONNES), (12.837, TONNES)
    )
    assert made("force-unit-confused", **american, wll_unit="t") == _approx(
        (125.53, KILONEWTONS), (125.89, KILONEWTONS)
    )


# --- the wrong quantity ---

BREAKS, PROVED = "the number is the breaking force", "the number is the proof force"


@pytest.mark.parametrize(
    ("cause", "fields", "wanted"),
    [
        # 4 x 3,150; 800 N/mm2 on twice the section of 10 mm are 125.66 kN, 12,814 kg
        ("breaking-force-as-wll", EUROPEAN,
         [(12600, BREAKS), (12814, BREAKS), (12566, f"{BREAKS} in kilonewtons, over ten")]),
        # 2.5 x 3,150; 500 N/mm2 are 78.54 kN, 8,008.8 kg
        ("proof-force-as-wll", EUROPEAN,
         [(7875, PROVED), (8008.8, PROVED), (7854, f"{PROVED} in kilonewtons, over ten")]),
        # grade 4, 10 mm (EN 818-3): 1,600 kg; 400 N/mm2 are 62.83 kN, 200 are 31.42
        ("breaking-force-as-wll", EUROPEAN | {"grade": 40},
         [(6400, BREAKS), (6407, BREAKS), (6283.2, f"{BREAKS} in kilonewtons, over ten")]),
        ("proof-force-as-wll", EUROPEAN | {"grade": 40},
         [(3200, PROVED), (3203.5, PROVED), (3141.6, f"{PROVED} in kilonewtons, over ten")]),
        # grade 10 practice: 10 mm 4,000 kg; 1,000 and 625 N/mm2
        ("breaking-force-as-wll", EUROPEAN | {"grade": 100},
         [(16000, BREAKS), (16018, BREAKS), (15708, f"{BREAKS} in kilonewtons, over ten")]),
        ("proof-force-as-wll", EUROPEAN | {"grade": 100},
         [(10000, PROVED), (10011, PROVED), (9817.5, f"{PROVED} in kilonewtons, over ten")]),
        # ISO 3075 grade 6, 10 mm: 2,500 kg; 630 and 315 N/mm2
        ("breaking-force-as-wll", EUROPEAN | {"grade": 60, "scheme": "old-grade-6"},
         [(10000, BREAKS), (10091, BREAKS), (9896, f"{BREAKS} in kilonewtons, over ten")]),
        ("proof-force-as-wll", EUROPEAN | {"grade": 60, "scheme": "old-grade-6"},
         [(5000, PROVED), (5045.6, PROVED), (4948, f"{PROVED} in kilonewtons, over ten")]),
        # two legs to 45 degrees: 1.4 times the force of one (EN 818-4)
        ("breaking-force-as-wll", TWO_LEGS,
         [(17000, BREAKS), (17940, BREAKS), (17593, f"{BREAKS} in kilonewtons, over ten")]),
        # a grab hook without cradle breaks at the chain's force, or that less a fifth or a quarter
        ("breaking-force-as-wll", BARE,
         [(12600, BREAKS), (10080, BREAKS), (9450, BREAKS), (12814, BREAKS), (10251, BREAKS),
          (9610.3, BREAKS), (12566, f"{BREAKS} in kilonewtons, over ten")]),
        ("proof-force-as-wll", CRADLE,
         [(7875, PROVED), (8008.8, PROVED), (7854, f"{PROVED} in kilonewtons, over ten")]),
    ],
)  # fmt: skip
def test_a_force_in_the_place_of_the_rating_metric(
    cause: str, fields: dict[str, Any], wanted: Any, made: Made
) -> None:
    assert made(cause, **fields, wll_unit="kg") == _approx(*wanted)


@pytest.mark.parametrize(
    ("grade", "breaks", "proved"),
    [
        # ASTM A413, A391, A973: four times the rating, grade 43 three times; proof twice, grade 43
        # once and a half. Ratings of 3/8 in [lb]: 2,650, 5,400, 6,600, 7,100, 8,800
        (30, 10600, 5300), (43, 16200, 8100), (70, 26400, 13200), (80, 28400, 14200),
        (100, 35200, 17600),
    ],
)  # fmt: skip
def test_a_force_in_the_place_of_the_rating_american(
    grade: int, breaks: float, proved: float, made: Made
) -> None:
    for scheme in ("us-chain", "us-tiedown"):
        chain = LAW | {"grade": grade, "scheme": scheme}
        values = [value for value, _ in made("breaking-force-as-wll", **chain, wll_unit="lb")]
        assert pytest.approx(breaks, rel=1e-4) in values
        assert all(abs(value / breaks - 1) < 0.01 for value in values)  # the kilograms beside it
        values = [value for value, _ in made("proof-force-as-wll", **chain, wll_unit="lb")]
        assert pytest.approx(proved, rel=1e-4) in values
        assert all(abs(value / proved - 1) < 0.01 for value in values)


# --- the wrong row or column of the table ---


def _of_grade(*loads: tuple[float, int]) -> list[tuple[Any, str]]:
    return _approx(*((kg, f"the rating of grade {grade}") for kg, grade in loads))


def _of_size(*loads: tuple[float, str]) -> list[tuple[Any, str]]:
    return _approx(*((kg, f"the rating of {size}") for kg, size in loads))


def test_the_rating_of_another_grade(made: Made) -> None:
    # 10 mm: grade 4 1,600 kg (EN 818-3), grade 6 2,500 (ISO 3075), grade 10 4,000; 3/8 in [lb] and
    # [kg] of the law: grade 30 2,650 (1,200), 43 5,400 (2,450), 70 6,600 (2,990), 100 8,800 (4,000)
    assert made("other-grade", **EUROPEAN, wll_unit="kg") == _of_grade(
        (1202.0, 30), (1200, 30), (1600, 40), (2449.4, 43), (2450, 43), (2500, 60), (2993.7, 70),
        (2990, 70), (3991.6, 100), (4000, 100),
    )  # fmt: skip


def test_the_neighbouring_column_of_the_same_table_is_the_likeliest(known: Knowledge) -> None:
    found = predictions(item(**EUROPEAN, wll_unit="kg"), known)["other-grade"]
    shares = {round(p.share, 3) for p in found if p.how.endswith("grade 100")}
    assert shares == {0.6, 0.18}  # EN 818 beside grade 10 of the same scheme; other documents
    assert {round(p.share, 3) for p in found if p.how.endswith("grade 40")} == {0.6}
    assert {round(p.share, 3) for p in found if p.how.endswith("grade 30")} == {0.06}
    assert {round(p.share, 3) for p in found if p.how.endswith("grade 70")} == {0.18}


@pytest.mark.parametrize(
    ("grade", "near"),
    [
        # in the tables of one scheme: 30, 43, 70, 80, 100, and 40, 80, 100; grade 6 stands alone
        (30, {43}), (43, {30, 70}), (70, {43, 80}), (80, {40, 70, 100}), (100, {80}),
        (40, {80}), (60, set()),
    ],
)  # fmt: skip
def test_the_grades_that_stand_beside_each_other(
    grade: int, near: set[int], known: Knowledge
) -> None:
    chain = item(kind="chain", grade=grade, size_mm=10.0, wll_unit="kg")
    found = predictions(chain, known)["other-grade"]
    likely = {int(p.how.split()[-1]) for p in found if p.share in (0.6, 0.18)}
    assert likely == near


def test_the_rating_of_a_neighbouring_size(made: Made, known: Knowledge) -> None:
    assert made("neighbouring-size", **EUROPEAN, wll_unit="kg") == _of_size(
        (1500, "7 mm"), (2000, "8 mm"), (5300, "13 mm"), (8000, "16 mm")
    )
    found = predictions(item(**EUROPEAN, wll_unit="kg"), known)["neighbouring-size"]
    assert {(p.how[14:], p.share) for p in found} == {
        ("8 mm", 0.42), ("13 mm", 0.42), ("7 mm", 0.06), ("16 mm", 0.06),
    }  # fmt: skip


def test_the_smallest_and_the_largest_size_have_one_neighbour(made: Made) -> None:
    # EN 818-2: 4 mm 500 kg, 5 mm 800, 6 mm 1,120; 40 mm 50,000 kg, 36 mm 40,000, 45 mm 63,000
    four = EUROPEAN | {"size_mm": 4.0}
    assert made("neighbouring-size", **four, wll_unit="kg") == _of_size(
        (800, "5 mm"), (1120, "6 mm")
    )
    most = EUROPEAN | {"size_mm": 45.0}
    assert made("neighbouring-size", **most, wll_unit="kg") == _of_size(
        (50000, "40 mm"), (40000, "36 mm")
    )


def test_slings_of_other_chain_are_worked_out_where_no_document_prints_them(made: Made) -> None:
    # two legs to 45 degrees (EN 818-4): 7, 8, 13 and 16 mm 2,120, 2,800, 7,500 and 11,200 kg, or
    # 1.4 times one leg: 2,100, 2,800, 7,420 and 11,200
    assert made("neighbouring-size", **TWO_LEGS, wll_unit="kg") == _of_size(
        (2100, "7 mm"), (2120, "7 mm"), (2800, "8 mm"), (7420, "13 mm"), (7500, "13 mm"),
        (11200, "16 mm"),
    )  # fmt: skip
    # grade 4 1.4 x 1,600, grade 10 1.4 x 4,000; American two legs of grade 100 at 45 degrees 12,400 lb
    assert made("other-grade", **TWO_LEGS, wll_unit="kg") == _of_grade(
        (2240, 40), (5600, 100), (5624.6, 100), (5620, 100)
    )


def test_sizes_that_are_taken_for_each_other(made: Made) -> None:
    # 6 mm grade 80 is 1,120 kg (EN 818-2), American 7/32 in, 5.5 mm, 2,100 lb (970 kg)
    found = made(
        "neighbouring-size", **(EUROPEAN | {"size_mm": 6.0, "scheme": None}), wll_unit="kg"
    )
    assert (pytest.approx(952.54, rel=1e-4), "the rating of 5.5 mm") in found
    assert (pytest.approx(970, rel=1e-4), "the rating of 5.5 mm") in found


def test_the_rating_of_another_scheme(made: Made) -> None:
    assert made("other-scheme", **EUROPEAN, wll_unit="kg") == _approx(
        (3200, "the rating of the scheme us-chain"),
        (3200, "the rating of the scheme us-tiedown"),
        (3220.5, "the rating of the scheme us-chain"),
        (3220.5, "the rating of the scheme us-tiedown"),
    )
    assert made("other-scheme", **(EUROPEAN | {"scheme": None}), wll_unit="kg") == []


# --- legs, hitches, deductions ---


def _of_legs(*loads: tuple[float, int, str]) -> list[tuple[Any, str]]:
    return _approx(
        *(
            (kg, f"the rating of {legs} legs to {deg} degrees to the vertical")
            for kg, legs, deg in loads
        )
    )


def test_the_rating_of_several_legs_on_one(made: Made) -> None:
    printed = [
        (4250, 2, "45"), (3150, 2, "60"), (6700, 3, "45"), (4750, 3, "60"), (6700, 4, "45"),
        (4750, 4, "60"),
    ]  # fmt: skip
    worked_out = [(4410, 2, "45"), (6615, 3, "45")]  # 1.4 and 2.1 times 3,150
    wanted = _of_legs(*printed, *worked_out)
    one_leg = EUROPEAN | {"kind": "sling", "legs": 1}
    for fields in (EUROPEAN, one_leg, CRADLE, EUROPEAN | {"kind": "hook"}):
        assert made("multi-leg-rating-as-single", **fields, wll_unit="kg") == wanted
    assert made("multi-leg-rating-as-single", **TWO_LEGS, wll_unit="kg") == []
    assert made("multi-leg-rating-as-single", **BARE, wll_unit="kg") == []


def test_two_legs_are_taken_for_one_more_often_than_four(known: Knowledge) -> None:
    found = predictions(item(**EUROPEAN, wll_unit="kg"), known)["multi-leg-rating-as-single"]
    printed = {(p.how[14:20], p.share) for p in found if p.kg not in (4410.0, 6615.0)}
    assert printed == {("2 legs", 0.3), ("3 legs", 0.15), ("4 legs", 0.15)}
    assert {p.share for p in found if p.kg in (4410.0, 6615.0)} == {0.12}
    american = predictions(item(**(LAW | {"grade": 70}), wll_unit="lb"), known)
    shares = {(p.how.split()[6], p.share) for p in american["multi-leg-rating-as-single"]}
    assert shares == {("30", 0.12), ("45", 0.04)}


def test_american_legs_are_worked_out_by_the_cosine(made: Made) -> None:
    # 6,600 lb (2,990 kg) x legs x cos 30 and cos 45; no document prints slings of grade 70
    chain = LAW | {"grade": 70, "scheme": "us-tiedown"}
    found = made("multi-leg-rating-as-single", **chain, wll_unit="lb")
    wanted = _of_legs(
        (11432, 2, "30"), (17147, 3, "30"), (9333.8, 2, "45"), (14001, 3, "45"),
        (11417, 2, "30"), (17126, 3, "30"), (9322.2, 2, "45"), (13983, 3, "45"),
    )  # fmt: skip
    assert found == wanted


def test_the_rating_of_one_leg_on_several(made: Made) -> None:
    one = [
        (3150, "the rating of one leg"),
        (3200, "the rating of one leg"),
        (3220.5, "the rating of one leg"),
    ]
    assert made("single-leg-rating-as-multi-leg", **TWO_LEGS, wll_unit="kg") == _approx(*one)
    for fields in (EUROPEAN, TWO_LEGS | {"legs": 1}, TWO_LEGS | {"legs": None}):
        assert made("single-leg-rating-as-multi-leg", **fields, wll_unit="kg") == []


@pytest.mark.parametrize(
    ("fields", "wanted"),
    [
        (TWO_LEGS, [(6300, "the number is 2 times the rating of one leg")]),
        (TWO_LEGS | {"legs": 3}, [(9450, "the number is 3 times the rating of one leg")]),
        # four legs: 4 x 3,150, or 2.1 x 4 / 3 of one leg
        (TWO_LEGS | {"legs": 4},
         [(12600, "the number is 4 times the rating of one leg"),
          (8820, "four legs counted for three at 45 degrees to the vertical")]),
        (TWO_LEGS | {"legs": None, "legs_range": "3-4"},
         [(9450, "the number is 3 times the rating of one leg"),
          (12600, "the number is 4 times the rating of one leg"),
          (8820, "four legs counted for three at 45 degrees to the vertical")]),
        # no angle is said: at each of the tables', 1.5 x 4 / 3 at 60 degrees
        (TWO_LEGS | {"legs": 4, "angle_to_deg": None},
         [(12600, "the number is 4 times the rating of one leg"),
          (8820, "four legs counted for three at 45 degrees to the vertical"),
          (6300, "four legs counted for three at 60 degrees to the vertical")]),
        (TWO_LEGS | {"legs": 1}, []),
        (TWO_LEGS | {"legs": None}, []),
        (EUROPEAN | {"legs": 2}, []),
    ],
)  # fmt: skip
def test_every_leg_counted_in_full(fields: dict[str, Any], wanted: Any, made: Made) -> None:
    assert made("every-leg-counted-in-full", **fields, wll_unit="kg") == _approx(*wanted)


def test_the_rating_at_another_angle(made: Made) -> None:
    at = "the rating at {} degrees to the vertical"
    assert made("other-angle", **TWO_LEGS, wll_unit="kg") == _approx((3150, at.format(60)))
    steep = TWO_LEGS | {"angle_to_deg": 60.0}
    assert made("other-angle", **steep, wll_unit="kg") == _approx((4250, at.format(45)))
    open_ = {"angle_to_deg": None, "angle_if_vertical_deg": 45.0, "angle_if_horizontal_deg": 45.0}
    assert made("other-angle", **(TWO_LEGS | open_), wll_unit="kg") == []
    # though its scheme has said from which line the angle counts
    settled = steep | {"angle_if_vertical_deg": 60.0, "angle_if_horizontal_deg": 60.0}
    assert made("other-angle", **settled, wll_unit="kg") == _approx((4250, at.format(45)))
    three = TWO_LEGS | {"legs": 3}
    assert made("other-angle", **three, wll_unit="kg") == _approx((4750, at.format(60)))
    for fields in (
        EUROPEAN | {"angle_to_deg": 45.0, "legs": 2},
        TWO_LEGS | {"legs": 1},
        TWO_LEGS | {"legs": None},
        TWO_LEGS | {"angle_to_deg": None},
    ):
        assert made("other-angle", **fields, wll_unit="kg") == []


def test_deductions_of_grab_hooks(made: Made) -> None:
    full = "the full rating, which only a grab hook with cradle keeps"
    assert made("shortening-not-deducted", **BARE, wll_unit="kg") == _approx((3150, full))
    twice = "the deduction was taken twice"
    assert made("shortening-deducted-twice", **BARE, wll_unit="kg") == _approx(
        (2016, twice),
        (1890, twice),  # 0.8 times 2,520 and 2,362.5
    )
    assert made("shortening-deducted-twice", **CRADLE, wll_unit="kg") == _approx((2016, twice))
    needless = "a deduction was taken that is not due"
    assert made("shortening-deducted-without-need", **CRADLE, wll_unit="kg") == _approx(
        (2520, needless)
    )
    for cause, fields in (
        ("shortening-not-deducted", CRADLE),
        ("shortening-not-deducted", BARE | {"cradle": None}),
        ("shortening-not-deducted", EUROPEAN | {"cradle": "no"}),
        ("shortening-deducted-twice", EUROPEAN),
        ("shortening-deducted-without-need", BARE),
        ("shortening-deducted-without-need", EUROPEAN | {"cradle": "yes"}),
    ):
        assert made(cause, **fields, wll_unit="kg") == []


def test_a_hitch_and_a_pair_in_the_rating(made: Made, known: Knowledge) -> None:
    choke, basket = "the rating in a choke hitch", "the rating in a basket hitch"
    wanted = _approx((2520, choke), (6300, basket), (2362.5, choke))
    for kind in ("chain", "hook"):
        fields = EUROPEAN | {"kind": kind}
        assert made("hitch-factor-included", **fields, wll_unit="kg") == wanted
    assert made("hitch-factor-included", **CRADLE, wll_unit="kg") == []
    for kind, twice in (("hook", 6300), ("grab-hook", 6300), ("chain", None), ("sling", None)):
        fields = EUROPEAN | {"kind": kind, "cradle": "yes", "legs": 1}
        pair = _approx((twice, "the rating of a pair")) if twice else []
        assert made("pair-rating-as-single", **fields, wll_unit="kg") == pair

    def shares(**fields: Any) -> list[float]:
        found = predictions(item(**fields, wll_unit="kg"), known)["hitch-factor-included"]
        return [p.share for p in found[:3]]

    # chain of a sling's grade is hitched, lashing chain hardly, a hook least of all
    assert shares(**TWO_LEGS) == [0.5, 0.35, 0.02]
    assert shares(**EUROPEAN) == [0.5, 0.25, 0.02]
    for grade in (40, 60, 80, 100):
        assert shares(kind="chain", grade=grade, size_mm=10.0) == [0.5, 0.25, 0.02]
    for grade in (30, 43, 70):
        assert shares(kind="chain", grade=grade, size_mm=10.0) == [0.35, 0.08, 0.01]
    assert shares(**(EUROPEAN | {"kind": "hook"})) == [0.25, 0.15, 0.01]


def test_heat_in_the_rating(made: Made) -> None:
    # EN 818-6: 10, 25 and 50 percent; ASME B30.9 and others 15 to 60
    less = "the rating less {} percent for heat"
    assert made("heat-factor-included", **EUROPEAN, wll_unit="kg") == _approx(
        *((3150 * (1 - off / 100), less.format(off)) for off in (10, 15, 20, 25, 30, 40, 50, 60))
    )


def test_a_rating_rounded_to_one_or_two_figures(made: Made, known: Knowledge) -> None:
    how = "3,150 was rounded"
    assert made("rounded", **EUROPEAN, wll_unit="kg") == _approx(
        (3000, how), (3100, how), (3200, how)
    )
    # 1,120 kg: two figures only, 1,000 and 2,000 are too far
    small = EUROPEAN | {"size_mm": 6.0}
    how = "1,120 was rounded"
    assert made("rounded", **small, wll_unit="kg") == _approx((1000, how), (1100, how), (1200, how))
    found = predictions(item(**EUROPEAN, wll_unit="kg"), known)["rounded"]
    assert all(p.exact for p in found)
    assert {(round(p.kg), p.share) for p in found} == {(3000, 0.15), (3100, 0.2), (3200, 0.2)}
    # 7,100 lb are 3.2205 t
    law = made("rounded", **LAW, wll_unit="t")
    assert (3.0, "3.221 was rounded") in law and (3.3, "3.221 was rounded") in law


# --- every cause ---

MANY = [
    fields | {"wll_unit": unit}
    for fields in (
        EUROPEAN, EUROPEAN | {"scheme": None}, LAW, LAW | {"grade": 43}, TWO_LEGS, BARE, CRADLE,
        TWO_LEGS | {"legs": 4, "angle_to_deg": None}, EUROPEAN | {"grade": 60, "scheme": None},
        EUROPEAN | {"kind": "hook"}, LAW | {"kind": "sling", "legs": 3, "scheme": "us-chain"},
        EUROPEAN | {"size_mm": 6.0, "scheme": None}, BARE | {"scheme": None},
        TWO_LEGS | {"legs": 1, "angle_to_deg": None},
        LAW | {"size_mm": 20.0, "size_in": "3/4", "scheme": "us-chain"},
    )
    for unit in ("kg", "t", "lb", "short ton", "kN", "daN", "N", "lbf")
]  # fmt: skip


def test_a_force_is_predicted_once_in_every_way_of_taking_it(known: Knowledge) -> None:
    for fields, ways in ((EUROPEAN, 3), (LAW, 2), (BARE, 10), (CRADLE | {"scheme": "european"}, 3)):
        found = predictions(item(**fields, wll_unit="kg"), known)
        ratings = known.series.own(item(**fields))
        assert len(found["breaking-force-as-wll"]) == ways, (fields, len(ratings))


@pytest.mark.parametrize(
    ("fields", "shares"),
    [
        # times the rating, from the diameter, over ten; a sling's force is seldom listed
        (EUROPEAN, [0.6, 0.5, 0.06]),
        (EUROPEAN | {"kind": "hook"}, [0.6, 0.5, 0.06]),
        (TWO_LEGS | {"legs": 1, "angle_to_deg": None}, [0.6, 0.5, 0.06]),
        (TWO_LEGS, [0.3, 0.3, 0.06]),
        # a bare grab hook: of the rating before and after its deduction, and of the force, too
        (BARE, [0.6, 0.3, 0.5, 0.06, 0.2]),
        (CRADLE, [0.6, 0.5, 0.06]),
    ],
)
def test_the_shares_of_the_ways_in_which_a_force_is_listed(
    fields: dict[str, Any], shares: list[float], known: Knowledge
) -> None:
    found = predictions(item(**fields, wll_unit="kg"), known)["breaking-force-as-wll"]
    assert [p.share for p in found][: len(shares)] == shares


def test_a_rating_without_a_force_does_not_hide_the_others(
    reference: pl.DataFrame, known: Knowledge
) -> None:
    of_a_maker = reference.filter(pl.col("kind") == "chain").with_columns(
        scheme=pl.lit("maker"), counts_as=pl.lit("maker")
    )
    series = RatingSeries(pl.concat([of_a_maker, reference]))
    several = Knowledge(series=series, facts=known.facts, causes=known.causes)
    chain = item(**(LAW | {"scheme": None}), wll_unit="lb")
    found = predictions(chain, several)["breaking-force-as-wll"]
    assert {p.meant.scheme for p in found} == {"european", "us-chain", "us-tiedown"}


def test_every_cause_takes_a_part_of_its_occurrences_and_means_a_rating_of_the_item(
    known: Knowledge,
) -> None:
    seen = set()
    for fields in MANY:
        own = known.series.own(item(**fields))
        for cause, found in predictions(item(**fields), known).items():
            for p in found:
                seen.add(cause)
                assert 0 < p.share <= 1, (cause, p)
                assert p.kg > 0 and p.meant in own and p.how
                assert p.exact == (cause == "rounded")
    assert seen == set(PREDICTED)


# --- the hand that typed ---


SHIFTED = [3.15, 31.5, 315, 31500, 315000, 3150000]
"""One to three places either way."""


@pytest.mark.parametrize(
    ("value", "unit", "wanted"),
    [
        # of 3,150 kg
        (31500, "kg", {"decimal-point-shifted": SHIFTED}),
        (3.15, "kg", {"decimal-point-shifted": SHIFTED}),
        (0.315, "t", {"decimal-point-shifted": SHIFTED}),
        (3510, "kg", {"digits-swapped": [3510]}),
        (1350, "kg", {"digits-swapped": [1350]}),
        (3105, "kg", {"digits-swapped": [3105], "digit-lost-or-added": [31050]}),
        (1.35, "t", {"digits-swapped": [1350]}),  # across the decimal point
        (3.51, "t", {"digits-swapped": [3510]}),
        (3750, "kg", {"digit-mistyped": [3750]}),
        (3159, "kg", {"digit-mistyped": [3159], "digit-lost-or-added": [31590]}),
        (350, "kg", {"digit-lost-or-added": [350]}),
        (31150, "kg", {"digit-lost-or-added": [31150]}),  # one doubled
        (35150, "kg", {"digit-lost-or-added": [35150]}),
        (13150, "kg", {"digit-lost-or-added": [13150]}),
        (31.15, "t", {"digit-lost-or-added": [3115]}),
        (3.1, "t", {"digit-mistyped": [3100], "digit-lost-or-added": [3100]}),
        (5130, "kg", {}),  # places that are no neighbours
        (4160, "kg", {}),  # two digits
        (3150, "kg", {"decimal-point-shifted": SHIFTED}),
    ],
)  # fmt: skip
def test_slips_of_the_hand(value: float, unit: str, wanted: Any, known: Knowledge) -> None:
    listed = item(**EUROPEAN, wll_unit=unit, wll_value=value)
    found = slips(listed, writings(listed, known.series))
    meant = "3150" if unit == "kg" else "3.15"
    words = {
        "decimal-point-shifted": f"the decimal point of {meant} is elsewhere",
        "digits-swapped": f"two digits of {meant} changed places",
        "digit-mistyped": f"one digit of {meant} is another",
        "digit-lost-or-added": f"{meant} has a digit too few or too many",
    }
    assert {cause: sorted(round(p.kg, 6) for p in made) for cause, made in found.items()} == wanted
    for cause, made in found.items():
        for p in made:
            assert p.exact and 0 < p.share <= 1 and p.how == words[cause]
            assert p.meant.value == 3150


def test_a_slip_of_the_hand_takes_its_share_of_the_turns(known: Knowledge) -> None:
    # each place and each digit is as likely as the others; nine in ten slips are of this kind
    shares = {}
    for value in (31500, 315, 315000, 31.5, 3150000, 3.15, 3510, 3750, 350, 31150, 35150):
        listed = item(**EUROPEAN, wll_unit="kg", wll_value=float(value))
        found = slips(listed, writings(listed, known.series))
        every = [p for made in found.values() for p in made]
        shares[value] = sum(p.share for p in every if p.kg == pytest.approx(value))
    tonnes = item(**EUROPEAN, wll_unit="t", wll_value=1.35)
    (swapped,) = slips(tonnes, writings(tonnes, known.series))["digits-swapped"]
    assert swapped.share == pytest.approx(0.9 / 2)  # of 3.15: across the point, and after it
    assert shares == {
        31500: 0.34, 315: 0.34, 315000: 0.04, 31.5: 0.04, 3150000: 0.1, 3.15: 0.1,
        3510: pytest.approx(0.9 / 3),  # three pairs of neighbours differ
        3750: pytest.approx(0.9 / 36),  # four places, nine other digits
        350: pytest.approx(0.45 / 4), 31150: pytest.approx(0.25 / 4),
        35150: pytest.approx(0.2 / 40),
    }  # fmt: skip


def test_a_slip_in_a_converted_number_is_as_likely_as_both(known: Knowledge) -> None:
    # 3,150 kg in pounds, to a pound: 6,945, which 0.38 of the clerks write
    listed = item(**EUROPEAN, wll_unit="lb", wll_value=69450.0)
    found = slips(listed, writings(listed, known.series))["decimal-point-shifted"]
    pounds = {
        round(p.kg / 0.45359237): p.share
        for p in found
        if p.how.startswith("the decimal point of 6945 ")
    }
    assert pounds[69450] == pytest.approx(0.34 * 0.38)


def _turned(slip: str, text: str) -> set[str]:
    """What a slip can make of a number, written down place by place."""
    at = [i for i, c in enumerate(text) if c != "."]
    if slip == "decimal-point-shifted":
        return {format(Decimal(text) * Decimal(10) ** by, "f") for by in (-3, -2, -1, 1, 2, 3)}
    if slip == "digit-mistyped":
        made = {text[:i] + d + text[i + 1 :] for i in at for d in "0123456789"}
        return made - {text}
    if slip == "digits-swapped":
        made = set()
        for i, j in pairwise(at):
            digits = list(text)
            digits[i], digits[j] = digits[j], digits[i]
            made.add("".join(digits))
    else:
        made = {text[:i] + text[i + 1 :] for i in at}
        made |= {text[:i] + d + text[i:] for i in at for d in "0123456789"}
        made |= {text[: i + 1] + text[i:] for i in at}
    figures = text.replace(".", "").strip("0")  # what stays is the same number, or a shifted one
    return {t for t in made if t.replace(".", "").strip("0") not in ("", figures)}


@pytest.mark.parametrize("slip", sorted(SLIPS))
@pytest.mark.parametrize(
    "text", ["3150", "3.15", "7100", "12.5", "0.75", "18100", "2", "11200", "1.5"]
)
def test_a_slip_of_the_hand_can_leave_each_of_its_turns(
    slip: str, text: str, known: Knowledge
) -> None:
    made = SLIPS[slip].edit(text)
    assert {Decimal(t) for t in made} == {Decimal(t) for t in _turned(slip, text)}
    assert sum(made.values()) <= 0.96 + 1e-9 and all(share > 0 for share in made.values())
    # each is found again from the number that it leaves: none is taken for out of reach
    meant = Writing(text=text, share=1.0, rating=known.series.at("chain", 80, 10.0)[0],
                    figures=text.replace(".", "").replace("0", ""))  # fmt: skip
    for turn in made:
        listed = item(**EUROPEAN, wll_unit="kg", wll_value=float(turn))
        kg = {p.kg for p in slips(listed, [meant]).get(slip, [])}
        assert any(value == pytest.approx(float(turn)) for value in kg), turn


@pytest.mark.parametrize(
    ("fields", "unit", "wanted"),
    [
        # as printed, in the list's own system of units
        (EUROPEAN, "kg", {"3150": 1.0}),
        (EUROPEAN, "t", {"3.15": 1.0}),
        (LAW | {"scheme": "us-chain", "grade": 70}, "lb", {"6600": 1.0}),
        # converted: 6,944.56 lb, to three, four or six figures, whole, to fives and twenty-fives;
        # by 2.2 pounds a kilogram 6,930
        (EUROPEAN, "lb",
         {"6940": 0.42, "6945": 0.38, "6944.56": 0.17, "6950": 0.03, "6930": 0.3 * 0.97, "6925": 0.3 * 0.03}),
        # 3.4723 short tons, by 2.2 pounds 3.465: below a hundred no whole numbers
        (EUROPEAN, "short ton",
         {"3.47": 0.42 + 0.3 * 0.42, "3.472": 0.26, "3.47228": 0.17, "3.465": 0.3 * 0.43}),
        (EUROPEAN, "kN", {"30.9": 0.42, "30.89": 0.26, "30.8909": 0.17}),
    ],
)  # fmt: skip
def test_the_digits_that_a_careful_clerk_would_have_typed(
    fields: dict[str, Any], unit: str, wanted: dict[str, float], known: Knowledge
) -> None:
    made: dict[str, float] = {}
    for each in writings(item(**fields, wll_unit=unit), known.series):
        made[each.text] = max(each.share, made.get(each.text, 0.0))
    printed = {text: share for text, share in made.items() if text in wanted}
    assert printed == {text: pytest.approx(share) for text, share in wanted.items()}
    if fields["scheme"] == "european":
        assert set(made) == set(wanted)


def test_few_convert_pounds_where_the_cell_has_kilograms_too(known: Knowledge) -> None:
    # 7,100 lb and 3,200 kg of one cell: the kilograms are copied, the pounds seldom converted
    made = [
        (w.text, w.share, w.rating.unit) for w in writings(item(**LAW, wll_unit="kg"), known.series)
    ]
    assert ("3200", 1.0, "kg") in made
    assert sum(share for _, share, unit in made if unit == "lb") <= 0.3 * 1.3 + 1e-9
    assert all(
        w.figures == w.text.replace(".", "").replace("0", "")
        for w in writings(item(**LAW, wll_unit="t"), known.series)
    )
