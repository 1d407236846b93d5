"""Workbooks that break what reads them, are locked, or are called what they are not."""

from __future__ import annotations

import io
import os
import pickle
import struct
import subprocess
import sys
import zipfile
from pathlib import Path

import openpyxl
import pytest

from fuzzing import xlsb
from fuzzing.inputs import stock_list
from tallyhook.errors import StockListError
from tallyhook.reading import workbook_process
from tallyhook.reading.lists import read_list

ROOT = Path(__file__).resolve().parents[2]
OLD = ROOT / "tests/corpus/old-workbook/list.xls"
ROWS = [
    ["Item", "Size", "Grade", "WLL (lbs)"],
    ["Grab hook", "3/8", 70.0, 6600.0],
    ["Chain", "1/2", 70.0, 113000.0],
]


def test_a_binary_workbook_is_read_cell_by_cell(tmp_path: Path) -> None:
    path = tmp_path / "list.xlsb"
    path.write_bytes(xlsb.workbook(ROWS))
    (sheet,) = read_list(path)
    assert sheet.name == "List"
    assert sheet.frame.drop("row").rows() == [
        ("Item", "Size", "Grade", "WLL (lbs)"),
        ("Grab hook", "3/8", "70", "6600"),
        ("Chain", "1/2", "70", "113000"),
    ]


@pytest.mark.parametrize("ending", ["xls", "xlsx", "xlsb", "ods", "csv"])
def test_a_workbook_is_taken_for_what_it_holds(tmp_path: Path, ending: str) -> None:
    book = openpyxl.Workbook()
    for row in ROWS:
        book.active.append(row)
    book.save(tmp_path / "made.xlsx")
    ods = ROOT / "tests/corpus/notes-and-subtotals/list.ods"
    for data, place, text in (
        ((tmp_path / "made.xlsx").read_bytes(), 1, "Grab hook"),
        (xlsb.workbook(ROWS), 1, "Grab hook"),
        (OLD.read_bytes(), 2, "Bezeichnung"),
        (ods.read_bytes(), 0, read_list(ods)[0].frame["c0"][0]),
    ):
        path = tmp_path / f"list.{ending}"
        path.write_bytes(data)
        assert read_list(path)[0].frame["c0"][place] == text


def _locked(kind: str) -> bytes:
    if kind == "xls":  # an invented list, saved by LibreOffice with a password
        return (ROOT / "tests/workbooks/locked.xls").read_bytes()
    if kind == "xlsx":
        # [MS-OFFCRYPTO] 2.3.4: the encrypted package is a stream of this name
        data, name = OLD.read_bytes(), "EncryptedPackage\0".encode("utf-16-le")
        at = data.index("Workbook\0".encode("utf-16-le"))
        return data[:at] + name.ljust(64, b"\0") + struct.pack("<H", len(name)) + data[at + 66 :]
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        # OpenDocument 1.3, part 2, 3.4: parts with these data are encrypted
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", os.urandom(400))
        archive.writestr("META-INF/manifest.xml", "<a><manifest:encryption-data/></a>")
    return packed.getvalue()


@pytest.mark.parametrize("kind", ["xls", "xlsx", "ods"])
def test_a_locked_workbook_is_said_to_be_locked(tmp_path: Path, kind: str) -> None:
    path = tmp_path / f"list.{kind}"
    path.write_bytes(_locked(kind))
    with pytest.raises(StockListError, match="password"):
        read_list(path)


def _far_xls() -> bytes:
    # [MS-XLS] 2.4.149: a cell with a shared string begins with its row and its column
    data = bytearray(OLD.read_bytes())
    struct.pack_into("<2H", data, data.index(struct.pack("<2H", 0xFD, 10)) + 4, 65_535, 65_535)
    return bytes(data)


def _two_workbooks_in_one(folder: Path) -> bytes:
    """An ODS for whoever looks for its content, an XLSX for whoever goes by the name."""
    path = folder / "both"
    book = openpyxl.Workbook()
    book.active["A1"] = "Item"
    book.active["XFD1048576"] = "x"
    book.save(path)
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr("content.xml", "<a/>")
    return path.read_bytes()


@pytest.mark.parametrize("kind", ["xls", "xlsb", "both", "damaged"])
def test_a_workbook_that_asks_for_all_memory_ends_its_reader_alone(
    tmp_path: Path, kind: str
) -> None:
    # calamine makes one block of all cells up to the last: here 4 to 17 thousand million
    data = {
        "xls": _far_xls,
        "xlsb": lambda: xlsb.workbook(ROWS, more=xlsb.text_cell(1_048_575, 16_383, "x")),
        "both": lambda: _two_workbooks_in_one(tmp_path),
        "damaged": lambda: stock_list(10011100)[1],
    }[kind]()
    path = tmp_path / ("list.xlsx" if kind == "both" else f"list.{kind}")
    path.write_bytes(data)
    with pytest.raises(StockListError) as refused:
        read_list(path)
    assert "cannot be opened" in refused.value.what
    assert "save it again" in refused.value.next_step


def test_what_the_other_process_sends_is_taken_as_values_alone() -> None:
    class Harm:
        def __reduce__(self) -> tuple[object, tuple[str]]:
            return os.system, ("exit 1",)

    with pytest.raises(pickle.UnpicklingError):
        workbook_process._PlainValues(io.BytesIO(pickle.dumps(("sheets", [Harm()])))).load()


def test_a_workbook_is_read_wherever_tallyhook_was_imported_from(tmp_path: Path) -> None:
    # a notebook may have found the package by its sys.path alone, or by the folder it runs in
    code = (
        f"import sys; sys.path.insert(0, {{!r}}); from tallyhook.reading.lists import read_list; \
print(read_list({str(OLD)!r})[0].name)"
    )
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONPATH"}
    told = [
        subprocess.run(
            [sys.executable, "-c", code.format(entry)],
            env=environment,
            cwd=cwd,
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for entry, cwd in ((str(ROOT / "validators"), tmp_path), ("", ROOT / "validators"))
    ]
    assert told == ["Liste\n", "Liste\n"]


def test_a_reader_that_cannot_be_started_is_one_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "executable", str(tmp_path / "gone"))
    with pytest.raises(StockListError, match="cannot be started"):
        read_list(OLD)


def test_the_process_that_reads_workbooks_imports_nothing_heavy() -> None:
    heavy = ("polars", "pandas", "numpy", "pyarrow")
    program = f"import sys, tallyhook.reading.workbook_worker; print([m for m in {heavy} if m in sys.modules])"
    run = subprocess.run(
        [sys.executable, "-c", program],
        env=os.environ | {"PYTHONPATH": str(ROOT / "validators")},
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    assert run.stdout.strip() == "[]"
