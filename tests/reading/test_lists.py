"""Reading files: encodings, separators, quoting, workbooks, records, and files that are no lists.

References: Python's csv module for separated text, openpyxl for workbooks, json and pandas for records.
"""

from __future__ import annotations

import csv
import io
import json
import zipfile
from pathlib import Path

import openpyxl
import pandas as pd
import polars as pl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tallyhook.errors import StockListError
from tallyhook.reading.lists import read_list, sheet_from_frame
from tallyhook.reading.text import text_frame

GERMAN = "Teil;Größe;Tragfähigkeit t\nGabelkopfhaken ½;10;3,15\nÖsenhaken;13;5,3\n"


def write(path: Path, data: bytes | str) -> Path:
    path.write_bytes(data if isinstance(data, bytes) else data.encode())
    return path


def cells(path: Path) -> list[tuple[object, ...]]:
    (sheet,) = read_list(path)
    return sheet.frame.rows()


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252", "cp850"]
)
def test_encoding_is_decided_from_the_bytes(tmp_path: Path, encoding: str) -> None:
    path = write(tmp_path / "list.csv", GERMAN.encode(encoding))
    assert cells(path) == [
        (1, "Teil", "Größe", "Tragfähigkeit t"),
        (2, "Gabelkopfhaken ½", "10", "3,15"),
        (3, "Ösenhaken", "13", "5,3"),
    ]


def test_windows_lines_pasted_into_a_utf8_file(tmp_path: Path) -> None:
    text = "Größe;Güte;Länge\n".encode() + "Öse;8;groß\n".encode("cp1252") + "Öse;8;für\n".encode()
    assert cells(write(tmp_path / "a.csv", text))[1:] == [
        (2, "Öse", "8", "groß"),
        (3, "Öse", "8", "für"),
    ]


@pytest.mark.parametrize("mark", [",", ";", "\t", "|"])
def test_separator(tmp_path: Path, mark: str) -> None:
    rows = [["Part", "Size", "Price"], ["A", "3/8", "12,40"], ["B", "1/2", "15,00"]]
    out = io.StringIO()
    csv.writer(out, delimiter=mark, lineterminator="\r\n").writerows(rows)
    assert cells(write(tmp_path / "a.csv", out.getvalue())) == [
        (i + 1, *r) for i, r in enumerate(rows)
    ]


def test_thousands_commas_are_no_separator(tmp_path: Path) -> None:
    lines = ["Hook 3/8, grade 80, 7,100 lb", "Hook 1/2, grade 80, 12,000 lb"]
    assert cells(write(tmp_path / "a.txt", "\n".join(lines))) == [(1, lines[0]), (2, lines[1])]
    short = ["Hook 3/8 7,100 lb", "Hook 1/2 12,000 lb"]
    assert cells(write(tmp_path / "b.txt", "\n".join(short))) == [(1, short[0]), (2, short[1])]


def test_rows_keep_their_numbers(tmp_path: Path) -> None:
    # a spreadsheet shows the blank line as an empty row 2, and the quoted line break inside row 3
    text = 'Part,Note\n\n"A","two\nlines"\nB,x\n'
    assert cells(write(tmp_path / "a.csv", text)) == [
        (1, "Part", "Note"),
        (2, "", ""),
        (3, "A", "two\nlines"),
        (4, "B", "x"),
    ]


def test_ragged_rows_lose_nothing(tmp_path: Path) -> None:
    assert cells(write(tmp_path / "a.csv", "Title\nPart,WLL\nA,1,2,3\nB,4\n")) == [
        (1, "Title", "", "", ""),
        (2, "Part", "WLL", "", ""),
        (3, "A", "1", "2", "3"),
        (4, "B", "4", "", ""),
    ]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ('Part\tSize\nHook\t3/8"\nHook\t1/2"\n', [("Hook", '3/8"'), ("Hook", '1/2"')]),
        # inch marks beside real quoting
        (
            'Part,Size,Note\nHook,3/8" x,"a, b"\nHook,1/2" x,c\n',
            [("Hook", '3/8" x', "a, b"), ("Hook", '1/2" x', "c")],
        ),
        # a quote that opens the heading and is never closed
        ('"Part,Size\nHook,3/8\nHook,1/2\n', [("Hook", "3/8"), ("Hook", "1/2")]),
        # ditto marks are no opening quotes
        ('Part\tSize\nHook\t8\n"\t10\n"\t13\n', [("Hook", "8"), ('"', "10"), ('"', "13")]),
    ],
)
def test_inch_and_ditto_marks(tmp_path: Path, text: str, expected: list[tuple[str, ...]]) -> None:
    assert [row[1:] for row in cells(write(tmp_path / "a.txt", text))[1:]] == expected


_CELL = st.text(
    st.characters(codec="utf-8", exclude_characters="\r\0", exclude_categories=["Cc", "Cs"]),
    max_size=12,
)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(_CELL, _CELL, _CELL), min_size=2, max_size=8))
def test_quoted_csv_reads_as_the_csv_module_reads_it(rows: list[tuple[str, str, str]]) -> None:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n", quoting=csv.QUOTE_ALL)
    writer.writerows([("part", "size", "load"), *rows])
    frame, mark = text_frame(out.getvalue(), "list")
    assert mark == ","
    wanted = [tuple(r) for r in csv.reader(io.StringIO(out.getvalue()))]
    assert [_filled(r[1:]) for r in frame.rows()] == [_filled(r) for r in wanted]


def _filled(row: tuple[str, ...]) -> tuple[str, ...]:
    while row and row[-1] == "":
        row = row[:-1]
    return row


def test_workbook_against_openpyxl(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Hooks"
    for row in [
        ["Title"],
        [],
        ["Size", "WLL", "Ok"],
        ["3/8", 7100.0, True],
        [0.1 + 0.2, 3.15, None],
    ]:
        sheet.append(row)
    sheet.merge_cells("A1:C1")
    sheet.row_dimensions[5].hidden = True
    book.create_sheet("Chain").append(["x", 1])
    book.create_sheet("Empty")
    secret = book.create_sheet("Secret")
    secret.append(["y"])
    secret.sheet_state = "hidden"
    path = tmp_path / "list.xlsx"
    book.save(path)
    first, second, third = read_list(path)
    assert [(each.name, each.is_hidden) for each in (first, second, third)] == [
        ("Hooks", False),
        ("Chain", False),
        ("Secret", True),
    ]
    assert first.frame.rows() == [
        (1, "Title", "", ""),
        (2, "", "", ""),
        (3, "Size", "WLL", "Ok"),
        (4, "3/8", "7100", "TRUE"),
        (5, "0.3", "3.15", ""),
    ]
    assert first.hidden == {5}
    assert first.merged == ((1, 0, 1, 2),)
    assert "c1" in first.stored_numbers
    (asked,) = read_list(path, sheet="secret")
    assert (asked.frame.rows(), asked.is_hidden) == ([(1, "y")], False)
    with pytest.raises(StockListError, match="'Hooks', 'Chain', 'Empty', 'Secret'"):
        read_list(path, sheet="Slings")


def test_hidden_rows_of_an_ods(tmp_path: Path) -> None:
    row = '<table:table-row{}><table:table-cell office:value-type="string"><text:p>{}</text:p></table:table-cell></table:table-row>'
    hidden = ' table:visibility="filter"'
    content = (
        '<?xml version="1.0"?><office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
        'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0">'
        '<office:body><office:spreadsheet><table:table table:name="A &amp; B">'
        + row.format("", "a")
        + row.format(hidden, "b")
        + row.format("", "c")
        + "</table:table></office:spreadsheet></office:body></office:document-content>"
    )
    path = tmp_path / "list.ods"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", content)
        archive.writestr(
            "META-INF/manifest.xml",
            '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"/>',
        )
    (sheet,) = read_list(path)
    assert (sheet.name, sheet.hidden) == ("A & B", {2})
    assert sheet.frame["c0"].to_list() == ["a", "b", "c"]


def test_json_lines_keep_their_line_numbers(tmp_path: Path) -> None:
    records = [{"part": "A", "wll": {"value": 7100.0, "unit": "lb"}}, {"part": "B", "size": None}]
    text = json.dumps(records[0]) + "\n\n" + json.dumps(records[1]) + "\n"
    path = write(tmp_path / "list.jsonl", text)
    assert cells(path) == [
        (0, "part", "wll value", "wll unit", "size"),
        (1, "A", "7100", "lb", ""),
        (3, "B", "", "", ""),
    ]
    array = write(tmp_path / "list.json", json.dumps(records))
    assert [r[0] for r in cells(array)] == [1, 2, 3]
    with pytest.raises(StockListError, match="line 2"):
        read_list(write(tmp_path / "bad.jsonl", '{"a": 1}\n{"a": \n'))


def test_frames_and_parquet(tmp_path: Path) -> None:
    pandas = pd.DataFrame({"size": ["3/8", None], "wll": [7100.0, 3.15], "ok": [True, False]})
    expected = [(1, "size", "wll", "ok"), (2, "3/8", "7100", "TRUE"), (3, "", "3.15", "FALSE")]
    assert sheet_from_frame(pandas).frame.rows() == expected
    polars = pl.DataFrame({"size": ["3/8", None], "wll": [7100.0, 3.15], "ok": [True, False]})
    assert sheet_from_frame(polars).frame.rows() == expected
    polars.with_columns(pl.col("wll").cast(pl.Float32)).write_parquet(tmp_path / "list.parquet")
    assert cells(tmp_path / "list.parquet") == expected
    assert sheet_from_frame(pd.DataFrame([["3/8", 7100], ["1/2", "x"]])).frame.rows() == [
        (1, "3/8", "7100"),
        (2, "1/2", "x"),
    ]
    mixed = pd.DataFrame({"a": [1, "x", 2.5], "a2": ["p", "q", "r"]}).set_axis(["a", "a"], axis=1)
    assert sheet_from_frame(mixed).frame.rows() == [
        (1, "a", "a"),
        (2, "1", "p"),
        (3, "x", "q"),
        (4, "2.5", "r"),
    ]


def _xlsx_with_a_stray_cell(path: Path) -> Path:
    book = openpyxl.Workbook()
    book.active.append(["Size", "WLL"])
    book.active["XFD1048576"] = "stray"
    book.save(path)
    return path


def _bomb(path: Path) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", "<workbook/>")
        archive.writestr("xl/worksheets/sheet1.xml", b" " * (100 * 2**20))
    return path


@pytest.mark.parametrize(
    ("name", "data", "says"),
    [
        ("empty.csv", b"", "it is empty"),
        ("blank.csv", b"\n  \n\n", "it is empty"),
        ("list.csv", b"%PDF-1.7 ...", "it is a PDF"),
        ("list.xlsx", b"PK\x03\x04 not a zip", "cannot be opened"),
        ("list.xls", b"<html><table><tr>", "a web page"),
        ("list.csv", bytes(range(256)) * 20, "not a text file"),
        ("list.csv", b",".join([b"a"] * 3000) + b"\n1", "3000 columns"),
        ("list.csv", b'Part,Note\nA,"never closed ' + b"x" * 40_000, "quote mark"),
        ("list.parquet", b"PAR1broken", "Parquet"),
    ],
)
def test_no_list(tmp_path: Path, name: str, data: bytes, says: str) -> None:
    path = write(tmp_path / name, data)
    with pytest.raises(StockListError, match=says) as caught:
        read_list(path)
    sentence = str(caught.value)
    assert (
        sentence.startswith(str(path))
        and sentence.endswith(".")
        and "; " in sentence
        and "\n" not in sentence
    )


def test_no_list_at_all(tmp_path: Path) -> None:
    for path, says in [
        (tmp_path, "it is a folder"),
        (tmp_path / "none.csv", "no such file"),
        (_xlsx_with_a_stray_cell(tmp_path / "stray.xlsx"), "1048576 rows and 16384 columns"),
        (_bomb(tmp_path / "bomb.xlsx"), "unpacks to more than 400 times its size, 101 MiB"),
    ]:
        with pytest.raises(StockListError, match=says):
            read_list(path)
    with pytest.raises(StockListError, match="no sheets"):
        read_list(write(tmp_path / "a.csv", "a,b\n1,2\n"), sheet="x")
    with pytest.raises(StockListError, match="no rows"):
        sheet_from_frame(pd.DataFrame())


def test_tabulators_around_cells_are_blanks(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text(
        'Part ,\tDescription, Size\t,"WLL (lb)\t"\n'
        "\tP1,Chain grade 80 ,\t3/8, 7100\n"
        "P2\t,Chain grade 80,1/2 \t, 12000\t\n",
        encoding="utf-8",
    )
    (sheet,) = read_list(path)
    assert [c.strip() for c in sheet.frame.drop("row").row(1)] == [
        "P1", "Chain grade 80", "3/8", "7100"
    ]  # fmt: skip
