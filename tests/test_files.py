"""Output files are whole or not there."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tallyhook.errors import TallyhookError
from tallyhook.files import whole_file, write_whole


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
