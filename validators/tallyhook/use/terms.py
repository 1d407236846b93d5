"""What a user says about a job, in our words: angles, sizes, grades, legs."""

from __future__ import annotations

import math
import re
from functools import cache

from tallyhook.messages import say
from tallyhook.packages.package import built_in_packages
from tallyhook.texts.units import AMBIGUOUS_TON
from tallyhook.units import factor
from tallyhook.use.result import UseRefused
from tallyhook.vocabulary.grade_marks import grade_words
from tallyhook.vocabulary.lexicon import rows

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

_MOST_LEGS = 4
_LENGTHS_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4, '"': 25.4}


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
            say("'{reference}' is no reference for an angle", reference=reference),
            next_step=say("use vertical, horizontal or included"),
        )
    beta = ways[reference]
    if not (math.isfinite(beta) and 0 <= beta < 90):
        raise UseRefused(
            say(
                "no leg hangs at {angle:g} degrees ({reference})", angle=angle, reference=reference
            ),
            next_step=say("check what the angle is measured to"),
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
            say("{what} is a load above nothing, not {value!r}", what=what, value=value),
            next_step=say("give it as a number"),
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
        say("'{size}' is no nominal chain size", size=size),
        next_step=say("write it as 10, '10 mm', or '3/8 in'"),
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
        raise UseRefused(
            say("'{text}' is no length", text=text),
            next_step=say("write it as '35 mm' or '1-3/8 in'"),
        )
    value = float(number) / float(below or 1) + float(whole or 0)
    return round(value * _LENGTHS_MM[unit or "mm"], 9)


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
    if unit == AMBIGUOUS_TON:
        raise UseRefused(
            say("'{text}' does not say which ton", text=text),
            next_step=say("write t, 'short ton' or 'long ton'"),
        )
    if match is None or unit not in ("kg", "t", "lb", "short ton", "long ton"):
        raise UseRefused(
            say("'{text}' is no load", text=text),
            next_step=say("write it as '3.15 t' or '7100 lb'"),
        )
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
        raise UseRefused(
            say("'{text}' is no temperature", text=text),
            next_step=say("write it as '250 C' or '480 F'"),
        )
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
    match = re.fullmatch(rf"(?:{grade_words()})?\s*+(\d{{1,9}})", str(grade).strip().lower())
    if not match:
        raise UseRefused(
            say("'{grade}' is no grade", grade=grade), next_step=say("write it as 80 or 100")
        )
    number = int(match[1])
    return _short_grades().get(number, number)


@cache
def _short_grades() -> dict[int, int]:
    """Map the short numbers of grades to the grades: 8 is 80, as European documents write it."""
    named = built_in_packages()["chain"]["grades"].select("iso_number", "grade").iter_rows()
    marks = ((row["mark"], row["grade"]) for row in rows("grade-marks"))
    return {
        int(short): int(grade)
        for short, grade in (*named, *marks)
        if str(short).isdecimal() and grade == 10 * int(short)
    }


def sling_configuration(legs: int | str) -> str:
    """Name a sling by its legs, as the tables do: ``1-leg`` to ``4-leg``, or ``endless``.

    Raises
    ------
    UseRefused
        No table has so many legs.
    """
    name = str(legs).strip().lower().removesuffix("-leg")
    if name == "endless":
        return name
    if not name.isdecimal():
        name = next((r["legs"] for r in rows("leg-words") if r["word"] == name and r["legs"]), "")
    number = int(name or 0)
    if not 1 <= number <= _MOST_LEGS:
        raise UseRefused(
            say("no table has a sling of {legs} legs", legs=legs),
            next_step=say("use 1 to 4, or endless"),
        )
    return f"{number}-leg"
