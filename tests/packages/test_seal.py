"""Sealing: hashes are recorded, and a version that says too little is refused."""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
from pathlib import Path

import pytest

from package_folders import LOADS, describe, edit, make_package
from programs import GIT, path_of
from tallyhook.errors import PackageError
from tallyhook.packages.changes import Snapshot, changes, current
from tallyhook.packages.package import datasets_folder, load_package
from tallyhook.packages.seal import committed, main, rederive, seal


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return make_package(tmp_path / "demo")


@pytest.fixture
def sealed(folder: Path) -> tuple[Path, Snapshot]:
    seal(folder, against=None)
    return folder, current(folder)


def release(folder: Path, version: str) -> None:
    describe(folder, version=version)
    edit(folder, "# Changes\n", f"# Changes\n\n## {version} - 2026-11-26\n\nWhy.\n", "CHANGELOG.md")


def test_hash_and_size_are_those_of_the_file(folder: Path) -> None:
    seal(folder, against=None)
    loads = json.loads((folder / "datapackage.json").read_text())["resources"][0]
    assert loads["hash"] == "sha256:" + hashlib.sha256(LOADS.encode()).hexdigest()
    assert loads["bytes"] == len(LOADS)
    load_package(folder, sealed=True)


def test_sealing_twice_changes_nothing(folder: Path) -> None:
    seal(folder, against=None)
    once = (folder / "datapackage.json").read_bytes()
    seal(folder, against=None)
    assert (folder / "datapackage.json").read_bytes() == once
    assert once.startswith(b'{\n  "name"') and once.endswith(b"}\n")


def test_an_edit_after_the_seal_is_noticed_on_loading(sealed: tuple[Path, Snapshot]) -> None:
    folder, _ = sealed
    edit(folder, "3200", "3201")
    with pytest.raises(PackageError, match="not the one this package was sealed with"):
        load_package(folder, sealed=True)


@pytest.mark.parametrize(
    ("old", "new", "level", "enough", "too_small"),
    [
        pytest.param("10,80,3200,7100", "10,80,3150,7100", "minor", "1.1.0", "1.0.1", id="a stricter rating"),
        pytest.param("row 1,published", "row 1,recalled", "major", "2.0.0", "1.1.0", id="how it is known"),
        pytest.param("10,80,3200,7100", "10,80,3201,7100", "major", "2.0.0", "1.1.0", id="a rating that lets more pass"),
        pytest.param("row 1,", "line 1,", "patch", "1.0.1", "1.0.0", id="words"),
        pytest.param("13,80,5400,12000,the-law,row 2,published\n", "", "major", "2.0.0", "1.9.9", id="a row goes"),
        pytest.param("13,80,5400", "14,80,5400", "major", "2.0.0", "1.1.0", id="a key"),
    ],
)  # fmt: skip
def test_the_version_has_to_say_what_changed(
    sealed: tuple[Path, Snapshot], old: str, new: str, level: str, enough: str, too_small: str
) -> None:
    folder, before = sealed
    edit(folder, old, new)
    release(folder, too_small)
    with pytest.raises(PackageError, match=f"too small a step for .* first {level.upper()} loads"):
        seal(folder, against=before)
    release(folder, enough)
    assert seal(folder, against=before)[0].level == level


def test_the_first_change_is_shown_with_its_old_and_new_value(
    sealed: tuple[Path, Snapshot],
) -> None:
    folder, before = sealed
    edit(folder, "7100", "7000")
    with pytest.raises(PackageError) as error:
        seal(folder, against=before)
    assert (
        "version 1.0.0 after 1.0.0 is too small a step for 1 changes, first MINOR loads 10/80 wll_lb:"
        " 7100 -> 7000 lb (lowered, stricter); raise the MINOR number" in str(error.value)
    )


def test_without_a_changelog_entry_nothing_is_sealed(folder: Path) -> None:
    describe(folder, version="1.2.0")
    with pytest.raises(PackageError, match=r"no heading for version 1\.2\.0"):
        seal(folder, against=None)
    assert "hash" not in (folder / "datapackage.json").read_text()


def test_a_version_is_three_numbers(folder: Path) -> None:
    describe(folder, version="1.2")
    with pytest.raises(PackageError, match=r"'1\.2' is not a version"):
        seal(folder, against=None)


def test_the_committed_state_is_what_git_has(folder: Path) -> None:
    def git(*words: str) -> None:
        identity = ["-c", "user.name=t", "-c", "user.email=t@example.org"]
        subprocess.run(
            [path_of(GIT), "-C", str(folder), *identity, *words], check=True, capture_output=True
        )

    assert committed(folder) is None
    git("init", "-q")
    assert committed(folder) is None
    git("add", ".")
    git("commit", "-q", "-m", "first")
    edit(folder, "3200", "3150")
    before = committed(folder)
    assert before is not None
    assert "3200" in before.files["data/loads.csv"]
    assert [c.new for c in changes(before, current(folder))] == ["3150"]
    with pytest.raises(PackageError, match="the repository has no state v1; name a commit"):
        committed(folder, "v1")  # else a slip of the hand would let anything pass
    edit(folder, "{", "[", "datapackage.json")
    git("commit", "-q", "-a", "-m", "broken")
    with pytest.raises(PackageError, match="what HEAD has there is no package"):
        committed(folder)


def test_deriving_restores_what_was_edited_by_hand(tmp_path: Path) -> None:
    folder = tmp_path / "chain"
    shutil.copytree(datasets_folder() / "chain", folder)
    edit(folder, "european,80,10,,3150", "european,80,10,,3200", "data/ratings.csv")
    assert rederive(folder) == [folder / "data" / "ratings.csv"]
    assert (folder / "data" / "ratings.csv").read_bytes() == (
        datasets_folder() / "chain" / "data" / "ratings.csv"
    ).read_bytes()
    assert rederive(folder) == []


def test_the_id_of_a_rating_that_went_is_remembered(folder: Path) -> None:
    schema = json.loads((folder / "datapackage.json").read_text())["resources"]
    schema[0]["schema"]["fields"].insert(0, {"name": "rating_id", "type": "string"})
    describe(folder, resources=schema)
    for key, name in (("size_mm", "rating_id"), ("10,80", "demo/10mm"), ("13,80", "demo/13mm")):
        edit(folder, key, f"{name},{key}")
    seal(folder, against=None)
    before = current(folder)
    edit(folder, "demo/13mm,13,80,5400,12000,the-law,row 2,published\n", "")
    release(folder, "2.0.0")
    with pytest.raises(PackageError, match=r"not in retired\.csv, first demo/13mm"):
        seal(folder, against=before)
    (folder / "retired.csv").write_text(
        "rating_id,reason\ndemo/13mm,never made\n", encoding="utf-8"
    )
    fields = [{"name": "rating_id"}, {"name": "reason"}]
    retired = {"name": "retired", "path": "retired.csv", "schema": {"fields": fields}}
    describe(folder, resources=[*schema, retired])
    assert [str(c) for c in seal(folder, against=before)] == [
        "MAJOR loads demo/13mm: row withdrawn, retired",
        "MINOR retired: table added",
    ]


def test_the_command_says_what_forces_what(
    sealed: tuple[Path, Snapshot],
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    folder, before = sealed
    monkeypatch.setattr("tallyhook.packages.seal.committed", lambda *_: before)
    edit(folder, "3200", "3300")
    edit(folder, "row 2", "line 2")
    release(folder, "1.1.0")
    assert main([str(folder)]) == 2
    told = capsys.readouterr()
    assert told.out.splitlines() == [
        "  MAJOR loads 10/80 wll_kg: 3200 -> 3300 kg (raised, permissive)",
        "  PATCH loads 13/80 locator: row 2 -> line 2 (words)",
    ]
    assert "raise the MAJOR number" in told.err
