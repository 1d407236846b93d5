"""What a person may name as one side of a comparison, and what else is refused in a sentence."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from package_folders import describe, edit, make_package
from tallyhook.errors import PackageError
from tallyhook.packages.package import BUILT_IN, datasets_folder
from tallyhook.packages.sides import packages_of


def test_a_package_its_descriptor_or_a_folder_of_packages(tmp_path: Path) -> None:
    one = make_package(tmp_path / "one")
    describe(make_package(tmp_path / "two"), name="two")
    for named in (one, one / "datapackage.json", str(one), f"{one}/"):
        side = packages_of(named)
        assert (list(side.packages), side.single) == (["demo"], True)
    side = packages_of(tmp_path)
    assert (sorted(side.packages), side.single) == (["demo", "two"], False)


def test_the_packages_of_the_project_are_found(tmp_path: Path) -> None:
    assert set(packages_of(datasets_folder()).packages) >= set(BUILT_IN)
    make_package(tmp_path / "project" / "datasets" / "demo")
    # deeper than the first ones, or hidden: of the tests, of an environment
    make_package(tmp_path / "project" / "tests" / "packages" / "other")
    make_package(tmp_path / "project" / ".venv" / "other")
    assert list(packages_of(tmp_path / "project").packages) == ["demo"]
    assert list(packages_of(tmp_path).packages) == ["demo"]


@pytest.mark.parametrize(
    "named", ["nowhere", "", " ", "n" * 300, "a\0b", "nowhere.zip", "\udcff", "C:\\x"]
)
def test_what_is_not_there_is_refused(named: str, tmp_path: Path) -> None:
    with pytest.raises(PackageError, match="there is no such folder or archive; name the folder"):
        packages_of(named)


def test_what_is_no_package_is_refused(tmp_path: Path) -> None:
    with pytest.raises(PackageError, match=f"{tmp_path}: there is no rating package in it"):
        packages_of(tmp_path)
    path = tmp_path / "pipe"
    os.mkfifo(path)
    with pytest.raises(PackageError, match="pipe: it is neither a folder nor a file"):
        packages_of(path)
    (tmp_path / "demo").mkdir()
    (tmp_path / "demo" / "datapackage.json").write_text("{", encoding="utf-8")
    with pytest.raises(PackageError, match="the descriptor is not JSON"):
        packages_of(tmp_path)


def test_two_packages_of_one_name_are_refused(tmp_path: Path) -> None:
    for name in ("one", "two"):
        make_package(tmp_path / name)
    with pytest.raises(PackageError, match=f"{tmp_path}: two packages in it are named demo"):
        packages_of(tmp_path)


def test_a_broken_table_is_named_with_its_line(tmp_path: Path) -> None:
    edit(make_package(tmp_path / "demo"), "3200", "many")
    with pytest.raises(PackageError, match=r"demo/data/loads\.csv, line 2, column wll_kg: 'many'"):
        packages_of(tmp_path)
