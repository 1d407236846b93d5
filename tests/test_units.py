"""The exact factors of the canonical units, against pint's registry of units."""

from __future__ import annotations

import itertools

import pint
import pytest

from tallyhook.errors import TallyhookError
from tallyhook.units import CANONICAL, STANDARD_GRAVITY, factor, quantity_kind

REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry()


def by_pint(unit: str, to: str) -> float:
    value = REGISTRY.Quantity(1.0, CANONICAL[unit][0])
    gravity = REGISTRY.Quantity(STANDARD_GRAVITY, "m/s**2")
    kinds = quantity_kind(unit), quantity_kind(to)
    if kinds == ("load", "force"):
        value = value * gravity
    elif kinds == ("force", "load"):
        value = value / gravity
    return float(value.to(CANONICAL[to][0]).magnitude)


@pytest.mark.parametrize(("unit", "to"), list(itertools.product(CANONICAL, repeat=2)))
def test_every_factor_is_that_of_pint(unit: str, to: str) -> None:
    kinds = {quantity_kind(unit), quantity_kind(to)}
    if "length" in kinds and len(kinds) == 2:
        with pytest.raises(TallyhookError, match="is a length"):
            factor(unit, to) if quantity_kind(unit) == "length" else factor(to, unit)
    else:
        assert factor(unit, to) == pytest.approx(by_pint(unit, to), rel=1e-14)
