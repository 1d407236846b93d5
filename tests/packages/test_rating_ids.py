"""The names of ratings, made from the key of the trade and from nothing else."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from package_folders import describe, make_package
from tallyhook.errors import PackageError
from tallyhook.packages.descriptors import check_descriptor
from tallyhook.packages.package import load_package
from tallyhook.packages.rating_ids import forgotten_ids, made_id
from tallyhook.packages.seal import rederive

TYPES = {"size_mm": "number", "grade": "integer", "cradle": "boolean"}


def with_names(folder: Path, template: str = "load/{grade}/{size_mm}mm") -> Path:
    """Give the loads of a tiny package a column of names that are not written yet."""
    make_package(folder)
    path = folder / "datapackage.json"
    descriptor = json.loads(path.read_text(encoding="utf-8"))
    schema = descriptor["resources"][0]["schema"]
    schema["fields"].insert(0, {"name": "rating_id", "type": "string"})
    schema["ratingId"] = template
    path.write_text(json.dumps(descriptor), encoding="utf-8")
    loads = folder / "data" / "loads.csv"
    heading, *rows = loads.read_text(encoding="utf-8").splitlines()
    lines = [f"rating_id,{heading}", *(f",{row}" for row in rows)]
    loads.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return folder


# the two names that issue 13 gives, and the grammar of the module
@pytest.mark.parametrize(
    ("template", "cells", "name"),
    [
        pytest.param("chain/{scheme}/{grade}/{size_mm}mm", {"scheme": "us-chain", "grade": "80", "size_mm": "10"}, "chain/us-chain/80/10mm", id="chain"),
        pytest.param("grab-hook/{scheme}/{grade}/{size_mm}mm/{cradle}/{deduction}", {"scheme": "european", "grade": "80", "size_mm": "10.0", "cradle": "false", "deduction": "no-cradle-20"}, "grab-hook/european/80/10mm/no-cradle/no-cradle-20", id="a no"),
        pytest.param("x/{cradle}", {"cradle": "true"}, "x/cradle", id="a yes"),
        pytest.param("x/{size_mm}mm", {"size_mm": "5.50"}, "x/5.5mm", id="a fraction"),
        pytest.param("x/{size_mm}mm", {"size_mm": "100"}, "x/100mm", id="noughts of the number stay"),
        pytest.param("x/{size_mm}", {"size_mm": "1E2"}, "x/100", id="a number in its one form"),
        pytest.param("x/{size_mm}", {"size_mm": "-40"}, "x/minus-40", id="below zero"),
        pytest.param("x/{size_in}in", {"size_in": "1-1/4"}, "x/1-1-4in", id="inches"),
        pytest.param("x/{type}", {"type": "I"}, "x/i", id="lower case"),
        pytest.param("x[/{grade}]/{size_mm}", {"grade": "", "size_mm": "7"}, "x/7", id="an empty part in brackets"),
        pytest.param("x[/{grade}]/{size_mm}", {"grade": "80", "size_mm": "7"}, "x/80/7", id="a part in brackets"),
        pytest.param("x/{grade}", {"grade": ""}, None, id="an empty part that is needed"),
        pytest.param("x/{type}", {"type": "???"}, None, id="nothing that can stand in a name"),
    ],
)  # fmt: skip
def test_a_name_is_made_by_its_template(
    template: str, cells: dict[str, str], name: str | None
) -> None:
    assert made_id(template, cells, TYPES) == name


def test_deriving_writes_the_names(tmp_path: Path) -> None:
    folder = with_names(tmp_path / "demo")
    assert rederive(folder) == [folder / "data" / "loads.csv"]
    names = load_package(folder)["loads"]["rating_id"].to_list()
    assert names == ["load/80/10mm", "load/80/13mm"]
    assert rederive(folder) == []


def test_a_row_that_no_name_can_be_made_of_is_refused(tmp_path: Path) -> None:
    folder = with_names(tmp_path / "demo")
    loads = folder / "data" / "loads.csv"
    text = loads.read_text(encoding="utf-8")
    loads.write_text(text.replace("13,80,", "13,,"), encoding="utf-8")
    with pytest.raises(PackageError, match=r"line 3: a column of the template"):
        rederive(folder)


@pytest.mark.parametrize(
    ("template", "fault"),
    [
        pytest.param("load/{locator}", "takes locator, which is not of its primary key", id="prose"),
        pytest.param("load/{Size}", "takes Size, which is not of its primary key", id="no column"),
        pytest.param("Load/{grade}", "ratingId", id="upper case"),
        pytest.param("load/{grade", "ratingId", id="half a place"),
        pytest.param("load[/{grade}", "ratingId", id="half a bracket"),
    ],
)  # fmt: skip
def test_a_template_takes_columns_of_the_key(tmp_path: Path, template: str, fault: str) -> None:
    folder = with_names(tmp_path / "demo", template)
    with pytest.raises(PackageError, match=fault):
        load_package(folder)


def test_a_template_needs_the_column_that_it_fills(tmp_path: Path) -> None:
    folder = make_package(tmp_path / "demo")
    descriptor = json.loads((folder / "datapackage.json").read_text(encoding="utf-8"))
    descriptor["resources"][0]["schema"]["ratingId"] = "load/{grade}/{size_mm}mm"
    describe(folder, resources=descriptor["resources"])
    with pytest.raises(PackageError, match="ratingId of loads names the column rating_id"):
        load_package(folder)


@pytest.mark.parametrize(
    ("property", "value", "sound"),
    [
        ("permissive", "up", True),
        ("permissive", "neither", True),
        ("permissive", "upwards", False),
        ("permissive", {"column": "a", "up": ["at-most"]}, True),
        ("permissive", {"column": "b", "up": ["at-most"]}, False),
        ("permissive", {"up": ["at-most"]}, False),
        ("enumLabels", {"a": "the first"}, True),
        ("enumLabels", ["a"], False),
    ],
)
def test_what_a_field_may_say(property: str, value: Any, sound: bool) -> None:
    schema = {"fields": [{"name": "a", property: value}]}
    descriptor = {"name": "x", "resources": [{"name": "t", "path": "t.csv", "schema": schema}]}
    if sound:
        check_descriptor(descriptor, "x")
    else:
        with pytest.raises(PackageError, match=property):
            check_descriptor(descriptor, "x")


def state(*tables: tuple[str, str]) -> tuple[dict[str, Any], dict[str, str]]:
    """Write a state of a package down: each table with its names."""
    fields = {"fields": [{"name": "rating_id"}]}
    resources = [{"name": path, "path": path, "schema": fields} for path, _ in tables]
    return {"resources": resources}, {p: "rating_id\n" + ids for p, ids in tables}


def test_a_name_that_goes_is_forgotten_unless_it_is_retired() -> None:
    before = state(("data/a.csv", "a/1\na/2\n"), ("retired.csv", "a/0\n"))
    assert forgotten_ids(before, before) == []
    assert (
        forgotten_ids(before, state(("data/a.csv", "a/1\n"), ("retired.csv", "a/0\na/2\n"))) == []
    )
    assert forgotten_ids(before, state(("data/a.csv", "a/1\na/2\n"), ("retired.csv", ""))) == [
        "a/0"
    ]
    assert forgotten_ids(before, state(("data/a.csv", "a/1\n"), ("retired.csv", "a/0\n"))) == [
        "a/2"
    ]
    # a name may move to another table of the package
    assert forgotten_ids(before, state(("data/b.csv", "a/0\na/1\na/2\n"))) == []
