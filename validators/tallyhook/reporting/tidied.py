"""A list given back clean: a data package of typed items, with the original text beside them.

Plain frictionless validates it, `check` reads it back without interpreting anything again, and
tidying it once more changes nothing.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import polars as pl

from tallyhook.errors import StockListError
from tallyhook.files import FORMULA_LIKE, whole_folder
from tallyhook.model.items import ITEM_SCHEMA, KINDS
from tallyhook.model.layout import Column, Layout
from tallyhook.model.sheet import Sheet
from tallyhook.packages.package import file_hash

__all__ = [
    "is_tidy",
    "items_of_tidy",
    "layout_of_tidy",
    "original_text",
    "skipped_of_tidy",
    "write_tidy",
]

NAME = "tidied-stock-list"
_SUFFIX = ", tidied"

_TITLES = {
    "row": "Row of the list, as the spreadsheet numbers it",
    "sheet": "Sheet of the workbook",
    "part": "Part number",
    "supplier": "Supplier",
    "item": "The row's own words",
    "kind": "Kind of item",
    "form": "Form, as in the package hooks",
    "connection": "Connection, as in the package hooks",
    "size_mm": "Nominal diameter of the chain",
    "size_in": "Inch name of the size",
    "size_mm_to": "Larger size of a part for two sizes",
    "grade": "Grade, two or three digits; 40 and 60 are the European grades 4 and 6",
    "scheme": "Rating scheme that the row claims",
    "material": "Carbon or alloy steel, for hoist hooks",
    "legs": "Legs of a sling",
    "legs_range": "3-4 where the row says three or four legs",
    "angle_from_deg": "Smallest leg angle to the vertical",
    "angle_to_deg": "Largest leg angle to the vertical",
    "angle_if_vertical_deg": "Largest leg angle to the vertical, if the written one counts from it",
    "angle_if_horizontal_deg": "The same, if the written one counts from the horizontal",
    "hitch": "Hitch that the rating is for",
    "wll_kg": "Working load limit",
    "wll_value": "Working load limit, the number as written",
    "wll_unit": "Unit of the number as written",
    "wll_step_kg": "Worth of the last significant digit written",
    "wll_text": "Working load limit as written",
    "wll_column": "Heading that it stood under",
    "wll2_kg": "Working load limit in the list's second unit",
    "wll2_unit": "The second unit",
    "wll2_text": "Working load limit in the second unit, as written",
    "wll2_column": "Heading that it stood under",
    "breaking_kn": "Breaking force",
    "breaking_text": "Breaking force as written",
    "breaking_column": "Heading that it stood under",
    "proof_kn": "Proof force",
    "proof_text": "Proof force as written",
    "proof_column": "Heading that it stood under",
    "design_factor": "Design factor stated",
    "design_factor_column": "Heading that it stood under",
    "cradle": "Grab hook with cradle",
    "latch": "Latch",
    "swivel": "Swivel that turns under load (bearing) or not (positioning)",
    "overhead": "Sold for overhead lifting, or expressly not",
    "pair": "Rating is said to be for a pair",
    "shortening": "What is said of shortening",
    "unread": "What could not be read, a clause a field",
}
_UNITS = {"_mm": "mm", "_deg": "deg", "_kg": "kg", "_kn": "kN"}
_ENUMS: dict[str, list[str]] = {
    "kind": list(KINDS),
    "cradle": ["yes", "no"],
    "latch": ["yes", "no"],
    "overhead": ["yes", "no"],
    "pair": ["yes", "no"],
    "swivel": ["bearing", "positioning"],
    "hitch": ["straight", "choke", "basket"],
}
_TYPES = {"Float64": ("number", 3150.0), "Int64": ("integer", 80)}
_COLUMNS = (*ITEM_SCHEMA, "original")


def is_tidy(sheet: Sheet) -> bool:
    """Whether a sheet is the list of a tidied package."""
    frame = sheet.frame
    cells = [c for c in frame.columns if c != "row"]
    return (
        len(cells) == len(_COLUMNS) and frame.height > 0 and frame.select(cells).row(0) == _COLUMNS
    )


def items_of_tidy(sheet: Sheet) -> tuple[pl.DataFrame, pl.Series]:
    """Read the items of a tidied list back, with the original text of each row.

    Raises
    ------
    StockListError
        A cell was changed to something that is not of its column's type.
    """
    cells = [c for c in sheet.frame.columns if c != "row"]
    body = sheet.frame.slice(1).rename(dict(zip(cells, _COLUMNS, strict=True)) | {"row": "line"})
    body = body.with_columns(pl.col(c).replace("", None) for c in _COLUMNS)
    typed = []
    for name, dtype in ITEM_SCHEMA.items():
        column = body[name].cast(dtype, strict=False)
        broken = column.is_null() & body[name].is_not_null()
        if broken.any():
            at = int(broken.arg_true()[0])
            raise StockListError(
                f"'{body[name][at]}' cannot stand in the column {name} of a tidied list",
                where=f"{sheet.file}, line {body['line'][at]}",
                next_step="mend the cell, or tidy the original list anew",
            )
        typed.append(column.alias(name))
    return pl.DataFrame(typed), body["original"]


def skipped_of_tidy(sheet: Sheet) -> tuple[str, pl.DataFrame]:
    """The list's first name and its skipped rows, from the package that a tidied list lies in."""
    folder = Path(sheet.file).parent
    name = Path(sheet.file).name
    skipped = pl.DataFrame(schema={"sheet": pl.String, "row": pl.Int64, "why": pl.String})
    try:
        descriptor = json.loads((folder / "datapackage.json").read_text(encoding="utf-8"))
        if descriptor["name"] == NAME:
            name = str(descriptor["title"]).removesuffix(_SUFFIX)
            skipped = pl.read_csv(folder / "skipped.csv", schema=skipped.schema)
    except (OSError, ValueError, KeyError, TypeError, pl.exceptions.PolarsError):
        pass  # the list was moved away from its package; its items are all here
    return name, skipped


def layout_of_tidy(sheet: Sheet) -> Layout:
    """The layout of a tidied list: its columns are what they are called."""
    roles = {"wll_kg": ("wll", "kg"), "size_mm": ("size", "mm"), "grade": ("grade", None)}
    cells = [c for c in sheet.frame.columns if c != "row"]
    columns = tuple(
        Column(
            column=cell,
            heading=name,
            role=roles.get(name, ("ignore", None))[0],
            unit=roles.get(name, ("ignore", None))[1],
            why="a column of a tidied list",
        )
        for cell, name in zip(cells, _COLUMNS, strict=True)
    )
    empty = pl.DataFrame(schema={"row": pl.Int64, "why": pl.String})
    return Layout(
        sheet=sheet,
        heading_row=1,
        columns=columns,
        body=sheet.frame.slice(1),
        skipped=empty,
        decimal=".",
    )


def original_text(layouts: Sequence[Layout], items: pl.DataFrame) -> pl.Series:
    """The whole row behind each item as compact JSON, heading by heading."""
    parts = []
    for layout in layouts:
        named = {c.column: c.heading for c in layout.columns if c.column in layout.body.columns}
        told = [
            json.dumps({named[c]: v for c, v in row.items() if v}, ensure_ascii=False)
            for row in layout.body.select(list(named)).iter_rows(named=True)
        ]
        sheet = pl.lit(layout.sheet.name, dtype=pl.String).alias("sheet")
        parts.append(layout.body.select("row", sheet, pl.Series("original", told, dtype=pl.String)))
    rows = pl.concat(parts).unique(["row", "sheet"], keep="first", maintain_order=True)
    joined = items.select("row", "sheet").join(
        rows, on=["row", "sheet"], how="left", nulls_equal=True, maintain_order="left"
    )
    return joined["original"]


def write_tidy(
    folder: Path, *, file: str, items: pl.DataFrame, original: pl.Series, skipped: pl.DataFrame
) -> dict[str, int]:
    """Write a tidied list as a data package: whole, or not at all.

    Parameters
    ----------
    folder : Path
        Where it goes; it may exist only if it is empty or holds an earlier tidied list.
    file : str
        The name of the list, for the package's description.
    items : frame
        Columns of `tallyhook.model.items.ITEM_SCHEMA`.
    original : series
        The original text of each item's row.
    skipped : frame
        ``sheet``, ``row``, ``why``: the rows that hold no item.

    Returns
    -------
    dict
        How many ``items``, ``unread`` fields and ``skipped`` rows were written.

    Raises
    ------
    StockListError
        The folder holds something else, or cannot be written.
    """
    unread = _unread(items)
    tables = {
        "list": items.with_columns(original.alias("original")),
        "unread": unread,
        "skipped": skipped.select("sheet", "row", "why"),
    }
    try:
        _may_write(folder)
        with whole_folder(folder) as draft:
            for name, table in tables.items():
                # polars takes no path that holds bytes that are no text
                with (draft / f"{name}.csv").open("wb") as file_:
                    _guarded(table).write_csv(file_)
            descriptor = _descriptor(draft, file, tables)
            text = json.dumps(descriptor, indent=2, ensure_ascii=False) + "\n"
            (draft / "datapackage.json").write_text(text, encoding="utf-8", errors="replace")
    except (OSError, ValueError) as error:  # a zero byte in the path is no OSError
        reason = getattr(error, "strerror", None) or error
        raise StockListError(
            f"the folder cannot be written ({reason})",
            where=str(folder),
            next_step="check its permissions and the space left",
        ) from None
    return {"items": items.height, "unread": unread.height, "skipped": skipped.height}


def _may_write(folder: Path) -> None:
    if folder.exists() and not folder.is_dir():
        raise StockListError("it is a file", where=str(folder), next_step="name a folder")
    if not folder.is_dir() or not any(folder.iterdir()):
        return
    try:
        name = json.loads((folder / "datapackage.json").read_text(encoding="utf-8")).get("name")
    except (OSError, ValueError, AttributeError):
        name = None
    if name != NAME:
        raise StockListError(
            "the folder holds something else than a tidied list",
            where=str(folder),
            next_step="name a new or an empty folder",
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
    clauses = (
        items.select("sheet", "row", "item", pl.col("unread").str.split("; "))
        .explode("unread")
        .drop_nulls("unread")
    )
    field = pl.col("unread").str.extract(r"^([a-z_]+): ", 1)
    why = pl.col("unread").str.replace(r"^[a-z_]+: ", "")
    return clauses.select("sheet", "row", "item", field.alias("field"), why.alias("why"))


def _descriptor(draft: Path, file: str, tables: dict[str, pl.DataFrame]) -> dict[str, Any]:
    titles = {
        "list": "Items of the list",
        "unread": "What could not be read",
        "skipped": "Rows without an item",
    }
    return {
        "$schema": "https://datapackage.org/profiles/2.0/datapackage.json",
        "name": NAME,
        "title": f"{file}{_SUFFIX}",
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
    kind, example = _TYPES.get(str(dtype), ("string", None))
    spec: dict[str, Any] = {"name": name, "type": kind}
    spec["title"] = _TITLES.get(name, {"original": "The row's text, by heading"}.get(name, name))
    if kind != "string":
        spec["unit"] = next((u for end, u in _UNITS.items() if name.endswith(end)), "1")
        spec["example"] = example
    if name in _ENUMS:
        spec["constraints"] = {"enum": _ENUMS[name]}
    return spec
