"""Unit conversions against scipy.constants (CODATA and the exact definitions)."""

from __future__ import annotations

import pytest
from scipy import constants

from tallyhook.errors import TallyhookError
from tallyhook.units import CANONICAL, STANDARD_GRAVITY, factor, quantity_kind

# in the coherent unit of each kind: kg, N, m
SCIPY = {
    "kg": 1.0,
    "t": constants.metric_ton,
    "lb": constants.pound,
    "short ton": constants.short_ton,
    "long ton": constants.long_ton,
    "N": 1.0,
    "daN": constants.deka,
    "kN": constants.kilo,
    "lbf": constants.pound_force,
    "mm": constants.milli,
    "cm": constants.centi,
    "in": constants.inch,
}


def test_every_canonical_unit_is_checked_here() -> None:
    assert SCIPY.keys() == CANONICAL.keys()


@pytest.mark.parametrize("unit", SCIPY)
@pytest.mark.parametrize("to", SCIPY)
def test_factors_are_those_of_scipy(unit: str, to: str) -> None:
    kinds = quantity_kind(unit), quantity_kind(to)
    if "length" in kinds and kinds != ("length", "length"):
        with pytest.raises(TallyhookError):
            factor(unit, to)
        return
    weight = {("load", "force"): constants.g, ("force", "load"): 1 / constants.g}.get(kinds, 1.0)
    assert factor(unit, to) == pytest.approx(SCIPY[unit] * weight / SCIPY[to], rel=1e-12)


def test_standard_gravity_is_the_defined_value() -> None:
    assert constants.g == STANDARD_GRAVITY
