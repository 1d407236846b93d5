"""What differs between two states of a package, and the version step that announces it."""

from __future__ import annotations

from pathlib import Path

import pytest

from package_folders import edit, make_package
from tallyhook.packages.changes import changes, current


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return make_package(tmp_path / "demo")


def test_nothing_differs_from_itself(folder: Path) -> None:
    assert changes(current(folder), current(folder)) == []


def test_a_new_row_is_minor(folder: Path) -> None:
    before = current(folder)
    edit(folder, "13,80", "16,80,8200,18100,the-law,row 3,published\n13,80")
    found = changes(before, current(folder))
    assert [str(c) for c in found] == ["MINOR loads 16/80: row added"]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('"name": "wll_kg", "type": "number", "title": "wll_kg", "example": 1, "unit": "kg"',
         '"name": "wll_kg", "type": "number", "title": "wll_kg", "example": 1, "unit": "t"'),
        ('"primaryKey": ["size_mm", "grade"]', '"primaryKey": ["size_mm"]'),
    ],
    ids=["a unit", "the primary key"],
)  # fmt: skip
def test_a_change_of_meaning_is_major(folder: Path, old: str, new: str) -> None:
    before = current(folder)
    edit(folder, old, new, "datapackage.json")
    assert {c.level for c in changes(before, current(folder))} == {"major"}


def test_the_weightiest_change_stands_first(folder: Path) -> None:
    before = current(folder)
    edit(folder, "13,80,5400", "14,80,5400")  # a key that goes is major, one that comes minor
    edit(folder, "row 1,", "line 1,")
    assert [c.level for c in changes(before, current(folder))] == ["major", "minor", "patch"]
