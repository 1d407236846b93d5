"""`tallyhook ratings`: the ratings stand side by side, each with its document, nothing left out."""

from __future__ import annotations

import itertools
import re

import polars as pl
import pytest

from tallyhook.packages.package import built_in_packages
from tallyhook.reporting.rating_table import rating_table_text
from tallyhook.wording import CAUTION

# 49 CFR 393.108, table of chain, row 3/8 in grade 80: 3,200 kg (7,100 lb); EN 818-2 table of
# ratings, 10 mm: 3.15 t
ROWS = pl.DataFrame(
    {
        "rating_id": ["chain/european/80/10mm", "chain/us-tiedown/80/10mm"],
        "scheme": ["european", "us-tiedown"],
        "grade": [80, 80],
        "size_in": ["", "3/8"],
        "wll_kg": [3150.0, 3200.0],
        "wll_lb": [None, 7100.0],
        "marked": [True, None],
        "source": ["en-818-2", "49-cfr-393-108"],
        "locator": ["table of ratings", "table of chain"],
        "known_by": ["restated", "published"],
        "note": ["", "for tie-downs"],
        "never_filled": ["", ""],
    }
)

TABLES = [
    pytest.param(package.name, resource.name, id=f"{package.name}-{resource.name}")
    for package in built_in_packages().values()
    for resource in package.canonical
    if package[resource.name].height
]


def test_ratings_stand_side_by_side_with_their_documents_below() -> None:
    lines = rating_table_text(ROWS, width=80).splitlines()
    assert lines[0] == "in every row: grade 80"
    heading, ruled, european, law = lines[2:6]
    assert heading.split() == ["scheme", "size_in", "wll_kg", "wll_lb", "marked", "from"]
    assert set(ruled) == {"-"}
    assert european.split() == ["european", "3,150", "true", "1"]
    assert law.split() == ["us-tiedown", "3/8", "3,200", "7,100", "2,", "a"]
    assert heading.index("wll_lb") + len("wll_lb") == law.index("7,100") + len("7,100")
    assert "1  en-818-2; table of ratings; restated" in lines
    assert "2  49-cfr-393-108; table of chain; published" in lines
    assert "a  for tie-downs" in lines


def test_a_single_row_keeps_all_its_columns() -> None:
    text = rating_table_text(ROWS.head(1), width=80)
    assert "in every row" not in text
    assert text.splitlines()[0].split() == ["scheme", "grade", "wll_kg", "marked", "from"]


@pytest.mark.parametrize(("package", "table"), TABLES)
def test_every_value_of_every_table_is_shown_in_every_width(package: str, table: str) -> None:
    rows = built_in_packages()[package][table]
    for width in (40, 80, 200):
        text = rating_table_text(rows, width=width)
        assert all(len(line) <= width for line in text.splitlines())
        joined = re.sub(r"\s", "", text)
        assert re.sub(r"\s", "", CAUTION) in joined
        for column, value in itertools.product(rows.columns, [0, rows.height - 1]):
            cell = rows[column][value]
            if column != "rating_id" and isinstance(cell, str) and 0 < len(cell) < 30:
                words = cell.split()
                assert all(word in joined for word in words), (column, cell)
                # a word is cut only where it is longer than the line
                assert all(word in text.replace("\n", " ") for word in words), (column, cell)
        numbers = [rows[c][0] for c in rows.columns if rows.schema[c] == pl.Float64]
        assert all(f"{n:,g}"[:6] in joined for n in numbers if n is not None and abs(n) < 1e5)


def test_what_is_known_from_memory_says_so() -> None:
    rows = ROWS.with_columns(known_by=pl.Series(["recalled", "published"]))
    assert "1  en-818-2; table of ratings; recalled" in rating_table_text(rows, width=80)
