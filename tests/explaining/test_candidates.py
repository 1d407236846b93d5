"""Which causes can have left a number, and how likely each is.

EN 818-2, grade 8 [kg]: 8 mm 2,000, 10 mm 3,150, 13 mm 5,300, 16 mm 8,000. A pound is 0.45359237 kg.
"""

from __future__ import annotations

from typing import Any

import pytest

from cause_items import item
from tallyhook.explaining.candidates import Candidate, Knowledge, candidates

TEN = {"kind": "chain", "grade": 80, "size_mm": 10.0, "scheme": "european", "wll_unit": "kg"}


def _found(known: Knowledge, value: float, **fields: Any) -> dict[str, Candidate]:
    wrong = item(**(TEN | fields), wll_value=value)
    wrong["wll_kg"] = value
    return {c.cause.name: c for c in candidates({7: wrong}, known)[7]}


@pytest.mark.parametrize(
    ("value", "causes", "how"),
    [
        (6944.56, {"pounds-as-kilograms"}, "the number is the rating in pounds"),
        (6945, {"pounds-as-kilograms"}, "the number is the rating in pounds"),
        (31500, {"decimal-point-shifted"}, "the decimal point of 3150 is elsewhere"),
        (5300, {"neighbouring-size"}, "the rating of 13 mm"),
        (3510, {"digits-swapped"}, "two digits of 3150 changed places"),
        (77777, set(), None),
    ],
)
def test_a_number_is_held_against_what_every_cause_predicts(
    value: float, causes: set[str], how: str | None, known: Knowledge
) -> None:
    found = _found(known, value)
    assert causes <= set(found)
    if how:
        assert [c.prediction.how for c in found.values() if c.cause.name in causes] == [how]
    assert all(c.likelihood > 0 for c in found.values())
    assert bool(found) is bool(causes)


def test_the_share_of_the_turn_and_the_way_of_writing_make_the_likelihood(known: Knowledge) -> None:
    # 2,520 kg are a choke hitch (share 0.5) and heat of 20 percent (0.08), written in full
    found = _found(known, 2520)
    choke, heat = found["hitch-factor-included"], found["heat-factor-included"]
    assert choke.likelihood / heat.likelihood == pytest.approx(0.5 / 0.08)
    assert 0.3 < choke.likelihood < 0.5


def test_a_cause_predicts_once_a_cell_and_the_best_counts(known: Knowledge) -> None:
    # 3/8 in of the law: 7,100 lb and 3,200 kg are one cell; four times 7,100 lb is 28,400 lb
    american = {"size_in": "3/8", "scheme": "us-chain", "wll_unit": "lb"}
    found = _found(known, 28400, **american)["breaking-force-as-wll"]
    assert found.prediction.meant.unit == "lb"
    alone = _found(known, 28400, **(american | {"scheme": "us-tiedown"}))["breaking-force-as-wll"]
    both = _found(known, 28400, **(american | {"scheme": None}))["breaking-force-as-wll"]
    assert found.likelihood == pytest.approx(alone.likelihood)
    assert both.likelihood == pytest.approx(alone.likelihood)  # the best of them, not their sum


def test_the_other_columns_of_the_row_weigh(known: Knowledge) -> None:
    plain = _found(known, 12600)["breaking-force-as-wll"].likelihood
    beside = _found(known, 12600, breaking_kn=123.56)["breaking-force-as-wll"].likelihood
    assert beside == pytest.approx(20 * plain)


def test_two_mistakes_are_looked_for_only_where_no_single_one_fits(known: Knowledge) -> None:
    # 8,000 kg of 16 mm in pounds are 17,637: on 10 mm two steps away; 13 mm: 11,684
    found = _found(known, 11684.5)
    assert set(found) == {"pounds-as-kilograms and neighbouring-size"}
    (both,) = found.values()
    assert both.prediction.how == "the rating of 13 mm, and the number is the rating in pounds"
    assert both.prediction.meant.size_mm == 10.0
    # 0.42 of the neighbours, all of the pounds, written as it is
    assert both.likelihood == pytest.approx(0.42 * 0.64, rel=0.01)
    assert not any(" and " in name for name in _found(known, 5300))


def test_a_rare_turn_is_no_half_of_a_pair(known: Knowledge) -> None:
    # 5,300 kg read as pounds and converted (a rare turn) are 2,404 kg
    found = _found(known, 2404.04)
    assert not any(" and " in name for name in found)


def test_each_item_has_its_own_candidates(known: Knowledge) -> None:
    one = item(**TEN, wll_value=5300.0, wll_kg=5300.0)
    other = one | {"wll_value": 2000.0, "wll_kg": 2000.0}
    third = other | {"size_mm": 13.0}
    found = candidates({1: one, 2: other, 3: third}, known)
    hows = {
        n: {c.prediction.how for c in each if c.cause.name == "neighbouring-size"}
        for n, each in found.items()
    }
    assert hows == {
        1: {"the rating of 13 mm"},
        2: {"the rating of 8 mm"},
        3: {"the rating of 8 mm"},
    }


@pytest.mark.parametrize(
    ("off", "found"), [(1.058, True), (1.064, False), (0.945, True), (0.936, False)]
)
def test_a_prediction_that_is_further_off_says_nothing(
    off: float, found: bool, known: Knowledge
) -> None:
    # 2,000 kg of 8 mm written to one figure less is 2,100 or 1,900: five percent
    names = _found(known, round(2000 * off, 1))
    assert ("neighbouring-size" in names) <= found
