"""The same list gives the same bytes: a page or a workbook that differs has other content."""

from __future__ import annotations

import io
import time
import zipfile
from pathlib import Path

import openpyxl
import pytest

import tallyhook
from command_line import here, in_a_process

# 49 CFR 393.108: 3/8 in is 6,600 lb in grade 70 and 7,100 lb in grade 80
LIST = "Part,Item,Size,Grade,WLL (lb)\n" + "".join(
    f"P-{n},Chain,3/8,{grade},{wll}\n"
    for n, (grade, wll) in enumerate([(70, 6600), (80, 7100), (70, 26400)] * 5)
)


@pytest.fixture(params=["list.csv", "list.xlsx"])
def stock(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    path = tmp_path / str(request.param)
    if path.suffix == ".csv":
        path.write_text(LIST)
        return path
    book = openpyxl.Workbook()
    for line in LIST.splitlines():
        book.active.append(line.split(","))
    book.save(path)
    return path


def test_pages_and_workbooks_are_the_same_whenever_they_are_written(stock: Path) -> None:
    folder = stock.parent
    written = []
    for n in range(2):
        run = in_a_process("check", stock, "--html", folder / "p.html", "--xlsx", folder / "w.xlsx")
        assert run.returncode == 1
        written.append(tuple((folder / name).read_bytes() for name in ("p.html", "w.xlsx")))
        if not n:
            time.sleep(2.1)  # an archive names every other second
    assert written[0] == written[1]


def test_nor_does_it_matter_what_was_drawn_before(stock: Path) -> None:
    report = tallyhook.check(stock)
    assert report.to_html() == report.to_html()
    here("check", stock, "--html", stock.parent / "other.html")
    assert tallyhook.check(stock).to_html() == report.to_html()


def test_the_workbook_still_opens_and_is_packed(stock: Path) -> None:
    path = stock.parent / "marked.xlsx"
    assert here("check", stock, "--xlsx", path).returncode == 1
    book = openpyxl.load_workbook(io.BytesIO(path.read_bytes()))
    assert book.worksheets[0]["E4"].value in (26400, "26400")
    assert book.worksheets[0]["E4"].comment is not None
    with zipfile.ZipFile(path) as archive:
        assert {e.compress_type for e in archive.infolist()} == {zipfile.ZIP_DEFLATED}
        assert archive.testzip() is None


def test_python_writes_what_the_command_writes(stock: Path) -> None:
    report, folder = tallyhook.check(stock), stock.parent
    run = here("check", stock, "--html", folder / "p.html", "--xlsx", folder / "w.xlsx")
    assert run.returncode == 1
    report.to_xlsx(folder / "python.xlsx")
    assert (folder / "python.xlsx").read_bytes() == (folder / "w.xlsx").read_bytes()
    assert report.to_html() == (folder / "p.html").read_text(encoding="utf-8")
