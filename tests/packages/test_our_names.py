"""The names of our own ratings: one for each row, made of the key, and never of prose."""

from __future__ import annotations

import csv
import json
import shutil
from pathlib import Path

import pytest

from tallyhook.packages.package import BUILT_IN, datasets_folder, load_package
from tallyhook.packages.seal import rederive

PROSE = (
    "locator",
    "note",
    "temperature_note",
    "note_80",
    "note_100",
    "description",
    "text",
    "applies_to",
    "consequence",
    "when",
)
LONGEST = 100
"""Characters of a name that a person still reads at a glance; common practice, no source."""


def names_in(folder: Path) -> dict[str, list[str]]:
    """Read every name of a package, by the file that it stands in."""
    found = {}
    descriptor = json.loads((folder / "datapackage.json").read_text(encoding="utf-8"))
    for resource in descriptor["resources"]:
        if any(f["name"] == "rating_id" for f in resource["schema"]["fields"]):
            with (folder / resource["path"]).open(encoding="utf-8", newline="") as file:
                found[resource["path"]] = [row["rating_id"] for row in csv.DictReader(file)]
    return found


def reword(folder: Path) -> int:
    """Write other prose into every cell of prose, printed or derived; give how many there were."""
    reworded = 0
    path = folder / "datapackage.json"
    descriptor = json.loads(path.read_text(encoding="utf-8"))
    for resource in descriptor["resources"]:
        table = folder / resource["path"]
        with table.open(encoding="utf-8", newline="") as file:
            rows = list(csv.reader(file))
        prose = {f["name"] for f in resource["schema"]["fields"] if f.get("words")}.union(PROSE)
        places = [n for n, column in enumerate(rows[0]) if column in prose]
        for number, row in enumerate(rows[1:]):
            for place in places:
                # an empty cell stays one: where it is derived, a filled one makes a row
                if row[place]:
                    row[place] = f"said in other words, {number}"
                    reworded += 1
        with table.open("w", encoding="utf-8", newline="") as file:
            csv.writer(file, lineterminator="\n").writerows(rows)
        for derivation in resource.get("derives", []):
            for given in (
                derivation.get("constants", {}),
                *(c.get("set", {}) for c in derivation["cells"]),
            ):
                for column in given.keys() & set(PROSE):
                    given[column] = f"said in other words, {given[column]}"
                    reworded += 1
    path.write_text(json.dumps(descriptor), encoding="utf-8")
    return reworded


@pytest.mark.parametrize("name", BUILT_IN)
def test_no_name_changes_with_any_locator_or_note(name: str, tmp_path: Path) -> None:
    folder = tmp_path / name
    shutil.copytree(datasets_folder() / name, folder)
    before = names_in(folder)
    assert reword(folder) > 0
    rederive(folder)
    after = names_in(folder)
    # a derived table is sorted by its key, in which no prose stands, so that the order stays too
    assert after == before
    # and they are made anew, not only kept
    for table, names in before.items():
        wiped = (folder / table).read_text(encoding="utf-8")
        for each in sorted(names, key=len, reverse=True):
            wiped = wiped.replace(f"\n{each},", "\n,")
        (folder / table).write_text(wiped, encoding="utf-8")
    rederive(folder)
    assert {t: n for t, n in names_in(folder).items() if t.startswith("data/")} == {
        t: n for t, n in before.items() if t.startswith("data/")
    }


def test_every_name_is_that_of_one_rating_and_can_be_read() -> None:
    everywhere: dict[str, str] = {}
    words = set("abcdefghijklmnopqrstuvwxyz0123456789.-/")
    for package in BUILT_IN:
        for table, names in names_in(datasets_folder() / package).items():
            for name in names:
                assert name not in everywhere, (name, everywhere.get(name), f"{package}/{table}")
                everywhere[name] = f"{package}/{table}"
                assert set(name) <= words, name
                assert "/" in name and "//" not in name and len(name) <= LONGEST, name
                assert not name.startswith(("/", "-")) and not name.endswith(("/", "-")), name
    assert len(everywhere) > 1000


# the examples of issue 13
@pytest.mark.parametrize(
    ("package", "name"),
    [
        ("chain", "chain/us-chain/80/10mm"),
        ("grab-hooks", "grab-hook/european/80/10mm/no-cradle/no-cradle-20"),
    ],
)
def test_the_names_of_the_issue_are_there(package: str, name: str) -> None:
    row = load_package(datasets_folder() / package)["ratings"].filter(rating_id=name)
    assert row["grade"].to_list() == [80]
    assert row["size_mm"].to_list() == [10.0]


@pytest.mark.parametrize("name", ["chain", "grab-hooks", "use", "inspection"])
def test_every_table_of_ratings_names_its_rows(name: str) -> None:
    package = load_package(datasets_folder() / name)
    unnamed = [
        resource.name
        for resource in package.canonical
        if resource.path.startswith("data/") and "ratingId" not in resource.descriptor["schema"]
    ]
    assert unnamed == []
    assert "retired" in package.resources
