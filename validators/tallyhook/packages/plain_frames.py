"""A table as ``pandas.read_csv`` reads it, given the types that its Table Schema says.

Without options pandas takes ``80`` for a number where it is a name, ``7`` for 7.0 where a cell
beside it is empty, and an empty text for NaN. All that can be given back is. What the reading has
lost cannot: 012 is 12 then, and the word ``n/a`` is NaN. A column whose own cells would lose
something so is left as it came, and its schema refuses it.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Mapping
from numbers import Real
from typing import Any

import pandas as pd

from tallyhook.messages import to_say
from tallyhook.packages.package import NUMERIC_TYPES, Package, Resource, boolean_words

__all__ = ["Lost", "as_typed", "is_text", "lost_by_plain_reading"]

Column = pd.Series  # of anything: what a schema says of it is the question here

_NUMBER = re.compile(r"\s*+[+-]?(?:\d++(?:\.\d*+)?|\.\d++)(?:[eE][+-]?\d++)?\s*+", re.ASCII)

NUMBERS = to_say("leading zeros or the like")
WORDS = to_say("words that stand for missing ones in pandas")

Lost = Mapping[str, str]
"""What a plain reading loses, by column: `NUMBERS` or `WORDS`."""


def is_text(spec: Mapping[str, Any]) -> bool:
    """Whether the cells of a field are kept as text."""
    return spec.get("type") not in (*NUMERIC_TYPES, "boolean")


def lost_by_plain_reading(package: Package, resource: Resource) -> Lost:
    """Find the text columns of a table that pandas does not read as they are written.

    `NUMBERS`: it takes them for numbers that are written otherwise (012). `WORDS`: it takes one
    of the words for a missing value (n/a).
    """
    text = package.text[resource.name]
    plain = pd.read_csv(io.StringIO(text.write_csv()))
    lost = {}
    for name, spec in resource.fields.items():
        if is_text(spec) and text.height:
            given = _text(plain[name], frozenset()).tolist()
            if given != text[name].to_list():
                lost[name] = NUMBERS if _numeric(plain[name]) else WORDS
    return lost


def as_typed(frame: pd.DataFrame, *, resource: Resource, lost: Lost) -> pd.DataFrame:
    """Give every column of a frame the type of its field, as far as its cells have that type.

    Text without NaN, numbers as floats, counts as ``Int64``, yes or no as ``boolean``. A column
    with a cell that is of no such type stays as it is.
    """
    marks = frozenset(resource.descriptor["schema"].get("missingValues", [""]))
    typed = frame.copy(deep=False)
    for name, spec in resource.fields.items():
        if name in frame.columns and isinstance(frame[name], pd.Series):
            typed[name] = _typed(frame[name], spec, marks, lost.get(name, ""))
    return typed


def _typed(column: Column, spec: Mapping[str, Any], marks: frozenset[str], lost: str) -> Column:
    if is_text(spec):
        refused = (lost == NUMBERS and _numeric(column)) or (
            lost == WORDS and bool(column.isna().any())
        )
        return column if refused else _text(column, marks)
    if spec["type"] == "boolean":
        return _booleans(column, spec, marks)
    numbers = _numbers(column, marks)
    if spec["type"] == "integer" and numbers is not column:
        whole = numbers.isna() | (numbers % 1 == 0)
        return numbers.astype("Int64") if whole.all() else numbers
    return numbers


def _numeric(column: Column) -> bool:
    return pd.api.types.is_numeric_dtype(column.dtype)


def _text(column: Column, marks: frozenset[str]) -> Column:
    """Write cells as text: a number as it is usually written, what is missing as nothing."""
    return _each(column, lambda value: None if (t := _written(value)) in marks else t, "str", "")


def _written(value: Any) -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, bool) or not isinstance(value, Real):
        raise ValueError("no text, and nothing that a text was taken for")
    number = float(value)
    return str(int(number)) if number.is_integer() else repr(number)


def _numbers(column: Column, marks: frozenset[str]) -> Column:
    if _numeric(column) and not pd.api.types.is_bool_dtype(column.dtype):
        return column.astype("float64")

    def number(value: Any) -> float | None:
        if isinstance(value, str):
            if value in marks:
                return None
            if not _NUMBER.fullmatch(value):
                raise ValueError("no number")
        elif isinstance(value, bool) or not isinstance(value, Real):
            raise ValueError("no number")
        return float(value)

    return _each(column, number, "float64", None)


def _booleans(column: Column, spec: Mapping[str, Any], marks: frozenset[str]) -> Column:
    true, false = boolean_words(spec)
    known = dict.fromkeys(marks) | dict.fromkeys(true, True) | dict.fromkeys(false, False)

    def boolean(value: Any) -> bool | None:
        if isinstance(value, str):
            return known[value]
        if not pd.api.types.is_bool(value):
            raise ValueError("neither yes nor no")
        return bool(value)

    return _each(column, boolean, "boolean", None)


def _each(column: Column, read: Callable[[Any], Any], dtype: str, missing: Any) -> Column:
    """Read every cell that is there; the column itself where one of them cannot be read."""
    cells = column.astype(object)
    blank = column.isna()
    try:
        read_cells = [
            missing if gone else read(cell) for cell, gone in zip(cells, blank, strict=True)
        ]
    except (ValueError, KeyError, OverflowError):
        return column
    filled = [missing if cell is None else cell for cell in read_cells]
    if dtype == "str":  # object, or the text of a newer pandas
        return pd.Series(filled, index=column.index, dtype=pd.Series([""]).dtype)
    return pd.Series(filled, index=column.index, dtype=dtype)
