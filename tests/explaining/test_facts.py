"""The facts of the trade that mistakes follow from are those of the packages, and no others.

Typed from the documents: ASTM A413 and A391 (design factor 4, grade 43: 3), EN 818-1 (grades 4, 8,
10: 400, 800, 1,000 N/mm2 at break), EN 818-2 and -3 (proof 2.5 and 2 times the rating), EN 818-4
(leg factors 1.4 and 2.1), ASME B30.9 (legs times the sine), a grab hook article (a fifth).
"""

from __future__ import annotations

from collections.abc import Mapping

import polars as pl
import pytest

from cause_items import item
from tallyhook.explaining.candidates import Knowledge, predictions
from tallyhook.explaining.facts import TradeFacts, trade_facts
from tallyhook.explaining.mistakes import PREDICTED
from tallyhook.explaining.series import RatingSeries
from tallyhook.packages.package import Package


@pytest.fixture(scope="module")
def facts(packages: Mapping[str, Package]) -> TradeFacts:
    return trade_facts(packages)


def test_forces_over_the_rating_are_those_of_the_scheme_and_grade(facts: TradeFacts) -> None:
    ratios = facts.force_ratios
    assert {g: ratios["breaking", "us-chain", g] for g in (30, 43, 70, 80, 100)} == {
        30: 4, 43: 3, 70: 4, 80: 4, 100: 4,
    }  # fmt: skip
    assert {g: ratios["proof", "european", g] for g in (40, 80, 100)} == {40: 2, 80: 2.5, 100: 2.5}
    assert ratios["proof", "us-tiedown", 43] == 1.5
    assert ("breaking", "european", 70) not in ratios  # no document of it has that grade


def test_stresses_are_those_that_a_document_defines(facts: TradeFacts) -> None:
    assert facts.stresses["breaking", "european", 80] == 800
    assert facts.stresses["proof", "european", 80] == 500
    assert facts.stresses["proof", "european", 40] == 200
    assert facts.stresses["breaking", "old-grade-6", 60] == 630
    assert not any(scheme.startswith("us") for _, scheme, _ in facts.stresses)


def test_leg_factors_are_those_of_the_scheme(facts: TradeFacts) -> None:
    assert facts.leg_factor("european", 2, 45.0) == 1.4
    assert facts.leg_factor("european", 4, 45.0) == 2.1
    assert facts.leg_factor("us-chain", 2, 30.0) == pytest.approx(2 * 0.75**0.5, rel=1e-3)
    assert facts.leg_factor("european", 2, 30.0) is None  # its table begins at 45
    assert facts.leg_angles("european") == [45.0]
    assert facts.leg_angles("us-chain") == [30.0, 45.0]


def test_factors_of_use_are_those_of_their_tables(facts: TradeFacts) -> None:
    assert facts.deducted == 0.8
    assert facts.hitch_factors == {"choke": 0.8, "choke of a round load": 0.75, "basket": 2}
    # of ASME B30.9, its older edition, EN 818-6 and AS 3775 all have 10 percent off, three have 25
    # (not the older) and three 50 (not AS 3775); of the others the mildest is the commonest
    assert facts.heat_factors == {
        0.9: 0.3, 0.75: 0.3, 0.5: 0.3, 0.85: 0.15, 0.8: 0.08, 0.7: 0.08, 0.6: 0.04, 0.4: 0.04,
    }  # fmt: skip
    # 0.97 of the least and 1.1 of the most: breaking 3 (grade 43) to 5 (hoist hooks), proof 1.5 to 2.5
    assert facts.ratio_range == {
        "breaking": (pytest.approx(2.91), pytest.approx(5.5)),
        "proof": (pytest.approx(1.455), pytest.approx(2.75)),
    }
    assert facts.lifting_grades == {40, 60, 80, 100}


def test_a_grade_that_no_document_describes_has_no_force(
    reference: pl.DataFrame, known: Knowledge
) -> None:
    """Nothing is taken for its design factor: no number is explained by a force of it."""
    strange = reference.filter((pl.col("kind") == "chain") & (pl.col("grade") == 80)).with_columns(
        pl.lit(63, dtype=pl.Int64).alias("grade")
    )
    rated = Knowledge(series=RatingSeries(strange), facts=known.facts, causes=known.causes)
    chain = item(kind="chain", grade=63, size_mm=10.0, wll_unit="kg")
    assert rated.series.own(chain)
    found = predictions(chain, rated)
    assert found["breaking-force-as-wll"] == found["proof-force-as-wll"] == []
    assert found["pounds-as-kilograms"]


def test_no_cause_predicts_for_a_kind_that_it_cannot_strike(known: Knowledge) -> None:
    chain = item(kind="chain", grade=80, size_mm=10.0, wll_unit="kg", scheme="european")
    assert PREDICTED.keys() - predictions(chain, known).keys() == {
        "single-leg-rating-as-multi-leg", "every-leg-counted-in-full", "other-angle",
        "shortening-not-deducted", "shortening-deducted-twice", "shortening-deducted-without-need",
        "pair-rating-as-single",
    }  # fmt: skip
