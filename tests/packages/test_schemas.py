"""The loading gate: a table that breaks its own Table Schema is not handed out."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from pandera.errors import SchemaError, SchemaErrors

import tallyhook
from package_folders import edit, make_package
from tallyhook.errors import PackageError
from tallyhook.packages.package import built_in_packages, load_package, pattern_of
from tallyhook.packages.schemas import typed_table


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


BUILT_IN = {f"{p.name}.{t}": (p, t) for p in built_in_packages().values() for t in p.resources}
AS_TEXT = {"dtype": str, "keep_default_na": False}
LOSSY = {
    # 012 and 025 are hook numbers below 1, and 12 and 25 are others
    "hooks.printed-din-15400": "hook_number",
    "hooks.crane-hooks": "hook_number",
    "vocabulary.blanks": "mark",  # n/a is one of its words
    "vocabulary.denial-words": "word",
}
"""The tables of which a plain reading loses something, and the column that loses it."""


def plain(name: str, **options: Any) -> pd.DataFrame:
    package, table = BUILT_IN[name]
    return pd.read_csv(package.folder / package.resources[table].path, **options)


def validated(name: str, frame: pd.DataFrame) -> pd.DataFrame:
    package, table = BUILT_IN[name]
    return tallyhook.pandera_schema(package.name, table).validate(frame, lazy=True)


def failures(name: str, frame: pd.DataFrame) -> set[tuple[str, str]]:
    """The column and check of everything that a schema says against a frame."""
    with pytest.raises(SchemaErrors) as caught:
        validated(name, frame)
    cases = caught.value.failure_cases
    return set(zip(cases["column"].astype(str), cases["check"].astype(str), strict=True))


@pytest.mark.parametrize("name", BUILT_IN)
def test_every_table_is_taken_as_pandas_reads_it(name: str) -> None:
    package, table = BUILT_IN[name]
    typed = typed_table(package, table).reset_index(drop=True)
    pd.testing.assert_frame_equal(validated(name, plain(name, **AS_TEXT)), typed)
    if name not in LOSSY:
        pd.testing.assert_frame_equal(validated(name, plain(name)), typed)
        pd.testing.assert_frame_equal(validated(name, plain(name, dtype=str)), typed)


@pytest.mark.parametrize("name", LOSSY)
def test_what_a_plain_reading_loses_is_refused_with_what_to_do(name: str) -> None:
    advice = "read it with dtype=str, keep_default_na=False"
    assert any(c == LOSSY[name] and advice in check for c, check in failures(name, plain(name)))


@pytest.mark.parametrize("name", BUILT_IN)
def test_no_plain_reading_is_taken_that_says_another_thing_than_the_file(name: str) -> None:
    package, table = BUILT_IN[name]
    path = package.folder / package.resources[table].path
    with path.open(encoding="utf-8", newline="") as stream:
        cells = list(csv.DictReader(stream))
    if name in LOSSY:
        return
    taken = validated(name, plain(name))
    for column, spec in package.resources[table].fields.items():
        if spec["type"] == "string":
            assert taken[column].tolist() == [row[column] for row in cells], column


def spoilt(name: str, column: str) -> Iterator[tuple[str, Any]]:
    """Wrong cells for a column by its Table Schema, each with what is wrong."""
    package, table = BUILT_IN[name]
    resource = package.resources[table]
    spec = resource.fields[column]
    limits = spec.get("constraints", {})
    if limits.get("required") or column in resource.key:
        yield "missing", None
    if spec["type"] == "boolean":
        yield "no boolean", "perhaps"
        yield "a count", 1
    elif spec["type"] in ("number", "integer"):
        yield "no number", "many"
        yield "a truth", True
        yield "beyond any", float("inf")
        yield "no plain number", "1_000"
        if "minimum" in limits:
            yield "too small", limits["minimum"] - 1
        if "maximum" in limits:
            yield "too large", limits["maximum"] + 1
        if spec["type"] == "integer":
            yield "a part of one", 1.5
    else:
        yield "no text", ("a", "b")
        if "enum" in limits:
            yield "no word of it", "no such word"
        if pattern_of(spec) is not None:
            yield "unlike the pattern", "\x7f\x7f"


@pytest.mark.parametrize("name", BUILT_IN)
def test_a_wrong_cell_of_any_column_is_refused(name: str) -> None:
    package, table = BUILT_IN[name]
    resource = package.resources[table]
    frame = (plain(name, **AS_TEXT) if name in LOSSY else plain(name)).head(5)
    if frame.empty:
        return
    faults = {column: list(spoilt(name, column)) for column in resource.fields}
    for n in range(max(map(len, faults.values()))):
        # one fault in every column at once, and each column is named
        wrong = frame.astype(object)
        for column, some in faults.items():
            if n < len(some):
                wrong.at[0, column] = some[n][1]
        told = {column for column, _ in failures(name, wrong)}
        for column, some in faults.items():
            assert n >= len(some) or column in told, (column, some[n])


@pytest.mark.parametrize("name", ["chain.ratings", "hooks.chain-hooks", "use.leg-factors"])
def test_a_table_of_another_shape_is_refused(name: str) -> None:
    frame = plain(name)
    last = str(frame.columns[-1])
    for wrong in (
        frame.drop(columns=last),
        frame.assign(more=1),
        frame[[last, *frame.columns[:-1]]],
        pd.concat([frame, frame.head(1)], ignore_index=True),
        frame.set_axis([*frame.columns[:-1], frame.columns[0]], axis=1),
    ):
        with pytest.raises((SchemaError, SchemaErrors)):
            validated(name, wrong)


def test_a_maker_has_the_schema_of_a_package_in_a_folder(folder: Path) -> None:
    schema = tallyhook.pandera_schema(folder, "loads")
    taken = schema.validate(pd.read_csv(folder / "data/loads.csv"))
    pd.testing.assert_frame_equal(
        taken, typed_table(load_package(folder), "loads").reset_index(drop=True)
    )


@pytest.mark.parametrize(
    ("package", "table", "says"),
    [
        ("ropes", None, "there is no rating package 'ropes'"),
        ("chain", "ropes", "there is no table 'ropes'"),
        (Path("nowhere"), "loads", "there is no such folder"),
    ],
)
def test_a_schema_that_there_is_not_is_one_sentence(
    package: str | Path, table: str | None, says: str
) -> None:
    with pytest.raises(PackageError, match=says):
        tallyhook.pandera_schema(package, table)


def test_the_main_table_is_that_of_ratings() -> None:
    for package in built_in_packages():
        schema = tallyhook.pandera_schema(package)
        pd.testing.assert_frame_equal(schema.validate(tallyhook.ratings(package)), tallyhook.ratings(package))  # fmt: skip
