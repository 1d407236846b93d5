"""Every text that a person reads, by one way: an English sentence with named parts.

``say("no size could be read in {column}", column="C")`` gives the sentence in the reader's
language. The English sentence is the key of the catalogue (gettext): ``scripts/messages`` collects
all of them into ``locale/tallyhook.pot``, and another language of output is one file,
``locale/<language>/LC_MESSAGES/tallyhook.mo``. Numbers, units, names of columns, canonical codes
and the list's own words are parts; they are never translated.
"""

from __future__ import annotations

import gettext
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from pathlib import Path

import polars as pl

__all__ = ["LOCALES", "in_language", "say", "say_each", "to_say"]

LOCALES = Path(__file__).resolve().parent / "locale"
"""Where the catalogues lie, one folder a language."""

_language: ContextVar[str] = ContextVar("language", default="en")


def say(message: str, **parts: object) -> str:
    """Give a message in the reader's language, its parts filled in.

    Parameters
    ----------
    message : str
        The English sentence, a literal, with its parts as ``{name}``.
    parts
        What takes their place, as `str.format` writes it.

    Examples
    --------
    >>> say("row {row}: no size could be read", row=20)
    'row 20: no size could be read'
    """
    text = _in_language(message)
    return text.format(**parts) if parts else text


def to_say(message: str) -> str:
    """Mark a message that is kept in a table and said later with `say`: gives it unchanged.

    Examples
    --------
    >>> to_say("the unit is not said")
    'the unit is not said'
    """
    return message


def say_each(message: str, **parts: pl.Expr | str) -> pl.Expr:
    """Give a message for every row of a frame; parts are expressions or names of columns.

    Null where a part is null. A message without parts is one text for all rows.

    Examples
    --------
    >>> frame = pl.DataFrame({"legs": [2], "angle": ["60"]})
    >>> frame.select(t=say_each("{legs} legs at {angle} degrees", legs="legs", angle="angle")).item()
    '2 legs at 60 degrees'
    """
    text = _in_language(message)
    if not parts:
        return pl.lit(text, dtype=pl.String)
    order = {name: f"\0{place}\0" for place, name in enumerate(parts)}
    pieces = text.format(**order).split("\0")
    columns = list(parts.values())
    template = "".join("{}" if place % 2 else piece for place, piece in enumerate(pieces))
    return pl.format(template, *(columns[int(piece)] for piece in pieces[1::2]))


@contextmanager
def in_language(language: str) -> Iterator[None]:
    """Say everything inside the block in a language; English where its catalogue has no word."""
    token = _language.set(language)
    try:
        yield
    finally:
        _language.reset(token)


def _in_language(message: str) -> str:
    language = _language.get()
    return message if language == "en" else _catalogue(language).gettext(message)


@cache
def _catalogue(language: str) -> gettext.NullTranslations:
    return gettext.translation("tallyhook", LOCALES, languages=[language], fallback=True)
