"""Every data package as the tools of others take it: plain frictionless, and a database.

What is expected is written in the Data Package standard (Table Schema, version 2: types, missing
values, keys) and in the package's own CSV; nothing of tallyhook reads it here.
"""

from __future__ import annotations

import csv
import json
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from programs import library

ROOT = Path(__file__).resolve().parents[1]
PACKAGES = sorted(p.parent.name for p in (ROOT / "datasets").glob("*/datapackage.json"))
each = pytest.mark.parametrize("name", PACKAGES)


def resources(name: str) -> list[dict[str, Any]]:
    text = (ROOT / "datasets" / name / "datapackage.json").read_text(encoding="utf-8")
    return list(json.loads(text)["resources"])


def rows_of(name: str, resource: dict[str, Any]) -> list[dict[str, str]]:
    path = ROOT / "datasets" / name / resource["path"]
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def fields_of(name: str) -> list[tuple[str, dict[str, Any]]]:
    return [
        (f"{name}.{resource['name']}.{field['name']}", field)
        for resource in resources(name)
        for field in resource["schema"]["fields"]
    ]


def keys_of(schema: dict[str, Any], part: str) -> list[str]:
    given = schema.get(part, [])
    return [given] if isinstance(given, str) else list(given)


def test_they_are_found() -> None:
    assert {"chain", "hooks", "sources", "use"} <= set(PACKAGES)


@each
def test_plain_frictionless_finds_it_valid(name: str) -> None:
    command = [sys.executable, "-m", "frictionless", "validate", "datapackage.json", "--json"]
    run = subprocess.run(
        command, cwd=ROOT / "datasets" / name, capture_output=True, text=True, check=False
    )
    report = json.loads(run.stdout)
    errors = report["errors"] + [e for task in report["tasks"] for e in task["errors"]]
    assert (run.returncode, report["valid"], errors) == (0, True, [])
    assert {task["name"] for task in report["tasks"]} == {r["name"] for r in resources(name)}


@pytest.fixture(scope="module")
def databases(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Publish every package as a user would, each to its own file."""
    library("sqlalchemy")
    from frictionless import Package

    folder = tmp_path_factory.mktemp("published")
    for name in PACKAGES:
        descriptor = ROOT / "datasets" / name / "datapackage.json"
        Package(str(descriptor)).publish(f"sqlite:///{folder / name}.sqlite")
    return {name: folder / f"{name}.sqlite" for name in PACKAGES}


def typed(text: str, kind: str) -> Any:
    """Read a cell as the standard says: nothing, a number, a boolean (1 or 0 in SQLite), text."""
    if text == "":
        return None
    if kind == "boolean":
        return {"true": 1, "false": 0}[text]
    return {"number": float, "integer": int}.get(kind, str)(text)


@each
def test_the_database_has_every_row(name: str, databases: dict[str, Path]) -> None:
    with closing(sqlite3.connect(databases[name])) as base:
        for resource in resources(name):
            kinds = {f["name"]: f["type"] for f in resource["schema"]["fields"]}
            columns = ", ".join(f'"{column}"' for column in kinds)
            stored = base.execute(f'SELECT {columns} FROM "{resource["name"]}"').fetchall()
            written = [
                tuple(typed(row[c], kind) for c, kind in kinds.items())
                for row in rows_of(name, resource)
            ]
            assert sorted(stored, key=repr) == sorted(written, key=repr), resource["name"]


@each
def test_the_database_has_every_key(name: str, databases: dict[str, Path]) -> None:
    with closing(sqlite3.connect(databases[name])) as base:
        for resource in resources(name):
            table, schema = resource["name"], resource["schema"]
            columns = base.execute(f'PRAGMA table_info("{table}")').fetchall()
            primary = [c[1] for c in sorted(columns, key=lambda c: c[5]) if c[5]]
            assert primary == keys_of(schema, "primaryKey"), table
            stored: dict[int, tuple[str, list[tuple[str, str]]]] = {}
            for n, _, target, own, other, *_ in base.execute(f'PRAGMA foreign_key_list("{table}")'):
                stored.setdefault(n, (target, []))[1].append((own, other))
            declared = [
                (
                    key["reference"]["resource"] or table,
                    list(
                        zip(
                            keys_of(key, "fields"), keys_of(key["reference"], "fields"), strict=True
                        )
                    ),
                )
                for key in schema.get("foreignKeys", [])
            ]
            assert sorted(stored.values()) == sorted(declared), table
        # raises where a key leads to columns that are not unique
        assert base.execute("PRAGMA foreign_key_check").fetchall() == []


@each
def test_every_pattern_can_be_followed_by_others(name: str) -> None:
    """Frictionless puts it between `^` and `$`, and gives missing values to it in a database."""
    wrong = {
        place: pattern
        for place, field in fields_of(name)
        for limits in [field.get("constraints", {})]
        for pattern in [limits.get("pattern")]
        if pattern is not None
        and (not limits.get("required") or ("|" in pattern and not pattern.startswith("(")))
    }
    assert wrong == {}


@each
def test_every_reference_within_it_is_a_foreign_key(name: str) -> None:
    for resource in resources(name):
        keyed = {
            (column, key["reference"]["resource"] or resource["name"])
            for key in resource["schema"].get("foreignKeys", [])
            for column in keys_of(key, "fields")
        }
        referring = {
            (field["name"], field["refersTo"].split(".")[1])
            for field in resource["schema"]["fields"]
            if field.get("refersTo", "").split(".")[0] == name
        }
        assert referring <= keyed, resource["name"]


@each
def test_every_field_says_what_it_is(name: str) -> None:
    silent = [
        place
        for place, field in fields_of(name)
        for words in [field.get("description", "")]
        if not words.endswith(".") or len(words.split()) < 3
    ]
    assert silent == []


@each
def test_every_word_of_an_enumeration_has_a_label(name: str) -> None:
    for place, field in fields_of(name):
        words = [str(word) for word in field.get("constraints", {}).get("enum", [])]
        labels = field.get("enumLabels", {})
        assert sorted(labels) == sorted(words), place
        assert all(label.strip() for label in labels.values()), place


@each
def test_every_number_says_which_way_is_permissive(name: str) -> None:
    silent = []
    for resource in resources(name):
        fields = {field["name"]: field for field in resource["schema"]["fields"]}
        for column, field in fields.items():
            way = field.get("permissive")
            if field["type"] == "boolean":  # it may say whether true lets more pass, or false
                sound = way in (None, "up", "down")
            elif field["type"] not in ("number", "integer"):
                sound = way is None
            elif isinstance(way, dict):  # another column of the table says it, row by row
                listed = {*way} - {"column"}
                sound = way["column"] in fields and set() < listed <= {"up", "down", "neither"}
            else:
                sound = way in ("up", "down", "neither")
            if not sound:
                silent.append(f"{resource['name']}.{column}")
    assert silent == []


@each
def test_yes_and_no_are_booleans(name: str) -> None:
    texts = []
    for resource in resources(name):
        rows = rows_of(name, resource)
        for field in resource["schema"]["fields"]:
            words = set(field.get("constraints", {}).get("enum", [])) or {
                row[field["name"]].casefold() for row in rows
            }
            if field["type"] == "string" and words - {""} and words <= {"yes", "no", ""}:
                texts.append(f"{resource['name']}.{field['name']}")
    assert texts == []


WITHOUT_NAMES = {"vocabulary", "sources", "demo", "hooks.suit-questions"}
"""What holds words, documents and questions, which have keys of their own, and no ratings."""


@each
def test_every_rating_has_a_name(name: str) -> None:
    tables = {r["name"]: r["schema"] for r in resources(name) if r["path"].startswith("data/")}
    for table, schema in tables.items():
        if WITHOUT_NAMES & {name, f"{name}.{table}"}:
            continue
        first = schema["fields"][0]
        assert (first["name"], first["type"]) == ("rating_id", "string"), table
        assert first["constraints"] == {"required": True, "unique": True}, table
        assert "ratingId" in schema, table
        assert not {"locator", "note"} & {*keys_of(schema, "primaryKey")}, table
    retired = {r["name"]: [f["name"] for f in r["schema"]["fields"]] for r in resources(name)}
    if name not in WITHOUT_NAMES:
        assert retired["retired"] == ["rating_id", "reason", "successor", "since"]


def test_no_two_ratings_have_one_name() -> None:
    names = [
        row["rating_id"]
        for name in PACKAGES
        for resource in resources(name)
        for row in rows_of(name, resource)
        if "rating_id" in row
    ]
    assert len(names) > 1000
    assert len(set(names)) == len(names)
