"""How far a load may be from a rating and still be that rating."""

from __future__ import annotations

__all__ = [
    "CONVERTED_ROUNDING",
    "EXACT",
    "POUNDS_BY_HAND",
    "ROUNDED_UP",
    "ROUNDING",
    "SHORT_POUND",
    "WIDEST_PRINTED_PAIR",
]

from tallyhook.units import factor

ROUNDED_UP = 0.015
"""Share above a rating up to which a coarsely written number is taken for it (judgement)."""

ROUNDING = 0.02
"""Share of a rating beyond which a difference is never taken for rounding (judgement: European
ratings stand 6 percent from each other at least, so that a third of a step is no other rating)."""

CONVERTED_ROUNDING = 0.005
"""Share of a rating up to which a converted one may be rounded to fives or twenty-fives."""

WIDEST_PRINTED_PAIR = 0.025
"""Share that the two units of one rating may differ: in the tables 2,100 lb beside 970 kg, 1.8
percent, is the widest pair; rounding on top."""

EXACT = 0.0005
"""Share that a conversion factor of four figures is off: far less than any rounding step."""

POUNDS_BY_HAND = 2.2
"""Pounds in a kilogram for those who convert by hand (common practice, no source)."""

SHORT_POUND = (1 / POUNDS_BY_HAND) / factor("lb", "kg")
"""The pound of those who convert by hand, over the pound."""
