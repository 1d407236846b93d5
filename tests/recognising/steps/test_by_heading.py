"""A heading gives its column a role; cells that are something else take it back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from column_evidence import GRADES, LOADS, NUMBERS, SIZES, WORDS, Evidence
from tallyhook.recognising.cells import describe_cells
from tallyhook.recognising.headings import Reading
from tallyhook.recognising.steps.by_heading import by_heading, fitting


@pytest.mark.parametrize(
    ("heading", "cells", "role", "unit", "why"),
    [
        ("WLL (kg)", NUMBERS, "wll", "kg", "headed 'wll'"),
        ("WLL", LOADS, "wll", None, "headed 'wll'"),
        ("WLL (lb/kg)", NUMBERS, "wll", None, "headed 'wll', in two units"),
        ("WLL (mm)", NUMBERS, "ignore", None, "headed in mm, which is no unit of load"),
        ("WLL", WORDS, "ignore", None, "headed as a load but its cells are not loads"),
        ("Breaking load (kN)", ("112", "212"), "breaking", "kN", "headed 'breaking load'"),
        ("Size (mm)", ("8", "10"), "size", "mm", "headed 'size'"),
        ("Size", LOADS, "ignore", None, "headed as a size but its cells are loads"),
        ("Size", NUMBERS, "ignore", None, "headed as a size but its numbers are too large for one"),
        ("Size", ("red", "blue"), "ignore", None, "headed as a size but its cells are not sizes"),
        ("Size (kg)", ("8", "10"), "ignore", None, "headed as a size in kg, which is no unit of length"),
        ("Grade", GRADES, "grade", None, "headed 'grade'"),
        ("Grade", ("red", "blue"), "grade", None, "headed 'grade'"),  # words that are none yet
        ("Grade", LOADS, "ignore", None, "headed as a grade but its cells are other numbers"),
        ("Grade", NUMBERS, "ignore", None, "headed as a grade but its cells are other numbers"),
        ("Legs", ("1", "2", "4"), "legs", None, "headed 'legs'"),
        ("Legs", ("12", "20", "40"), "ignore", None, "headed as a number of legs but its numbers are others"),
        ("Angle", ("45°", "60°"), "angle", None, "headed 'angle'"),
        ("Angle", ("red", "blue"), "ignore", None, "headed as an angle but its cells are not angles"),
        ("Safety factor", ("4:1", "5:1"), "design_factor", None, "headed 'safety factor'"),
        ("Safety factor", ("red", "blue"), "ignore", None, "headed as a design factor but its cells are not factors"),
        ("Unit", ("kg", "lb"), "unit", None, "headed 'unit'"),
        ("Unit", ("red", "blue"), "ignore", None, "headed as a unit but its cells are not units"),
        ("Latch", ("yes", "no"), "latch", None, "headed 'latch'"),
        ("Latch", NUMBERS, "ignore", None, "headed as latch but its cells are numbers"),
        ("Description", WORDS, "description", None, "headed 'description'"),
        ("Description", ("4711", "4712"), "part", None, "headed as description but its cells are numbers"),
        ("Material", ("4711", "4712"), "ignore", None, "headed as material but its cells are numbers"),
        ("Price", ("12.50", "17.50"), "ignore", None, "headed as a price"),
        ("Order qty", ("1", "2"), "ignore", None, "headed as a quantity"),
        ("Lashing capacity", NUMBERS, "ignore", None, "headed as a lashing"),
        ("WLL", ("", "-"), "ignore", None, "it holds nothing"),
    ],
)  # fmt: skip
def test_one_heading(
    heading: str, cells: Sequence[str], role: str, unit: str | None, why: str
) -> None:
    given = Evidence((heading, cells))
    (column,) = by_heading(given.columns, given.table)
    assert (column.role, column.unit, column.why) == (role, unit, why)


def test_what_no_heading_settles_is_left_to_later_steps() -> None:
    given = Evidence(("Wibble", NUMBERS), ("Load (kg)", NUMBERS), ("", SIZES))
    assert by_heading(given.columns, given.table) == given.columns


@pytest.mark.parametrize(
    ("cells", "role"),
    [
        (("G80", "Grade 100"), "grade"),
        (("G80", "G100"), None),  # grades, or codes of parts
        (("80", "100"), "grade"),
        (("8", "10", "13"), "size"),  # 8 and 10 can be grades, but no grade is 13
        (("C-70-38", "C-80-12"), "part"),
        (("10234", "10235"), "part"),
        (("red", "blue"), None),
    ],
)
def test_a_heading_of_several_meanings(cells: Sequence[str], role: str | None) -> None:
    assert fitting({"grade", "size", "part"}, describe_cells(cells)) == role


@pytest.mark.parametrize(
    ("cells", "role"),
    [
        (("grab hook", "chain"), "kind"),
        (("forged grab hook of alloy steel", "long link chain, black"), "description"),
        (("2000", "3150"), None),
    ],
)
def test_a_kind_or_a_description(cells: Sequence[str], role: str | None) -> None:
    assert fitting({"kind"} if role == "kind" else {"description"}, describe_cells(cells)) == role
    assert fitting({"kind", "legs"}, describe_cells(["7", "8", "red hook"])) is None


@pytest.mark.parametrize(
    ("cells", "language", "role", "why"),
    [
        (SIZES, "fr", "size", "headed 'calibre'"),
        (
            ("red", "blue"),
            "fr",
            "ignore",
            "its heading has several meanings and its cells do not settle it",
        ),
        (("4711", "4712"), "en", "part", "headed 'calibre'"),  # as the language has it
    ],
)
def test_languages_differ_about_a_heading(
    cells: Sequence[str], language: str, role: str, why: str
) -> None:
    given = Evidence(("Calibre", cells), language=language)
    reading = Reading(text="Calibre", roles={"en": "part", "de": "size"}, word="calibre")
    columns = (replace(given.columns[0], reading=reading),)
    (column,) = by_heading(columns, given.table)
    assert (column.role, column.why) == (role, why)


def test_the_decision_is_kept_with_its_reason() -> None:
    given = Evidence(("Size", LOADS))
    (column,) = by_heading(given.columns, given.table)
    assert [(d.what, d.why) for d in column.decisions] == [
        ("size", "headed 'size'"),
        ("ignore", "headed as a size but its cells are loads"),
    ]
