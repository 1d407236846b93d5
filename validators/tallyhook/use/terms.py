"""What a user says about a job, in our words: angles, sizes, grades, legs."""

from __future__ import annotations

import math
import re

from tallyhook.packages.package import built_in_packages
from tallyhook.units import factor
from tallyhook.use.result import UseRefused

__all__ = [
    "as_load",
    "grade_number",
    "length_mm",
    "load_kg",
    "nominal_size",
    "sling_configuration",
    "temperature",
    "to_vertical",
]

_LEGS = {
    "1": "1-leg",
    "single": "1-leg",
    "2": "2-leg",
    "double": "2-leg",
    "3": "3-leg",
    "triple": "3-leg",
    "4": "4-leg",
    "quad": "4-leg",
    "quadruple": "4-leg",
    "endless": "endless",
}
_LETTER_GRADES = {4: 40, 6: 60, 8: 80, 10: 100, 12: 120}


def to_vertical(angle: float, reference: str = "vertical") -> float:
    """Turn a leg angle into the angle to the vertical [deg].

    Parameters
    ----------
    angle : float
        The angle [deg].
    reference : str
        ``vertical``, ``horizontal``, or ``included`` (between two legs that hang alike).

    Raises
    ------
    UseRefused
        The reference is unknown, or no leg can hang at the angle.

    Examples
    --------
    60 degrees to the horizontal, 30 to the vertical and 60 included are one and the same.

    >>> to_vertical(60, "horizontal"), to_vertical(30), to_vertical(60, "included")
    (30.0, 30.0, 30.0)
    """
    ways = {"vertical": angle, "horizontal": 90.0 - angle, "included": angle / 2}
    if reference not in ways:
        raise UseRefused(
            f"'{reference}' is no reference for an angle",
            next_step="use vertical, horizontal or included",
        )
    beta = ways[reference]
    if not (math.isfinite(beta) and 0 <= beta < 90):
        raise UseRefused(
            f"no leg hangs at {angle:g} degrees ({reference})",
            next_step="check what the angle is measured to",
        )
    return float(beta)


def as_load(value: object, what: str) -> float:
    """Take a number as a load in the unit that its name says.

    Raises
    ------
    UseRefused
        It is no number, or no load above nothing.

    Examples
    --------
    >>> as_load("3150", "the marked rating")
    3150.0
    """
    try:
        load = float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError, OverflowError):
        load = math.nan
    if not 0 < load < math.inf:
        raise UseRefused(
            f"{what} is a load above nothing, not {value!r}", next_step="give it as a number"
        )
    return load


def nominal_size(size: float | str) -> tuple[float, str]:
    """Turn a chain size into its nominal diameter [mm] and the name it was given by.

    Raises
    ------
    UseRefused
        The size is none that the vocabulary has.

    Examples
    --------
    49 CFR 393.108 prints 3/8 in as 10 mm.

    >>> nominal_size("3/8 in"), nominal_size(10)
    ((10.0, '3/8 in'), (10.0, '10 mm'))
    """
    text = f"{size:g}" if isinstance(size, int | float) else str(size).strip().lower()
    bare = re.sub(r"(in|inch|mm|\")\.?$", "", text).rstrip().replace(" ", "-")
    inch = re.search(r"(in|inch|\")\.?$", text) is not None or "/" in bare
    table = built_in_packages()["vocabulary"]["sizes"]
    for name, family, size_mm in table.select("name", "family", "size_mm").iter_rows():
        if inch and family == "inch" and name == bare:
            return float(size_mm), f"{name} in"
        if not inch and family == "metric" and name.removesuffix(" mm") == bare:
            return float(size_mm), str(name)
    raise UseRefused(
        f"'{size}' is no nominal chain size", next_step="write it as 10, '10 mm', or '3/8 in'"
    )


def length_mm(text: str | float) -> float:
    """Read a length such as ``35``, ``35 mm``, ``1-3/8 in`` or ``0.5 in`` [mm].

    Raises
    ------
    UseRefused
        It is no length.

    Examples
    --------
    >>> length_mm("1-3/8 in"), length_mm("35 mm"), length_mm(35)
    (34.925, 35.0, 35.0)
    """
    match = re.fullmatch(
        r"(?:(\d{1,9})[- ])?(\d{1,9}(?:\.\d{1,20})?)(?:/(\d{1,9}))?\s*+(mm|cm|in|\")?",
        str(text).strip(),
    )
    whole, number, below, unit = match.groups() if match else (None,) * 4
    if number is None or (whole and not below) or (below and int(below) == 0):
        raise UseRefused(f"'{text}' is no length", next_step="write it as '35 mm' or '1-3/8 in'")
    value = float(number) / float(below or 1) + float(whole or 0)
    return round(value * {"mm": 1.0, "cm": 10.0, "in": 25.4, '"': 25.4}[unit or "mm"], 9)


def load_kg(text: str) -> float:
    """Read a load such as ``3.15 t``, ``7,100 lb`` or ``2000 kg`` [kg].

    Raises
    ------
    UseRefused
        It is no load, has no unit, or its unit is a bare ton.

    Examples
    --------
    >>> load_kg("3.15 t"), load_kg("7,100 lb")
    (3150.0, 3220.505827)
    """
    match = re.fullmatch(
        r"(\d{1,3}(?:,\d{3}){1,3}|\d{1,12})(\.\d{1,20})?\s*+([a-z ]+?)s?\.?", text.strip().lower()
    )
    unit = match[3] if match else ""
    if unit == "ton":
        raise UseRefused(
            f"'{text}' does not say which ton", next_step="write t, 'short ton' or 'long ton'"
        )
    if match is None or unit not in ("kg", "t", "lb", "short ton", "long ton"):
        raise UseRefused(f"'{text}' is no load", next_step="write it as '3.15 t' or '7100 lb'")
    return round(float(match[1].replace(",", "") + (match[2] or "")) * factor(unit, "kg"), 9)


def temperature(text: str) -> tuple[str, float]:
    """Read a temperature such as ``250 C`` or ``480F``: its scale (``c`` or ``f``) and number.

    Raises
    ------
    UseRefused
        It is none, or does not say which degrees.

    Examples
    --------
    >>> temperature("-40 C"), temperature("400F")
    (('c', -40.0), ('f', 400.0))
    """
    match = re.fullmatch(
        r"(-?\d{1,9}(?:\.\d{1,20})?)\s*+(?:deg|°)?\s*+([cf])", text.strip().lower()
    )
    if match is None:
        raise UseRefused(f"'{text}' is no temperature", next_step="write it as '250 C' or '480 F'")
    return match[2], float(match[1])


def grade_number(grade: int | str) -> int:
    """Turn a grade into its number: 8, ``G80`` and 80 are 80.

    Raises
    ------
    UseRefused
        It is no grade number.

    Examples
    --------
    >>> grade_number(8), grade_number("G80"), grade_number("100")
    (80, 80, 100)
    """
    match = re.fullmatch(r"(?:g|gr|grade)?\s*+(\d{1,9})", str(grade).strip().lower())
    if not match:
        raise UseRefused(f"'{grade}' is no grade", next_step="write it as 80 or 100")
    number = int(match[1])
    return _LETTER_GRADES.get(number, number)


def sling_configuration(legs: int | str) -> str:
    """Name a sling by its legs, as the tables do: ``1-leg`` to ``4-leg``, or ``endless``.

    Raises
    ------
    UseRefused
        No table has so many legs.
    """
    name = _LEGS.get(str(legs).strip().lower().removesuffix("-leg"))
    if name is None:
        raise UseRefused(f"no table has a sling of {legs} legs", next_step="use 1 to 4, or endless")
    return name
