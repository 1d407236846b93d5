"""Units in the names of columns: ``wll_kg`` is in kilograms."""

from __future__ import annotations

__all__ = ["ENDINGS", "ending_of", "unit_of_name"]

ENDINGS = {
    "_n_mm2": "N/mm2",
    "_percent": "percent",
    "_deg": "deg",
    "_kg": "kg",
    "_lb": "lb",
    "_mm": "mm",
    "_in": "in",
    "_kn": "kN",
    "_t": "t",
    "_c": "degC",
    "_f": "degF",
}
"""By the ending of a name: its unit; a longer ending goes before one that it ends in."""


def unit_of_name(column: str) -> str | None:
    """Give the unit that a column's name ends in, if any."""
    return next((unit for end, unit in ENDINGS.items() if column.endswith(end)), None)


def ending_of(unit: str) -> str:
    """Give how the name of a column in a unit ends."""
    return next(end for end, known in ENDINGS.items() if known == unit)
