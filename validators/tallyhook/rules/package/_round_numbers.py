"""Round numbers: the limits that documents write."""

from __future__ import annotations

import math

from tallyhook.messages import to_say
from tallyhook.units import factor

__all__ = ["A_ROUND_NUMBER", "FIRST_DIGITS", "is_round"]

A_ROUND_NUMBER = to_say("a round number")
"""What is expected where a limit is none."""

FIRST_DIGITS = (
    1.0, 1.1, 1.2, 1.25, 1.4, 1.5, 1.6, 1.75, 2.0, 2.2, 2.5, 3.0, 3.2, 3.5, 4.0, 4.5,
    5.0, 5.5, 6.0, 6.5, 7.0, 7.5, 8.0, 8.5, 9.0,
)  # fmt: skip
"""No two of them are 5 % differs, so a limit that is 5 % off is never round."""


def is_round(value: float, unit: str) -> bool:
    """Tell whether a limit is one that documents write, in this unit or its American sister."""
    if not math.isfinite(64 * value):
        return False  # too much to reckon with
    if unit == "degC":
        step, step_f = (25, 50) if abs(value) >= 100 else (10, 20)
        fahrenheit = value * 1.8 + 32
        # the Celsius value of a Fahrenheit limit is rounded to a degree
        return value % step == 0 or abs(fahrenheit - step_f * round(fahrenheit / step_f)) < 1.05
    if unit == "mm" and abs(value * 64 / 25.4 - round(value * 64 / 25.4)) < 1e-4:
        return True
    if unit == "kg" and _is_round(round(value / factor("lb", "kg"), 3)):
        return True
    return _is_round(value)


def _is_round(value: float) -> bool:
    if value == 0:
        return True
    digits = abs(value) / 10.0 ** math.floor(math.log10(abs(value)) + 1e-12)
    return any(abs(digits - good) < 1e-6 for good in FIRST_DIGITS)
