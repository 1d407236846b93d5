"""The names of ratings: made from the key of the trade by a template of the descriptor.

A table's schema says, under ``ratingId``, how the column ``rating_id`` is made::

    "ratingId": "chain/{scheme}/{grade}/{size_mm}mm"

``{column}`` is a column of the primary key, as a word: lower case; a number in its one form, so
that ``10.0`` is ``10``; a yes/no column by its own name, so that ``cradle`` is ``cradle`` or
``no-cradle``; everything else than letters, digits and dots a hyphen (``1-1/4`` is ``1-1-4``). A
part in square brackets, ``[/{grade}]``, falls away where a column in it is empty; outside of
brackets an empty column makes no name. Prose never makes one: a column of it is in no key.

A name is never used again: a row that goes leaves it in the package's table ``retired``, with
the reason, the name that takes its place and the version in which it went.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping
from decimal import Decimal, InvalidOperation
from typing import Any

import polars as pl

from tallyhook.errors import PackageError
from tallyhook.messages import say
from tallyhook.packages.descriptors import RATING_ID, template_columns
from tallyhook.packages.package import FIRST_ROW, NUMERIC_TYPES, Resource

__all__ = [
    "RATING_ID",
    "RETIRED",
    "forgotten_ids",
    "is_name",
    "made_id",
    "named",
    "rating_ids",
    "template_of",
]

RETIRED = "retired"
"""The table of a package that holds the names that its ratings had and no rating has now."""

_PLACE = re.compile(r"\{([^{}]*)\}")
_PART = re.compile(r"\[([^\[\]]*)\]|([^\[\]]+)")
_OTHER = re.compile(r"[^a-z0-9.]+")
_NAME = re.compile(r"[a-z0-9]+([.-][a-z0-9]+)*(/[a-z0-9]+([.-][a-z0-9]+)*)+")


def is_name(text: str) -> bool:
    """Whether a text looks like a name.

    It is one of words of lower case letters, digits, dots and hyphens between slashes.

    Examples
    --------
    >>> is_name("chain/us-chain/80/5.5mm"), is_name("chain"), is_name("chain/7 mm")
    (True, False, False)
    """
    return _NAME.fullmatch(text) is not None


def template_of(schema: Mapping[str, Any]) -> str | None:
    """Give the template of a Table Schema's names; none where its rows have no names."""
    template = schema.get("ratingId")
    return str(template) if template is not None else None


def made_id(
    template: str, cells: Mapping[str, str], types: Mapping[str, str] | None = None
) -> str | None:
    """Make the name of one row.

    Parameters
    ----------
    template : str
        As the module says.
    cells : mapping of str to str
        The row as text, by column.
    types : mapping of str to str, optional
        The Table Schema type of each column; text otherwise.

    Returns
    -------
    str or None
        The name; none where a column that is needed is empty.

    Examples
    --------
    >>> row = {"size_mm": "10.0", "size_in": "3/8", "cradle": "false", "grade": ""}
    >>> types = {"size_mm": "number", "cradle": "boolean"}
    >>> made_id("grab-hook/{size_mm}mm/{cradle}[/{grade}]", row, types)
    'grab-hook/10mm/no-cradle'
    >>> made_id("hook/{grade}/{size_in}in", row, types) is None
    True
    """
    words = {
        c: _word(c, cells[c], (types or {}).get(c, "string")) for c in template_columns(template)
    }
    name = ""
    for optional, needed in _PART.findall(template):
        part = optional or needed
        if all(words[c] for c in template_columns(part)):
            name += _PLACE.sub(lambda place: words[place[1]], part)
        elif needed:
            return None
    return name


def _word(column: str, value: str, kind: str) -> str:
    if kind == "boolean" and value in ("true", "false"):
        own = column.replace("_", "-")
        return own if value == "true" else f"no-{own}"
    if kind in NUMERIC_TYPES:
        try:
            number = Decimal(value)
        except InvalidOperation:
            return _OTHER.sub("-", value.lower()).strip("-.")
        if number.is_finite():
            # a hyphen before a number would be read as one between two words
            plain = format(abs(number), "f")
            plain = plain.rstrip("0").rstrip(".") if "." in plain else plain
            return f"minus-{plain}" if number < 0 else plain
    return _OTHER.sub("-", value.lower()).strip("-.")


def rating_ids(text: pl.DataFrame, resource: Resource) -> list[str | None]:
    """Make the name of each row of a table; none where a column that is needed is empty.

    A table without a template has no names: an empty list.
    """
    template = template_of(resource.descriptor["schema"])
    if template is None:
        return []
    types = {name: str(spec.get("type", "string")) for name, spec in resource.fields.items()}
    columns = dict.fromkeys(template_columns(template))
    if not columns:
        return [template] * text.height
    return [
        made_id(template, row, types) for row in text.select(list(columns)).iter_rows(named=True)
    ]


def named(text: pl.DataFrame, resource: Resource) -> pl.DataFrame:
    """Write the name of each row into ``rating_id``, where the table's schema says how.

    Raises
    ------
    PackageError
        A row has no value in a column that its name is made of.
    """
    template = template_of(resource.descriptor["schema"])
    if template is None:
        return text
    ids = rating_ids(text, resource)
    if None in ids:
        raise PackageError(
            say("a column of the template {template} is empty", template=template),
            where=say("{file}, line {n}", file=resource.path, n=ids.index(None) + FIRST_ROW),
            next_step=say("fill it, or put that part of the template into square brackets"),
        )
    return text.with_columns(pl.Series(RATING_ID, ids, dtype=pl.String))


def forgotten_ids(
    old: tuple[Mapping[str, Any], Mapping[str, str]],
    new: tuple[Mapping[str, Any], Mapping[str, str]],
) -> list[str]:
    """Name the ratings of an earlier state that a later one neither has nor lists as retired.

    Parameters
    ----------
    old, new : tuple of mapping and mapping
        The descriptor of a package, and the text of each of its files by the path.

    Returns
    -------
    list of str
        Sorted. A name that was retired before and is not any more is one of them too.
    """
    after = set(_ids(*new))
    return sorted(set(_ids(*old)) - after)


def _ids(descriptor: Mapping[str, Any], files: Mapping[str, str]) -> Iterator[str]:
    """Give every name that a state of a package knows, those of retired ratings among them."""
    for resource in descriptor["resources"]:
        names = [field["name"] for field in resource["schema"]["fields"]]
        if RATING_ID in names and not str(resource["path"]).startswith("printed/"):
            for row in csv.DictReader(io.StringIO(files[resource["path"]])):
                if row[RATING_ID]:
                    yield row[RATING_ID]
