"""Numbers of cells read roughly, to compare columns before anyone knows their decimal mark."""

from __future__ import annotations

import re
from collections.abc import Sequence

from tallyhook.recognising import thresholds
from tallyhook.recognising.cells import holds_load
from tallyhook.units import CANONICAL, factor

__all__ = ["middle_kilograms", "rough_kilograms", "rough_number", "share_near"]


def rough_number(value: object) -> float | None:
    """Read the number a cell begins with; groups of three digits are thousands.

    Examples
    --------
    >>> rough_number("7,100 lb"), rough_number("3,15"), rough_number("red")
    (7100.0, 3.15, None)
    """
    match = re.match(r"\s*+[^\d\s.,]*+\s*+(\d[\d.,' ]*)", str(value))
    if not match:
        return None
    text = match[1].strip()
    if re.fullmatch(r"\d{1,3}(?:[.,' ]\d{3})+", text):
        return float(re.sub(r"\D", "", text))
    text = text.replace(" ", "").replace("'", "").replace(",", ".")
    return float(text) if re.fullmatch(r"\d+(?:\.\d*)?", text) else None


def rough_kilograms(value: str) -> float | None:
    """Read the first number with a unit of load in a cell [kg].

    Examples
    --------
    >>> round(rough_kilograms("WLL 7,100 lb")), rough_kilograms("7,100")
    (3221, None)
    """
    loads = holds_load(value)
    if not loads:
        return None
    written, unit = loads[0]
    number = rough_number(written)
    if unit == "ton":
        worth = thresholds.ROUGH_TON
    elif unit in CANONICAL:
        worth = factor(unit, "kg")
    else:  # written as no unit is: "shortton"
        return None
    return number * worth if number else None


def middle_kilograms(values: Sequence[str]) -> float:
    """Give the middle of the loads in some cells [kg]; 0 when none holds one."""
    found = sorted(k for v in values if (k := rough_kilograms(v)))
    return found[len(found) // 2] if found else 0.0


def share_near(ratios: Sequence[float], wanted: float) -> float:
    """Give the share [1] of ratios that are about the wanted one."""
    near = sum(1 for r in ratios if abs(r / wanted - 1) < thresholds.POUND_RATIO_WITHIN)
    return near / len(ratios) if ratios else 0.0
