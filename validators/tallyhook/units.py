"""Units of load, force and length, through one pint registry.

Pint is given canonical unit names only, never free text: it reads ``5 T`` as tesla and
``1 1/2 in`` as half an inch. The spelling tables of the vocabulary package turn text into a
number and one of the names in `CANONICAL` first.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from tallyhook.errors import TallyhookError

if TYPE_CHECKING:
    import pint

__all__ = ["CANONICAL", "STANDARD_GRAVITY", "factor", "quantity_kind"]

STANDARD_GRAVITY = 9.80665
"""Standard acceleration of free fall [m/s2]; ISO 80000-3, exact by definition."""

# canonical name -> (pint's name, kind)
CANONICAL: dict[str, tuple[str, str]] = {
    "kg": ("kilogram", "load"),
    "t": ("metric_ton", "load"),
    "lb": ("pound", "load"),
    "short ton": ("short_ton", "load"),
    "long ton": ("long_ton", "load"),
    "N": ("newton", "force"),
    "daN": ("decanewton", "force"),
    "kN": ("kilonewton", "force"),
    "lbf": ("force_pound", "force"),
    "mm": ("millimeter", "length"),
    "cm": ("centimeter", "length"),
    "in": ("inch", "length"),
}


@cache
def _registry() -> pint.UnitRegistry[float]:
    # imported here: the registry costs a third of a second and small commands never convert
    import pint

    return pint.UnitRegistry(cache_folder=":auto:")


def quantity_kind(unit: str) -> str:
    """Tell what a canonical unit measures: ``load``, ``force`` or ``length``.

    Raises
    ------
    TallyhookError
        The unit is not one of `CANONICAL`.
    """
    try:
        return CANONICAL[unit][1]
    except KeyError:
        known = ", ".join(CANONICAL)
        raise TallyhookError(
            f"'{unit}' is not a canonical unit", next_step=f"use one of {known}"
        ) from None


@cache
def factor(unit: str, to: str) -> float:
    """Give the number that turns a value in `unit` into one in `to`.

    A load and a force convert into each other by standard gravity: a rated load of 1 kg pulls
    with 9.80665 N (`STANDARD_GRAVITY`).

    Raises
    ------
    TallyhookError
        One of the units is unknown, or they measure different things.

    Examples
    --------
    One pound is 0.45359237 kg exactly (international yard and pound agreement, 1959).

    >>> factor("lb", "kg")
    0.45359237
    >>> round(factor("kN", "kg"), 3)
    101.972
    """
    kinds = quantity_kind(unit), quantity_kind(to)
    value = _registry().Quantity(1.0, CANONICAL[unit][0])
    if kinds == ("load", "force"):
        value = value * _registry().Quantity(STANDARD_GRAVITY, "m/s**2")
    elif kinds == ("force", "load"):
        value = value / _registry().Quantity(STANDARD_GRAVITY, "m/s**2")
    elif kinds[0] != kinds[1]:
        raise TallyhookError(f"{unit} is a {kinds[0]} and {to} is a {kinds[1]}")
    return float(value.to(CANONICAL[to][0]).magnitude)
