"""What changed between two states of packages: the lines, the verdict, the JSON."""

from __future__ import annotations

import contextlib
import json
import re
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

import tallyhook
from fuzzing.packages import package, sound_package
from package_folders import describe, edit, make_package
from pseudo_language import LANGUAGE, write_catalogue
from tallyhook.errors import PackageError
from tallyhook.messages import in_language
from tallyhook.packages.changes import Change
from tallyhook.packages.diff import SCHEMA_VERSION, Differences, diff, diff_schema
from tallyhook.packages.levels import KINDS
from tallyhook.wording import CAUTION

SCHEMA = diff_schema()


@pytest.fixture
def states(tmp_path: Path) -> tuple[Path, Path]:
    return make_package(tmp_path / "old"), make_package(tmp_path / "new")


def valid(found: Differences) -> dict[str, Any]:
    """Give the JSON of a comparison, held against its schema."""
    told: dict[str, Any] = json.loads(found.to_json())
    Draft202012Validator(SCHEMA).validate(told)
    return told


def test_one_value_is_one_line_with_the_level_it_forces(states: tuple[Path, Path]) -> None:
    old, new = states
    edit(new, "3200", "3300")
    describe(new, version="1.1.0")
    assert (
        diff(old, new).to_text()
        == f"""\
{old} -> {new}

demo
  MAJOR loads 10/80 wll_kg: 3200 -> 3300 kg (raised, permissive)

demo: the changes force MAJOR; 1.0.0 -> 1.1.0 is MINOR and does not suffice.

{CAUTION}
"""
    )


def test_the_json_has_all_of_it(states: tuple[Path, Path]) -> None:
    old, new = states
    edit(new, "3200", "3150")
    describe(new, version="1.1.0")
    assert valid(diff(str(old), new)) == {
        "tool": "tallyhook",
        "version": tallyhook.__version__,
        "schema_version": "1.0",
        "old": str(old),
        "new": str(new),
        "same": False,
        "level": "minor",
        "packages": [
            {
                "name": "demo",
                "old_version": "1.0.0",
                "new_version": "1.1.0",
                "level": "minor",
                "step": "minor",
                "suffices": True,
                "changes": [
                    {
                        "level": "minor",
                        "kind": "value-stricter",
                        "table": "loads",
                        "rating_id": None,
                        "key": "10/80",
                        "column": "wll_kg",
                        "old": "3200",
                        "new": "3150",
                        "unit": "kg",
                        "direction": "lowered",
                        "effect": "stricter",
                        "note": None,
                    }
                ],
            }
        ],
        "not_compared": [],
        "caution": CAUTION,
    }


@pytest.mark.parametrize(
    ("change", "version", "verdict"),
    [
        (None, "1.0.0", "Nothing differs.\ndemo: nothing differs, 1.0.0."),
        (None, "1.0.1", "demo: only the version differs, 1.0.0 -> 1.0.1."),
        (None, "0.9.0", "demo: only the version differs, and 1.0.0 -> 0.9.0 is no step up."),
        (("3200", "3150"), "1.1.0", "demo: the changes force MINOR; 1.0.0 -> 1.1.0 is MINOR and suffices."),
        (("3200", "3150"), "2.0.0", "demo: the changes force MINOR; 1.0.0 -> 2.0.0 is MAJOR and suffices."),
        (("3200", "3150"), "1.0.1", "demo: the changes force MINOR; 1.0.0 -> 1.0.1 is PATCH and does not suffice."),
        (("3200", "3150"), "1.0.0", "demo: the changes force MINOR; 1.0.0 -> 1.0.0 is no step up and does not suffice."),
        (("3200", "3150"), "new", "demo: the changes force MINOR; 1.0.0 -> new is no step up and does not suffice."),
        (("row 1", "line 1"), "1.0.1", "demo: the changes force PATCH; 1.0.0 -> 1.0.1 is PATCH and suffices."),
    ],
)  # fmt: skip
def test_the_verdict_on_the_version(
    states: tuple[Path, Path], change: tuple[str, str] | None, version: str, verdict: str
) -> None:
    old, new = states
    if change:
        edit(new, *change)
    describe(new, version=version)
    found = diff(old, new)
    assert found.to_text().endswith(f"\n{verdict}\n\n{CAUTION}\n")
    assert found.same is verdict.startswith("Nothing")
    assert valid(found)["packages"][0]["suffices"] is not (
        "not suffice" in verdict or "no step" in verdict
    )


def test_packages_are_paired_by_name(tmp_path: Path) -> None:
    for state, names in (("old", ("one", "two")), ("new", ("two", "three"))):
        for name in names:
            describe(make_package(tmp_path / state / name), name=name)
    found = diff(tmp_path / "old", tmp_path / "new")
    assert [(p.name, p.old_version, p.new_version, p.level) for p in found.packages] == [
        ("one", "1.0.0", None, "major"),
        ("three", None, "1.0.0", "minor"),
        ("two", "1.0.0", "1.0.0", None),
    ]
    told = found.to_text()
    assert "MAJOR package withdrawn\n" in told and "MINOR package added\n" in told
    assert "one: withdrawn, it was 1.0.0; this forces MAJOR for the whole." in told
    assert "three: added as 1.0.0; this forces MINOR for the whole." in told
    assert found.level == "major"
    assert [p["suffices"] for p in valid(found)["packages"]] == [None, None, True]


def test_of_a_single_package_only_that_one_is_compared(tmp_path: Path) -> None:
    for name in ("one", "two"):
        describe(make_package(tmp_path / "old" / name), name=name)
    new = describe_and_give(tmp_path / "new", name="two")
    found = diff(tmp_path / "old", new)
    assert [p.name for p in found.packages] == ["two"]
    # nothing is left out silently
    assert found.not_compared == ("one",) and valid(found)["not_compared"] == ["one"]
    assert "Not compared, since one side has none of it: one.\n" in found.to_text()
    assert [p.name for p in diff(new, tmp_path / "old").packages] == ["two"]
    describe(new, name="four")
    with pytest.raises(PackageError, match=r"old: there is no package four in it; it has one, two"):
        diff(tmp_path / "old", new)


def test_two_single_packages_are_compared_whatever_their_names(tmp_path: Path) -> None:
    old = describe_and_give(tmp_path / "old", name="one")
    new = describe_and_give(tmp_path / "new", name="two")
    assert [str(c) for c in diff(old, new).changes] == ["MAJOR name: one -> two (package renamed)"]


def describe_and_give(folder: Path, **changes: Any) -> Path:
    describe(make_package(folder), **changes)
    return folder


def test_the_schema_is_strict_and_knows_every_kind() -> None:
    Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["properties"]["schema_version"] == {"const": SCHEMA_VERSION}
    change = SCHEMA["$defs"]["change"]
    assert change["properties"]["kind"]["enum"] == list(KINDS)
    assert change["required"] == list(change["properties"])
    for part in (SCHEMA, *SCHEMA["$defs"].values()):
        assert part.get("type") != "object" or part["additionalProperties"] is False


def test_a_package_from_anywhere_writes_no_line_of_its_own(states: tuple[Path, Path]) -> None:
    old, new = states
    edit(new, "row 1", '"row\n\x1b[2J MAJOR ' + "1" * 500 + '"')
    lines = diff(old, new).to_text().splitlines()
    assert [line for line in lines if "locator" in line] == [
        "  PATCH loads 10/80 locator: row 1 -> row\\n\\x1b[2J MAJOR " + "1" * 45 + "... (words)"
    ]


def test_a_narrow_terminal_gets_narrow_lines(
    states: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    old, new = states
    edit(new, "3200", "3300")
    monkeypatch.setenv("COLUMNS", "40")
    lines = diff(old, new).to_text().splitlines()
    assert all(len(line) <= 40 for line in lines if "/" not in line)
    assert "  MAJOR loads 10/80 wll_kg: 3200 -> 3300\n      kg (raised, permissive)" in "\n".join(
        lines
    )


def test_a_change_is_told_the_same_in_python() -> None:
    assert tallyhook.diff is diff
    change = Change(level="minor", kind="row-added", table="loads", rating_id="demo/10mm")
    assert str(change) == "MINOR loads demo/10mm: row added"


def test_a_hostile_package_is_compared_or_refused_in_one_sentence(tmp_path: Path) -> None:
    for seed in range(0, 60, 3):
        sides = tmp_path / f"{seed}-old", tmp_path / f"{seed}-new"
        for side, files in zip(sides, (sound_package("grab-hooks"), package(seed)), strict=True):
            for name, data in files.items():
                path = side / name
                with contextlib.suppress(OSError, ValueError):  # names that no file can have
                    path.parent.mkdir(parents=True, exist_ok=True)
                    path.write_bytes(data)
        try:
            found = diff(*sides)
        except PackageError as error:
            assert len(str(error).splitlines()) == 1
        else:
            valid(found)
            assert all(line.isprintable() for line in found.to_text().split("\n"))


def test_a_comparison_is_said_by_messages(states: tuple[Path, Path], tmp_path: Path) -> None:
    old, new = states
    edit(new, "3200", "3300")
    edit(new, "13,80,5400,12000", "13,80,5400,")
    edit(new, "row 1,published", "row 1,recalled")
    write_catalogue(tmp_path / "locale")
    with in_language(LANGUAGE, tmp_path / "locale"):
        told = diff(old, new).to_text()
    parts = {
        *str(old).split("/"),
        *str(new).split("/"),
        "MAJOR",
        "loads",
        "wll_kg",
        "wll_lb",
        "kg",
        "lb",
    }
    parts |= {"demo", "known_by", "published", "recalled"}
    assert set(re.findall(r"[A-Za-z_][\w-]*", told)) - parts == set()
