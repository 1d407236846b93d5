"""What a person writes after an option, read: names with values, lengths, places, temperatures."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tallyhook.errors import TallyhookError
from tallyhook.messages import say

__all__ = [
    "bounds_of_list",
    "celsius",
    "column_headings",
    "component",
    "conditions",
    "graded_size",
    "length",
    "load",
    "named_value",
    "place",
    "temperatures",
]


def named_value(
    text: str, form: str = "NAME=VALUE", example: str = "name=value"
) -> tuple[str, str]:
    """Read a name and its value, such as ``grade=80``.

    Raises
    ------
    TallyhookError
        One of the two is missing; `form` and `example` then say what was wanted.
    """
    name, equals, value = text.partition("=")
    if not (name.strip() and equals and value.strip()):
        raise TallyhookError(
            say("'{text}' is not {form}", text=text, form=form),
            next_step=say("write it as {example}", example=example),
        )
    return name.strip(), value.strip()


def column_headings(texts: Sequence[str] | None) -> dict[str, str]:
    """Read which heading stands over which column, such as ``wll="Cap."``."""
    return dict(named_value(text, "ROLE=HEADING", 'wll="Cap."') for text in texts or ())


def bounds_of_list(texts: Sequence[str] | None) -> dict[str, int]:
    """Read how much a list may ask for, such as ``tables=5000``.

    Raises
    ------
    TallyhookError
        A value is no whole number.
    """
    read = {}
    for text in texts or ():
        name, value = named_value(text, "NAME=NUMBER", "tables=5000")
        digits = value.replace(",", "")
        if not (digits.isascii() and digits.isdigit()):
            raise TallyhookError(
                say("'{value}' is no whole number", value=value),
                next_step=say("write a bound as {example}", example="tables=5000"),
            )
        read[name] = int(digits)
    return read


def conditions(texts: Sequence[str] | None) -> dict[str, str]:
    """Read which value a column is to have, such as ``grade=80``."""
    return dict(named_value(text, "COLUMN=VALUE", "grade=80") for text in texts or ())


def component(text: str) -> dict[str, Any]:
    """Read a part of an assembly, such as ``name=hook,grade=80,size=3/8``."""
    read: dict[str, Any] = dict(named_value(part) for part in text.split(","))
    for key in ("wll_kg", "wll_lb"):
        if key in read:
            read[key] = _number(read[key])
    return read


def place(text: str) -> list[float]:
    """Read a place of several numbers, such as ``0,0,1.5``."""
    return [_number(part) for part in text.split(",")]


def graded_size(text: str | None) -> tuple[str, str] | None:
    """Read a grade and a size, such as ``80,3/8``."""
    if text is None:
        return None
    grade, comma, size = text.partition(",")
    if not comma:
        raise TallyhookError(
            say("'{text}' is not {form}", text=text, form="GRADE,SIZE"),
            next_step=say("write it as {example}", example="80,3/8"),
        )
    return grade, size.strip()


def length(text: str | None) -> float | None:
    """Read a length [mm]."""
    from tallyhook.use.terms import length_mm

    return length_mm(text) if text else None


def load(text: str | None) -> float | None:
    """Read a load [kg]."""
    from tallyhook.use.terms import load_kg

    return load_kg(text) if text else None


def temperatures(**texts: str | None) -> dict[str, Any]:
    """Read temperatures, each under its name and the scale it was given in (``_c`` or ``_f``)."""
    from tallyhook.use.terms import temperature

    read = {}
    for name, text in texts.items():
        if text is not None:
            scale, value = temperature(text)
            read[f"{name}_{scale}"] = value
    return read


def celsius(text: str | None) -> float | None:
    """Read a temperature [deg C]."""
    from tallyhook.use.terms import temperature

    if text is None:
        return None
    scale, value = temperature(text)
    return value if scale == "c" else (value - 32) / 1.8


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise TallyhookError(say("'{text}' is not a number", text=text)) from None
