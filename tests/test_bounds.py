"""What a list may ask for is bounded, the same everywhere, and each bound can be raised."""

from __future__ import annotations

import io
import re
import time
import zipfile
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

import tallyhook
from command_line import here
from tallyhook.bounds import Bounds, bounds, within_bounds
from tallyhook.errors import StockListError

# ASTM chain, grade 80, 3/8 in: 7,100 lb
HEADING, ROW = "Code{n},Item,Size,Grade,WLL (lb)\n", "P{n},Chain,3/8,80,7100\n"


def tables(folder: Path, count: int) -> Path:
    path = folder / f"{count}-tables.csv"
    path.write_text("".join((HEADING + ROW).format(n=n) for n in range(count)))
    return path


def rows(folder: Path, count: int) -> Path:
    path = folder / f"{count}-rows.csv"
    path.write_text(HEADING + "".join(ROW.format(n=n) for n in range(count)))
    return path


def texts(folder: Path, count: int) -> Path:
    path = folder / f"{count}-texts.csv"
    path.write_text(HEADING + "".join(f"P,Chain bin {n},3/8,80,7100\n" for n in range(count)))
    return path


def workbook(folder: Path, count: int) -> Path:
    path, book = folder / f"{count}-rows.xlsx", openpyxl.Workbook()
    for row in rows(folder, count).read_text().splitlines():
        book.active.append(row.split(","))
    book.save(path)
    return path


def unpacking(folder: Path, count: int) -> Path:
    """A workbook with a part of so many MiB that packs to next to nothing."""
    path = folder / f"{count}-mib.xlsx"
    data = io.BytesIO(workbook(folder, 3).read_bytes())
    with zipfile.ZipFile(data, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/media/blank.bin", bytes(count * 2**20))
    path.write_bytes(data.getvalue())
    return path


BOUNDED: dict[str, tuple[Callable[[Path, int], Path], int, int]] = {
    # how a list is made that asks for so much, what just passes the bound, what is beyond it
    "tables": (tables, 3, 4),
    "rows": (rows, 9, 12),
    "texts": (texts, 5, 6),
    "cells": (workbook, 4, 20),
    "mib": (unpacking, 3, 5),
}
MOST = {"tables": 3, "rows": 10, "texts": 5, "cells": 200, "mib": 4}


def test_every_bound_is_tried() -> None:
    assert set(BOUNDED) == set(MOST) == set(Bounds.__slots__)


def test_none_is_below_ten_million_rows() -> None:
    usual = Bounds()
    assert min(usual.rows, usual.texts) >= 10_000_000
    assert usual.cells >= 10 * 10_000_000  # ten columns


@pytest.mark.parametrize("name", BOUNDED)
def test_what_goes_beyond_is_refused_in_a_sentence_that_says_how_to_raise_it(
    name: str, tmp_path: Path
) -> None:
    make, within, beyond = BOUNDED[name]
    most = {name: MOST[name]}
    assert tallyhook.check(make(tmp_path, within), bounds=most).counts["contradicted"] == 0
    large = make(tmp_path, beyond)
    with pytest.raises(StockListError, match=r"more than the bound of") as refused:
        tallyhook.check(large, bounds=most)
    refusal = here("check", large, "--bound", f"{name}={MOST[name]}")
    assert (refusal.returncode, refusal.stdout) == (2, "")
    assert refusal.stderr.strip() == f"tallyhook: {refused.value}"
    advice = re.search(r"--bound (\w+=\d+)\.", str(refused.value))
    assert advice is not None
    assert here("check", large, "--bound", advice[1]).returncode == 0
    assert here("tidy", large, "-o", tmp_path / "t", "--bound", f"{name}=1").returncode == 2
    assert not (tmp_path / "t").exists()


def test_what_packs_too_well_is_refused_until_its_size_is_said(tmp_path: Path) -> None:
    path = unpacking(tmp_path, 80)
    refusal = here("check", path)
    assert refusal.returncode == 2
    advice = re.search(r"--bound (mib=\d+)\.", " ".join(refusal.stderr.split()))
    assert advice is not None, refusal.stderr
    assert here("check", path, "--bound", advice[1]).returncode == 0


@pytest.mark.parametrize(
    ("bound", "says"),
    [
        ("rows=0", "the bound rows cannot be 0"),
        ("rows=-1", "'-1' is no whole number"),
        ("rows=1e9", "'1e9' is no whole number"),
        ("rows", "'rows' is not NAME=NUMBER"),
        ("lines=5", "there is no bound 'lines'; use one of rows, tables, texts, mib, cells"),
    ],
)
def test_a_bound_that_is_none_is_refused(bound: str, says: str, tmp_path: Path) -> None:
    refusal = here("check", rows(tmp_path, 3), "--bound", bound)
    assert refusal.returncode == 2
    assert says in " ".join(refusal.stderr.split())


def test_bounds_end_with_their_block() -> None:
    with within_bounds({"rows": 7}):
        assert bounds() == Bounds(rows=7)
    assert bounds() == Bounds()


def test_a_limit_of_time_is_one_sentence_and_nothing_half_written(tmp_path: Path) -> None:
    slow = tables(tmp_path, 900)
    started = time.monotonic()
    refusal = here("tidy", slow, "-o", tmp_path / "tidied", "--minutes", "0.02")
    assert time.monotonic() - started < 8
    assert (refusal.returncode, refusal.stdout) == (2, "")
    assert refusal.stderr.startswith("tallyhook: not done within 0.02 minutes")
    assert {p.name for p in tmp_path.iterdir()} == {slow.name}


def test_enough_time_changes_nothing(tmp_path: Path) -> None:
    path = rows(tmp_path, 20)
    assert here("check", path, "--minutes", "5") == here("check", path)


def test_no_time_at_all_is_refused(tmp_path: Path) -> None:
    for minutes in ("0", "-1", "nan"):
        refusal = here("check", rows(tmp_path, 3), "--minutes", minutes)
        assert refusal.returncode == 2 and "leaves no time" in refusal.stderr
