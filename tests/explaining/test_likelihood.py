"""How likely a mistake is to have left the very number in the row."""

from __future__ import annotations

from typing import Any

import pytest

from cause_items import item
from tallyhook.explaining.candidates import Knowledge
from tallyhook.explaining.likelihood import (
    FURTHEST,
    chance_of_any_number,
    evidence,
    significant_figures,
    written_as,
)
from tallyhook.explaining.mistakes import Prediction

TEN = {"kind": "chain", "grade": 80, "size_mm": 10.0, "scheme": "european", "wll_unit": "kg"}


@pytest.mark.parametrize(
    ("value", "figures"),
    [(7100, 2), (3.15, 3), (26400, 3), (26430, 4), (1, 1), (1000, 1), (0.05, 1), (0, 1), (12.5, 3)],
)
def test_figures_are_counted_without_the_noughts_around_them(value: float, figures: int) -> None:
    assert significant_figures(float(value)) == figures


def test_a_round_number_comes_by_chance_more_easily() -> None:
    # nine first digits, ten of each after; four decades of loads
    assert [chance_of_any_number(v) for v in (3000.0, 3100.0, 3150.0, 3159.0)] == [
        pytest.approx(1 / (4 * 9 * 10**n)) for n in range(4)
    ]


@pytest.fixture
def predicted(known: Knowledge) -> Any:
    (own,) = known.series.own(item(**TEN))

    def of(kg: float, *, exact: bool = False) -> Prediction:
        return Prediction(kg=kg, meant=own, share=1.0, exact=exact)

    return of


@pytest.mark.parametrize(
    ("kg", "value", "at_least", "at_most"),
    [
        # 6,944.56 kg: as it is, to four figures, three, two; cut to three and two; otherwise not
        (6944.56, 6944.56, 0.6, 0.7),
        (6944.56, 6945, 0.7, 0.8),  # to four figures, and within the ten thousandth of it
        (6944.56, 6940, 0.15, 0.21),  # nearest and cut
        (6944.56, 6900, 0.01, 0.09),
        (6944.56, 7000, 0.0, 0.0),  # one figure: nobody
        (6944.56, 6960, 0.005, 0.03),  # roughly, by 2.2 pounds
        (6944.56, 6970, 0.0, 0.0),
        (6949.9, 6940, 0.03, 0.07),  # cut only: the nearest is 6,950
        (6991.0, 6900, 0.01, 0.03),  # cut to two
        (6944.56, 69445.6, 0.0, 0.0),
        (3150, 3150, 0.9, 1.0),  # it cannot be written shorter
    ],
)
def test_a_predicted_load_is_written_as_people_round(
    kg: float, value: float, at_least: float, at_most: float, predicted: Any
) -> None:
    assert at_least <= written_as(predicted(kg), value, "kg") <= at_most
    assert written_as(predicted(kg), value / 1000, "t") == pytest.approx(
        written_as(predicted(kg), value, "kg")
    )


def test_the_load_as_it_is_is_the_likeliest_way_of_writing(predicted: Any) -> None:
    ways = {6944.56, 6945, 6940, 6900, 6960, 6930}
    chances = [written_as(predicted(6944.56), value, "kg") for value in ways]
    assert all(0 <= chance <= 1 for chance in chances)
    assert written_as(predicted(6944.56), 6944.56, "kg") == max(
        c for v, c in zip(ways, chances, strict=True) if v != 6945
    )


def test_an_exact_prediction_is_the_number_or_nothing(predicted: Any) -> None:
    assert written_as(predicted(3510, exact=True), 3510, "kg") == 1
    assert written_as(predicted(3510, exact=True), 3.51, "t") == 1
    assert written_as(predicted(3510, exact=True), 3510.01, "kg") == 0
    assert written_as(predicted(500), 0.5, "t") > 0.5
    assert written_as(predicted(-1), 3510, "kg") == 0
    assert written_as(predicted(0), 3510, "kg") == 0


def test_nothing_is_written_for_a_load_that_is_further_off(predicted: Any) -> None:
    assert 0.05 < FURTHEST < 0.1
    # 1,060 kg to two figures is 1,100, 3.8 percent off; 1,050 is 4.8; cut to one 1,000 never
    assert written_as(predicted(1060), 1100, "kg") > 0
    assert written_as(predicted(1050.1), 1100, "kg") > 0
    assert written_as(predicted(1000), 1070, "kg") == 0


# --- the other columns of the row ---

UNIT, ROW, FACTOR = "kilograms-as-pounds", "neighbouring-size", "hitch-factor-included"
BEFORE, SLIP = "pounds-as-kilograms", "digit-mistyped"
BREAKING, PROOF = "breaking-force-as-wll", "proof-force-as-wll"


def _weights(known: Knowledge, **fields: Any) -> dict[str, float]:
    listed = item(**TEN, **fields)
    return {
        cause: evidence(known.causes.by_name[cause], listed, known.series.own(listed), known.facts)
        for cause in (UNIT, ROW, FACTOR, BEFORE, SLIP, BREAKING, PROOF)
    }


def _one(**other: float) -> dict[str, Any]:
    names = {"unit": UNIT, "row": ROW, "factor": FACTOR, "before": BEFORE, "slip": SLIP,
             "breaking": BREAKING, "proof": PROOF}  # fmt: skip
    return dict.fromkeys(names.values(), 1.0) | {
        names[k]: pytest.approx(v) for k, v in other.items()
    }


def test_a_row_without_other_columns_speaks_for_no_cause(known: Knowledge) -> None:
    assert _weights(known, wll_kg=5300.0) == _one()


@pytest.mark.parametrize("second", [3150.0, 3150 * 1.029, 3150 * 0.971])
def test_a_second_column_that_is_right_leaves_a_slip_of_one_cell(
    second: float, known: Knowledge
) -> None:
    assert _weights(known, wll_kg=5300.0, wll2_kg=second) == _one(
        row=0.05, factor=0.05, breaking=0.05, proof=0.05
    )


@pytest.mark.parametrize("second", [5300.0, 5300 * 1.024, 5300 * 0.976])
def test_a_second_column_that_says_the_same_leaves_a_wrong_row(
    second: float, known: Knowledge
) -> None:
    # the other unit is worked out after a shifted point or a unit, before a digit is mistyped
    assert _weights(known, wll_kg=5300.0, wll2_kg=second) == _one(slip=0.05)


@pytest.mark.parametrize("second", [4000.0, 5300 * 1.03, 5300 * 0.97, 3150 * 1.031, 3150 * 0.969])
def test_a_second_column_that_is_neither_says_nothing(second: float, known: Knowledge) -> None:
    assert _weights(known, wll_kg=5300.0, wll2_kg=second) == _one()


def test_a_second_column_near_the_first_is_no_right_one(known: Knowledge) -> None:
    # both within three percent of the rating: the same load, whichever is meant
    assert _weights(known, wll_kg=3200.0, wll2_kg=3150.0) == _one(slip=0.05)


@pytest.mark.parametrize(
    ("column", "force", "wanted"),
    [
        # EN 818-2, 10 mm: 126 kN breaking, 78.5 kN proof; rated 12,848 kg is 126 kN
        ("breaking_kn", 126.0, {"unit": 0.3, "row": 0.3, "factor": 0.3, "before": 0.3, "slip": 0.3,
                                "breaking": 20.0, "proof": 0.3}),
        ("proof_kn", 126.0, {"unit": 0.3, "row": 0.3, "factor": 0.3, "before": 0.3, "slip": 0.3,
                             "breaking": 0.3, "proof": 20.0}),
        ("breaking_kn", 129.5, {"unit": 0.3, "row": 0.3, "factor": 0.3, "before": 0.3, "slip": 0.3,
                                "breaking": 20.0, "proof": 0.3}),
    ],
)  # fmt: skip
def test_a_force_that_is_the_rating_is_where_the_number_came_from(
    column: str, force: float, wanted: dict[str, float], known: Knowledge
) -> None:
    assert _weights(known, wll_kg=12848.0, **{column: force}) == _one(**wanted)


@pytest.mark.parametrize(
    ("column", "times", "fits"),
    [
        # design factors are 3 to 5, proof ratios 1.5 to 2.5 (chain.grades, hoist-hooks), with room
        ("breaking_kn", 2.90, False), ("breaking_kn", 2.92, True), ("breaking_kn", 5.49, True),
        ("breaking_kn", 5.51, False), ("proof_kn", 1.45, False), ("proof_kn", 1.46, True),
        ("proof_kn", 2.74, True), ("proof_kn", 2.76, False),
    ],
)  # fmt: skip
def test_a_force_that_went_with_the_wrong_rating_speaks_for_another_row(
    column: str, times: float, fits: bool, known: Knowledge
) -> None:
    # rated 31,500 kg, ten times too much: a force that fits this rating does not fit 3,150 kg
    force = 31500 * 9.80665e-3 * times
    wanted = (
        _one(unit=0.1, factor=0.1, before=0.1, slip=0.1, breaking=0.1, proof=0.1)
        if fits
        else _one()
    )
    assert _weights(known, wll_kg=31500.0, **{column: force}) == wanted
    # and one that fits 3,150 kg speaks against another row
    force = 3150 * 9.80665e-3 * times
    assert _weights(known, wll_kg=31500.0, **{column: force}) == (_one(row=0.3) if fits else _one())


def test_a_force_that_fits_both_says_nothing(known: Knowledge) -> None:
    assert _weights(known, wll_kg=3600.0, breaking_kn=126.0) == _one()


def test_any_rating_that_the_item_may_claim_can_be_the_right_one(known: Knowledge) -> None:
    # 3,150 kg (EN 818-2) and 7,100 lb, 2.2 percent apart: 3,060 kg are near the one alone
    listed = item(**(TEN | {"scheme": None}), wll_kg=5300.0, wll2_kg=3060.0)
    cause, own = known.causes.by_name[FACTOR], known.series.own(listed)
    assert len(own) > 1
    assert evidence(cause, listed, own, known.facts) == pytest.approx(0.05)
    # 2.95 times the one is 2.89 times the other
    forced = listed | {"wll_kg": 31500.0, "wll2_kg": None, "breaking_kn": 2.95 * 3150 * 9.80665e-3}
    row = known.causes.by_name[ROW]
    assert evidence(row, forced, own, known.facts) == pytest.approx(0.3)


def test_the_columns_speak_one_after_the_other(known: Knowledge) -> None:
    found = _weights(known, wll_kg=31500.0, wll2_kg=3150.0, breaking_kn=126.0, proof_kn=78.5)
    assert found[ROW] == pytest.approx(0.05 * 0.3 * 0.3)
    assert found[SLIP] == 1.0
