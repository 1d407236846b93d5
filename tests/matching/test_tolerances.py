"""How far a number may be from a rating and still be that rating, to the last digit.

A made-up scheme with one rating, so that nothing else can agree: 10,000 kg (or lb), between whose
printed units nothing differs.
"""

from __future__ import annotations

from typing import Any

import polars as pl
import pytest

from tallyhook.matching.match import match
from tallyhook.matching.tolerances import SHORT_POUND
from tallyhook.model.items import items_frame
from tallyhook.packages.reference import REFERENCE_SCHEMA

POUND = 0.45359237  # kg, exact: international yard and pound agreement, 1959
TEN = {
    "row": 2,
    "kind": "chain",
    "grade": 80,
    "size_mm": 10.0,
    "wll_unit": "kg",
    "wll_step_kg": 1.0,
}


def rated(*ratings: dict[str, Any]) -> pl.DataFrame:
    """A table of ratings: `kg` is the printed load, `low` and `high` what its units allow."""
    made = []
    for rating in ratings:
        kg = rating.pop("kg")
        plain = {
            "kind": "chain", "scheme": "a", "counts_as": "a", "grade": 80, "size_mm": 10.0,
            "value": kg, "unit": "kg", "value_kg": kg, "low_kg": kg, "high_kg": kg,
            "known_by": "published", "source": "s", "locator": "l", "shown": True,
        }  # fmt: skip
        made.append(dict.fromkeys(REFERENCE_SCHEMA) | plain | rating)
    return pl.DataFrame(made, schema=REFERENCE_SCHEMA, orient="row")


def held(reference: pl.DataFrame, **item: Any) -> dict[str, Any]:
    return match(items_frame([TEN | item]), reference).row(0, named=True)


def agrees(reference: pl.DataFrame, **item: Any) -> bool:
    outcome: str = held(reference, **item)["outcome"]
    assert outcome in ("agree", "contradicted")
    return outcome == "agree"


@pytest.mark.parametrize(
    ("kg", "step", "agreed"),
    [
        # 0.05 percent is room for a conversion factor of four figures
        (10005.0, 1.0, True), (10005.1, 1.0, False), (9995.0, 1.0, True), (9994.9, 1.0, False),
        # half a step above, and almost a whole one below
        (10050.0, 100.0, True), (10050.1, 100.0, False),
        (9900.2, 100.0, True), (9900.0, 100.0, False),
        # a coarse step: 1.5 percent above, 2 percent below
        (10150.0, 1000.0, True), (10150.1, 1000.0, False),
        (9800.0, 1000.0, True), (9799.9, 1000.0, False),
    ],
)  # fmt: skip
def test_a_number_is_rounded_to_a_step_or_cut_to_the_one_below(
    kg: float, step: float, agreed: bool
) -> None:
    assert agrees(rated({"kg": 10000.0}), wll_kg=kg, wll_step_kg=step) is agreed


@pytest.mark.parametrize(
    ("kg", "step", "agreed"),
    [
        # it was rounded in the document, too: a whole step above, half a percent at most
        (10010.0, 10.0, True), (10010.1, 10.0, False),
        (10050.0, 50.0, True), (10050.0, 60.0, True), (10050.1, 60.0, False),
        (9990.1, 10.0, True), (9989.9, 10.0, False),
    ],
)  # fmt: skip
def test_a_rating_that_was_worked_out_may_end_a_step_higher(
    kg: float, step: float, agreed: bool
) -> None:
    computed = rated({"kg": 10000.0, "known_by": "computed"})
    assert agrees(computed, wll_kg=kg, wll_step_kg=step) is agreed


def test_between_the_printed_units_of_one_rating_there_is_no_difference() -> None:
    printed = rated({"kg": 10000.0, "low_kg": 9900.0, "high_kg": 10000.0})
    for kg, agreed in (
        (9894.9, False),
        (9895.1, True),
        (9950.0, True),
        (10005.0, True),
        (10006.0, False),
    ):
        assert agrees(printed, wll_kg=kg) is agreed, kg


# --- converted ---

IN_POUNDS = {"kg": 10000 * POUND, "value": 10000.0, "unit": "lb"}


@pytest.mark.parametrize(
    ("kg", "step", "agreed"),
    [
        # 10,000 lb are 4,535.92 kg, by 2.2 pounds 4,545.45; to the kilogram
        (4536.0, 1.0, True), (4535.0, 1.0, True), (4538.0, 1.0, True), (4539.0, 1.0, False),
        (4545.0, 1.0, True), (4546.0, 1.0, True), (4547.0, 1.0, True), (4548.0, 1.0, False),
        # to five kilograms, 2.5 off: 4,540 is near both
        (4540.0, 1.0, False), (4540.0, 10.0, True),
        # to twenty-five: 4,550 is 4.55 above 4,545.45
        (4550.0, 1.0, True), (4560.0, 1.0, False),
        # no rounding reaches further than half a percent: 22.7 kg
        (4575.0, 5.0, False), (4500.0, 1.0, False), (4525.0, 1.0, True),
    ],
)  # fmt: skip
def test_pounds_in_kilograms_are_rounded_to_fives_and_twenty_fives(
    kg: float, step: float, agreed: bool
) -> None:
    assert agrees(rated(IN_POUNDS.copy()), wll_kg=kg, wll_step_kg=step) is agreed


@pytest.mark.parametrize(
    ("rated_lb", "kg", "step", "agreed"),
    [
        # 90.718 kg, by 2.2 pounds 90.909: half of the last digit and no more
        (200.0, 90.8, 0.1, False), (200.0, 90.76, 0.1, True),
        # 18.144 kg, by 2.2 pounds 18.182
        (40.0, 18.2, 0.1, True), (40.0, 18.3, 0.1, False),
        # 4,537.7 and 4,538.1 kg: a five is 2.5 kg wide
        (10003.9, 4535.0, 1.0, False), (10003.2, 4535.0, 1.0, True),
    ],
)  # fmt: skip
def test_a_number_that_ends_in_a_five_may_be_rounded_to_it(
    rated_lb: float, kg: float, step: float, agreed: bool
) -> None:
    pounds = rated({"kg": rated_lb * POUND, "value": rated_lb, "unit": "lb"})
    assert agrees(pounds, wll_kg=kg, wll_step_kg=step) is agreed


@pytest.mark.parametrize(("off", "agreed"), [(12.3, True), (12.8, False)])
def test_a_number_that_ends_in_twenty_five_may_be_rounded_to_it(off: float, agreed: bool) -> None:
    # 4,425 lb; by 2.2 pounds the same kilograms are 9 lb further off
    kilograms = rated({"kg": (4425 - off) * POUND})
    assert agrees(kilograms, wll_kg=4425 * POUND, wll_unit="lb", wll_step_kg=POUND) is agreed


def test_within_one_system_of_units_nothing_is_converted() -> None:
    # by 2.2 pounds 10,000 lb would be 4,545.45 kg, which is 10,021 lb
    pounds = rated(IN_POUNDS.copy())
    assert not agrees(pounds, wll_kg=10021 * POUND, wll_unit="lb", wll_step_kg=POUND)
    kilograms = rated({"kg": 10000.0})
    assert not agrees(kilograms, wll_kg=10021.0)
    # 10,000 kg by 2.2 are 22,000 lb
    for unit in ("lb", "short ton"):
        assert agrees(kilograms, wll_kg=22000 * POUND, wll_unit=unit, wll_step_kg=POUND)
        assert not agrees(pounds, wll_kg=4545.45, wll_unit=unit, wll_step_kg=0.01)
    for unit in ("kg", "t", "kN"):
        assert agrees(pounds, wll_kg=4545.45, wll_unit=unit, wll_step_kg=0.01)


def test_a_load_without_a_unit_is_converted_from_none() -> None:
    assert not agrees(rated(IN_POUNDS.copy()), wll_kg=4575.0, wll_unit=None)


def test_the_pound_of_those_who_convert_by_two_point_two() -> None:
    assert pytest.approx(1 / 2.2 / POUND) == SHORT_POUND


# --- which rating is shown, and what the range is ---


def test_the_nearest_rating_is_shown_an_agreeing_one_first() -> None:
    two = rated(
        {"kg": 9000.0, "source": "far", "locator": "p1", "scheme": "b", "counts_as": "b"},
        {"kg": 10000.0, "source": "near", "locator": "p2", "value": 10000.0},
    )
    found = held(two, wll_kg=9600.0)
    assert found["outcome"] == "contradicted"
    shown = {
        k: found[f"nearest_{k}"] for k in ("value", "unit", "kg", "scheme", "source", "locator")
    }
    assert shown == {
        "value": 10000.0, "unit": "kg", "kg": 10000.0, "scheme": "a", "source": "near", "locator": "p2",
    }  # fmt: skip
    assert found["off_by"] == pytest.approx(0.96)
    assert (found["low_kg"], found["high_kg"]) == (9000.0, 10000.0)
    # 9,080 kg written to the thousand is 9,000 and lies nearer to 9,100 that is written in full
    agreeing = rated(
        {"kg": 9200.0, "source": "far"}, {"kg": 9095.0, "source": "near", "unit": "lb"}
    )
    assert held(agreeing, wll_kg=9090.0, wll_step_kg=1.0)["nearest_source"] == "near"


def test_a_rating_that_is_not_shown_stands_behind_one_that_is() -> None:
    alike = rated(
        {"kg": 10000.0, "source": "hidden", "shown": False}, {"kg": 10000.0, "source": "shown"}
    )
    assert held(alike, wll_kg=12000.0)["nearest_source"] == "shown"


def test_the_range_is_of_all_sources_in_either_unit() -> None:
    two = rated(
        {"kg": 9000.0, "low_kg": 8900.0, "high_kg": 9000.0},
        {"kg": 10000.0, "low_kg": 10000.0, "high_kg": 10100.0},
        {"kg": 20000.0, "low_kg": 20000.0, "high_kg": 20000.0, "known_by": "recalled"},
    )
    found = held(two, wll_kg=15000.0)
    assert (found["low_kg"], found["high_kg"], found["outcome"]) == (
        8900.0,
        10100.0,
        "contradicted",
    )


def test_the_one_scheme_that_agrees_is_named_where_several_rate_the_part() -> None:
    european = {"kg": 10000.0, "scheme": "e", "counts_as": "e"}
    american = {"kg": 11000.0, "scheme": "u", "counts_as": "u"}
    law = {"kg": 11000.0, "scheme": "l", "counts_as": "u"}
    three = rated(european.copy(), american.copy(), law.copy())
    assert held(three, wll_kg=10000.0)["agrees_with"] == "e"
    assert held(three, wll_kg=11000.0)["agrees_with"] == "u"  # the law's too: one family
    assert held(three, wll_kg=12000.0)["agrees_with"] is None
    assert held(rated(american.copy(), law.copy()), wll_kg=11000.0)["agrees_with"] is None
    both = rated(european.copy(), {**american, "kg": 10000.0})
    assert held(both, wll_kg=10000.0)["agrees_with"] is None


# --- from memory ---

MEMORY = {"kg": 10000.0, "known_by": "recalled"}


def test_a_rating_from_memory_passes_nothing_and_contradicts_nothing() -> None:
    for kg in (10000.0, 12000.0):
        found = held(rated(MEMORY.copy()), wll_kg=kg)
        assert found["outcome"] == "not compared"
        assert found["why"] == "the only rating for it is from memory and unverified"
    known = {"kg": 5000.0}
    found = held(rated(MEMORY.copy(), known.copy()), wll_kg=10000.0)
    assert found["outcome"] == "not compared"
    assert found["why"] == "it fits only a rating that is from memory and unverified"
    assert held(rated(MEMORY.copy(), known.copy()), wll_kg=5000.0)["outcome"] == "agree"
    assert held(rated(MEMORY.copy(), known.copy()), wll_kg=7000.0)["outcome"] == "contradicted"
    # the printed units of a remembered rating do not stand for each other
    wide = {**MEMORY, "low_kg": 9000.0, "high_kg": 10000.0}
    assert held(rated(wide, known.copy()), wll_kg=9500.0)["outcome"] == "contradicted"


def test_no_table_and_no_memory() -> None:
    found = held(rated({"kg": 1.0, "grade": 100}), wll_kg=10000.0)
    assert found["why"] == "no rating table covers this kind, size and grade"
    assert found["outcome"] == "not compared"
