"""Numbers and units as people at the counter write them."""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from tallyhook.units import factor

__all__ = [
    "CAUTION",
    "load_text",
    "number_text",
    "rating_text",
    "rounded_down",
    "rounded_up",
    "size_text",
]

CAUTION = (
    "Follow the maker's instructions, local codes and a qualified person; "
    "a maker's marked rating governs over any general table."
)
"""The one caution that every command prints beside ratings."""

_PLURAL = {"short ton": "short tons", "long ton": "long tons"}


def number_text(value: float) -> str:
    """Write a number with thousands commas and no more digits than it has.

    Examples
    --------
    >>> number_text(26400.0), number_text(3.15), number_text(3220.5)
    ('26,400', '3.15', '3,220.5')
    """
    return f"{value:,.6f}".rstrip("0").rstrip(".")


def load_text(kg: float, unit: str, *, down: bool = False) -> str:
    """Write a load of so many kilograms in a unit, to four figures; cut `down` if it is a rating.

    Examples
    --------
    >>> load_text(3200, "t"), load_text(2993.7, "lb"), load_text(3200, "kN")
    ('3.2 t', '6,600 lb', '31.38 kN')
    """
    value = kg * factor("kg", unit)
    figures = rounded_down(value) if down else float(f"{value:.4g}")
    name = _PLURAL.get(unit, unit) if figures != 1 else unit
    return f"{number_text(figures)} {name}"


def rating_text(value: float, unit: str, wanted: str) -> str:
    """Write a published rating for a reader who thinks in another unit, keeping what is printed.

    A converted one is cut to four figures, never rounded up: someone will lift by it.

    Examples
    --------
    >>> rating_text(7100, "lb", "lb"), rating_text(3150, "kg", "t"), rating_text(7100, "lb", "t")
    ('7,100 lb', '3.15 t', '3.22 t (7,100 lb)')
    >>> rating_text(7100, "lb", "short ton"), rating_text(5360, "kg", "lb")
    ('3.55 short tons (7,100 lb)', '11,810 lb (5,360 kg)')
    """
    if (unit, wanted) == ("kg", "t"):
        return f"{number_text(value / 1000)} t"
    printed = f"{number_text(round(value, 2))} {unit}"
    if wanted == unit:
        return printed
    cut = rounded_down(value * factor(unit, wanted))
    name = _PLURAL.get(wanted, wanted) if cut != 1 else wanted
    return f"{number_text(cut)} {name} ({printed})"


def rounded_down(value: float) -> float:
    """Round a load down to four figures: a printed load never promises more.

    Examples
    --------
    >>> rounded_down(5577.9), rounded_down(3.15), rounded_down(12297.2)
    (5577.0, 3.15, 12290.0)
    """
    return _four_figures(value, ROUND_FLOOR)


def rounded_up(value: float) -> float:
    """Round a needed rating up to four figures: a printed one never asks for less.

    Examples
    --------
    >>> rounded_up(942.81), rounded_up(3150.0), rounded_up(12290.1)
    (942.9, 3150.0, 12300.0)
    """
    return _four_figures(value, ROUND_CEILING)


def _four_figures(value: float, rounding: str) -> float:
    if value <= 0:
        return 0.0
    # the ninth figure is the floating point's and not the load's
    whole = Decimal(f"{value:.9g}")
    return float(whole.quantize(Decimal(1).scaleb(whole.adjusted() - 3), rounding))


def size_text(size_mm: float | None, size_in: str | None) -> str:
    """Write a nominal size by the name the list used.

    Examples
    --------
    >>> size_text(10.0, "3/8"), size_text(10.0, None), size_text(None, None)
    ('3/8 in', '10 mm', '')
    """
    if size_in:
        return f"{size_in} in"
    return f"{number_text(size_mm)} mm" if size_mm is not None else ""
