"""Dates that a spreadsheet made of a fraction: typed as 5/8, shown as ``8-May`` or ``05-Aug``."""

from __future__ import annotations

import re
from functools import cache

from tallyhook.messages import say
from tallyhook.texts.sizes import inch_names
from tallyhook.vocabulary.lexicon import rows
from tallyhook.vocabulary.tokens import fold

__all__ = ["date_told"]

_LONGEST = 40  # characters; a date with its time is shorter

_DAY, _YEAR = r"(?P<day>\d{1,2})", r"(?:[-/. ,]{1,2}(?:\d{4}|\d{2}))?"
_WORD = r"(?P<word>[^\W\d_]{3,10})\.?"
_FORMS = (
    re.compile(rf"{_DAY}[-/. ]{{1,2}}{_WORD}{_YEAR}"),
    re.compile(rf"{_WORD}[-/. ]{{1,2}}{_DAY}{_YEAR}"),
    re.compile(
        rf"\d{{4}}-(?P<month>\d{{2}})-{_DAY}(?:[T ]\d{{2}}:\d{{2}}(?::\d{{2}}(?:\.\d+)?)?)?"
    ),
    re.compile(rf"(?P<month>\d{{1,2}})[/.]{_DAY}[/.]\d{{4}}"),
)


@cache
def _months() -> dict[str, int]:
    return {fold(str(row["word"])): int(row["month"]) for row in rows("months")}


def date_told(text: str) -> str | None:
    """Say that a cell is a date, and the fraction that it was typed as; None where it is none.

    Examples
    --------
    >>> date_told("8-May")
    "'8-May' is a date, as a spreadsheet makes one of 5/8"
    >>> date_told("5/8") is None
    True
    """
    if len(text) > _LONGEST:
        return None
    for form in _FORMS:
        if found := form.fullmatch(text):
            said = found.groupdict()
            month = _months().get(fold(said["word"])) if "word" in said else int(said["month"])
            if month is not None and 1 <= month <= 31:
                return _told(text, month, int(said["day"]))
    return None


def _told(text: str, month: int, day: int) -> str:
    # in America the month is written first, in Europe the day
    fractions = [f for f in (f"{month}/{day}", f"{day}/{month}") if f in inch_names()]
    if not fractions:
        return say("'{cell}' is a date", cell=text)
    return say(
        "'{cell}' is a date, as a spreadsheet makes one of {fraction}",
        cell=text,
        fraction=fractions[0],
    )
