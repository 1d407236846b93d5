"""What the views of the audit hold: foreign keys, as Table Schema (version 2) writes them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from package_folders import DOCUMENTS, edit, make_package
from tallyhook.auditing.audit import audit
from tallyhook.auditing.views import references, targets
from tallyhook.packages.package import built_in_packages, load_package


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return make_package(tmp_path / "demo")


def keyed(folder: Path, **key: Any) -> Path:
    """Give the loads a foreign key, and their source no ``refersTo``."""
    file = folder / "datapackage.json"
    descriptor = json.loads(file.read_text(encoding="utf-8"))
    schema = descriptor["resources"][0]["schema"]
    schema["fields"][4].pop("refersTo", None)
    schema["foreignKeys"] = [key]
    file.write_text(json.dumps(descriptor), encoding="utf-8")
    return folder


def lost(folder: Path) -> list[tuple[Any, ...]]:
    report = audit(built_in_packages(), only="demo", extra=[folder])
    found = report.findings[report.findings["rule"] == "reference-leads-nowhere"]
    return list(found[["row", "column", "observed"]].itertuples(index=False, name=None))


def test_a_foreign_key_that_leads_nowhere_is_told(folder: Path) -> None:
    keyed(folder, fields="source", reference={"resource": "documents", "fields": "source"})
    assert lost(folder) == []
    edit(folder, "the-law,row 2", "the-lawe,row 2")
    assert lost(folder) == [(3, "source", "the-lawe")]


def test_a_key_of_several_columns_holds_together(folder: Path) -> None:
    columns = ["size_mm", "grade"]
    keyed(folder, fields=columns, reference={"resource": "loads", "fields": ["wll_kg", "wll_lb"]})
    edit(folder, "10,80,3200,7100", "10,80,10.0,80")
    # 10 and 10.0 are one number
    assert lost(folder) == [(3, "size_mm, grade", "13/80")]


def test_a_key_within_a_table_and_a_missing_value(folder: Path) -> None:
    # "resource" may be left out where a table refers to itself; NULL refers to nothing
    keyed(folder, fields=["wll_lb"], reference={"fields": ["wll_kg"]})
    edit(folder, "7100", "5400")
    edit(folder, "12000", "")
    assert lost(folder) == []


def test_a_key_and_refers_to_of_one_column_are_one(folder: Path) -> None:
    package = load_package(
        keyed(folder, fields=["source"], reference={"resource": "documents", "fields": ["source"]})
    )
    seen = references({"demo": package})
    assert seen["refers_to"].tolist() == ["demo.documents.source"] * 2
    assert DOCUMENTS.splitlines()[1].startswith("the-law,")
    assert targets({"demo": package})["value"].tolist() == ["the-law"]


def test_a_column_may_be_called_as_it_likes(folder: Path) -> None:
    name = "source, or who knows. It"
    keyed(folder, fields=["source"], reference={"resource": "documents", "fields": [name]})
    edit(folder, "source,title", f'"{name}",title', "data/documents.csv")
    file = folder / "datapackage.json"
    descriptor = json.loads(file.read_text(encoding="utf-8"))
    descriptor["resources"][1]["schema"]["fields"][0]["name"] = name
    descriptor["resources"][1]["schema"]["primaryKey"] = name
    file.write_text(json.dumps(descriptor), encoding="utf-8")
    assert lost(folder) == []
    edit(folder, "the-law,row 1", "a-law,row 1")
    assert lost(folder) == [(2, "source", "a-law")]
