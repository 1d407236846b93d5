"""The packages in other forms hold the same ratings.

49 CFR 393.108 prints 7,100 lb and 3,200 kg for 3/8 in (10 mm) grade 80 chain.
"""

from __future__ import annotations

import csv
import json
import sqlite3
from pathlib import Path

import openpyxl
import polars as pl
import pytest

import tallyhook
from tallyhook.errors import PackageError


def law(rows: list[dict[str, object]]) -> list[tuple[float, float]]:
    return [
        (float(str(r["wll_lb"])), float(str(r["wll_kg"])))
        for r in rows
        if (r["scheme"], int(float(str(r["grade"]))), float(str(r["size_mm"])))
        == ("us-tiedown", 80, 10.0)
    ]


def read(path: Path) -> list[dict[str, object]]:
    if path.suffix == ".csv":
        with path.open(newline="", encoding="utf-8") as lines:
            return list(csv.DictReader(lines))
    if path.suffix == ".json":
        return json.loads(path.read_text(encoding="utf-8"))
    if path.suffix == ".parquet":
        return pl.read_parquet(path).to_dicts()
    if path.suffix == ".sqlite":
        base = sqlite3.connect(path)
        base.row_factory = sqlite3.Row
        return [dict(row) for row in base.execute("SELECT * FROM chain_ratings")]
    heading, *rows = openpyxl.load_workbook(path)["ratings"].values
    return [dict(zip(heading, row, strict=True)) for row in rows]


@pytest.mark.parametrize("format", ["csv", "json", "parquet", "sqlite", "xlsx"])
def test_the_laws_rating_survives_in_every_form(format: str, tmp_path: Path) -> None:
    written = tallyhook.export(tmp_path / "out", format=format, packages=["chain"])
    path = next(p for p in written if p.stem in ("chain.ratings", "chain", "tallyhook"))
    assert law(read(path)) == [(7100.0, 3200.0)]


@pytest.mark.parametrize(("format", "packages"), [("pdf", []), ("csv", ["ropes"])])
def test_an_unknown_form_or_package_is_refused(
    format: str, packages: list[str], tmp_path: Path
) -> None:
    with pytest.raises(PackageError, match="there is no"):
        tallyhook.export(tmp_path, format=format, packages=packages)
    assert list(tmp_path.iterdir()) == []
