"""Units of load, force and length, by their exact definitions.

Free text never comes here: the spelling tables of the vocabulary package turn text into a number
and one of the names in `CANONICAL` first. The factors are kept as exact fractions, so that a
check of a short list need not load a registry of units; a test holds each against pint's.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING

from tallyhook.errors import TallyhookError
from tallyhook.messages import say, to_say

if TYPE_CHECKING:
    import pint

__all__ = ["CANONICAL", "STANDARD_GRAVITY", "factor", "is_unit", "quantity_kind"]

_KINDS = (to_say("load"), to_say("force"), to_say("length"))

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

_POUND = Fraction("0.45359237")  # [kg], international yard and pound agreement, 1959
_GRAVITY = Fraction("9.80665")

# worth of each unit in [kg], in [kg] under standard gravity, or in [mm]
_WORTH: dict[str, Fraction] = {
    "kg": Fraction(1),
    "t": Fraction(1000),
    "lb": _POUND,
    "short ton": 2000 * _POUND,
    "long ton": 2240 * _POUND,
    "N": 1 / _GRAVITY,
    "daN": 10 / _GRAVITY,
    "kN": 1000 / _GRAVITY,
    "lbf": _POUND,
    "mm": Fraction(1),
    "cm": Fraction(10),
    "in": Fraction("25.4"),
}


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
            say("'{unit}' is not a canonical unit", unit=unit),
            next_step=say("use one of {known}", known=known),
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
    if kinds[0] != kinds[1] and "length" in kinds:
        raise TallyhookError(
            say(
                "{unit} is a {kind} and {other} is a {other_kind}",
                unit=unit,
                kind=say(kinds[0]),
                other=to,
                other_kind=say(kinds[1]),
            )
        )
    return float(_WORTH[unit] / _WORTH[to])


def is_unit(name: str) -> bool:
    """Whether a schema's unit is one that pint knows: ``N/mm2``, ``degC``, ``short ton``, ``1``.

    Examples
    --------
    >>> is_unit("kN"), is_unit("N/mm2"), is_unit("kilopounds of oats")
    (True, True, False)
    """
    if name == "1":
        return True
    written = re.sub(r"([a-z])(\d)", r"\1**\2", name.replace(" ", "_"))
    try:
        _registry().parse_units(written)
    except Exception:  # pint raises many kinds; each says that the name is no unit
        return False
    return True


@cache
def _registry() -> pint.UnitRegistry[float]:
    # imported here: the audit needs the registry, the check of a list never does
    import pint

    return pint.UnitRegistry()
