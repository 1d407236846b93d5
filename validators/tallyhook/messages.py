"""Every text that a person reads, by one way: an English sentence with named parts.

``say("no size could be read in {column}", column="C")`` gives the sentence in the reader's
language. The English sentence is the key of the catalogue (gettext): ``scripts/messages`` collects
all of them into ``locale/tallyhook.pot``, and another language of output is one file,
``locale/<language>/LC_MESSAGES/tallyhook.po``, from which the script makes the ``.mo`` that is read
here. Numbers, units, names of columns, canonical codes and the list's own words are parts; they are
never translated.

A text is said when it is needed, never when a module is imported: a table of messages marks them
with `to_say`, and `say` takes them from it.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import gettext

    import polars as pl

__all__ = [
    "LOCALES",
    "in_language",
    "language",
    "say",
    "say_count",
    "say_each",
    "say_values",
    "spoken",
    "to_say",
]

LOCALES = Path(__file__).resolve().parent / "locale"
"""Where the catalogues lie, one folder a language."""

ENGLISH = "en"
"""The language of the messages in the code; it needs no catalogue."""

_spoken: ContextVar[tuple[str, Path]] = ContextVar("spoken", default=(ENGLISH, LOCALES))


def say(message: str, /, **parts: object) -> str:
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


def say_count(one: str, many: str, n: int, /, **parts: object) -> str:
    """Give a message that holds a number ``{n}``, in the form that the language has for it.

    Parameters
    ----------
    one, many : str
        The English sentence for one, and for any other number.
    n : int
        The number.
    parts
        What takes the place of the other parts.

    Examples
    --------
    >>> say_count("{n} row", "{n:,} rows", 1), say_count("{n} row", "{n:,} rows", 1200)
    ('1 row', '1,200 rows')
    """
    if language() == ENGLISH:
        text = one if n == 1 else many
    else:
        text = _catalogue(*_spoken.get()).ngettext(one, many, n)
    return text.format(n=n, **parts)


def to_say(message: str) -> str:
    """Mark a message that is kept in a table and said later with `say`: gives it unchanged.

    Examples
    --------
    >>> to_say("the unit is not said")
    'the unit is not said'
    """
    return message


def say_each(message: str, /, **parts: pl.Expr | str) -> pl.Expr:
    """Give a message for every row of a frame; parts are expressions or names of columns.

    Null where a part is null. A message without parts is one text for all rows.

    Examples
    --------
    >>> import polars as pl
    >>> frame = pl.DataFrame({"legs": [2], "angle": ["60"]})
    >>> frame.select(say_each("{legs} legs at {angle} deg", legs="legs", angle="angle")).item()
    '2 legs at 60 deg'
    """
    import polars as pl  # the command line says things before anything needs a frame

    text = _in_language(message)
    if not parts:
        return pl.lit(text, dtype=pl.String)
    order = {name: f"\0{place}\0" for place, name in enumerate(parts)}
    pieces = text.format(**order).split("\0")
    columns = [pl.col(part) if isinstance(part, str) else part for part in parts.values()]
    # what stands between the parts, and at every odd place the number of a part
    return pl.concat_str(
        columns[int(piece)] if place % 2 else pl.lit(piece, dtype=pl.String)
        for place, piece in enumerate(pieces)
        if piece
    )


def say_values(column: pl.Series) -> pl.Series:
    """Give a column of texts with those said that are messages kept as they stand in the code.

    What was said already, and what is no message, stays.

    Examples
    --------
    >>> import polars as pl
    >>> say_values(pl.Series("why", ["hidden row", None])).to_list()
    ['hidden row', None]
    """
    if language() == ENGLISH:
        return column
    known = column.drop_nulls().unique()
    return column.replace_strict(
        known, [_in_language(text) for text in known], default=None, return_dtype=column.dtype
    )


@contextmanager
def in_language(wanted: str, catalogues: str | Path | None = None) -> Iterator[None]:
    """Say everything inside the block in a language; English where its catalogue has no word.

    A thread or process begins in English: hand it `spoken`, or the whole context.

    Parameters
    ----------
    wanted : str
        The language, as its folder is named: ``de``.
    catalogues : path, optional
        The folder of the catalogues; `LOCALES` otherwise.

    Raises
    ------
    LookupError
        There is no catalogue of that language.
    """
    folder = LOCALES if catalogues is None else Path(catalogues)
    if wanted != ENGLISH:
        _catalogue(wanted, folder)
    token = _spoken.set((wanted, folder))
    try:
        yield
    finally:
        _spoken.reset(token)


def language() -> str:
    """Give the language that is said now.

    Examples
    --------
    >>> language()
    'en'
    """
    return _spoken.get()[0]


def spoken() -> tuple[str, str]:
    """Give what `in_language` needs to go on in the same language in another process."""
    wanted, folder = _spoken.get()
    return wanted, str(folder)


def _in_language(message: str) -> str:
    # the catalogue keeps its own head under the empty message
    if language() == ENGLISH or not message:
        return message
    return _catalogue(*_spoken.get()).gettext(message)


@cache
def _catalogue(wanted: str, folder: Path) -> gettext.NullTranslations:
    # imported here: English, the usual case, has no use for it
    import gettext

    try:
        return gettext.translation("tallyhook", folder, languages=[wanted])
    except OSError:
        raise LookupError(f"there is no catalogue of messages in {wanted!r}") from None
