"""``tallyhook diff`` as somebody calls it: its words, its streams and its exit codes."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from command_line import ROOT, here, in_a_process
from package_folders import edit, make_package
from tallyhook.wording import CAUTION


@pytest.fixture
def states(tmp_path: Path) -> tuple[Path, Path]:
    old, new = make_package(tmp_path / "old"), make_package(tmp_path / "new")
    edit(new, "3200", "3300")
    return old, new


def test_the_same_is_0_and_different_is_1(states: tuple[Path, Path]) -> None:
    old, new = states
    same, different = here("diff", old, old), here("diff", old, new)
    assert (same.returncode, different.returncode) == (0, 1)
    assert (same.stderr, different.stderr) == ("", "")
    assert "Nothing differs.\n" in same.stdout
    assert [line for line in different.stdout.splitlines() if "->" in line and "MAJOR" in line] == [
        "  MAJOR loads 10/80 wll_kg: 3200 -> 3300 kg (raised, permissive)",
        "demo: the changes force MAJOR; 1.0.0 -> 1.0.0 is no step up and does not suffice.",
    ]
    assert all(each.stdout.endswith(f"\n{CAUTION}\n") for each in (same, different))


def test_json_is_one_object(states: tuple[Path, Path]) -> None:
    done = here("diff", *states, "--format", "json")
    assert done.returncode == 1
    told = json.loads(done.stdout)
    assert told["packages"][0]["changes"][0]["effect"] == "permissive"
    assert told["caution"] == CAUTION


@pytest.mark.parametrize(
    ("sides", "sentence"),
    [
        (("old", "nowhere"), "nowhere: there is no such folder or archive; name the folder of a"),
        (("old", "old/data"), "old/data: there is no rating package in it, no datapackage.json;"),
        (("old", "old/CHANGELOG.md"), "CHANGELOG.md: it is neither a .zip nor a .tar.gz;"),
        (("HEAD:old", "old"), "git refuses (fatal: not a git repository"),
        (("old",), "Missing argument 'NEW'"),
    ],
)
def test_what_cannot_be_compared_is_2_and_one_sentence(
    states: tuple[Path, Path],
    sides: tuple[str, ...],
    sentence: str,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(states[0].parent)
    done = here("diff", *sides)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("tallyhook: ") and done.stderr.count("\n") == 1
    assert sentence in done.stderr


def test_forty_columns_are_enough(
    states: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(states[0].parent)
    for args in (("old", "new"), ("old", "nowhere")):
        done = here("diff", *args, columns=40)
        assert [x for x in (done.stdout + done.stderr).splitlines() if len(x) > 40] == []


def test_who_reads_the_first_line_alone_is_not_told_that_all_was_written(
    states: tuple[Path, Path],
) -> None:
    old, new = states
    loads = "".join(f"{n},80,{n},{n},the-law,row {n},published\n" for n in range(20, 20_000))
    edit(new, "13,80,5400", loads + "13,80,5400")
    run = subprocess.Popen(
        [sys.executable, "-m", "tallyhook", "diff", str(old), str(new)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={"PYTHONPATH": str(ROOT / "validators"), "COLUMNS": "80"},
    )
    assert run.stdout is not None and run.stderr is not None
    assert b" -> " in run.stdout.readline()
    run.stdout.close()
    assert run.stderr.read() == b""
    assert run.wait(timeout=60) == 2
    run.stderr.close()


def test_the_help_says_what_forces_what() -> None:
    told = " ".join(in_a_process("diff", "--help", columns=80).stdout.split())
    for words in ("MAJOR:", "MINOR:", "PATCH:", "0 the same, 1 different, 2", "REVISION:FOLDER"):
        assert words in told


def test_the_schema_of_its_json_can_be_printed() -> None:
    printed = json.loads(here("schema", "diff").stdout)
    assert printed["$id"] == "urn:tallyhook:diff:1.0"
