"""The workbook read back: the shop's cells as they were, each comment on the right cell."""

from __future__ import annotations

import subprocess
import warnings
import zipfile
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.comments import Comment
from openpyxl.styles import Font
from stock_reports import HEADINGS, ROWS, report_of, sheet_rows

from tallyhook.checking import check
from tallyhook.errors import TallyhookError
from tallyhook.reporting.workbook import write_workbook

HOSTILE = (
    "=1+1",
    "+1",
    "-1+1",
    "@SUM(A1)",
    '=HYPERLINK("http://x.example","y")',
    "=cmd|' /C calc'!A0",
    "\t=1+1",
)


def test_the_sheet_of_a_csv_keeps_values_order_and_row_numbers(tmp_path: Path) -> None:
    write_workbook(report_of(), tmp_path / "out.xlsx", None)
    sheet = load_workbook(tmp_path / "out.xlsx").worksheets[0]
    found = [
        [("" if v is None else str(v)) for v in row] for row in sheet.iter_rows(values_only=True)
    ]
    assert found == [list(HEADINGS), *sheet_rows(ROWS)]


def test_each_comment_stands_on_its_cell_and_no_other(tmp_path: Path) -> None:
    write_workbook(report_of(), tmp_path / "out.xlsx", None)
    sheet = load_workbook(tmp_path / "out.xlsx").worksheets[0]
    comments = {
        cell.coordinate: cell.comment.text
        for row in sheet.iter_rows()
        for cell in row
        if cell.comment
    }
    filled = {c.coordinate for row in sheet.iter_rows() for c in row if c.fill.fill_type == "solid"}
    # row 5: 26,400 lb is the breaking force of grade 70 in 3/8 in, 6,600 lb its rating (49 CFR 393.108);
    # row 6: 4,170 kg are the 9,200 lb of grade 43 in 1/2 in (the same table)
    assert set(comments) == {"E5", "E6"} == filled
    assert "26,400 lb" in comments["E5"] and "6,600 lb" in comments["E5"]
    assert "Breaking force listed as the rating" in comments["E5"] and "Source: " in comments["E5"]
    assert "4,170 lb" in comments["E6"] and "9,200 lb" in comments["E6"]


def test_the_findings_link_to_their_cells(tmp_path: Path) -> None:
    write_workbook(report_of(), tmp_path / "out.xlsx", None)
    book = load_workbook(tmp_path / "out.xlsx")
    assert book.sheetnames == ["shop", "Summary", "Findings", "Not compared", "Items"]
    findings = book["Findings"]
    assert [c.value for c in findings["B"]][1:] == [5, 6]
    assert [findings[f"B{n}"].hyperlink.location for n in (2, 3)] == ["'shop'!E5", "'shop'!E6"]
    left = book["Not compared"]
    assert [left["A2"].value, left["A2"].hyperlink.location] == [7, "'shop'!A7"]
    assert left["D2"].value == "no size could be read"
    summary = {row[0]: row[1] for row in book["Summary"].iter_rows(values_only=True) if row[0]}
    assert (summary["agree"], summary["contradicted"], summary["not compared"]) == (4, 2, 1)


def test_every_item_is_told_with_its_outcome(tmp_path: Path) -> None:
    write_workbook(report_of(), tmp_path / "out.xlsx", None)
    head, *rows = load_workbook(tmp_path / "out.xlsx")["Items"].iter_rows(values_only=True)
    told = [dict(zip(head, row, strict=True)) for row in rows]
    assert [(each["Row"], each["Outcome"], each["Part number"]) for each in told] == [
        (2, "agree", "HP-1"),
        (3, "agree", "HP-2"),
        (4, "agree", "HP-3"),
        (5, "contradicted", "HP-4"),
        (6, "contradicted", "HP-5"),
        (7, "not compared", "HP-6"),
        (8, "agree", "HP-7"),
    ]
    # 6,600 lb of 0.45359237 kg; the name is made of scheme, grade and size (chain.ratings)
    assert (told[1]["WLL [kg]"], told[1]["Agrees with the rating"]) == (
        2993.71,
        "chain/us-tiedown/70/10mm",  # the law comes before practice
    )
    assert [each["Agrees with the rating"] for each in told[3:6]] == [None, None, None]


def _shop_workbook(path: Path) -> None:
    book = Workbook()
    sheet = book.active
    sheet.title = "It's stock"
    sheet.append(["Harrow & Pike (invented)"])
    sheet.append([])
    sheet.append(["Part", "Description", "Size", "Grade", "WLL (lb)", "Double", "Note"])
    sheet.append(["A-1", "Alloy chain", "3/8 in", 80, 7100, "=E4*2", "=not a formula"])
    sheet["G4"].data_type = "s"
    sheet.append(["A-2", "Transport chain", "3/8 in", 70, 26400, "=E5*2", None])
    sheet["E5"].comment = Comment("ask Ann", "Ben")
    sheet["A3"].font = Font(bold=True)
    sheet.column_dimensions["B"].width = 33
    book.create_sheet("Prices").append(["a", "b"])
    book["Prices"].append(["x", 3])
    book.save(path)


def test_a_workbook_keeps_its_own_sheets_and_formats(tmp_path: Path) -> None:
    source = tmp_path / "stock.xlsx"
    _shop_workbook(source)
    write_workbook(check(source), tmp_path / "out.xlsx", source)
    book = load_workbook(tmp_path / "out.xlsx")
    assert book.sheetnames == [
        "It's stock",
        "Prices",
        "Summary",
        "Findings",
        "Not compared",
        "Items",
    ]
    sheet = book["It's stock"]
    assert sheet["A1"].value == "Harrow & Pike (invented)" and sheet["E4"].value == 7100
    assert sheet["A3"].font.bold and sheet.column_dimensions["B"].width == 33
    assert [c.value for c in book["Prices"][2]] == ["x", 3]
    text = sheet["E5"].comment.text
    assert text.startswith("ask Ann") and "6,600 lb" in text  # 49 CFR 393.108, grade 70, 3/8 in
    assert book["Findings"]["B2"].hyperlink.location == "'It''s stock'!E5"
    kinds = {cell.data_type for ws in book for row in ws.iter_rows() for cell in row}
    assert "f" not in kinds  # what the formulas showed, not the formulas
    assert sheet["G4"].value == "=not a formula" and sheet["G4"].quotePrefix


# ECMA-376, part 1, 12.3.11, 12.3.12 and 12.3.13: what ties a sheet to a pivot table and its records
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_PIVOT_PARTS = {
    "xl/worksheets/_rels/sheet2.xml.rels": f'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId7" Type="{_OFFICE}/pivotTable" Target="../pivotTables/pivotTable1.xml"/></Relationships>',
    "xl/pivotTables/pivotTable1.xml": f'<pivotTableDefinition xmlns="{_MAIN}" name="P" cacheId="4" dataCaption="v"><location ref="A1:B2" firstHeaderRow="1" firstDataRow="1" firstDataCol="1"/></pivotTableDefinition>',
    "xl/pivotTables/_rels/pivotTable1.xml.rels": f'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="{_OFFICE}/pivotCacheDefinition" Target="../pivotCache/pivotCacheDefinition1.xml"/></Relationships>',
    "xl/pivotCache/pivotCacheDefinition1.xml": f'<pivotCacheDefinition xmlns="{_MAIN}"><cacheSource type="worksheet"><worksheetSource ref="A1:B2" sheet="Prices"/></cacheSource><cacheFields count="1"><cacheField name="a"><sharedItems><s v="a price from before"/></sharedItems></cacheField></cacheFields></pivotCacheDefinition>',
}


def _with_a_pivot_table(path: Path) -> None:
    parts = dict(_PIVOT_PARTS)
    with zipfile.ZipFile(path) as archive:
        parts |= {n: archive.read(n).decode() for n in archive.namelist()}
    ties = f'<Relationship Id="rId9" Type="{_OFFICE}/pivotCacheDefinition" Target="pivotCache/pivotCacheDefinition1.xml"/></Relationships>'
    caches = f'<pivotCaches><pivotCache xmlns:r="{_OFFICE}" cacheId="4" r:id="rId9"/></pivotCaches></workbook>'
    for name, end, more in (
        ("xl/_rels/workbook.xml.rels", "</Relationships>", ties),
        ("xl/workbook.xml", "</workbook>", caches),
    ):
        assert parts[name].endswith(end)
        parts[name] = parts[name].removesuffix(end) + more
    with zipfile.ZipFile(path, "w") as archive:
        for name, text in parts.items():
            archive.writestr(name, text)


def test_a_pivot_table_leaves_its_cells_and_nothing_else(tmp_path: Path) -> None:
    source = tmp_path / "stock.xlsx"
    _shop_workbook(source)
    _with_a_pivot_table(source)
    before = source.read_bytes()
    write_workbook(check(source), tmp_path / "out.xlsx", source)
    assert source.read_bytes() == before
    book = load_workbook(tmp_path / "out.xlsx")
    assert [c.value for c in book["Prices"][2]] == ["x", 3]
    assert book["It's stock"]["A3"].font.bold  # the shop's own workbook, not laid out anew
    with zipfile.ZipFile(tmp_path / "out.xlsx") as archive:
        assert [n for n in archive.namelist() if "pivot" in n.casefold()] == []
        assert not any(b"a price from before" in archive.read(n) for n in archive.namelist())


def test_no_text_becomes_a_formula(tmp_path: Path) -> None:
    rows = [ROWS[3] | {"part": text, "item": text} for text in HOSTILE]
    report = report_of(rows, file="=1+1.csv")
    write_workbook(report, tmp_path / "out.xlsx", None)
    book = load_workbook(tmp_path / "out.xlsx")
    cells = [
        cell
        for sheet in book
        for row in sheet.iter_rows()
        for cell in row
        if cell.value is not None
    ]
    assert all(cell.data_type != "f" for cell in cells)
    shown = {cell.value.lstrip("\t"): cell for cell in cells if isinstance(cell.value, str)}
    for text in HOSTILE:
        assert shown[text.lstrip("\t")].quotePrefix, text
    with zipfile.ZipFile(tmp_path / "out.xlsx") as archive:
        parts = [archive.read(n) for n in archive.namelist() if n.startswith("xl/worksheets/sheet")]
    assert parts and not any(b"<f>" in part or b"<f " in part for part in parts)


def test_numbers_change_only_where_nothing_is_lost(tmp_path: Path) -> None:
    rows = [
        ROWS[0] | {"part": text}
        for text in ("007", "7.50", "12", "3.5", "1e3", "12345678901234567")
    ]
    write_workbook(report_of(rows), tmp_path / "out.xlsx", None)
    sheet = load_workbook(tmp_path / "out.xlsx").worksheets[0]
    assert [c.value for c in sheet["A"]][1:] == ["007", "7.50", 12, 3.5, "1e3", "12345678901234567"]


def test_one_mistake_of_a_column_marks_every_row(tmp_path: Path) -> None:
    # 49 CFR 393.108, pounds listed in a column that is read as pounds, but the numbers are kilograms
    rated = {
        ("1/4", 7.0): 2600,
        ("5/16", 8.0): 3900,
        ("3/8", 10.0): 5400,
        ("1/2", 13.0): 9200,
        ("5/8", 16.0): 13000,
    }
    rows = [
        {"part": f"K{n}", "size_in": name, "size_mm": mm, "grade": 43, "lb": round(lb * 0.45359237)}
        for n, ((name, mm), lb) in enumerate([*rated.items(), *rated.items()])
    ]
    report = report_of(rows)
    assert [list(r) for r in report.stock_findings["rows"]] == [list(range(2, 12))]
    write_workbook(report, tmp_path / "out.xlsx", None)
    sheet = load_workbook(tmp_path / "out.xlsx").worksheets[0]
    assert [c.coordinate for c in sheet["E"] if c.comment] == [f"E{n}" for n in range(2, 12)]


def test_only_xlsx_and_whole(tmp_path: Path) -> None:
    with pytest.raises(TallyhookError, match=r"written as \.xlsx"):
        write_workbook(report_of(), tmp_path / "out.xls", None)
    with pytest.raises(TallyhookError, match="cannot be written"):
        write_workbook(report_of(), tmp_path / "no" / "out.xlsx", None)
    assert list(tmp_path.iterdir()) == []


def test_openpyxl_reads_it_without_a_warning(tmp_path: Path) -> None:
    source = tmp_path / "stock.xlsx"
    _shop_workbook(source)
    write_workbook(check(source), tmp_path / "out.xlsx", source)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        load_workbook(tmp_path / "out.xlsx")


def test_libreoffice_opens_it_and_finds_the_same_cells(office: str, tmp_path: Path) -> None:
    write_workbook(report_of(), tmp_path / "out.xlsx", None)
    run = subprocess.run(
        [office, f"-env:UserInstallation=file://{tmp_path}/profile", "--headless", "--convert-to",
         "ods", "--outdir", str(tmp_path), str(tmp_path / "out.xlsx")],
        capture_output=True, text=True, timeout=180, check=True,
    )  # fmt: skip
    said = [line for line in (run.stdout + run.stderr).splitlines() if "java" not in line]
    assert not any("warning" in line.casefold() for line in said)
    with zipfile.ZipFile(tmp_path / "out.ods") as archive:
        content = archive.read("content.xml").decode()
    assert content.count("<office:annotation ") == 2
    assert "Breaking force listed as the rating" in content and "table:formula" not in content


@pytest.fixture
def long_list(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A list that is read in parts, of which no cells are kept."""
    from tallyhook.reading import batches

    for name, small in (("LONG_FILE", 1), ("LONG_TABLE", 1), ("BATCH", 333), ("_HEAD", 4096)):
        monkeypatch.setattr(batches, name, small)
    path = tmp_path / "long.csv"
    rows = [f"P{n},Transport chain,3/8 in,70,{26400 if n == 1900 else 6600}" for n in range(2000)]
    path.write_text("\n".join(["Part,Description,Size,Grade,WLL (lb)", *rows]) + "\n")
    return path


def test_a_long_list_keeps_every_row(long_list: Path, tmp_path: Path) -> None:
    report = check(long_list)
    assert report.layouts[0].body.columns == ["row"]  # it was read in parts
    write_workbook(report, tmp_path / "out.xlsx", long_list)
    book = load_workbook(tmp_path / "out.xlsx")
    sheet = book["long"]
    parts = [row[0] for row in sheet.iter_rows(min_row=2, values_only=True)]
    assert parts == [f"P{n}" for n in range(2000)]
    # 49 CFR 393.108: grade 70 in 3/8 in is 6,600 lb
    marked = [c.coordinate for row in sheet.iter_rows() for c in row if c.comment]
    assert marked == ["E1902"] and sheet["E1902"].value == 26400
    assert book["Items"].max_row == 2001


def test_a_list_longer_than_a_workbook_is_refused_before_anything_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from tallyhook.reporting import workbook

    monkeypatch.setattr(workbook, "_MOST_ROWS", 7)  # the last of the rows stands in row 8
    with pytest.raises(TallyhookError, match="row 8 is beyond the last row of a workbook, 7"):
        write_workbook(report_of(), tmp_path / "out.xlsx", None)
    assert not (tmp_path / "out.xlsx").exists()
