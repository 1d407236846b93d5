"""Every number of every package moved both ways, and the level that each move forces.

The packages are the real ones. What is expected follows from the rule of versions alone: a value
that moves the permissive way is MAJOR, one that becomes stricter MINOR; what is of a key, or has
no direction, is MAJOR both ways. Which way is permissive, the descriptor says; that it says so
rightly is the affair of `test_permissive.py`.
"""

from __future__ import annotations

import csv
import io
import json
import shutil
from collections.abc import Iterator
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from package_folders import edit
from tallyhook.packages.changes import Snapshot, changes, current
from tallyhook.packages.diff import diff
from tallyhook.packages.package import datasets_folder

DATASETS = datasets_folder()
TABLES = [
    (folder.parent.name, resource["name"])
    for folder in sorted(DATASETS.glob("*/datapackage.json"))
    for resource in json.loads(folder.read_text(encoding="utf-8"))["resources"]
    if any(f["type"] in ("number", "integer") for f in resource["schema"]["fields"])
]


@cache
def package(name: str) -> Snapshot:
    return current(DATASETS / name)


def cells_to_move(
    resource: dict[str, Any], rows: list[dict[str, str]]
) -> Iterator[tuple[int, str, str]]:
    """Give a filled cell of every numeric column, for every way that it has: row, column, way."""
    schema = resource["schema"]
    key = schema.get("primaryKey", [])
    for field in schema["fields"]:
        if field["type"] not in ("number", "integer"):
            continue
        column, said, met = field["name"], field.get("permissive"), set()
        for place, row in enumerate(rows):
            if not row[column]:
                continue
            way = said if isinstance(said, str) else "neither"
            if isinstance(said, dict):
                ways = [w for w in ("up", "down") if row[said["column"]] in said.get(w, [])]
                way = ways[0] if ways else "neither"
            if column in ([key] if isinstance(key, str) else key):
                way = "key"
            if way not in met:
                met.add(way)
                yield place, column, way


@pytest.mark.parametrize(("name", "table"), TABLES)
def test_each_number_that_moves_forces_its_level(name: str, table: str) -> None:
    old = package(name)
    (resource,) = (r for r in old.descriptor["resources"] if r["name"] == table)
    path = resource["path"]
    rows = list(csv.DictReader(io.StringIO(old.files[path])))
    columns = list(rows[0])
    wrong = []
    for place, column, way in cells_to_move(resource, rows):
        for step in (1, -1):
            cell = str(Decimal(rows[place][column]) + step)
            text = io.StringIO()
            writer = csv.DictWriter(text, columns, lineterminator="\n")
            writer.writeheader()
            writer.writerows(r | {column: cell} if n == place else r for n, r in enumerate(rows))
            # the table alone: the others of the package are the same, and take their time
            found = changes(alone(old, resource), alone(old, resource, text.getvalue()))
            stricter = (way, step) in (("up", -1), ("down", 1))
            levels = [change.level for change in found]
            # one value is one line; a row without a name is another row where its key moves
            one = len(found) == 1 or way == "key"
            good = one and (levels == ["minor"] if stricter else levels[:1] == ["major"])
            if not good:
                wrong.append((place, column, way, step, [str(c) for c in found]))
    assert wrong == []


def alone(state: Snapshot, resource: dict[str, Any], text: str | None = None) -> Snapshot:
    """Give a state of the package that has this one table."""
    path = resource["path"]
    kept = {k: v for k, v in resource.items() if k != "derives"}
    return Snapshot(
        descriptor={**state.descriptor, "resources": [kept]},
        files={path: state.files[path] if text is None else text},
    )


def test_every_package_has_numbers_that_move() -> None:
    assert {"chain", "grab-hooks", "hooks", "inspection", "use", "vocabulary"} <= {
        n for n, _ in TABLES
    }
    assert len(TABLES) > 60


def test_the_ten_millimetre_chain_of_grade_80_raised(tmp_path: Path) -> None:
    """EN 818-2, 10 mm grade 8: 3.15 t. One value of a real package, changed in a real folder."""
    folder = tmp_path / "chain"
    shutil.copytree(DATASETS / "chain", folder)
    edit(
        folder,
        "chain/european/80/10mm,european,80,10,,3150",
        "chain/european/80/10mm,european,80,10,,3200",
        "data/ratings.csv",
    )
    assert [str(c) for c in diff(DATASETS / "chain", folder).changes] == [
        "MAJOR ratings chain/european/80/10mm wll_kg: 3150 -> 3200 kg (raised, permissive)"
    ]
    # and told once where the printed table was mended, and data/ derived from it
    edit(folder, "10,3.15", "10,3.2", "printed/en-818-2.csv")
    assert [str(c) for c in diff(DATASETS / "chain", folder).changes] == [
        "MAJOR ratings chain/european/80/10mm wll_kg: 3150 -> 3200 kg (raised, permissive)"
    ]


def test_only_what_permits_nothing_is_called_words() -> None:
    """What a rule says, whom it is for and when are prose as well, and could let more pass."""
    named = {
        (field["name"], field["type"])
        for path in DATASETS.glob("*/datapackage.json")
        for resource in json.loads(path.read_text(encoding="utf-8"))["resources"]
        for field in resource["schema"]["fields"]
        if field.get("words")
    }
    plain = ("address", "description", "explanation", "question", "reason", "title")
    assert named == {(name, "string") for name in plain}
