"""Output files are whole or not there."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tallyhook.errors import TallyhookError
from tallyhook.files import _aside, restore_folder, whole_file, whole_folder, write_whole


def test_a_file_is_written_as_it_is(tmp_path: Path) -> None:
    write_whole(tmp_path / "a.txt", "Größe\r\nnext\n")
    assert (tmp_path / "a.txt").read_bytes() == "Größe\r\nnext\n".encode()
    assert [p.name for p in tmp_path.iterdir()] == ["a.txt"]


def test_a_failed_write_leaves_the_old_file_and_nothing_else(tmp_path: Path) -> None:
    target = tmp_path / "report.html"
    target.write_text("yesterday")
    with pytest.raises(ZeroDivisionError), whole_file(target) as draft:
        draft.write_text("half of it")
        1 / 0  # noqa: B018
    assert target.read_text() == "yesterday"
    assert [p.name for p in tmp_path.iterdir()] == ["report.html"]


def test_a_reader_sees_the_old_or_the_new_file_never_a_part(tmp_path: Path) -> None:
    target = tmp_path / "report.html"
    target.write_text("yesterday")
    with whole_file(target) as draft:
        draft.write_text("today")
        assert target.read_text() == "yesterday"
        assert draft.parent == target.parent  # else taking its place is no single step
    assert target.read_text() == "today"


def test_a_folder_that_is_missing_is_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(TallyhookError, match=r"cannot be written .*check the folder"):
        write_whole(tmp_path / "no" / "a.txt", "x")
    with pytest.raises(TallyhookError, match="cannot be written"):
        write_whole(tmp_path, "x")


@pytest.mark.skipif(os.name != "posix", reason="permissions and links of POSIX")
def test_permissions_and_links_stay(tmp_path: Path) -> None:
    target = tmp_path / "real.csv"
    target.write_text("old")
    target.chmod(0o640)
    link = tmp_path / "link.csv"
    link.symlink_to(target)
    write_whole(link, "new")
    assert link.is_symlink() and target.read_text() == "new"
    assert target.stat().st_mode & 0o777 == 0o640


@pytest.mark.skipif(os.name != "posix", reason="/dev/null")
def test_a_device_is_written_to_and_not_replaced() -> None:
    write_whole("/dev/null", "x")
    assert not Path("/dev/null").is_file()


KILLED = """
import os, sys
from pathlib import Path
from tallyhook.cli.main import main
replace, seen, steps = Path.replace, [], int(sys.argv[1])
def killed_at(self, target):
    seen.append(self)
    if len(seen) > steps:
        os._exit(9)
    return replace(self, target)
Path.replace = killed_at
sys.argv = ["tallyhook", *sys.argv[2:]]
main()
"""


@pytest.mark.parametrize("steps", [0, 1])
def test_a_tidy_that_is_killed_leaves_the_old_folder_or_one_that_the_next_restores(
    tmp_path: Path, steps: int
) -> None:
    def run(program: list[str], *arguments: str) -> int:
        return subprocess.run(
            [sys.executable, *program, *arguments], cwd=tmp_path, capture_output=True, check=False
        ).returncode

    tidied, command = tmp_path / "tidied", ["-m", "tallyhook"]
    (tmp_path / "list.csv").write_text("Item,Size,Grade,WLL (lbs)\nChain,3/8,70,6600\n")
    (tmp_path / "bad.csv").write_text("nothing,in,it\n")
    assert run(command, "tidy", "list.csv", "-o", "tidied") == 0
    before = (tidied / "list.csv").read_bytes()
    (tmp_path / "list.csv").write_text("Item,Size,Grade,WLL (lbs)\nChain,1/2,70,11300\n")
    assert run(["-c", KILLED], str(steps), "tidy", "list.csv", "-o", "tidied") == 9
    assert tidied.exists() == (steps == 0)
    # whatever the next run does: the old folder is there again, or its own new one is
    assert run(command, "tidy", "list.csv", "-o", "tidied") == 0
    after = (tidied / "list.csv").read_bytes()
    assert after != before and b"11300" in after
    assert not [p for p in tmp_path.iterdir() if p.name.endswith("-old")]


def test_a_folder_that_was_moved_aside_comes_back_before_anything_is_refused(
    tmp_path: Path,
) -> None:
    folder = tmp_path / "tidied"
    with whole_folder(folder) as draft:
        (draft / "list.csv").write_text("yesterday")
    folder.replace(_aside(folder))  # as a run leaves it that is killed between its two steps
    restore_folder(folder)
    assert (folder / "list.csv").read_text() == "yesterday"
    assert [p.name for p in tmp_path.iterdir()] == ["tidied"]
