"""A cell whose formula failed shows something, and no workbook lets it pass for an empty one."""

from __future__ import annotations

import struct
import subprocess
import zipfile
from pathlib import Path

import openpyxl
import pytest

import tallyhook
from fuzzing import xlsb
from tallyhook.reading.lists import read_list

# 7,100 lb (3,200 kg), 12,000 lb (5,400 kg), 18,100 lb (8,200 kg): grade 80, ASTM A391 as restated
ROWS = [
    ["Part", "Description", "Size", "Grade", "WLL (lb)", "WLL (kg)"],
    ["P1", "Lifting chain", "3/8", 80, 7100, 3200],
    ["P2", "Lifting chain", "1/2", 80, 12000, 5400],
    ["P3", "Lifting chain", "5/8", 80, "#REF!", 8200],
    ["P4", "Lifting chain", "5/8", 80, 18100, 8200],
    ["P5", "Lifting chain", "5/8", 80, "#N/A", 8200],
]
LOADS = ["WLL (lb)", "7100", "12000", "#REF!", "18100", "#N/A"]


def written(path: Path, *more: list[object]) -> Path:
    """Write the rows as XLSX; openpyxl stores the texts of errors as errors."""
    book = openpyxl.Workbook()
    for row in (*ROWS, *more):
        book.active.append(row)
    book.save(path)
    return path


def test_a_row_whose_load_failed_does_not_agree_by_its_other_load(tmp_path: Path) -> None:
    report = tallyhook.check(written(tmp_path / "list.xlsx"))
    outcomes = dict(zip(report.items["row"], report.items["outcome"], strict=True))
    assert outcomes == {2: "agree", 3: "agree", 4: "not_compared", 5: "agree", 6: "not_compared"}
    why = dict(zip(report.not_compared["row"], report.not_compared["why"], strict=True))
    assert "#REF!" in why[4]
    assert "#N/A" in why[6]


@pytest.mark.parametrize("ending", ["ods", "xls", "xlsx"])
def test_an_office_program_writes_failed_cells_that_are_read(
    tmp_path: Path, office: str, ending: str
) -> None:
    written(tmp_path / "list.xlsx", ["P6", "Lifting chain", "5/8", 80, "=1/0", 8200])
    profile = (tmp_path / "profile").as_uri()
    subprocess.run(
        [office, f"-env:UserInstallation={profile}", "--headless", "--convert-to", ending,
         "--outdir", str(tmp_path / "again"), str(tmp_path / "list.xlsx")],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    (sheet,) = read_list(tmp_path / "again" / f"list.{ending}")
    assert sheet.frame["c4"].to_list() == [*LOADS, "#DIV/0!"]


def test_a_formula_that_nobody_worked_out_is_no_empty_cell(tmp_path: Path) -> None:
    path = written(tmp_path / "list.xlsx", ["P6", "Lifting chain", "5/8", 80, "=F2*2", 8200])
    (sheet,) = read_list(path)
    assert sheet.frame["c4"].to_list() == [*LOADS, "=F2*2"]
    report = tallyhook.check(path)
    assert report.items["outcome"].to_list()[-1] == "not_compared"


def test_cells_that_do_not_say_where_they_stand_are_found(tmp_path: Path) -> None:
    path = written(tmp_path / "list.xlsx")
    bare = tmp_path / "bare.xlsx"
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(bare, "w") as new:
        for name in old.namelist():
            data = old.read(name)
            if name == "xl/worksheets/sheet1.xml":
                for row, cells in enumerate(ROWS, 1):
                    data = data.replace(b'<row r="%d"' % row, b"<row")
                    for column in range(len(cells)):
                        data = data.replace(b' r="%c%d"' % (65 + column, row), b"")
            new.writestr(name, data)
    (sheet,) = read_list(bare)
    assert sheet.frame["c4"].to_list() == LOADS


def test_a_binary_workbook_shows_its_failed_cells(tmp_path: Path) -> None:
    # [MS-XLSB]: BrtCellError is record 3, its content a column, a style and the number of the error
    def failed(row: int, code: int) -> bytes:
        place = xlsb.text_cell(row, 0, "Lifting chain 3/8 grade 80")
        return place + xlsb.record(3, struct.pack("<2IB", 1, 0, code))

    path = tmp_path / "list.xlsb"
    more = failed(2, 0x17) + failed(3, 0x07)
    path.write_bytes(
        xlsb.workbook([["Item", "WLL (lb)"], ["Chain 3/8 grade 80", 7100.0]], more=more)
    )
    (sheet,) = read_list(path)
    assert sheet.frame["c1"].to_list() == ["WLL (lb)", "7100", "#REF!", "#DIV/0!"]
