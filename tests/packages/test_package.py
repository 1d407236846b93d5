"""Loading a rating package: booleans as Table Schema writes them.

The words are those of the Table Schema standard, version 2, type `boolean`: true values `true`,
`True`, `TRUE`, `1`; false values `false`, `False`, `FALSE`, `0`; a field may name others.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from package_folders import make_package
from tallyhook.errors import PackageError
from tallyhook.packages.package import load_package
from tallyhook.packages.schemas import typed_table
from tallyhook.packages.validation import schema_faults


def with_booleans(folder: Path, cells: tuple[str, str], **more: Any) -> Path:
    """Make the package `demo` with a column `lifting` of its two loads."""
    make_package(folder)
    path = folder / "data" / "loads.csv"
    heading, *rows = path.read_text(encoding="utf-8").splitlines()
    lines = [f"{heading},lifting", *(f"{r},{c}" for r, c in zip(rows, cells, strict=True))]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    file = folder / "datapackage.json"
    descriptor = json.loads(file.read_text(encoding="utf-8"))
    fields = descriptor["resources"][0]["schema"]["fields"]
    fields.append({"name": "lifting", "type": "boolean"} | more)
    file.write_text(json.dumps(descriptor), encoding="utf-8")
    return folder


@pytest.mark.parametrize(
    "cells", [("true", "false"), ("True", "False"), ("TRUE", "FALSE"), ("1", "0")], ids="-".join
)
def test_the_words_of_table_schema_are_read_as_booleans(
    tmp_path: Path, cells: tuple[str, str]
) -> None:
    column = load_package(with_booleans(tmp_path, cells))["loads"]["lifting"]
    assert (column.dtype, column.to_list()) == (pl.Boolean, [True, False])


def test_the_words_that_the_field_names_are_read_alone(tmp_path: Path) -> None:
    words = {"trueValues": ["ja"], "falseValues": ["nein"]}
    folder = with_booleans(tmp_path, ("nein", "ja"), **words)
    assert load_package(folder)["loads"]["lifting"].to_list() == [False, True]
    with pytest.raises(PackageError, match="line 2, column lifting: 'true' is not a boolean"):
        load_package(with_booleans(tmp_path, ("true", "ja"), **words))


def test_an_empty_cell_is_neither(tmp_path: Path) -> None:
    package = load_package(with_booleans(tmp_path, ("", "true")))
    assert package["loads"]["lifting"].to_list() == [None, True]
    frame = typed_table(package, "loads")
    assert str(frame["lifting"].dtype) == "boolean"
    assert frame["lifting"].isna().tolist() == [True, False]


def test_another_word_is_refused_and_told_by_the_audit(tmp_path: Path) -> None:
    folder = with_booleans(tmp_path, ("yes", "false"))
    with pytest.raises(PackageError, match="line 2, column lifting: 'yes' is not a boolean"):
        load_package(folder)
    package = load_package(folder, lenient=True)
    assert package["loads"]["lifting"].to_list() == [None, False]
    faults = list(schema_faults(package, package.resources["loads"]))
    assert [(f["row"], f["column"], f["observed"]) for f in faults] == [(2, "lifting", "yes")]


def test_a_required_boolean_may_not_be_missing(tmp_path: Path) -> None:
    folder = with_booleans(tmp_path, ("", "true"), constraints={"required": True})
    with pytest.raises(PackageError, match="line 2, column lifting"):
        typed_table(load_package(folder), "loads")
