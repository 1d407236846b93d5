"""A rating package from anywhere is refused in a sentence or audited by every rule; none stops."""

from __future__ import annotations

import gzip
import json
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import polars as pl
import pytest

import tallyhook
from package_folders import describe, edit, make_package
from tallyhook.auditing.audit import AuditReport, audit
from tallyhook.errors import PackageError
from tallyhook.packages.package import built_in_packages, load_package

Change = Callable[[dict[str, Any]], object]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return make_package(tmp_path / "demo")


def changed(folder: Path, change: Change) -> Path:
    """Change the descriptor of a package."""
    path = folder / "datapackage.json"
    descriptor = json.loads(path.read_text(encoding="utf-8"))
    change(descriptor)
    path.write_text(json.dumps(descriptor), encoding="utf-8")
    return folder


def of_loads(**members: Any) -> Change:
    return lambda descriptor: descriptor["resources"][0].update(members)


def of_a_field(**members: Any) -> Change:
    return lambda descriptor: descriptor["resources"][0]["schema"]["fields"][2].update(members)


def audited(folder: Path) -> AuditReport:
    return audit(built_in_packages(), only="demo", extra=[folder])


def told(report: AuditReport) -> list[tuple[Any, ...]]:
    columns = ["rule", "row", "column", "observed"]
    found = report.findings[report.findings["rule"] != "file-is-not-the-sealed-one"]
    return list(found[columns].itertuples(index=False, name=None))


CELL = {"from": "wll_kg", "to": "wll_kg"}


def of_a_key(target: str, *there: str) -> Change:
    """Let the source of the loads be a foreign key."""
    key = {"fields": ["source"], "reference": {"resource": target, "fields": list(there)}}
    return lambda d: d["resources"][0]["schema"].update(foreignKeys=[key])


MALFORMED: dict[str, tuple[Change, str]] = {
    # frictionless stopped on it, and with it the rule cell-breaks-its-schema
    "encoding null": (of_loads(encoding=None), "resources/0/encoding: None"),
    # the rule printed-and-data-disagree stopped on it
    "derives null": (of_loads(derives=None), "resources/0/derives: None"),
    "derives a text": (of_loads(derives=["x"]), "resources/0/derives/0: 'x'"),
    "derives nothing": (of_loads(derives=[{"table": "loads"}]), "'cells' is a required"),
    "derives elsewhere": (
        of_loads(derives=[{"table": "load", "cells": [CELL]}]),
        "loads derives load, and there is no such table",
    ),
    "derives from no column": (
        of_loads(derives=[{"table": "loads", "cells": [CELL | {"known_by": "recaled"}]}]),
        "the derivation of loads names the column recaled",
    ),
    "a foreign key to no table": (
        of_a_key("laws", "source"),
        "a foreign key of loads leads to laws, and there is no such table",
    ),
    "a foreign key to no column": (
        of_a_key("documents", "law"),
        "the foreign key of documents names the column law",
    ),
    "a foreign key to more columns": (
        of_a_key("documents", "source", "title"),
        "a foreign key of loads has not as many columns",
    ),
    "a foreign key to nothing": (of_a_key("documents"), "foreignKeys/0/reference/fields"),
    # columns in another encoding or with another separator would be misread
    "another encoding": (of_loads(encoding="latin-1"), "'latin-1' does not match"),
    "another separator": (of_loads(dialect={"delimiter": ";"}), "',' was expected"),
    "dialect elsewhere": (of_loads(dialect="http://example.invalid/d.json"), "'object'"),
    # the view of targets could not sort them, views of keys had no such column
    "refers to a list": (of_a_field(refersTo=["a"]), "fields/2/refersTo"),
    "key without a column": (
        lambda d: d["resources"][0]["schema"].update(primaryKey=["size"]),
        "the primary key of loads names the column size",
    ),
    "two tables of one name": (
        lambda d: d["resources"].append(d["resources"][0]),
        "two resources are named loads",
    ),
    # a dot parts package and table: the rules looked for a package 'demo' and a table 'v2.loads'
    "a dot in the name": (lambda d: d.update(name="demo.v2"), "name: 'demo.v2'"),
    "no name": (lambda d: d.update(name=7), "name: 7"),
    "version a number": (lambda d: d.update(version=1.0), "version: 1.0"),
    "constraint null": (of_a_field(constraints={"minimum": None}), "constraints/minimum"),
    "constraint elsewhere": (
        of_a_field(constraints={"jsonSchema": {"$ref": "http://example.invalid/s.json"}}),
        "'jsonSchema' was unexpected",
    ),
    "half a character": (of_a_field(title="\ud800"), "half a character"),
    "size a text": (of_loads(bytes="12"), "resources/0/bytes"),
}


@pytest.mark.parametrize("name", MALFORMED)
def test_a_malformed_descriptor_is_refused_in_one_sentence(name: str, folder: Path) -> None:
    change, what = MALFORMED[name]
    changed(folder, change)
    for lenient in (False, True):
        with pytest.raises(PackageError) as refused:
            load_package(folder, lenient=lenient)
        sentence = str(refused.value)
        assert what in sentence
        assert sentence.startswith(str(folder / "datapackage.json"))
        assert "\n" not in sentence


def test_a_refused_member_is_told_in_short(folder: Path) -> None:
    changed(folder, of_loads(encoding=["x" * 100_000]))
    with pytest.raises(PackageError) as refused:
        load_package(folder)
    assert len(str(refused.value)) < 1000


@pytest.mark.parametrize(
    "dialect", [{"delimiter": ",", "header": True, "quoteChar": '"', "lineTerminator": "\r\n"}, {}]
)
def test_the_usual_members_are_let_in(dialect: dict[str, Any], folder: Path) -> None:
    changed(folder, of_loads(dialect=dialect, encoding="UTF-8", sources=[None], extra=7))
    assert load_package(folder)["loads"].height == 2


def test_what_leads_elsewhere_is_not_followed(folder: Path, tmp_path: Path) -> None:
    (tmp_path / "secret.csv").write_text("1,2,3,4,a,b,published\n")
    elsewhere = {"extrapaths": ["../secret.csv"], "profile": "../x.json", "compression": "zip"}
    changed(folder, of_loads(**elsewhere, format="json", scheme="remote"))
    report = audited(folder)
    assert report.complete
    assert told(report) == []


def test_a_schema_that_cannot_be_followed_is_a_finding(folder: Path) -> None:
    changed(folder, of_a_field(type="weight"))
    report = audited(folder)
    assert report.complete
    assert ("cell-breaks-its-schema", 1, "schema", "a schema") in told(report)


@pytest.mark.parametrize("pattern", ["(", "(?<=a)b", "(a{1000}){1000}"])
def test_a_pattern_that_cannot_be_followed_is_a_finding(pattern: str, folder: Path) -> None:
    fields = "resources"
    changed(
        folder,
        lambda d: d[fields][0]["schema"]["fields"][5].update(constraints={"pattern": pattern}),
    )
    report = audited(folder)
    assert report.complete
    assert [f[:3] for f in told(report)] == [("cell-breaks-its-schema", 1, "schema")]


def test_a_slow_pattern_takes_no_time(folder: Path) -> None:
    # Python's engine, and with it frictionless, takes 2^40 steps for this one
    changed(
        folder,
        lambda d: d["resources"][0]["schema"]["fields"][5].update(
            constraints={"pattern": "(a+)+b"}
        ),
    )
    edit(folder, "row 1", "a" * 40 + "!")
    edit(folder, "row 2", "a" * 40 + "b")
    started = time.process_time()
    report = audited(folder)
    assert time.process_time() - started < 20
    assert told(report) == [("cell-breaks-its-schema", 2, "locator", "a" * 40 + "!")]


@pytest.mark.parametrize("where", ["constraints", "patternWhereFilled"])
def test_a_pattern_holds_for_the_whole_cell(where: str, folder: Path) -> None:
    # Table Schema: the pattern matches the whole cell; frictionless takes "a|b" for "^a" or "b$"
    pattern = "row|row \\d"
    said = {"patternWhereFilled": pattern, "constraints": {"pattern": pattern}}
    changed(
        folder,
        lambda d: d["resources"][0]["schema"]["fields"][5].update({where: said[where]}),
    )
    edit(folder, "row 2", "row 2 or not")
    assert told(audited(folder)) == [("cell-breaks-its-schema", 3, "locator", "row 2 or not")]


@pytest.mark.parametrize("cell", ["NaN", "INF", "-INF", "1e400"])
def test_a_number_that_is_not_finite_is_no_rating(cell: str, folder: Path) -> None:
    edit(folder, "13,80,5400", f"13,80,{cell}")
    with pytest.raises(PackageError, match=f"'{cell}' is not a number"):
        load_package(folder)
    report = audited(folder)
    assert report.complete
    assert ("cell-breaks-its-schema", 3, "wll_kg", cell) in told(report)


def printed(folder: Path, cells: str, **cell: Any) -> Path:
    """Give the package a printed table that its loads derive from."""
    (folder / "printed").mkdir()
    (folder / "printed" / "law.csv").write_text(f"size,load\n{cells}\n", encoding="utf-8")
    derivation = {
        "table": "loads",
        "rows": {"size_mm": "size"},
        "constants": {"grade": "80"},
        "cells": [{"from": "load", "to": "wll_kg"} | cell],
    }
    names = [{"name": "size", "type": "string"}, {"name": "load", "type": "string"}]
    law = {"name": "law", "path": "printed/law.csv", "schema": {"fields": names}}
    return changed(folder, lambda d: d["resources"].append(law | {"derives": [derivation]}))


@pytest.mark.parametrize(
    ("cells", "scale", "reason"),
    [
        ("10,3200\n10,3300", 1, "two printed cells give wll_kg of 10/80 as 3200 and 3300"),
        ("10,3.2 t", 1000, "'3.2 t' times 1000 is not a number"),
        ("10,1e999999", 10, "'1e999999' times 10 is not a number"),
        ("10,3.2", "x", "'3.2' times x is not a number"),
    ],
)
def test_a_table_that_cannot_be_derived_is_a_finding(
    cells: str, scale: object, reason: str, folder: Path
) -> None:
    report = audited(printed(folder, cells, scale=scale))
    assert report.complete
    assert ("printed-and-data-disagree", 1, "derives", reason) in told(report)


def test_a_column_may_have_any_name(folder: Path) -> None:
    # the views numbered the rows in a column of this name
    for name in ("row", "key", "column", "table", "value"):
        changed(
            folder,
            lambda d, name=name: d["resources"][1]["schema"]["fields"][1].update(name=name),
        )
        text = (folder / "data" / "documents.csv").read_text(encoding="utf-8")
        head, rest = text.split("\n", 1)
        head = head.split(",")[0] + f",{name}"
        (folder / "data" / "documents.csv").write_text(f"{head}\n{rest}", encoding="utf-8")
        report = audited(folder)
        assert report.complete
        assert told(report) == []


def test_a_changelog_may_hold_any_bytes(folder: Path) -> None:
    (folder / "CHANGELOG.md").write_bytes(
        b"# \xff\n\n## 1.0.0 - 2026\n\n## " + b"9" * 5000 + b".0.0"
    )
    report = audited(folder)
    assert report.complete
    assert told(report) == []


def test_two_oddities_for_one_finding_excuse_it_once(tmp_path: Path) -> None:
    rule = "pounds-and-kilograms-do-not-convert"
    entry = f"{rule},loads,10/80,wll_kg,2000,The law prints it so.,the-law\n"
    folder = make_package(tmp_path / "demo", oddities=entry * 2)
    edit(folder, "3200", "2000")
    report = audited(folder)
    assert report.complete
    assert list(report.accepted["rule"]) == [rule]
    assert {f[0] for f in told(report)} == {"cell-breaks-its-schema"}


def test_oddities_of_another_form_are_refused(folder: Path) -> None:
    changed(folder, lambda d: d["resources"][2]["schema"].update(primaryKey=[]))
    changed(folder, lambda d: d["resources"][2]["schema"]["fields"].pop(4))
    (folder / "known-oddities.csv").write_text("rule,table,key,column,reason,source\na,b,c,d,e,f\n")
    with pytest.raises(PackageError, match="the known oddities have no column observed"):
        audited(folder)


@pytest.mark.parametrize(
    "head",
    [gzip.compress(b"a" * 10_000, mtime=0), b"x^", b"\x28\xb5\x2f\xfd"],
    ids=["gzip", "zlib", "zstd"],
)
def test_a_compressed_table_is_not_unpacked(head: bytes, folder: Path) -> None:
    (folder / "data" / "loads.csv").write_bytes(head)
    with pytest.raises(PackageError, match="compressed"):
        load_package(folder)


def hooks(folder: Path, change: Change) -> Path:
    """A package with the chain hooks of the built-in one, changed."""
    ours = built_in_packages()["hooks"]
    resource = json.loads(json.dumps(ours.resources["chain-hooks"].descriptor))
    for field in resource["schema"]["fields"]:
        field.pop("constraints", None)
    change(resource)
    columns = [f["name"] for f in resource["schema"]["fields"]]
    (folder / "data").mkdir(parents=True)
    rows = ours.text["chain-hooks"].select(columns).head(3)
    (folder / "data" / "chain-hooks.csv").write_text(rows.write_csv(), encoding="utf-8")
    (folder / "datapackage.json").write_text(
        json.dumps({"name": "maker", "version": "1.0.0", "resources": [resource]})
    )
    return folder


def as_words(resource: dict[str, Any]) -> None:
    field = next(f for f in resource["schema"]["fields"] if f["name"] == "wll_kg")
    field["type"] = "string"


def without_load(resource: dict[str, Any]) -> None:
    fields = resource["schema"]["fields"]
    resource["schema"]["fields"] = [f for f in fields if f["name"] != "wll_kg"]
    resource.pop("derives", None)


STOCK = pl.DataFrame(
    {"Item": ["Grab hook"], "Size": ["3/8"], "Grade": ["70"], "WLL (lb)": ["6600"]}
)


def test_a_makers_table_with_words_for_numbers_is_refused(tmp_path: Path) -> None:
    folder = hooks(tmp_path / "maker", as_words)
    with pytest.raises(PackageError, match="the column wll_kg is not one of numbers"):
        tallyhook.check(STOCK, extra=[folder])
    with pytest.raises(PackageError, match="wll_kg is of the type string, and number in hooks"):
        audit(built_in_packages(), only="maker", extra=[folder])


def test_a_makers_table_without_a_load_is_refused(tmp_path: Path) -> None:
    folder = hooks(tmp_path / "maker", without_load)
    with pytest.raises(PackageError, match="the column wll_kg is missing"):
        tallyhook.check(STOCK, extra=[folder])


def test_a_sound_package_stays_sound(folder: Path) -> None:
    describe(folder, title="as it was")
    report = audited(folder)
    assert report.complete
    assert told(report) == []
