"""The report in the terminal, where a list holds the same mistake many times."""

from __future__ import annotations

import pandas as pd
import pytest

import tallyhook
from tallyhook.reporting import terminal as rendering
from tallyhook.reporting.terminal import report_text


def listed(*wll: float) -> str:
    """A list of 10 mm chain of grade 80, which EN 818-2 rates at 3.15 t; in kg."""
    count = len(wll)
    frame = pd.DataFrame(
        {
            "Item": ["Chain"] * count,
            "Size (mm)": [10] * count,
            "Grade": [80] * count,
            "WLL (kg)": wll,
        }
    )
    return report_text(tallyhook.check(frame))


def test_rows_that_say_the_same_are_written_once() -> None:
    text = listed(31500, 3150, 31500, 31500, 6300)
    assert text.count("31500 kg; expected") == 1
    assert "rows 2, 4, 5 " in text
    assert "row 6 " in text
    assert "DANGER (4)" in text


def test_the_parts_of_rows_that_say_the_same_are_many_and_told_once() -> None:
    # EN 818-2: 10 mm grade 8 is 3.15 t
    frame = pd.DataFrame(
        {
            "Part": [f"P{n}" for n in range(4)],
            "Description": ["Chain"] * 4,
            "Size": ["10 mm"] * 4,
            "Grade": [80] * 4,
            "WLL (kg)": [31500, 3150, 3150, 31500],
        }
    )
    text = report_text(tallyhook.check(frame))
    assert text.count("31500 kg; expected") == 1 and "rows 2, 5 " in text


def test_what_is_not_written_is_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rendering, "_MOST_SHOWN", 1)
    text = listed(31500, 3150, 31500, 6300, 12600)
    assert "DANGER (4)" in text
    assert "31500 kg; expected" in text  # its two rows are told once
    assert "and 2 more findings" in text
    assert "6300 kg; expected" not in text
