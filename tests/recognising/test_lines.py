"""What the lines around a table say of its ratings, and of every row."""

from __future__ import annotations

import pytest

from column_evidence import NUMBERS, SIZES, Evidence
from tallyhook.recognising.lines import said_of_all_rows, unit_around, unit_said


@pytest.mark.parametrize(
    ("line", "unit"),
    [
        ("All ratings in kg.", "kg"),
        ("Working load limits in lb", "lb"),
        ("Alle Angaben in t", "t"),
        ("Tragfähigkeiten in kg", "kg"),
        ("Toutes les charges en kg", "kg"),
        ("Todas las cargas en kg", "kg"),
        ("All values in metric tons", "t"),
        ("All weights in kg", None),
        ("Alle Gewichte in kg", None),
        ("Price per kg", None),
        ("Stock list", None),
        ("All loads go to the yard", None),  # "to" is a word here, and no tonne
    ],
)
def test_the_unit_of_all_ratings(line: str, unit: str | None) -> None:
    assert unit_said(line) == unit


def test_titles_notes_and_the_name_of_the_sheet() -> None:
    columns = (("Size", SIZES), ("WLL", NUMBERS))
    assert unit_around(Evidence(*columns).columns, Evidence(*columns).table) is None
    for more in ({"titles": ["WLL in kg"]}, {"name": "WLL in kg"}):
        given = Evidence(*columns, **more)  # type: ignore[arg-type]
        assert unit_around(given.columns, given.table) == "kg"
    note = Evidence(("Size", [*SIZES, "All ratings in kg."]), ("WLL", [*NUMBERS, ""]))
    assert unit_around(note.columns, note.table) == "kg"
    both = Evidence(*columns, titles=["WLL in kg"], name="WLL in lbs")
    assert unit_around(both.columns, both.table) is None


@pytest.mark.parametrize(
    ("titles", "name", "said"),
    [
        (["Grade 80 chain"], None, "Grade 80 chain"),
        (["Stock list"], "Grade 100", "Grade 100"),
        (["Grade 80 chain"], "Hooks", "Hooks / Grade 80 chain"),
        (["Stock list"], "Tabelle1", None),
        (["Stock list"], "Feuil 2", None),
        (["Grade 80 chain " * 6], None, None),  # a paragraph, not a title
        (["Grade 80 chain", "of", "the", "shop"], None, None),  # too far above the table
    ],
)
def test_what_holds_for_every_row(titles: list[str], name: str | None, said: str | None) -> None:
    given = Evidence(("Size", SIZES), titles=titles, name=name)
    assert said_of_all_rows(given.table) == said
