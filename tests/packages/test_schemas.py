"""The loading gate: a table that breaks its own Table Schema is not handed out."""

from __future__ import annotations

from pathlib import Path

import pytest

from package_folders import edit, make_package
from tallyhook.errors import PackageError
from tallyhook.packages.package import Package, load_package
from tallyhook.packages.schemas import pandera_schema, typed_table


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return make_package(tmp_path / "demo")


def test_a_sound_table_is_typed_and_indexed_by_its_line(folder: Path) -> None:
    table = typed_table(load_package(folder), "loads")
    assert {c: str(t) for c, t in table.dtypes.items()} == {
        "size_mm": "float64", "grade": "Int64", "wll_kg": "float64", "wll_lb": "float64",
        "source": "str", "locator": "str", "known_by": "str",
    }  # fmt: skip
    assert table.index.tolist() == [2, 3]


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("3200", "-3200", "line 2, column wll_kg: .*'-3200.0'.*minimum 0"),
        ("row 2,published", "row 2,guessed", "line 3, column known_by: .*'guessed'.*enum"),
        ("13,80", ",80", "line 3, column size_mm"),
        ("13,80", "10,80", "line 2, column size_mm: 4 cells|2 cells"),
    ],
    ids=["below the minimum", "not an allowed word", "a blank key", "a key twice"],
)
def test_what_breaks_the_schema_is_named_with_its_place(
    folder: Path, old: str, new: str, says: str
) -> None:
    edit(folder, old, new)
    with pytest.raises(PackageError, match=says):
        typed_table(load_package(folder), "loads")


def test_a_missing_number_is_no_fault_where_none_is_required(folder: Path) -> None:
    edit(folder, "3200", "")
    assert typed_table(load_package(folder), "loads")["wll_kg"].isna().tolist() == [True, False]


def test_an_unknown_table_is_one_sentence(folder: Path) -> None:
    with pytest.raises(PackageError, match=r"demo: there is no table 'load'; it has documents"):
        typed_table(load_package(folder), "load")


def test_every_table_of_the_built_in_packages_passes(packages: dict[str, Package]) -> None:
    for package in packages.values():
        for name, resource in package.resources.items():
            assert pandera_schema(resource).name == name
            typed_table(package, name)
