"""Reports for the tests of reporting: a list written as rows, checked without reading any text."""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

import polars as pl

from tallyhook.checking import RowsInMemory, conclude, rating_basis
from tallyhook.model.distinct import distinct_items
from tallyhook.model.items import items_frame
from tallyhook.model.options import ListOptions
from tallyhook.packages.package import built_in_packages
from tallyhook.packages.reference import reference_ratings
from tallyhook.reading.lists import sheet_from_frame
from tallyhook.recognising.layouts import layouts_of_sheet
from tallyhook.reporting.report import Report
from tallyhook.units import factor
from tallyhook.wording import number_text

HEADINGS = ("Part", "Description", "Size", "Grade", "WLL (lb)")

# 49 CFR 393.108 and the ratings of American chain, in pounds; the list of an invented shop
ROWS: list[dict[str, Any]] = [
    {"part": "HP-1", "size_in": "1/4", "size_mm": 7.0, "grade": 30, "lb": 1300},
    {"part": "HP-2", "size_in": "3/8", "size_mm": 10.0, "grade": 70, "lb": 6600},
    {"part": "HP-3", "size_in": "3/8", "size_mm": 10.0, "grade": 80, "lb": 7100},
    {"part": "HP-4", "size_in": "3/8", "size_mm": 10.0, "grade": 70, "lb": 26400},  # breaking force
    {"part": "HP-5", "size_in": "1/2", "size_mm": 13.0, "grade": 43, "lb": 4170},  # 9200 lb in kg
    {"part": "HP-6", "size_in": None, "size_mm": None, "grade": 80, "lb": 7100},  # not compared
    {"part": "HP-7", "size_in": "5/16", "size_mm": 8.0, "grade": 30, "lb": 1900},
]


@cache
def _reference() -> pl.DataFrame:
    return reference_ratings(built_in_packages())


def sheet_rows(rows: Iterable[Mapping[str, Any]]) -> list[list[str]]:
    """The cells of the list as its shop wrote them."""
    return [
        [
            row["part"],
            row.get("item") or "chain",
            f"{row['size_in']} in" if row["size_in"] else "",
            str(row["grade"]),
            number_text(row["lb"]),
        ]
        for row in rows
    ]


def report_of(
    rows: Iterable[Mapping[str, Any]] = ROWS, *, file: str = "shop.csv", sheet: str | None = None
) -> Report:
    """Check a list; its first item stands in row 2."""
    rows = list(rows)
    frame = pl.DataFrame(sheet_rows(rows), schema=dict.fromkeys(HEADINGS, pl.String), orient="row")
    (layout,) = layouts_of_sheet(sheet_from_frame(frame, name=file))
    pound = factor("lb", "kg")
    items = items_frame(
        {
            "row": row.get("row", n), "sheet": sheet, "part": row["part"], "supplier": row.get("supplier"),
            "item": row.get("item") or f"{row['part']} chain", "kind": row.get("kind", "chain"),
            "size_mm": row["size_mm"], "size_in": row["size_in"], "grade": row["grade"], "legs": row.get("legs"),
            "wll_kg": row["lb"] * pound, "wll_value": float(row["lb"]), "wll_unit": "lb",
            "wll_step_kg": 10 * pound, "wll_text": f"{number_text(row['lb'])} lb", "wll_column": "WLL (lb)",
        }
        for n, row in enumerate(rows, start=2)
    )  # fmt: skip
    listed = distinct_items(items)
    return conclude(
        listed.distinct,
        RowsInMemory(rows=listed.rows),
        rating_basis(ListOptions()),
        layouts=(layout,),
        file=file,
    )


def long_list(rows: int, wrong: int) -> list[dict[str, Any]]:
    """A long list of right rows with some wrong ones of many causes spread over it."""
    chain = _reference().filter(
        (pl.col("kind") == "chain")
        & (pl.col("unit") == "lb")
        & (pl.col("scheme") == "us-chain")
        & (pl.col("known_by") != "recalled")
    )
    rated = chain.select("size_mm", "grade", "value").rows()
    names = dict(
        built_in_packages()["chain"]["ratings"]
        .filter(pl.col("size_in") != "")
        .select("size_mm", "size_in")
        .rows()
    )
    chance = random.Random(4)
    bad = set(chance.sample(range(rows), wrong))
    made = []
    for n in range(rows):
        size, grade, load = rated[chance.randrange(len(rated))]
        if n in bad:
            load = round(
                load * chance.choice([4, 2, 10, 1.37, 0.4536, 0.73, 1.9, 0.1, 3.3])
                + chance.randrange(1, 90)
            )
        made.append({"part": f"P{n:06d}", "size_in": names[size], "size_mm": size, "grade": grade, "lb": load,
                     "item": f"P{n:06d} chain of the long list, bright, in a drum"})  # fmt: skip
    return made
