"""The table of changes and the levels they force, typed from the rule of versions in the design.

MAJOR when a column, key, unit or meaning changes, a constraint tightens, a row goes, `known_by`
weakens, or a value moves the permissive way; MINOR when a row is added or a value becomes
stricter; PATCH for words. What is decided beyond that has its reason beside it.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tallyhook.packages.changes import Snapshot, changes
from tallyhook.packages.descriptors import KNOWN_BY
from tallyhook.packages.levels import KINDS
from tallyhook.packages.versions import STEPS

ROOT = Path(__file__).resolve().parents[2]

LOADS = """\
rating_id,size_mm,grade,wll_kg,least_mm,use,lifting,per,source,locator,known_by,note
demo/10mm,10,80,3200,9,sling,true,leg,the-law,row 1,published,
demo/13mm,13,80,5400,,chain,false,leg,the-law,row 2,recalled,old
"""
RETIRED = "rating_id,reason,successor,since\ndemo/8mm,misprint,,1.0.0\n"
PRINTED = "size,tons,note\n10,3.2,\n13,5.4,\n"


def number(name: str, way: str, unit: str, **more: Any) -> dict[str, Any]:
    return {
        "name": name,
        "type": "number",
        "title": name,
        "unit": unit,
        "permissive": way,
        "example": 1,
        "description": "A number.",
    } | more


def descriptor() -> dict[str, Any]:
    fields = [
        {"name": "rating_id", "type": "string", "constraints": {"required": True, "unique": True}},
        number("size_mm", "neither", "mm"),
        number("grade", "neither", "1"),
        number("wll_kg", "up", "kg", constraints={"minimum": 0, "maximum": 90000}),
        number("least_mm", "down", "mm"),
        {"name": "use", "type": "string", "constraints": {"enum": ["sling", "chain"]}},
        {"name": "lifting", "type": "boolean", "permissive": "up"},
        {"name": "per", "type": "string"},
        {"name": "source", "type": "string", "refersTo": "sources.documents.source"},
        {"name": "locator", "type": "string"},
        {"name": "known_by", "type": "string"},
        {"name": "note", "type": "string", "constraints": {"pattern": "[a-z ]*"}},
    ]
    loads = {"fields": fields, "primaryKey": ["size_mm", "grade"], "missingValues": [""]}
    retired = {
        "fields": [{"name": c} for c in ("rating_id", "reason", "successor", "since")],
        "primaryKey": ["rating_id"],
    }
    printed = {
        "fields": [number("size", "neither", "mm"), number("tons", "up", "t"), {"name": "note"}],
        "primaryKey": ["size"],
    }
    derives = [
        {"table": "loads", "rows": {"size_mm": "size"}, "constants": {"grade": "80"},
         "cells": [{"from": "tons", "to": "wll_kg", "scale": 1000}]}
    ]  # fmt: skip
    return {
        "name": "demo",
        "version": "1.0.0",
        "title": "Demo",
        "licenses": [{"name": "CC-BY-4.0"}],
        "resources": [
            {"name": "loads", "path": "data/loads.csv", "title": "Loads", "schema": loads},
            {"name": "retired", "path": "retired.csv", "schema": retired},
            {"name": "printed-loads", "path": "printed/loads.csv", "schema": printed,
             "derives": derives},
        ],
    }  # fmt: skip


def snapshot() -> Snapshot:
    files = {"data/loads.csv": LOADS, "retired.csv": RETIRED, "printed/loads.csv": PRINTED}
    return Snapshot(descriptor=descriptor(), files=files)


Edit = Callable[[dict[str, Any], dict[str, str]], None]


def text(old: str, new: str, file: str = "data/loads.csv") -> Edit:
    """Change the text of a file."""

    def edit(_: dict[str, Any], files: dict[str, str]) -> None:
        assert old in files[file]
        files[file] = files[file].replace(old, new)

    return edit


def field(column: str, **properties: Any) -> Edit:
    """Change properties of a column; None takes one away."""

    def edit(state: dict[str, Any], _: dict[str, str]) -> None:
        fields = state["resources"][0]["schema"]["fields"]
        (spec,) = (f for f in fields if f["name"] == column)
        spec |= properties
        for name in (n for n, v in properties.items() if v is None):
            del spec[name]

    return edit


def schema(**properties: Any) -> Edit:
    """Change properties of the table's schema."""
    return lambda state, _: state["resources"][0]["schema"].update(properties)


def table(**properties: Any) -> Edit:
    """Change properties of the table."""
    return lambda state, _: state["resources"][0].update(properties)


def package(**properties: Any) -> Edit:
    """Change properties of the package."""
    return lambda state, _: state.update(properties)


def without_column(state: dict[str, Any], files: dict[str, str]) -> None:
    del state["resources"][0]["schema"]["fields"][-1]
    rows = list(csv.reader(io.StringIO(files["data/loads.csv"])))
    files["data/loads.csv"] = "\n".join(",".join(row[:-1]) for row in rows) + "\n"


def swapped_columns(state: dict[str, Any], files: dict[str, str]) -> None:
    fields = state["resources"][0]["schema"]["fields"]
    fields[-1], fields[-2] = fields[-2], fields[-1]
    rows = list(csv.reader(io.StringIO(files["data/loads.csv"])))
    files["data/loads.csv"] = "".join(
        ",".join([*row[:-2], row[-1], row[-2]]) + "\n" for row in rows
    )


def without_table(state: dict[str, Any], _: dict[str, str]) -> None:
    del state["resources"][2]


FIRST, SECOND = LOADS.splitlines(keepends=True)[1:]
LIMITS = {"minimum": 0, "maximum": 90000}
AN_OTHER_KEY = [{"fields": "use", "reference": {"resource": "uses", "fields": "use"}}]

TABLE: list[tuple[str, Edit, list[str]]] = [
    # the numbers
    ("a rating rises", text("3200", "3300"),
     ["MAJOR loads demo/10mm wll_kg: 3200 -> 3300 kg (raised, permissive)"]),
    ("a rating falls", text("3200", "3150"),
     ["MINOR loads demo/10mm wll_kg: 3200 -> 3150 kg (lowered, stricter)"]),
    ("a least thickness falls", text("3200,9,", "3200,8.5,"),
     ["MAJOR loads demo/10mm least_mm: 9 -> 8.5 mm (lowered, permissive)"]),
    ("a least thickness rises", text("3200,9,", "3200,9.5,"),
     ["MINOR loads demo/10mm least_mm: 9 -> 9.5 mm (raised, stricter)"]),
    # a key says what the row is about; the row keeps its id and is about something else
    ("a size", text("10,80,3200", "11,80,3200"),
     ["MAJOR loads demo/10mm size_mm: 10 -> 11 mm (key changed)"]),
    ("a rating is withdrawn", text("3200", ""),
     ["MAJOR loads demo/10mm wll_kg: 3200 kg -> nothing (value withdrawn)"]),
    # as a row that is added
    ("a value where none was", text("5400,,", "5400,11,"),
     ["MINOR loads demo/13mm least_mm: nothing -> 11 mm (value where none was)"]),
    ("a number written differently", text("3200", "3200.0"),
     ["PATCH loads demo/10mm wll_kg: 3200 -> 3200.0 kg (the same, written differently)"]),
    # the rows
    ("a row is added", text(SECOND, SECOND + "demo/16mm,16,80,8200,,chain,true,leg,the-law,r,published,\n"),
     ["MINOR loads demo/16mm: row added"]),
    ("a row goes", text(SECOND, ""),
     ["MAJOR loads demo/13mm: row withdrawn, its id is not in retired.csv"]),
    ("a retired id is used again", text(SECOND, SECOND + "demo/8mm,8,80,2100,,chain,true,leg,the-law,r,published,\n"),
     ["MAJOR loads demo/8mm: a retired id is used again"]),
    ("a retired id is forgotten", text("demo/8mm,misprint,,1.0.0\n", "", "retired.csv"),
     ["MAJOR retired demo/8mm: a retired id is forgotten"]),
    ("an id where the row stays", text("demo/13mm", "demo/thirteen"),
     ["MAJOR loads demo/13mm: row withdrawn, its id is not in retired.csv",
      "MINOR loads demo/thirteen: row added"]),
    ("the order of the rows", text(FIRST + SECOND, SECOND + FIRST),
     ["PATCH loads: the same, written differently, order or form of the rows"]),
    # the way a number is known, and who says so
    ("known by less", text("row 1,published", "row 1,restated"),
     ["MAJOR loads demo/10mm known_by: published -> restated (known by less)"]),
    ("known by memory", text("row 1,published", "row 1,recalled"),
     ["MAJOR loads demo/10mm known_by: published -> recalled (known by less)"]),
    # a maker's figure has a name to it, practice has none (DEVELOPERS.md, the words of known_by)
    ("known by a maker alone", text("row 1,published", "row 1,maker"),
     ["MAJOR loads demo/10mm known_by: published -> maker (known by less)"]),
    ("known by practice", text("row 1,published", "row 1,practice"),
     ["MAJOR loads demo/10mm known_by: published -> practice (known by less)"]),
    ("known by practice after memory", text("row 2,recalled", "row 2,practice"),
     ["MINOR loads demo/13mm known_by: recalled -> practice (known by more)"]),
    # as a row that is added: a recalled number passed nothing before
    ("known by more", text("row 2,recalled", "row 2,computed"),
     ["MINOR loads demo/13mm known_by: recalled -> computed (known by more)"]),
    ("known by a word that nobody knows", text("row 2,recalled", "row 2,hearsay"),
     ["MAJOR loads demo/13mm known_by: recalled -> hearsay (known by less)"]),
    # a reference updated, in the words of the recipe of Data Package v2
    ("the document", text("the-law,row 1", "the-standard,row 1"),
     ["MINOR loads demo/10mm source: the-law -> the-standard (another document)"]),
    # codes: yes and no, words of a list, texts that are not said to be words
    ("yes where no was, and yes lets more pass", text("chain,false", "chain,true"),
     ["MAJOR loads demo/13mm lifting: false -> true (permissive)"]),
    ("no where yes was, and yes lets more pass", text("sling,true", "sling,false"),
     ["MINOR loads demo/10mm lifting: true -> false (stricter)"]),
    ("a word of a list", text("9,sling", "9,chain"),
     ["MAJOR loads demo/10mm use: sling -> chain (what the row says changed)"]),
    ("a text that is not said to be words", text("false,leg", "false,sling"),
     ["MAJOR loads demo/13mm per: leg -> sling (what the row says changed)"]),
    ("a locator", text("row 1", "line 1"),
     ["PATCH loads demo/10mm locator: row 1 -> line 1 (words)"]),
    # the columns
    ("a column goes", without_column, ["MAJOR loads note: column withdrawn"]),
    ("columns in another order", swapped_columns,
     ["MAJOR loads: ...urce, locator, known_by, note -> ...urce, locator, note, known_by (order of the columns changed)"]),
    ("a unit", field("wll_kg", unit="t"), ["MAJOR loads wll_kg (unit): kg -> t (unit changed)"]),
    ("a type is narrowed", field("wll_kg", type="integer"),
     ["MAJOR loads wll_kg (type): number -> integer (type changed)"]),
    # a reader gets other values, whichever way it goes
    ("a type is widened", field("wll_kg", type="string"),
     ["MAJOR loads wll_kg (type): number -> string (type changed)"]),
    ("a title", field("wll_kg", title="Breaking force"),
     ["MAJOR loads wll_kg (title): wll_kg -> Breaking force (meaning changed)"]),
    ("the permissive way", field("wll_kg", permissive="down"),
     ["MAJOR loads wll_kg (permissive): up -> down (meaning changed)"]),
    ("a description", field("wll_kg", description="A load."),
     ["PATCH loads wll_kg (description): A number. -> A load. (words)"]),
    ("an example", field("wll_kg", example=2), ["PATCH loads wll_kg (example): 1 -> 2 (words)"]),
    ("labels", field("use", enumLabels={"sling": "a sling"}),
     ['PATCH loads use (enumLabels): nothing -> {"sling": "a sling"} (words)']),
    ("a property that nothing reads", field("use", colour="red"),
     ["MINOR loads use (colour): nothing -> red (property changed)"]),
    ("another reference", field("source", refersTo="demo.laws.source"),
     ["MAJOR loads source (refersTo): sources.documents.source -> demo.laws.source (constraint tightened)"]),
    ("no reference", field("source", refersTo=None),
     ["MINOR loads source (refersTo): sources.documents.source -> nothing (constraint loosened)"]),
    # the constraints, as the recipe of Data Package v2 has them
    ("a word of an enumeration goes", field("use", constraints={"enum": ["sling"]}),
     ["MAJOR loads use (enum): chain -> nothing (constraint tightened)"]),
    ("a word of an enumeration is added", field("use", constraints={"enum": ["sling", "chain", "hook"]}),
     ["MINOR loads use (enum): nothing -> hook (constraint loosened)"]),
    ("an enumeration where none was", field("per", constraints={"enum": ["leg"]}),
     ['MAJOR loads per (enum): nothing -> ["leg"] (constraint tightened)']),
    ("a least value rises", field("wll_kg", constraints=LIMITS | {"minimum": 1}),
     ["MAJOR loads wll_kg (minimum): 0 -> 1 (constraint tightened)"]),
    ("a least value falls", field("wll_kg", constraints=LIMITS | {"minimum": -1}),
     ["MINOR loads wll_kg (minimum): 0 -> -1 (constraint loosened)"]),
    ("a least value goes", field("wll_kg", constraints={"maximum": 90000}),
     ["MINOR loads wll_kg (minimum): 0 -> nothing (constraint loosened)"]),
    ("the least value itself is out", field("wll_kg", constraints={"exclusiveMinimum": 0, "maximum": 90000}),
     ["MAJOR loads wll_kg (minimum): 0 -> 0 (exclusiveMinimum) (constraint tightened)"]),
    ("a largest value falls", field("wll_kg", constraints=LIMITS | {"maximum": 80000}),
     ["MAJOR loads wll_kg (maximum): 90000 -> 80000 (constraint tightened)"]),
    ("a largest value rises", field("wll_kg", constraints=LIMITS | {"maximum": 100000}),
     ["MINOR loads wll_kg (maximum): 90000 -> 100000 (constraint loosened)"]),
    ("a pattern where none was", field("per", constraints={"pattern": "[a-z]+"}),
     ["MAJOR loads per (pattern): nothing -> [a-z]+ (constraint tightened)"]),
    # which of two patterns lets more through is not told from outside
    ("another pattern", field("note", constraints={"pattern": ".*"}),
     ["MAJOR loads note (pattern): [a-z ]* -> .* (constraint tightened)"]),
    ("a pattern of what is filled", field("per", patternWhereFilled="[a-z]+"),
     ["MAJOR loads per (patternWhereFilled): nothing -> [a-z]+ (constraint tightened)"]),
    ("no pattern", field("note", constraints={}),
     ["MINOR loads note (pattern): [a-z ]* -> nothing (constraint loosened)"]),
    ("required", field("per", constraints={"required": True}),
     ["MAJOR loads per (required): false -> true (constraint tightened)"]),
    ("no longer unique", field("rating_id", constraints={"required": True}),
     ["MINOR loads rating_id (unique): true -> false (constraint loosened)"]),
    ("a foreign key", schema(foreignKeys=AN_OTHER_KEY),
     ["MAJOR loads foreignKeys: nothing -> " + json.dumps(AN_OTHER_KEY[0], sort_keys=True)[:60] + "... (constraint tightened)"]),
    # the tables
    ("the primary key", schema(primaryKey=["size_mm"]),
     ['MAJOR loads primaryKey: ["size_mm", "grade"] -> ["size_mm"] (key changed)']),
    ("how an id is made", schema(ratingId="demo/{size_mm}mm"),
     ["MAJOR loads ratingId: nothing -> demo/{size_mm}mm (how the rating id is made changed)"]),
    ("what a missing value is", schema(missingValues=["", "-"]),
     ['MAJOR loads missingValues: [""] -> ["", "-"] (type changed)']),
    ("a table goes", without_table, ["MAJOR printed-loads: table withdrawn"]),
    ("the title of a table", table(title="Ratings"),
     ["PATCH loads title: Loads -> Ratings (words)"]),
    ("the encoding", table(encoding="utf-8"),
     ["MAJOR loads encoding: nothing -> utf-8 (where or how the table is stored changed)"]),
    # the package
    ("the package's name", package(name="other"),
     ["MAJOR name: demo -> other (package renamed)"]),
    ("the licence", package(licenses=[{"name": "other"}]),
     ['MAJOR licenses: [{"name": "CC-BY-4.0"}] -> [{"name": "other"}] (what may be done with it changed)']),
    ("the package's title", package(title="Demonstration"),
     ["PATCH title: Demo -> Demonstration (words)"]),
    ("the version alone", package(version="1.1.0"), []),
    # printed/: what the document has, beside what is made of it
    ("a printed word", text("10,3.2,", "10,3.2,smudged", "printed/loads.csv"),
     ["PATCH printed-loads 10 note: nothing -> smudged (words)"]),
    ("a printed number that data/ does not follow", text("3.2", "3.3", "printed/loads.csv"),
     ["MAJOR printed-loads 10 tons: 3.2 -> 3.3 t (raised, permissive)"]),
]  # fmt: skip


def edited(*edits: Edit) -> Snapshot:
    state, files = descriptor(), dict(snapshot().files)
    for edit in edits:
        edit(state, files)
    return Snapshot(descriptor=state, files=files)


def lines(new: Snapshot, old: Snapshot | None = None) -> list[str]:
    return [str(change) for change in changes(old or snapshot(), new)]


@pytest.mark.parametrize(("edit", "told"), [pytest.param(e, t, id=n) for n, e, t in TABLE])
def test_the_level_that_a_change_forces(edit: Edit, told: list[str]) -> None:
    assert lines(edited(edit)) == told


BACKWARDS: list[tuple[str, Edit, list[str]]] = [
    ("a column is added", without_column, ["MAJOR loads note: column added"]),
    ("a table is added", without_table, ["MINOR printed-loads: table added"]),
    # until it is said, every change of its values is MAJOR: nothing that anybody relied on
    ("the permissive way is said", field("wll_kg", permissive=None),
     ["MINOR loads wll_kg (permissive): nothing -> up (permissive direction said for the first time)"]),
    ("a unit is said", field("wll_kg", unit=None),
     ["MAJOR loads wll_kg (unit): nothing -> kg (unit changed)"]),
    ("a title is said", field("wll_kg", title=None),
     ["PATCH loads wll_kg (title): nothing -> wll_kg (words)"]),
    ("no longer required", field("per", constraints={"required": True}),
     ["MINOR loads per (required): true -> false (constraint loosened)"]),
    ("no foreign key", schema(foreignKeys=AN_OTHER_KEY),
     ["MINOR loads foreignKeys: " + json.dumps(AN_OTHER_KEY[0], sort_keys=True)[:60] + "... -> nothing (constraint loosened)"]),
    ("a reference where none was", field("source", refersTo=None),
     ["MAJOR loads source (refersTo): nothing -> sources.documents.source (constraint tightened)"]),
]  # fmt: skip


@pytest.mark.parametrize(("edit", "told"), [pytest.param(e, t, id=n) for n, e, t in BACKWARDS])
def test_the_level_that_the_way_back_forces(edit: Edit, told: list[str]) -> None:
    assert lines(snapshot(), edited(edit)) == told


def test_a_number_of_no_direction_is_major_whichever_way_it_goes() -> None:
    """An identity, a size or a band: no direction of it is known to be the safe one."""
    keyless = schema(primaryKey=["rating_id"])
    old = edited(keyless)
    for size, way in (("11", "raised"), ("9", "lowered")):
        new = edited(keyless, text("10mm,10,", f"10mm,{size},"))
        assert lines(new, old) == [
            f"MAJOR loads demo/10mm size_mm: 10 -> {size} mm"
            f" ({way}, no direction is the stricter one)"
        ]
    # an empty bound means any: to fill it moves what the row is about
    empty = edited(keyless, text("10mm,10,", "10mm,,"))
    assert lines(old, empty) == [
        "MAJOR loads demo/10mm size_mm: nothing -> 10 mm (value where none was, of no direction)"
    ]


def test_a_number_whose_direction_nobody_says_is_major_whichever_way_it_goes() -> None:
    old = edited(field("wll_kg", permissive=None))
    for value in ("3300", "3150"):
        new = edited(field("wll_kg", permissive=None), text("3200", value))
        assert [c.level for c in changes(old, new)] == ["major"]


# one column of largest and smallest values: the first row is one of the use "sling"
@pytest.mark.parametrize(
    ("ways", "value", "told"),
    [
        ({"down": ["sling"], "up": ["chain"]}, "8", "MAJOR loads demo/10mm least_mm: 9 -> 8 mm (lowered, permissive)"),
        ({"down": ["sling"], "up": ["chain"]}, "10", "MINOR loads demo/10mm least_mm: 9 -> 10 mm (raised, stricter)"),
        ({"up": ["sling"]}, "10", "MAJOR loads demo/10mm least_mm: 9 -> 10 mm (raised, permissive)"),
        ({"up": ["chain"]}, "8", "MAJOR loads demo/10mm least_mm: 9 -> 8 mm (lowered, no direction is the stricter one)"),
    ],
)  # fmt: skip
def test_another_column_may_say_row_by_row_which_way_lets_more_pass(
    ways: dict[str, list[str]], value: str, told: str
) -> None:
    by_use = field("least_mm", permissive={"column": "use", **ways})
    old = edited(by_use)
    assert lines(edited(by_use, text("3200,9", f"3200,{value}")), old) == [told]


def test_a_word_that_turns_the_direction_excuses_nothing() -> None:
    by_use = field("least_mm", permissive={"column": "use", "down": ["sling"], "up": ["chain"]})
    new = edited(by_use, text("3200,9,sling", "3200,10,chain"))
    assert [c.level for c in changes(edited(by_use), new)] == ["major", "major"]


def test_a_direction_that_changes_together_with_the_value_excuses_nothing() -> None:
    new = edited(field("wll_kg", permissive="down"), text("3200", "3300"))
    assert [c.level for c in changes(snapshot(), new)] == ["major", "major"]


def test_what_is_printed_and_derived_is_told_once() -> None:
    new = edited(text("3200", "3300"), text("3.2", "3.3", "printed/loads.csv"))
    assert lines(new) == ["MAJOR loads demo/10mm wll_kg: 3200 -> 3300 kg (raised, permissive)"]


def test_a_printed_row_is_told_with_the_row_that_is_made_of_it() -> None:
    row = "demo/16mm,16,80,8200,,chain,true,leg,the-law,r,published,\n"
    new = edited(
        text(SECOND, SECOND + row), text("13,5.4,\n", "13,5.4,\n16,8.2,\n", "printed/loads.csv")
    )
    assert lines(new) == ["MINOR loads demo/16mm: row added"]
    gone = edited(text(SECOND, ""), text("13,5.4,\n", "", "printed/loads.csv"))
    assert lines(gone) == ["MAJOR loads demo/13mm: row withdrawn, its id is not in retired.csv"]


@pytest.mark.parametrize(("successor", "told"), [("demo/12mm", "now demo/12mm"), ("", "retired")])
def test_a_row_that_goes_says_what_became_of_it(successor: str, told: str) -> None:
    entry = f"demo/13mm,no chain of this size,{successor},2.0.0\n"
    new = edited(text(SECOND, ""), text(",1.0.0\n", ",1.0.0\n" + entry, "retired.csv"))
    assert lines(new) == [f"MAJOR loads demo/13mm: row withdrawn, {told}"]


def test_rows_are_paired_by_their_key_where_one_state_has_no_ids() -> None:
    """A package that gives names to its ratings changes its columns, and no rating of it."""

    def nameless(state: dict[str, Any], files: dict[str, str]) -> None:
        del state["resources"][0]["schema"]["fields"][0]
        rows = list(csv.reader(io.StringIO(files["data/loads.csv"])))
        files["data/loads.csv"] = "".join(",".join(row[1:]) + "\n" for row in rows)

    assert lines(edited(text("3200", "3150")), edited(nameless)) == [
        "MAJOR loads rating_id: column added",
        "MINOR loads demo/10mm wll_kg: 3200 -> 3150 kg (lowered, stricter)",
    ]


@pytest.mark.parametrize(
    ("own", "told"),
    [
        ("published", "PATCH loads demo/10mm wll_known_by: nothing -> published (the same, written differently)"),
        ("recalled", "MAJOR loads demo/10mm wll_known_by: nothing -> recalled (known by less)"),
    ],
)  # fmt: skip
def test_a_column_of_its_own_way_of_knowing_overrides_that_of_the_row(own: str, told: str) -> None:
    def renamed(state: dict[str, Any], _: dict[str, str]) -> None:
        state["resources"][0]["schema"]["fields"][-1] = {"name": "wll_known_by"}

    head = text(",known_by,note", ",known_by,wll_known_by")
    new = edited(renamed, head, text("row 1,published,", f"row 1,published,{own}"))
    assert lines(new, edited(renamed, head)) == [told]


def test_a_known_oddity_is_a_note_of_the_audit() -> None:
    def with_oddity(state: dict[str, Any], files: dict[str, str]) -> None:
        columns = [{"name": "rule"}, {"name": "reason"}]
        oddities = {"fields": columns, "primaryKey": ["rule"]}
        state["resources"].append(
            {"name": "known-oddities", "path": "known-oddities.csv", "schema": oddities}
        )
        files["known-oddities.csv"] = "rule,reason\n"

    new = edited(
        with_oddity, lambda _, files: files.update({"known-oddities.csv": "rule,reason\na,b\n"})
    )
    assert lines(new, edited(with_oddity)) == [
        "PATCH known-oddities a: nothing -> row (known oddity)"
    ]


def test_every_kind_of_change_is_of_a_level_that_there_is_and_is_tried_here() -> None:
    assert {kind.level for kind in KINDS.values()} == set(STEPS)
    source = Path(__file__).read_text(encoding="utf-8")
    # of whole packages: test_diff.py
    untold = [k for k, v in KINDS.items() if v.told not in source and not k.startswith("package-")]
    assert untold == []


def keyless(rows: str) -> Snapshot:
    """Give a package of one table that has no key: what and words, and a number that lets pass."""
    fields = [
        {"name": "what"},
        number("factor", "up", "1"),
        number("from", "neither", "mm"),
        {"name": "note"},
    ]
    table = {"name": "printed-t", "path": "printed/t.csv", "schema": {"fields": fields}}
    state = {"name": "demo", "version": "1.0.0", "resources": [table]}
    return Snapshot(descriptor=state, files={"printed/t.csv": "what,factor,from,note\n" + rows})


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        pytest.param("a,2,0,\nb,3,0,\n", "a,2,0,\nb,2,0,\n",
                     ["MINOR printed-t b/2/0/ factor: 3 -> 2 (lowered, stricter)"], id="by its text"),
        pytest.param(",2,0,\n,3,5,\n", ",2,0,\n,4,5,\n",
                     ["MAJOR printed-t /4/5/ factor: 3 -> 4 (raised, permissive)"], id="by its other numbers"),
        pytest.param("a,2,0,\na,3,0,\na,4,0,\n", "a,3,0,\na,4,0,\n",
                     ["MAJOR printed-t a/2/0/: row withdrawn"], id="equal rows first"),
        pytest.param("a,2,0,\n", "b,3,0,\n",
                     ["MAJOR printed-t a/2/0/: row withdrawn", "MINOR printed-t b/3/0/: row added"], id="another row"),
        pytest.param("a,2,0,\na,2,0,\n", "a,2,0,\n",
                     ["MAJOR printed-t a/2/0/: row withdrawn"], id="one of two that are alike"),
    ],
)  # fmt: skip
def test_rows_of_a_table_without_a_key_are_paired_by_what_stays(
    old: str, new: str, told: list[str]
) -> None:
    assert lines(keyless(new), keyless(old)) == told


def test_a_note_of_a_given_form_is_a_code() -> None:
    """A pattern makes a text something that a program reads."""
    formed = field("locator", patternWhereFilled=r"row \d+")
    assert lines(edited(formed, text("row 1", "row 7")), edited(formed)) == [
        "MAJOR loads demo/10mm locator: row 1 -> row 7 (what the row says changed)"
    ]


def test_the_words_of_knowing_go_from_strong_to_weak() -> None:
    # docs/promises.md: this order, and no other place has one
    promised = ("published", "restated", "computed", "maker", "practice", "recalled")
    assert promised == KNOWN_BY
    page = " ".join((ROOT / "docs" / "promises.md").read_text(encoding="utf-8").split())
    assert "`published`, `restated`, `computed`, `maker`, `practice` and `recalled` go from" in page
