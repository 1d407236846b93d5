"""A date that a spreadsheet made of a fraction is told with the fraction it was typed as.

In America 5/8 is the 8th of May, in Europe the 5th of August (ISO 8601 has the year first).
"""

from __future__ import annotations

import pytest

from tallyhook.texts.dates import date_told


@pytest.mark.parametrize(
    ("cell", "fraction"),
    [
        ("8-May", "5/8"), ("5-Aug", "5/8"), ("05-Aug", "5/8"), ("Aug-05", "5/8"),
        ("5. Aug", "5/8"), ("05-août", "5/8"), ("5-ago", "5/8"), ("8. Mai", "5/8"),
        ("5-Aug-26", "5/8"), ("8 May 2026", "5/8"), ("2026-05-08", "5/8"),
        ("2026-08-05 00:00:00", "5/8"), ("5/8/2026", "5/8"), ("05.08.2026", "5/8"),
        ("2-Jan", "1/2"), ("1-Feb", "1/2"), ("8-Mar", "3/8"), ("3. März", None), ("10-Dec", None),
    ],
)  # fmt: skip
def test_a_date_and_its_fraction(cell: str, fraction: str | None) -> None:
    told = date_told(cell)
    assert told is not None
    assert told.endswith(f"one of {fraction}") if fraction else told.endswith("is a date")


@pytest.mark.parametrize(
    "cell", ["5/8", "1-1/4", "10-8", "May", "8 mm", "8-G80", "3-leg", "2026", "5-Aug?", "12/16/20"]
)
def test_anything_else_is_no_date(cell: str) -> None:
    assert date_told(cell) is None
