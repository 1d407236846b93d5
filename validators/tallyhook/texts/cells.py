"""The forms that spreadsheets and exports give a cell, undone where only one reading is possible.

A number is guarded as ``="7100"`` or with an apostrophe, so that no program takes it for
something else; it is written ``7.1E+03`` where its column is narrow, and with the wide digits of an
East Asian keyboard. What it says is the same.
"""

from __future__ import annotations

import re
from decimal import Decimal
from functools import lru_cache

__all__ = ["plain_cell", "whole_number"]

_WIDE = {wide: wide - 0xFEE0 for wide in range(0xFF01, 0xFF5F)}
"""The wide forms of the printable characters of ASCII (Unicode, U+FF01 to U+FF5E)."""

_SPACES = dict.fromkeys((*range(0x2000, 0x200B), 0x205F, 0x3000), " ")
"""Spaces of every width."""

_INVISIBLE = dict.fromkeys((0xAD, 0x200B, 0x200C, 0x200D, 0x2060, 0xFEFF))
"""Characters without a form of their own: soft hyphens, joiners, byte order marks."""

_SAME = _WIDE | _SPACES | _INVISIBLE

_GUARDED = re.compile(r"""=\s*(["'])([^"'=]*)\1""")
_APOSTROPHE = re.compile(r"'([^']+)")
_SIGNED = re.compile(r"=?\s*\+\s*(\d.*)|=\s*(\d[\d.,]*)")
_POWER = re.compile(r"(\d)(?:([.,])(\d{1,12}))?[eE]([+-]?)0?(\d)")
_WHOLE = re.compile(r"(\d+)[.,]0+")


@lru_cache(maxsize=65536)
def plain_cell(text: str) -> str:
    """Write a cell without what a spreadsheet puts around its text.

    Examples
    --------
    >>> [plain_cell(t) for t in ('="7100"', "'7100", "+7100", "1.81E+05", "＝７１００ ")]
    ['7100', '7100', '7100', '181000', '7100']
    >>> plain_cell('="1/2" & "?"'), plain_cell("+/- 5"), plain_cell("E5")
    ('="1/2" & "?"', '+/- 5', 'E5')
    """
    if not text.isascii():
        text = text.translate(_SAME)
    text = text.strip()
    if text[:1] in "='+":
        if found := _GUARDED.fullmatch(text):
            text = found[2].strip()
        elif found := _APOSTROPHE.fullmatch(text):
            text = found[1].strip()
        if found := _SIGNED.fullmatch(text):
            text = found[1] or found[2]
    found = _POWER.fullmatch(text)
    return _written_out(found) if found else text


def _written_out(power: re.Match[str]) -> str:
    """Write a number with a power of ten as one without, by the decimal mark that it has."""
    first, mark, rest, sign, exponent = power.groups(default="")
    value = Decimal(f"{first}.{rest or 0}").scaleb(int(sign + exponent))
    if value == value.to_integral_value():
        return str(int(value))
    return f"{value:f}".rstrip("0").replace(".", mark or ".")


def whole_number(text: str) -> str:
    """Write a whole number without decimals, as a table of numbers with blanks gives them.

    Examples
    --------
    >>> whole_number("80.0"), whole_number("80,00"), whole_number("80.5")
    ('80', '80', '80.5')
    """
    found = _WHOLE.fullmatch(text)
    return found[1] if found else text
