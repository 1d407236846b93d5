"""One odd cell costs one row: what stands in the others is compared as it was without it.

The lists are invented. The silent defects of a review are tests here, each seen to fail before.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

import tallyhook
import tallyhook.reading.batches as reading_batches
from checked_lists import checked_lines

# ASME grade 80 and EN 818-2 grade 8 (chain/us-chain/80, chain/european/80)
POUNDS = (("9/32", "3500"), ("3/8", "7100"), ("1/2", "12000"), ("5/8", "18100"), ("3/4", "28300"))
TONNES = (("8", "2,0"), ("10", "3,15"), ("13", "5,3"), ("16", "8,0"), ("7", "1,5"))

Cells = Callable[[int], list[str]]

LISTS: dict[str, tuple[list[str], Cells]] = {
    "pounds by a unit column": (
        ["Part", "Description", "Size", "Grade", "WLL", "WLL Unit", "Breaking (lb)", "Legs"],
        lambda i: [
            *(f"P{i}", "Alloy chain", POUNDS[i % 5][0], "80", POUNDS[i % 5][1], "LB"),
            *(str(4 * int(POUNDS[i % 5][1])), ""),
        ],
    ),
    "pounds in the heading": (
        ["Part", "Description", "Size", "Grade", "WLL (lb)"],
        lambda i: [
            *(f"P{i}", "Alloy chain", POUNDS[i % 5][0], "80"),
            f"{int(POUNDS[i % 5][1]):,}",
        ],
    ),
    "pounds in the cells": (
        ["Part", "Description", "Size", "Grade", "WLL"],
        lambda i: [
            *(f"P{i}", "Alloy chain", POUNDS[i % 5][0] + " in", "80"),
            f"{int(POUNDS[i % 5][1]):,} lb",
        ],
    ),
    "tonnes with a decimal comma": (
        ["Artikel", "Bezeichnung", "Nenndicke", "Güteklasse", "Tragfähigkeit t"],
        lambda i: [f"P{i}", "Kette", TONNES[i % 5][0], "8", TONNES[i % 5][1]],
    ),
    "few texts": (
        ["Part", "Description", "Size", "Grade", "WLL", "Unit"],
        lambda i: [f"P{i}", "Chain", "10 mm", "80", "3150", "kg"],
    ),
}

ODD = ("3,15 t", "7,100 lb", "31 kN", "2 T", "1.600", "3,15", "10 mm", "3/8 in", "13")
ODD += ("2024-01-05", "EA", "kg", "see note", "G100", "-", "#REF!", "90°")


def _outcomes(folder: Path, heads: list[str], rows: list[list[str]]) -> dict[int, object]:
    quoted = [[f'"{cell.replace(chr(34), chr(34) * 2)}"' for cell in row] for row in (heads, *rows)]
    report = checked_lines(folder, *map(",".join, quoted))
    kept = ["outcome", "wll_kg", "size_mm", "grade", "rating_id"]
    why = dict(zip(report.not_compared["row"], report.not_compared["why"], strict=True))
    items = report.items.astype(object).where(report.items.notna(), None)
    return {
        int(row["row"]): (*(row[k] for k in kept), why.get(row["row"]))
        for row in items.to_dict("records")
    }


def _without(outcomes: dict[int, object], row: int) -> dict[int, object]:
    return {number: outcome for number, outcome in outcomes.items() if number != row}


@pytest.mark.parametrize("name", LISTS)
def test_one_odd_cell_in_five_rows_costs_its_row(name: str, tmp_path: Path) -> None:
    heads, cells = LISTS[name]
    rows = [cells(i) for i in range(5)]
    before = _outcomes(tmp_path, heads, rows)
    assert {outcome[0] for outcome in before.values()} == {"agree"}  # type: ignore[index]
    for column in range(2, len(heads)):
        for odd in ODD:
            changed = [list(row) for row in rows]
            changed[2][column] = odd
            found = _outcomes(tmp_path, heads, changed)
            assert _without(found, 4) == _without(before, 4), (heads[column], odd)


@pytest.mark.parametrize(("count", "batches"), [(50, False), (5000, False), (5000, True)])
@pytest.mark.parametrize("name", ["pounds by a unit column", "tonnes with a decimal comma"])
def test_one_odd_cell_in_many_rows_costs_its_row(
    name: str, count: int, batches: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if batches:
        monkeypatch.setattr(reading_batches, "LONG_FILE", 1)
        monkeypatch.setattr(reading_batches, "BATCH", 333)
    heads, cells = LISTS[name]
    rows = [cells(i) for i in range(count)]
    before = _outcomes(tmp_path, heads, rows)
    odd = ("3,15 t", "3/8 in", "EA", "3.15")
    for column in range(2, len(heads)):
        changed = [list(row) for row in rows]
        changed[count - 3][column] = odd[column % len(odd)]
        found = _outcomes(tmp_path, heads, changed)
        assert _without(found, count - 1) == _without(before, count - 1), heads[column]


@pytest.mark.parametrize("odd", ["ST", "EA"])
def test_a_unit_of_sale_among_97_units_of_load(odd: str, tmp_path: Path) -> None:
    heads, cells = LISTS["pounds by a unit column"]
    rows = [cells(i) for i in range(97)]
    rows[40][5] = odd
    found = _outcomes(tmp_path, heads, rows)
    assert [o[0] for o in _without(found, 42).values()] == ["agree"] * 96  # type: ignore[index]
    assert found[42][0] == "not_compared"  # type: ignore[index]


@pytest.mark.parametrize("odd", ["ST", "EA"])
def test_a_named_column_of_units_holds_with_a_unit_of_sale_in_it(odd: str, tmp_path: Path) -> None:
    lines = ["Part,Description,Size,Grade,WLL,WLL Unit", f"P0,Chain,10 mm,80,3150,{odd}"]
    lines += ["P1,Chain,10 mm,80,3150,kg", f"P2,Chain,10 mm,80,3150,{odd}"]
    path = tmp_path / "list.csv"
    path.write_text("\n".join(lines), encoding="utf-8")
    named = tallyhook.check(path, columns={"unit": "WLL Unit"})
    assert list(named.items["outcome"]) == ["not_compared", "agree", "not_compared"]


def test_five_inch_rows_and_one_in_tonnes_with_a_comma(tmp_path: Path) -> None:
    heads, cells = LISTS["pounds in the heading"]
    rows = [*(cells(i) for i in range(5)), ["P9", "Chain", "10 mm", "80", "3,15 t"]]
    found = _outcomes(tmp_path, heads, rows)
    assert [o[0] for o in found.values()] == ["agree"] * 6  # type: ignore[index]
    assert found[7][1] == 3150.0  # type: ignore[index]
