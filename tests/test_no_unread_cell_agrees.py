"""A filled cell that cannot be read is told, and its row agrees with nothing, whatever stands in.

The ratings of every list here are those of chain of grade 80 in ASTM A391 (as restated) and of
two-leg slings in EN 818-4; the unreadable cells are those that were found to vanish, and what
spreadsheets, exports and people leave in a cell.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import pandas as pd
import polars as pl
import pytest

import tallyhook
from tallyhook.interpreting.list_items import items_of_layouts, layouts_of
from tallyhook.matching.match import match
from tallyhook.model.options import ListOptions
from tallyhook.reporting.report import Report

CHAIN = {
    "9/32": ("3500", "1570"),
    "5/16": ("4500", "2000"),
    "3/8": ("7100", "3200"),
    "1/2": ("12000", "5400"),
    "5/8": ("18100", "8200"),
    "3/4": ("28300", "12800"),
    "7/8": ("34200", "15500"),
    "1": ("47700", "21600"),
}
"""Size in inches: working load limit in pounds and kilograms, grade 80, ASTM A391."""

GOOD = 16
"""Rows beside the doubtful ones: the columns are what they are by these."""

CELLS = 2
"""Cells that cannot be read in one list: more of them, and their column is not what it is headed."""

LOADS = (
    '="181000', "181O00", "~181000", "#REF!", "#N/A", "$181000", "2x90500", "181000?",
    "181000 or 18100", "5000-18100", "see cert", "18.100.0", "18,100,00", "not 18100", "(18100)", "-18100",
    "ca. 18100", "18100/5", "0", "18100 kN?", "\ufffd", "18100+", "18100/", "*",
)  # fmt: skip
GRADES = (
    "1OO", "C70", "70?", "80 or 70", "not 80", "G80?", "~G80", "not G80", "Grade 80 or better",
    "80/100", "#N/A", "80+", "G80 ?", "see cert", "8O", "G80 G100", "80-ish", ">=80", "***",
)  # fmt: skip
SIZES = (
    "13", "1O", "1/2-", "1/2?", "5-Aug", "2026-08-05", "large", "not 5/8", "~5/8", "5/8~", "5/9", "#REF!",
    "5/8 5/8 5/8", "***", "see drawing", "0.63?", "58",
)  # fmt: skip
FACTORS = ("four", "4?", "~4", "4 or 5", "40", "#N/A", "1:4", "not 4", "***")
OF_SLINGS = {
    "Legs": ("two?", "2?", "not 2", "2 or 4", "~2", "5", "#N/A", "many", "***", "2-leg?"),
    "Angle": (
        "45?",
        "steep",
        "~45",
        "not 45",
        "#N/A",
        "***",
        "45 or 60",
        "200",
        "0-45?",
        "O-45",
        "4S",
    ),
    "Hitch": ("maybe", "#N/A", "***", "see drawing", "straight?"),
}
FLAGS = ("maybe", "yes?", "#N/A", "y/n", "***", "see drawing", "7")
SWIVELS = ("maybe", "#N/A", "***", "see drawing")
UNITS = ("EA", "lb?", "lb or kg", "#N/A", "***", "furlong")

FORMS: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "WLL lb": ("", LOADS),
    "WLL kg": ("", LOADS),
    "Breaking force (kN)": ("", LOADS),
    "Proof force (kN)": ("", LOADS),
    "Grade": ("80", GRADES),
    "Size": ("", SIZES),
    "Design factor": ("4", FACTORS),
    "Latch": ("no", FLAGS),
    "Cradle": ("no", FLAGS),
    "Overhead lifting": ("yes", FLAGS),
    "Swivel": ("no", SWIVELS),
}
"""The heading of each column of a list of chain, what else stands in it, and what cannot be read."""

HEADINGS = ("Item", *FORMS)
SLING = ("Item", "Legs", "Angle", "Hitch", "Size", "Grade", "WLL kg")


def chain_row(place: int, stand_in: str) -> dict[str, str]:
    """A row that agrees; the description says all of it again where that is to stand in."""
    size = list(CHAIN)[place % len(CHAIN)]
    pounds, kilograms = CHAIN[size]
    kn = round(int(pounds) * 4 * 0.00444822)  # the design factor of chain is 4 (ASTM A391)
    words = f"Alloy chain {size} in grade 80 WLL {pounds} lb" if stand_in else "Alloy chain"
    return dict.fromkeys(HEADINGS, "") | {
        "Item": words,
        "Size": size,
        "Grade": "80",
        "WLL lb": pounds,
        "WLL kg": kilograms,
        "Breaking force (kN)": str(kn),
        "Proof force (kN)": str(round(kn / 2)),
        **{heading: cell for heading, (cell, _) in FORMS.items() if cell},
    }


def check(rows: list[dict[str, str]], headings: tuple[str, ...], *, turned: bool) -> Report:
    order = headings[::-1] if turned else headings
    return tallyhook.check(pd.DataFrame(rows, columns=list(order)))


def assert_told(report: Report, bad: Mapping[int, tuple[str, str]]) -> None:
    """Each of these rows is not compared, and its reason shows the cell; the others agree."""
    outcome = report.items.set_index("row")["outcome"].to_dict()
    why = report.not_compared.set_index("row")["why"].to_dict()
    wrong = {row: (bad.get(row), outcome[row]) for row in outcome if (
        outcome[row] != ("not_compared" if row in bad else "agree")
    )}  # fmt: skip
    assert not wrong, wrong
    silent = {row: cell for row, (heading, cell) in bad.items() if cell not in why[row]}
    assert not silent, silent
    misplaced = {
        row: why[row]
        for row, (heading, _) in bad.items()
        if f"what stands under '{heading}' could not be read" not in why[row]
    }
    assert not misplaced, misplaced


def in_parts(cells: Sequence[str]) -> Iterator[Sequence[str]]:
    return (cells[start : start + CELLS] for start in range(0, len(cells), CELLS))


@pytest.mark.parametrize("stand_in", ["", "description"])
@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize(
    ("heading", "cells"),
    [(heading, part) for heading, (_, cells) in FORMS.items() for part in in_parts(cells)],
)
def test_an_unread_cell_of_a_row_of_chain_is_told(
    heading: str, cells: Sequence[str], turned: bool, stand_in: str
) -> None:
    rows = [chain_row(place, stand_in) for place in range(GOOD)]
    bad = {}
    for place, cell in enumerate(cells):
        rows.append(chain_row(place, stand_in) | {heading: cell})
        bad[len(rows) + 1] = (heading, cell)
    report = check(rows, HEADINGS, turned=turned)
    if stand_in or heading not in ("Grade", "Size"):
        assert_told(report, bad)
    else:  # nothing stands in for it: it is missing
        assert set(report.items["row"][report.items["outcome"] != "agree"]) == set(bad)
        assert report.not_compared["why"].str.contains("could be read").all()


SLINGS = {"8": "2800", "10": "4250", "13": "7500", "16": "11200", "20": "17000", "22": "21200"}
"""Size in mm: working load limit in kg of two legs at 0 to 45 degrees, grade 8, EN 818-4."""


def sling_row(place: int) -> dict[str, str]:
    size = list(SLINGS)[place % len(SLINGS)]
    return {
        "Item": f"Two-leg chain sling {size} mm grade 8, 0-45 deg, straight",
        "Legs": "2",
        "Angle": "0-45",
        "Hitch": "straight",
        "Size": f"{size} mm",
        "Grade": "8",
        "WLL kg": SLINGS[size],
    }


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize(
    ("heading", "cell"),
    [(heading, cell) for heading, cells in OF_SLINGS.items() for cell in cells],
)
def test_an_unread_cell_of_a_sling_is_told(heading: str, cell: str, turned: bool) -> None:
    rows = [sling_row(place) | {"Angle": "0-45" if place % 2 else "45"} for place in range(GOOD)]
    rows.append(sling_row(0) | {heading: cell})
    assert_told(check(rows, SLING, turned=turned), {GOOD + 2: (heading, cell)})


@pytest.mark.parametrize("cell", UNITS)
def test_an_unread_unit_is_told(cell: str, reference: pl.DataFrame) -> None:
    # one odd unit may make recognition doubt the column: here the column stays what it is
    headings = ("Item", "Size", "Grade", "WLL", "WLL unit", "WLL kg")
    rows = [chain_row(place, "") | {"WLL unit": "lb"} for place in range(GOOD)]
    for row in rows:
        row["WLL"] = row.pop("WLL lb")
    (layout,) = layouts_of(pd.DataFrame(rows, columns=list(headings)), ListOptions())
    (units,) = (c.column for c in layout.columns if c.heading == "WLL unit")
    odd = pl.when(pl.col("row") == 3).then(pl.lit(cell)).otherwise(units).alias(units)
    matched = match(
        items_of_layouts([replace(layout, body=layout.body.with_columns(odd))]).items(), reference
    )
    told = matched.filter(pl.col("outcome") != "agree").select("row", "outcome", "why", "unread")
    (row, outcome, why, unread) = told.row(0)
    assert told.height == 1
    assert (row, outcome) == (3, "not compared")
    assert why == "what stands under 'WLL unit' could not be read"
    assert f"'{cell}' is no unit of a load" in unread
