"""The series R40 against ISO 3:1973, without our table's help.

ISO 3 defines the basic series as rounded powers of the n-th root of ten; the roundings stay
between -1.01 % and +1.26 %. R5, R10 and R20 are every eighth, fourth and second term of R40.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from tallyhook.formulas import R40, round_down_r40

# R5 as read in a restatement of ISO 3; R10 recalled
R5 = (1.00, 1.60, 2.50, 4.00, 6.30)
R10 = (1.00, 1.25, 1.60, 2.00, 2.50, 3.15, 4.00, 5.00, 6.30, 8.00)


def test_each_term_is_a_rounded_power_within_the_standard_s_limits() -> None:
    theory = np.logspace(0, 1, 40, endpoint=False)
    deviation = np.array(R40) / theory - 1
    assert deviation.max() <= 0.0126 + 5e-5
    assert deviation.min() >= -0.0101 - 5e-5
    # the limits are reached: they are those of this series
    assert round(100 * float(deviation.max()), 2) == 1.26
    assert round(100 * float(deviation.min()), 2) == -1.01


def test_the_coarser_series_are_terms_of_r40() -> None:
    assert R40[::8] == R5
    assert R40[::4] == R10


def test_there_are_forty_rising_terms_of_at_most_three_figures() -> None:
    assert len(set(R40)) == 40
    assert list(R40) == sorted(R40)
    assert all(round(100 * term) == pytest.approx(100 * term) for term in R40)


@pytest.mark.parametrize("decade", [0.01, 1, 1000])
def test_rounding_down_is_the_last_term_not_above(decade: float) -> None:
    rng = np.random.default_rng(393)
    terms = [t * 10.0**d for d in range(-4, 6) for t in R40]
    for value in decade * 10 ** rng.uniform(0, 1, 500):
        below = max(t for t in terms if t <= value * (1 + 1e-12))
        assert round_down_r40(float(value)) == pytest.approx(below, rel=1e-9)


@pytest.mark.parametrize("term", R40)
def test_a_term_is_itself(term: float) -> None:
    for decade in (0.1, 1, 10, 100):
        assert round_down_r40(term * decade) == pytest.approx(term * decade)


@pytest.mark.parametrize("value", [0, -1, math.nan, math.inf])
def test_what_has_no_preferred_number_is_refused(value: float) -> None:
    with pytest.raises(ValueError, match="preferred numbers are positive"):
        round_down_r40(value)
