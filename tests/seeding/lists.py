"""Long lists in the habits of an invented shop, with mistakes in about one row of a hundred."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path

import polars as pl

from seeding.mistakes import MISTAKES, Tables, outcome
from seeding.shops import SHOPS, Shop, clean_rows, frame
from tallyhook.packages.package import built_in_packages
from tallyhook.packages.reference import reference_ratings

__all__ = ["block", "write_list"]

BLOCK = 100_000
"""Rows written anew; a longer list repeats them with other part numbers."""


def block(shop: Shop, rows: int, seed: int = 1) -> pl.DataFrame:
    """A list of a shop with a mistake in one row of a hundred, as text."""

    reference = reference_ratings(built_in_packages())
    tables = Tables(reference)
    written = clean_rows(shop, reference, rows, seed)
    draw = random.Random(f"{shop.name}/long/{seed}")
    for index in draw.sample(range(rows), rows // 100):
        causes = draw.sample(list(MISTAKES), len(MISTAKES))
        made = (outcome(cause, written[index], shop, tables, draw) for cause in causes)
        value = next((v for v in made if v is not None), None)
        if value is not None:
            written[index] = replace(written[index], written=value)
    return frame(shop, written, seed)


def write_list(path: Path, rows: int, shop: Shop = SHOPS[0], block_rows: int = BLOCK) -> None:
    """Write a list of any length as CSV, and as Parquet when the path says so."""
    base = block(shop, min(rows, block_rows))
    times = -(-rows // base.height)
    whole = pl.concat([base] * times).head(rows)
    number = pl.int_range(pl.len(), dtype=pl.UInt32)
    whole = whole.with_columns(pl.format("P{}", number).alias("Part"))
    if path.suffix == ".parquet":
        whole.write_parquet(path, row_group_size=250_000)
    else:
        whole.write_csv(path)
