"""A tidied list read back: its items stand in it, and nothing of it is interpreted again."""

from __future__ import annotations

import json
from pathlib import Path

import polars as pl

from tallyhook.errors import StockListError
from tallyhook.messages import say
from tallyhook.model.items import ITEM_SCHEMA
from tallyhook.model.layout import Column, Layout, Tidied
from tallyhook.model.sheet import Sheet

__all__ = ["COLUMNS", "PACKAGE_NAME", "TITLE_END", "is_tidied", "layout_of_tidied"]

PACKAGE_NAME = "tidied-stock-list"
"""The name of every data package of a tidied list."""

TITLE_END = ", tidied"
"""What follows the name of the list in the title of its package."""

COLUMNS = (*ITEM_SCHEMA, "original")
"""The columns of a tidied list."""

_OF_A_TIDIED_LIST = frozenset({"wll_step_kg", "wll2_column", "breaking_kn", "unread", "original"})
"""Columns that stand beside each other in no other list."""

_ROLES = {"wll_kg": ("wll", "kg"), "size_mm": ("size", "mm"), "grade": ("grade", None)}
"""The columns that a report shows as recognised, with their units."""


def is_tidied(sheet: Sheet) -> bool:
    """Whether a sheet, or a sample of one, is the list of a tidied package.

    Raises
    ------
    StockListError
        It is one whose columns are others: read as a plain list it would lose what was unread.
    """
    frame = sheet.frame
    cells = [c for c in frame.columns if c != "row"]
    if frame.height == 0 or not cells:
        return False
    found = frame.select(cells).row(0)
    if found == COLUMNS:
        return True
    if _OF_A_TIDIED_LIST.issubset(found):
        missing = [name for name in COLUMNS if name not in found]
        other = [str(name) for name in found if name not in COLUMNS]
        raise StockListError(
            say("it is a tidied list whose columns are not those that this version writes"),
            where=say(
                "{file}: missing {missing}, other {other}",
                file=sheet.file,
                missing=", ".join(missing) or say("none"),
                other=", ".join(other) or say("none"),
            ),
            next_step=say("tidy the original list anew"),
        )
    return False


def layout_of_tidied(sheet: Sheet) -> Layout:
    """Take a tidied list as recognised: its columns are what they are called.

    Raises
    ------
    StockListError
        A cell was changed to something that is not of its column's type.
    """
    cells = [c for c in sheet.frame.columns if c != "row"]
    columns = []
    for cell, name in zip(cells, COLUMNS, strict=True):
        role, unit = _ROLES.get(name, ("ignore", None))
        why = say("a column of a tidied list")
        columns.append(Column(column=cell, heading=name, role=role, unit=unit, why=why))
    return Layout(
        sheet=sheet,
        heading_row=1,
        columns=tuple(columns),
        body=sheet.frame.slice(1),
        skipped=pl.DataFrame(schema={"row": pl.Int64, "why": pl.String}),
        decimal=".",
        tidied=_tidied(sheet),
    )


def _tidied(sheet: Sheet) -> Tidied:
    cells = [c for c in sheet.frame.columns if c != "row"]
    body = sheet.frame.slice(1).rename(dict(zip(cells, COLUMNS, strict=True)) | {"row": "line"})
    body = body.with_columns(pl.col(c).replace("", None) for c in COLUMNS)
    typed = []
    for name, dtype in ITEM_SCHEMA.items():
        column = body[name].cast(dtype, strict=False)
        broken = column.is_null() & body[name].is_not_null()
        if broken.any():
            at = int(broken.arg_true()[0])
            raise StockListError(
                say(
                    "'{cell}' cannot stand in the column {column} of a tidied list",
                    cell=body[name][at],
                    column=name,
                ),
                where=say("{file}, line {line}", file=sheet.file, line=body["line"][at]),
                next_step=say("mend the cell, or tidy the original list anew"),
            )
        typed.append(column.alias(name))
    name, skipped = _from_package(Path(sheet.file))
    return Tidied(name=name, items=pl.DataFrame(typed), original=body["original"], skipped=skipped)


def _from_package(file: Path) -> tuple[str, pl.DataFrame]:
    """Give the list's first name and its skipped rows, as the package that it lies in says."""
    name = file.name
    skipped = pl.DataFrame(schema={"sheet": pl.String, "row": pl.Int64, "why": pl.String})
    try:
        descriptor = json.loads((file.parent / "datapackage.json").read_text(encoding="utf-8"))
        if descriptor["name"] == PACKAGE_NAME:
            name = str(descriptor["title"]).removesuffix(TITLE_END)
            skipped = pl.read_csv(file.parent / "skipped.csv", schema=skipped.schema)
    except (OSError, ValueError, KeyError, TypeError, pl.exceptions.PolarsError):
        pass  # the list was moved away from its package; its items are all here
    return name, skipped
