"""What a list says does not depend on where its columns stand, nor on a column beside them.

The lists are invented; those of the corpus, and of shops in the seeded lists, are tried in other
orders. The silent defects of a review are tests here, each seen to fail before.
"""

from __future__ import annotations

import csv
import io
import json
import random
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import polars as pl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import tallyhook
from tallyhook.checking import RowsInMemory, conclude, rating_basis
from tallyhook.errors import StockListError
from tallyhook.interpreting.list_items import items_of_layouts
from tallyhook.model.options import ListOptions
from tallyhook.model.sheet import Sheet
from tallyhook.reading.lists import read_list
from tallyhook.recognising.layouts import layouts_of_sheet
from tallyhook.recognising.tables import tables_of_sheet

CORPUS = Path(__file__).parent / "corpus"
LISTS = sorted(CORPUS.glob("*/list.*"))

Found = dict[str, object]


def found_in(sheet: Sheet, order: Sequence[int]) -> Found:
    """Check a sheet: its roles, items and findings, each column by its first place."""
    layouts = layouts_of_sheet(sheet)
    listed = items_of_layouts(layouts)
    report = conclude(
        listed.distinct,
        RowsInMemory(rows=listed.rows),
        rating_basis(ListOptions()),
        layouts=layouts,
        file="list",
    )
    whole = json.loads(report.to_json())
    return {
        "counts": whole["counts"],
        **{name: _sorted(whole[name]) for name in ("items", "findings", "not_compared")},
        "roles": sorted(
            (order[int(c.column[1:])], c.role, str(c.unit), str(sorted(c.gives.items())))
            for layout in layouts
            for c in layout.columns
        ),
    }


def _sorted(records: list[dict[str, object]]) -> list[str]:
    return sorted(json.dumps(record, sort_keys=True) for record in records)


def in_order(sheet: Sheet, order: Sequence[int], first: int) -> Sheet:
    """Move the columns of a sheet from the row `first` on; what stands above is no table."""
    cells = [c for c in sheet.frame.columns if c != "row"]
    place = {old: new for new, old in enumerate(order)}
    below = sheet.frame.filter(pl.col("row") >= first).select(
        "row", *(pl.col(cells[old]).alias(f"c{new}") for new, old in enumerate(order))
    )
    above = sheet.frame.filter(pl.col("row") < first)
    return replace(
        sheet,
        frame=pl.concat([above, below]),
        stored_numbers=frozenset(f"c{place[int(c[1:])]}" for c in sheet.stored_numbers),
        merged=tuple((a, place[c], b, place[d]) for a, c, b, d in sheet.merged if a >= first),
    )


def _plain_sheets(path: Path) -> list[tuple[Sheet, int]]:
    """Give the sheets whose headings have one row each: a group of columns cannot be parted."""
    found = []
    for sheet in read_list(path):
        headings = [t.heading for _, tables in tables_of_sheet(sheet) for t in tables]
        side_by_side = any(len(tables) > 1 for _, tables in tables_of_sheet(sheet))
        if not side_by_side and all(len(h.rows) <= 1 for h in headings):
            found.append((sheet, min(h.first for h in headings)))
    return found


@pytest.mark.parametrize("path", LISTS, ids=lambda p: p.parent.name)
def test_every_order_of_the_columns_of_the_corpus_says_the_same(path: Path) -> None:
    for sheet, first in _plain_sheets(path):
        width = len(sheet.frame.columns) - 1
        plain = list(range(width))
        try:
            expected = found_in(sheet, plain)
        except StockListError:
            continue
        shuffled = [random.Random(n).sample(plain, width) for n in range(3)]
        for order in (plain[::-1], *shuffled):
            assert found_in(in_order(sheet, order, first), order) == expected, order


# ---- a column that says nothing of the goods, at every place

Table = tuple[list[str], list[list[str]]]

# ASME grade 80 and 70 (49 CFR 393.108), EN 818-2 grade 8, EN 818-4
BASES: dict[str, Table] = {
    "american": (
        ["Part", "Description", "Size", "Grade", "WLL (lb)"],
        [
            ["P1", "Alloy chain", "3/8", "80", "7,100"],
            ["P2", "Alloy chain", "1/2", "80", "12,000"],
            ["P3", "Alloy chain", "3/8", "80", "8,800"],
            ["P4", "chain", "3/8", "70", "6,600"],
        ],
    ),
    "units beside": (
        ["Part", "Description", "Size", "Grade", "WLL", "WLL Unit", "MBL (kN)"],
        [
            ["P1", "Chain", "10 mm", "80", "3150", "kg", "126"],
            ["P2", "Chain", "13 mm", "80", "5300", "kg", "212"],
            ["P3", "Chain", "16 mm", "80", "8", "t", "322"],
            ["P4", "Chain", "16 mm", "80", "18", "t", "322"],
        ],
    ),
    "two units": (
        ["Item", "Chain size (in)", "Chain size (mm)", "Grade", "WLL lb", "WLL kg"],
        [
            ["Alloy chain", "3/8", "10", "80", "7100", "3200"],
            ["Alloy chain", "1/2", "13", "80", "12000", "5400"],
            ["Alloy chain", "5/8", "16", "80", "18100", "8200"],
            ["Alloy chain", "5/8", "16", "80", "18100", "18100"],
        ],
    ),
    "german": (
        ["Artikel", "Bezeichnung", "Nenndicke", "Güteklasse", "Tragfähigkeit t"],
        [
            ["P1", "Kette", "10", "8", "3,15"],
            ["P2", "Kette", "13", "8", "5,3"],
            ["P3", "Kette", "16", "8", "80"],
            ["P4", "Kette", "7", "8", "1,5"],
        ],
    ),
    "slings": (
        ["Part", "Description", "Legs", "Angle", "Size", "Grade", "WLL kg"],
        [
            ["S1", "Chain sling", "2", "0-45", "10 mm", "80", "4250"],
            ["S2", "Chain sling", "1", "0", "10 mm", "80", "3150"],
            ["S3", "Chain sling", "2", "45-60", "13 mm", "80", "5300"],
            ["S4", "Chain sling", "2", "45-60", "13 mm", "80", "53000"],
        ],
    ),
}

BASES["two of each"] = (
    [
        *(
            "SKU",
            "Vendor part no",
            "Description",
            "Details",
            "Category",
            "Type",
            "Supplier",
            "Vendor",
        ),
        *("Size", "Grade", "WLL (lb)"),
    ],
    [
        [
            *("A1", "V9", "Grab hook", "clevis, with cradle", "Hooks", "Grab hook", "Acme", ""),
            *("3/8", "80", "7,100"),
        ],
        [
            *("A2", "V8", "Sling hook", "eye, with latch", "Hooks", "Sling hook", "", "Birk"),
            *("1/2", "80", "12,000"),
        ],
        [
            *("", "V7", "Alloy chain", "G80 per foot", "Chain", "Chain", "Acme", "Acme"),
            *("3/8", "80", "8,800"),
        ],
        [
            *("A2", "V5", "Foundry hook", "eye 3/8", "Hooks", "Foundry", "", ""),
            *("5/8", "80", "17,100"),
        ],
    ],
)

UNRELATED: list[tuple[str, list[str]]] = [
    ("Chain grade of sling", ["100", "100", "100", "80"]),
    ("Stock unit", ["EA", "EA", "EA", "EA"]),
    ("Stock unit", ["LB", "LB", "LB", "LB"]),
    ("Unit of sale", ["FT", "EA", "FT", "EA"]),
    ("Unit of sale", ["kg", "kg", "kg", "kg"]),
    ("Verkaufseinheit", ["kg", "kg", "kg", "kg"]),
    ("UOM", ["EA", "FT", "EA", "EA"]),
    ("Paint grade", ["100", "80", "100", "70"]),
    ("Lackgüteklasse", ["100", "80", "100", "70"]),
    ("Quality class", ["100", "A", "B", "100"]),
    ("Quality class", ["1", "2", "1", "1"]),
    ("Zonk grade", ["100", "100", "80", "100"]),
    ("Zonk grade", ["A", "B", "A", "A"]),
    ("Duty class", ["M3", "M4", "M3", "M5"]),
    ("Crane capacity (t)", ["5", "10", "5", "10"]),
    ("Krantragfähigkeit (t)", ["5", "10", "5", "10"]),
    ("Shelf load limit (kg)", ["500", "800", "500", "900"]),
    ("Previous WLL (lb)", ["7000", "11000", "6600", "18000"]),
    ("Ancienne CMU (kg)", ["3000", "5000", "6600", "8000"]),
    ("CMU anterior (kg)", ["3000", "5000", "6600", "8000"]),
    ("Bolt size", ["3/8", "1/2", "5/8", "3/4"]),
    ("Tag size", ["50x30 mm", "50x30 mm", "50x30 mm", "50x30 mm"]),
    ("Legs of stand", ["4", "4", "4", "4"]),
    ("Angle of repose", ["30", "30", "30", "30"]),
    ("Weight (lb)", ["1.4", "2.2", "1.4", "5"]),
    ("Price", ["12.40", "15.10", "21.90", "7,100"]),
    ("Qty", ["12", "40", "7", "3"]),
    ("Date", ["2024-01-05", "2024-01-05", "2023-12-24", "2024-01-05"]),
    ("Bin", ["A1", "B2", "C3", "D4"]),
    ("Remarks", ["see note", "ok", "", "old stock"]),
    ("Length (ft)", ["5", "10", "20", "5"]),
    ("", ["x", "y", "z", "x"]),
]


def checked(heads: Sequence[str], rows: Sequence[Sequence[str]], folder: Path) -> Found:
    """Check a table as a file of CSV; what the added column is called is left out."""
    text = io.StringIO()
    csv.writer(text).writerows([heads, *rows])
    path = folder / "list.csv"
    path.write_text(text.getvalue(), encoding="utf-8")
    whole = json.loads(tallyhook.check(path).to_json())
    for record in (*whole["findings"], *whole["not_compared"]):
        record.pop("item", None)  # of several descriptions, in the order that they stand in
    return {
        "counts": whole["counts"],
        **{name: _sorted(whole[name]) for name in ("items", "findings", "not_compared")},
    }


@pytest.mark.parametrize("name", BASES)
def test_an_unrelated_column_at_any_place_changes_nothing(name: str, tmp_path: Path) -> None:
    heads, rows = BASES[name]
    expected = checked(heads, rows, tmp_path)
    for number, (heading, cells) in enumerate(UNRELATED):
        at = number % (len(heads) + 1)  # hypothesis tries the others
        more = [*heads[:at], heading, *heads[at:]]
        wider = [[*row[:at], cells[i], *row[at:]] for i, row in enumerate(rows)]
        assert checked(more, wider, tmp_path) == expected, (heading, cells, at)


@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    name=st.sampled_from(sorted(BASES)),
    more=st.lists(st.sampled_from(UNRELATED), max_size=3, unique_by=lambda c: c[0]),
    order=st.randoms(use_true_random=False),
)
def test_any_order_with_any_unrelated_columns_says_the_same(
    name: str, more: list[tuple[str, list[str]]], order: random.Random, tmp_path: Path
) -> None:
    heads, rows = BASES[name]
    columns = [(h, [row[i] for row in rows]) for i, h in enumerate(heads)] + more
    order.shuffle(columns)
    moved = [[cells[i] for _, cells in columns] for i in range(len(rows))]
    expected = checked(heads, rows, tmp_path)
    assert checked([h for h, _ in columns], moved, tmp_path) == expected


# ---- what was silent


@pytest.mark.parametrize("heading", ["Chain grade of sling", "Paint grade", "Quality class"])
@pytest.mark.parametrize("at", [0, 3, 4])
def test_a_grade_of_something_else_hides_no_danger(heading: str, at: int, tmp_path: Path) -> None:
    heads, row = ["Item", "Size", "WLL (lb)", "Grade"], ["chain", "3/8", "8,800", "80"]
    path = tmp_path / "list.csv"
    lines = [[*heads[:at], heading, *heads[at:]], [*row[:at], "100", *row[at:]]]
    path.write_text("\n".join(",".join(f'"{c}"' for c in line) for line in lines), "utf-8")
    report = tallyhook.check(path)
    assert list(report.items["outcome"]) == ["contradicted"]
    assert list(report.findings["severity"]) == ["danger"]


@pytest.mark.parametrize("order", [1, -1])
@pytest.mark.parametrize(
    ("columns", "loads"),
    [
        # one row in ten says another grade, or other legs, in the one column than in the other
        ({"Grade": ["80"] * 9 + ["100"], "Chain grade": ["80"] * 10}, ["7100"] * 9 + ["8800"]),
        ({"Legs": ["2"] * 9 + ["1"], "No. of legs": ["2"] * 10}, ["12300"] * 9 + ["7100"]),
        ({"Latch": ["yes"] * 9 + ["no"], "With latch": ["yes"] * 10}, ["7100"] * 10),
    ],
)
def test_two_cells_that_differ_cost_their_row_and_are_both_told(
    columns: dict[str, list[str]], loads: list[str], order: int, tmp_path: Path
) -> None:
    words = "Chain sling, 60° to horizontal" if "Legs" in columns else "Alloy chain"
    words = "Sling hook" if "Latch" in columns else words
    more = dict(list(columns.items())[::order])
    given = {"Item": [words] * 10, "Size": ["3/8"] * 10, **more}
    given = ({"Grade": ["80"] * 10} if "Grade" not in columns else {}) | given
    frame = pl.DataFrame(given | {"WLL (lb)": loads})
    path = tmp_path / "list.csv"
    frame.write_csv(path)
    report = tallyhook.check(path)
    assert list(report.items["outcome"]) == ["agree"] * 9 + ["not_compared"]
    (why,) = report.not_compared["why"]
    assert all(f"under '{heading}'" in why for heading in columns)


@pytest.mark.parametrize(("named", "outcome"), [("C", "agree"), ("D", "contradicted")])
def test_the_advice_on_two_columns_of_one_name_can_be_followed(
    named: str, outcome: str, tmp_path: Path
) -> None:
    path = tmp_path / "list.csv"
    path.write_text("Item,Size,WLL (lb),WLL (lb)\nG80 chain,3/8,7100,8800\n", encoding="utf-8")
    with pytest.raises(StockListError, match=r"in column C and .* in column D.*wll=\"C\""):
        tallyhook.check(path)
    with pytest.raises(StockListError, match=r"C and D are all headed 'WLL \(lb\)'.*wll=\"C\""):
        tallyhook.check(path, columns={"wll": "WLL (lb)"})
    report = tallyhook.check(path, columns={"wll": named})
    assert list(report.items["outcome"]) == [outcome]
