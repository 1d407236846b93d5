"""A list given back clean: a data package of typed items, with the original text beside them.

Plain frictionless validates it, `check` reads it back without interpreting anything again, and
tidying it once more changes nothing.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import polars as pl

from tallyhook.errors import StockListError
from tallyhook.files import FORMULA_LIKE, restore_folder, whole_folder
from tallyhook.interpreting.notes import clauses_of
from tallyhook.interpreting.tidied import PACKAGE_NAME, TITLE_END
from tallyhook.messages import say
from tallyhook.model.items import ITEM_COLUMNS, ItemColumn
from tallyhook.model.layout import Layout
from tallyhook.packages.package import file_hash

__all__ = ["write_tidied"]

_ORIGINAL = ItemColumn(name="original", dtype=pl.String, title="The row's text, by heading")
_DECLARED = {column.name: column for column in (*ITEM_COLUMNS, _ORIGINAL)}

_TYPES = {"Float64": ("number", 3150.0), "Int64": ("integer", 80)}
"""Table Schema's name of a type, and an example of it; any other is a string."""


def write_tidied(folder: Path, layouts: Sequence[Layout], items: pl.DataFrame) -> dict[str, int]:
    """Write a list, recognised and interpreted, as a data package: whole, or not at all.

    Parameters
    ----------
    folder : Path
        Where it goes; it may exist only if it is empty or holds an earlier tidied list.
    layouts : sequence of Layout
        The tables of the list.
    items : frame
        Their items, one a row.

    Returns
    -------
    dict
        How many ``items``, ``unread`` fields and ``skipped`` rows were written.

    Raises
    ------
    StockListError
        The folder holds something else, or cannot be written.
    """
    first = layouts[0]
    name = first.tidied.name if first.tidied else Path(first.sheet.file).name
    tables = {
        "list": items.with_columns(_original_text(layouts, items)),
        "unread": _unread(items),
        "skipped": pl.concat(_skipped(layout) for layout in layouts),
    }
    try:
        restore_folder(folder)
        _may_write(folder)
        with whole_folder(folder) as draft:
            _write_tables(draft, name, tables)
    except (OSError, ValueError) as error:  # a zero byte in the path is no OSError
        reason = getattr(error, "strerror", None) or error
        raise StockListError(
            say("the folder cannot be written ({reason})", reason=reason),
            where=str(folder),
            next_step=say("check its permissions and the space left"),
        ) from None
    return {
        "items": items.height,
        "unread": tables["unread"].height,
        "skipped": tables["skipped"].height,
    }


def _write_tables(draft: Path, name: str, tables: Mapping[str, pl.DataFrame]) -> None:
    for table, frame in tables.items():
        # polars takes no path that holds bytes that are no text
        with (draft / f"{table}.csv").open("wb") as file:
            _guarded(frame).write_csv(file)
    text = json.dumps(_descriptor(draft, name, tables), indent=2, ensure_ascii=False) + "\n"
    (draft / "datapackage.json").write_text(text, encoding="utf-8", errors="replace")


def _skipped(layout: Layout) -> pl.DataFrame:
    """The rows of a table that hold no item."""
    if layout.tidied:
        return layout.tidied.skipped
    sheet = pl.lit(layout.sheet.name, dtype=pl.String).alias("sheet")
    return layout.skipped.select(sheet, "row", "why")


def _original_text(layouts: Sequence[Layout], items: pl.DataFrame) -> pl.Series:
    """The whole row behind each item as compact JSON, heading by heading."""
    if len(layouts) == 1 and layouts[0].tidied:
        return layouts[0].tidied.original.alias("original")
    rows = pl.concat(map(_texts_of_rows, layouts))
    rows = rows.unique(["row", "sheet"], keep="first", maintain_order=True)
    joined = items.select("row", "sheet").join(
        rows, on=["row", "sheet"], how="left", nulls_equal=True, maintain_order="left"
    )
    return joined["original"]


def _texts_of_rows(layout: Layout) -> pl.DataFrame:
    """``row``, ``sheet`` and ``original`` of every item row of a table."""
    if layout.tidied:
        original = layout.tidied.original.alias("original")
        return layout.tidied.items.select("row", "sheet", original)
    named = {c.column: c.heading for c in layout.columns if c.column in layout.body.columns}
    texts = [
        json.dumps({named[c]: v for c, v in row.items() if v}, ensure_ascii=False)
        for row in layout.body.select(list(named)).iter_rows(named=True)
    ]
    sheet = pl.lit(layout.sheet.name, dtype=pl.String).alias("sheet")
    return layout.body.select("row", sheet, pl.Series("original", texts, dtype=pl.String))


def _may_write(folder: Path) -> None:
    if folder.exists() and not folder.is_dir():
        raise StockListError(say("it is a file"), where=str(folder), next_step=say("name a folder"))
    if not folder.is_dir() or not any(folder.iterdir()):
        return
    try:
        name = json.loads((folder / "datapackage.json").read_text(encoding="utf-8")).get("name")
    except (OSError, ValueError, AttributeError):
        name = None
    if name != PACKAGE_NAME:
        raise StockListError(
            say("the folder holds something else than a tidied list"),
            where=str(folder),
            next_step=say("name a new or an empty folder"),
        )


def _guarded(table: pl.DataFrame) -> pl.DataFrame:
    """Keep a spreadsheet from taking text for a formula: an apostrophe stands before it."""
    text = [c for c, dtype in table.schema.items() if dtype == pl.String]
    numbers = [c for c, dtype in table.schema.items() if dtype == pl.Float64]
    table = table.with_columns(pl.col(numbers).round(6))  # a microgram is no digit of a rating
    return table.with_columns(
        pl.when(pl.col(c).str.contains(FORMULA_LIKE))
        .then(pl.format("'{}", c))
        .otherwise(c)
        .alias(c)
        for c in text
    )


def _unread(items: pl.DataFrame) -> pl.DataFrame:
    noted = items.select("sheet", "row", "item", "unread").drop_nulls("unread")
    clauses = [
        (sheet, row, item, name, why)
        for sheet, row, item, unread in noted.iter_rows()
        for name, why in clauses_of(unread)
    ]
    schema = {name: items.schema[name] for name in ("sheet", "row", "item")}
    schema |= {"field": pl.String(), "why": pl.String()}
    return pl.DataFrame(clauses, schema=schema, orient="row")


def _descriptor(draft: Path, file: str, tables: Mapping[str, pl.DataFrame]) -> dict[str, Any]:
    titles = {
        "list": "Items of the list",
        "unread": "What could not be read",
        "skipped": "Rows without an item",
    }
    return {
        "$schema": "https://datapackage.org/profiles/2.0/datapackage.json",
        "name": PACKAGE_NAME,
        "title": f"{file}{TITLE_END}",
        "description": "Items read from a stock list by tallyhook, the original text beside them. "
        "Nothing here says that a rating is right.",
        "version": "1.0.0",
        "resources": [
            {
                "name": name,
                "type": "table",
                "path": f"{name}.csv",
                "format": "csv",
                "mediatype": "text/csv",
                "encoding": "utf-8",
                "title": titles[name],
                "hash": file_hash(draft / f"{name}.csv"),
                "bytes": (draft / f"{name}.csv").stat().st_size,
                "schema": {
                    "fields": [_field(c, t) for c, t in table.schema.items()],
                    "missingValues": [""],
                },
            }
            for name, table in tables.items()
        ],
    }


def _field(name: str, dtype: pl.DataType) -> dict[str, Any]:
    declared = _DECLARED.get(name)
    kind, example = _TYPES.get(str(dtype), ("string", None))
    spec: dict[str, Any] = {"name": name, "type": kind}
    spec["title"] = declared.title if declared else name
    if declared and declared.description:
        spec["description"] = declared.description
    if kind != "string":
        spec["unit"] = declared.unit if declared else "1"
        spec["example"] = example
    if declared and declared.values:
        spec["constraints"] = {"enum": list(declared.values)}
    return spec
