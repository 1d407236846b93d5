"""Files that are too large somewhere are refused in one sentence, soon and in little memory.

`scripts/fuzz --way huge` does the same with all of them, at their full size.
"""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

from fuzzing import huge
from tallyhook.errors import StockListError
from tallyhook.reading.lists import read_list

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize(
    ("make", "size"),
    [
        (huge.quote_never_closed, 30_000_000),
        (huge.cell_of_csv, 30_000_000),
        (huge.line_of_csv, 100_000),
        (huge.keys_of_json, 300_000),
        (huge.deep_json, 1_000_000),
        (huge.columns_of_parquet, 5_000),
        (huge.shared_string, 20_000_000),
        (huge.far_cell, 0),
        (huge.blanks_in_sheet, 100_000_000),
        (huge.strings_that_lie, 100_000_000),
        (huge.repeats_of_ods, 10**9),
        (huge.blanks_of_ods, 10**9),
        (huge.long_text_of_ods, 10**6),
    ],
    ids=lambda given: getattr(given, "__name__", str(given)),
)
def test_a_file_that_is_huge_somewhere_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, make: huge.Make, size: int
) -> None:
    monkeypatch.setenv("PYTHONPATH", str(ROOT / "validators"))
    path = tmp_path / "list"
    path.write_bytes(make(size))
    for command in (("check", path), ("tidy", path, "-o", tmp_path / "out")):
        ended = huge.run(*command)
        assert ended.fault is None, command[0]
    assert [p.name for p in tmp_path.iterdir()] == ["list"]


def _edited(path: Path, old: bytes, new: bytes) -> Path:
    """Give a workbook of two rows, its sheet written in another way."""
    from openpyxl import Workbook

    book, plain = Workbook(), path.with_name("plain.xlsx")
    book.active.append(["Item", "WLL kg"])
    book.active.append(["hook", 2000])
    book.save(plain)
    with zipfile.ZipFile(plain) as before, zipfile.ZipFile(path, "w") as after:
        for name in before.namelist():
            part = before.read(name)
            if name.endswith("sheet1.xml"):
                assert old in part
                part = part.replace(old, new)
            after.writestr(name, part)
    return path


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b' r="B2"', b' r="XFD1048576"'),
        (b' r="B2"', b" r='XFD1048576'"),
        (b' r="B2"', b' r = "XFD1048576"'),
        (b' r="B2"', b' r="xfd1048576"'),
        (b' r="B2"', b' x=">" r="XFD1048576"'),
        (b' r="B2"', b' r="XFD1048576" x="/>"'),
        (b' r="B2"', b' r="ABC1048576"'),
        (b' r="B2"', b' r="B4294967295"'),
        (b'<row r="2"', b'<row x=">" r="4294967290"><c><v>1</v></c></row><row r="2"'),
    ],
)
def test_a_stray_cell_is_found_however_its_place_is_written(
    tmp_path: Path, old: bytes, new: bytes
) -> None:
    # what is missed here makes the library ask for more memory than there is and abort
    with pytest.raises(
        StockListError, match=r"more than (can be read|the bound of .* clear the stray cells)"
    ):
        read_list(_edited(tmp_path / "list.xlsx", old, new))


@pytest.mark.parametrize("new", [b"<c r='B2'", b'<c t="n" r="B2"', b"<c"])
def test_a_sheet_that_is_written_in_another_way_is_read_all_the_same(
    tmp_path: Path, new: bytes
) -> None:
    sheet = read_list(_edited(tmp_path / "list.xlsx", b'<c r="B2" t="n"', new))[0]
    assert sheet.frame.rows() == [(1, "Item", "WLL kg"), (2, "hook", "2000")]


def test_hidden_rows_are_found_however_the_row_is_written(tmp_path: Path) -> None:
    path = _edited(tmp_path / "list.xlsx", b'<row r="2"', b"<row hidden='1' r='2'")
    assert read_list(path)[0].hidden == {2}


def test_a_cell_of_ods_that_is_repeated_without_end_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "list.ods"
    path.write_bytes(huge.repeats_of_ods(10**9))
    with pytest.raises(StockListError, match="1000000000 columns"):
        read_list(path)
