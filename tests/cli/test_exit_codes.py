"""The exit code of a check, and that every output says why: 2 before 1 before 0.

What silent.md 5 and 6 of the review found; the written contract is docs/promises.md.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree as ET

import openpyxl
import pandas as pd
import polars as pl
import pytest

import tallyhook
from command_line import Ended, here
from report_checks import valid_csv, valid_json, valid_ndjson, valid_parquet
from tallyhook.errors import StockListError

HEADING = "Part,Description,Size,Grade,WLL (lb)"
# 49 CFR 393.108: 3/8 in grade 70 is 6,600 lb, and breaks at four times that
RIGHT, WRONG = "P1,Transport chain,3/8 in,70,6600", "P2,Transport chain,3/8 in,70,26400"
NO_SIZE = "P3,Transport chain,,70,6600"
LOST = "Part,Description,WLL (lb)\nA1,thing,6600\nA2,thing,26400\n"
"""A list that lost its size and grade."""

HEADS = ["Item", "Size", "Grade", "WLL (kg)"]
# EN 818-2: grade 8 chain of 10 mm carries 3,150 kg, of 13 mm 5,300 kg
CHAIN = [HEADS, ["Chain", "10 mm", 8, 3150], ["Chain", "13 mm", 8, 5300]]
UNKNOWN = [["Item", "Size", "Grade", "Xyz"], ["Chain", "10 mm", 8, 31500], ["Chain", "13 mm", 8, 53000]]  # fmt: skip
TWO_LOADS = [["Item", "Size", "WLL (kg)", "Capacity (kg)"], ["Hook grade 8", "10 mm", 3150, 31500], ["Hook grade 8", "13 mm", 5300, 53000]]  # fmt: skip
PRICES = [["Item", "Size", "Grade", "Price"], ["Chain", "10 mm", 8, 12.5], ["Chain", "13 mm", 8, 15.2]]  # fmt: skip
NOTES = [["Ring us"], ["before noon"]]


def _csv(path: Path, *rows: str) -> Path:
    path.write_text("\n".join([HEADING, *rows]) + "\n", encoding="utf-8")
    return path


Book = Callable[..., Path]


@pytest.fixture
def book(tmp_path: Path) -> Book:
    def made(*, hidden: str = "", **sheets: list[list[object]]) -> Path:
        made = openpyxl.Workbook()
        made.remove(made.active)
        for name, rows in sheets.items():
            sheet = made.create_sheet(name)
            for row in rows:
                sheet.append(row)
            sheet.sheet_state = "hidden" if name == hidden else "visible"
        made.save(tmp_path / "list.xlsx")
        return tmp_path / "list.xlsx"

    return made


@pytest.mark.parametrize(
    ("rows", "options", "code"),
    [
        ([RIGHT], [], 0),
        ([RIGHT, WRONG], [], 1),
        ([RIGHT, NO_SIZE], [], 0),
        ([NO_SIZE], [], 2),
        ([NO_SIZE], ["--most-not-compared", "100%"], 2),  # a bound is no leave
        ([RIGHT, WRONG], ["--fail-on", "danger"], 1),
        ([RIGHT, NO_SIZE], ["--most-not-compared", "1"], 0),
        ([RIGHT, NO_SIZE], ["--most-not-compared", "0"], 1),
        ([RIGHT, NO_SIZE], ["--most-not-compared", "50%"], 0),
        ([RIGHT, NO_SIZE], ["--most-not-compared", "49.9 %"], 1),
        ([RIGHT], ["--most-not-compared", "0%"], 0),
        ([], [], 2),
    ],
)
def test_the_exit_code_of_one_list(
    tmp_path: Path, rows: list[str], options: list[str], code: int
) -> None:
    done = here("check", _csv(tmp_path / "list.csv", *rows), *options)
    assert done.returncode == code, done.stderr
    assert bool(done.stderr) == (code == 2 or (code == 1 and "--most-not-compared" in options))


@pytest.mark.parametrize("severity", ["danger", "error", "warning", "note"])
def test_a_list_of_which_nothing_was_compared_is_2_whatever_fails_it(
    tmp_path: Path, severity: str
) -> None:
    (tmp_path / "list.csv").write_text(LOST)
    done = here("check", tmp_path / "list.csv", "--fail-on", severity)
    assert done.returncode == 2
    why = "none of its 2 items was compared with a rating"
    assert done.stderr.count("\n") == 1 and why in done.stderr
    assert why in " ".join(done.stdout.split())


def test_empty_lists_are_2(tmp_path: Path) -> None:
    for name, text in {
        "empty": "",
        "blank": "\n\n",
        "headings": f"{HEADING}\n",
        "notes": f"{HEADING}\nsee the other list,,,,\n",
    }.items():
        path = tmp_path / f"{name}.csv"
        path.write_text(text)
        assert here("check", path).returncode == 2, name
    pd.DataFrame({name: [] for name in HEADING.split(",")}).to_parquet(tmp_path / "none.parquet")
    assert here("check", tmp_path / "none.parquet").returncode == 2


@pytest.mark.parametrize(
    ("names", "code"),
    [
        (["right", "right"], 0),
        (["right", "wrong"], 1),
        (["right", "lost"], 2),
        (["lost", "wrong"], 2),
        (["lost", "lost"], 2),
    ],
)
@pytest.mark.parametrize("form", ["text", "json", "ndjson", "csv", "junit"])
def test_one_exit_code_for_several_lists(
    tmp_path: Path, names: list[str], code: int, form: str
) -> None:
    _csv(tmp_path / "right.csv", RIGHT)
    _csv(tmp_path / "wrong.csv", RIGHT, WRONG)
    (tmp_path / "lost.csv").write_text(LOST)
    done = here("check", *(tmp_path / f"{name}.csv" for name in names), "--format", form)
    assert done.returncode == code
    assert done.stderr.count("none of its 2 items was compared") == names.count("lost")


def test_the_bound_on_what_is_not_compared_is_of_each_list(tmp_path: Path) -> None:
    half, all_ = _csv(tmp_path / "half.csv", RIGHT, NO_SIZE), _csv(tmp_path / "all.csv", RIGHT)
    done = here("check", all_, all_, all_, half, "--most-not-compared", "30%")
    assert done.returncode == 1
    said = "1 of 2 items were not compared, more than 30 %"
    assert done.stderr == f"tallyhook: {half}: {said}.\n"
    cases = ET.fromstring(
        here("check", half, "--most-not-compared", "30%", "--format", "junit").stdout
    ).findall("testsuite/testcase/failure")
    assert [(case.get("type"), case.get("message")) for case in cases] == [
        ("most-not-compared", said)
    ]


@pytest.mark.parametrize("bound", ["-1", "few", "101%", "5 percent", "", "1.5", "1e3", "٣"])
def test_a_bound_that_is_none_is_refused(tmp_path: Path, bound: str) -> None:
    done = here("check", _csv(tmp_path / "list.csv", RIGHT), "--most-not-compared", bound)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.endswith("write it as 20 or 5%.\n")


# --- a sheet or a table that was not checked


@pytest.mark.parametrize("other", [UNKNOWN, TWO_LOADS])
@pytest.mark.parametrize("hidden", ["", "Other"])
def test_a_sheet_that_looks_like_ratings_is_checked_or_left_out_by_name(
    book: Book, other: list[list[object]], hidden: str
) -> None:
    path = book(Chain=CHAIN, Other=other, hidden=hidden)
    done = here("check", path)
    assert done.returncode == 2
    assert "'Other' looks like ratings and was not checked" in done.stderr
    assert done.stderr.count("\n") == 1
    assert '--leave-out "Other"' in done.stderr and '--sheet "Other"' in done.stderr
    left = here("check", path, "--leave-out", "Other")
    assert (left.returncode, left.stderr) == (0, "")
    assert "1 left out by name ('Other') was not checked" in " ".join(left.stdout.split())
    # and what the sentence says of --sheet works: 31,500 kg for a chain of 10 mm is a danger
    column = {"Xyz": "Xyz", "Capacity (kg)": "Capacity (kg)"}[str(other[0][3])] if other is UNKNOWN else "Capacity (kg)"  # fmt: skip
    asked = here("check", path, "--sheet", "Other", "--column", f"wll={column}", "--column", "unit=kg")  # fmt: skip
    assert asked.returncode == 1, asked.stderr
    # a sheet that is asked for leaves out the others by choice
    assert here("check", path, "--sheet", "Chain").returncode == 0


def test_under_headings_that_nobody_knows_the_cells_speak(book: Book) -> None:
    # 3,500, 4,500 and 7,100 lb are the ratings of these chains (ASTM A391 as restated)
    strange = [["Ref", "q", "z", "k"], ["A-1", "Grade 80", "9/32 in", "3500 lb"],
               ["A-2", "Grade 80", "5/16 in", "4500 lb"], ["A-3", "Grade 80", "3/8 in", "7100 lb"]]  # fmt: skip
    done = here("check", book(Chain=CHAIN, Other=strange))
    assert done.returncode == 2 and "'Other' looks like ratings" in done.stderr
    freight = [["Ref", "q", "k"], ["A-1", "pallet", "350 kg"], ["A-2", "crate", "450 kg"]]
    assert here("check", book(Chain=CHAIN, Other=freight)).returncode == 0


@pytest.mark.parametrize("other", [PRICES, NOTES])
@pytest.mark.parametrize("hidden", ["", "Other"])
def test_a_sheet_that_holds_no_ratings_needs_no_name(
    book: Book, other: list[list[object]], hidden: str
) -> None:
    done = here("check", book(Chain=CHAIN, Other=other, hidden=hidden), "--format", "json")
    assert (done.returncode, done.stderr) == (0, "")
    (left,) = valid_json(done.stdout)["sheets_not_checked"]
    assert (left["sheet"], left["row"], left["state"]) == ("Other", None, "holds_no_ratings")


@pytest.mark.parametrize("name", ["Other!row 7", "other!ROW 6", "Other!row 5"])
def test_a_table_that_looks_like_ratings_is_left_out_by_one_of_its_rows(
    book: Book, name: str
) -> None:
    below = [*CHAIN, [], *UNKNOWN]
    path = book(Chain=CHAIN, Other=below)
    done = here("check", path)
    assert done.returncode == 2
    assert '--leave-out "Other!row 5"' in done.stderr
    left = here("check", path, "--leave-out", name, "--format", "json")
    assert (left.returncode, left.stderr) == (0, "")
    told = valid_json(left.stdout)
    assert [(s["sheet"], s["row"], s["state"]) for s in told["sheets_not_checked"]] == [
        ("Other", 5, "left_out_by_name")
    ]
    assert told["counts"]["agree"] == 4 and told["complete"] is True


def test_a_table_of_a_list_without_sheets_is_left_out_by_its_row(tmp_path: Path) -> None:
    text = pd.DataFrame([*CHAIN, [None] * 4, *UNKNOWN]).to_csv(index=False, header=False)
    (tmp_path / "list.csv").write_text(text)
    done = here("check", tmp_path / "list.csv")
    assert done.returncode == 2 and '--leave-out "row 5"' in done.stderr
    left = here("check", tmp_path / "list.csv", "--leave-out", "row 5")
    assert (left.returncode, left.stderr) == (0, "")


def test_what_is_left_out_by_name_must_be_there(book: Book, tmp_path: Path) -> None:
    path = book(Chain=CHAIN, Prices=PRICES)
    for name in ("Price", "row 2", "Chain!row 99", "Chain!2", ""):
        done = here("check", path, "--leave-out", name)
        assert (done.returncode, done.stdout) == (2, ""), name
        assert f"there is no sheet or table '{name}' to leave out" in done.stderr
        assert "'Chain', 'Prices'" in done.stderr
    all_ = here("check", path, "--leave-out", "Chain", "--leave-out", "Prices")
    assert all_.returncode == 2 and "everything in it is left out by name" in all_.stderr


def test_a_sheet_that_could_be_checked_may_be_left_out_too(book: Book) -> None:
    wrong = [HEADS, ["Chain", "10 mm", 8, 31500]]
    path = book(Chain=CHAIN, Old=wrong)
    assert here("check", path).returncode == 1
    done = here("check", path, "--leave-out", " old ", "--format", "json")
    assert done.returncode == 0
    assert valid_json(done.stdout)["sheets_not_checked"][0]["state"] == "left_out_by_name"


# --- in every output


def _told(done: Ended, form: str) -> list[str]:
    """Every reason that an output gives for being incomplete."""
    if form == "json":
        told = valid_json(done.stdout)
        assert told["complete"] is (not told["incomplete"])
        return list(told["incomplete"])
    if form == "junit":
        errors = ET.fromstring(done.stdout).findall("testsuite/testcase/error")
        return [error.get("message") or "" for error in errors]
    if form == "text":
        return [line for line in done.stdout.splitlines() if line.startswith("INCOMPLETE")]
    records = valid_ndjson(done.stdout) if form == "ndjson" else valid_csv(done.stdout)
    return [record["why"] for record in records if record["record"] == "incomplete"]


@pytest.mark.parametrize("form", ["text", "json", "ndjson", "csv", "junit"])
def test_every_format_says_that_nothing_was_compared(tmp_path: Path, form: str) -> None:
    clean = here("check", _csv(tmp_path / "clean.csv", RIGHT, RIGHT), "--format", form)
    assert _told(clean, form) == []
    (tmp_path / "lost.csv").write_text(LOST)
    (why,) = _told(here("check", tmp_path / "lost.csv", "--format", form), form)
    assert "none of its 2 items was" in why


@pytest.mark.parametrize("form", ["text", "json", "ndjson", "csv", "junit"])
def test_every_format_names_a_sheet_that_looks_like_ratings(book: Book, form: str) -> None:
    path = book(Chain=CHAIN, Other=UNKNOWN, Prices=PRICES)
    done = here("check", path, "--format", form)
    (why,) = _told(done, form)
    assert "looks like ratings and was not checked" in why or form == "text"
    assert "Other" in done.stdout and "Prices" in done.stdout


def test_parquet_holds_them_too(book: Book) -> None:
    from tallyhook.reporting.formats import to_parquet

    report = tallyhook.check(book(Chain=CHAIN, Other=UNKNOWN, Prices=PRICES))
    records = valid_parquet(to_parquet(report))
    sheets = [r for r in records if r["record"] == "sheet_not_checked"]
    assert [(r["sheet"], r["state"]) for r in sheets] == [
        ("Other", "looks_like_ratings"),
        ("Prices", "holds_no_ratings"),
    ]
    assert [r["why"] for r in records if r["record"] == "incomplete"] == list(report.incomplete)


def test_the_page_and_the_workbook_say_it(book: Book, tmp_path: Path) -> None:
    page, marked = tmp_path / "page.html", tmp_path / "marked.xlsx"
    done = here("check", book(Chain=CHAIN, Other=UNKNOWN), "--html", page, "--xlsx", marked)
    assert done.returncode == 2
    assert "looks like ratings and was not checked" in page.read_text(encoding="utf-8")
    summary = openpyxl.load_workbook(marked)["Summary"]
    told = {str(row[0]): str(row[1]) for row in summary.iter_rows(values_only=True)}
    assert "looks like ratings and was not checked" in told["INCOMPLETE"]


def test_the_csv_of_a_list_that_was_never_compared_is_not_that_of_a_clean_one(
    tmp_path: Path,
) -> None:
    (tmp_path / "lost.csv").write_text(LOST)
    clean = here("check", _csv(tmp_path / "clean.csv", RIGHT, RIGHT), "--format", "csv").stdout
    lost = here("check", tmp_path / "lost.csv", "--format", "csv").stdout
    outcomes = [
        [row["outcome"] for row in csv.DictReader(io.StringIO(text)) if row["record"] == "item"]
        for text in (clean, lost)
    ]
    assert outcomes == [["agree"] * 2, ["not_compared"] * 2]


# --- in Python, and of a feed


def test_python_says_the_same(tmp_path: Path, book: Book) -> None:
    lost = tallyhook.check(pd.read_csv(io.StringIO(LOST)))
    assert (lost.compared, lost.complete, lost.failed("note")) == (False, False, False)
    assert lost.incomplete[0].startswith("none of its 2 items was compared")
    path = book(Chain=CHAIN, Other=UNKNOWN)
    half = tallyhook.check(path)
    assert (half.compared, half.complete) == (True, False)
    whole = tallyhook.check(path, leave_out=["Other"])
    assert (whole.compared, whole.complete, whole.incomplete) == (True, True, ())
    with pytest.raises(StockListError, match="no sheet or table 'Othr'"):
        tallyhook.check(path, leave_out=["Othr"])


def test_a_feed_of_which_nothing_was_compared_is_2(tmp_path: Path) -> None:
    pl.read_csv(io.StringIO(LOST)).write_parquet(tmp_path / "a.parquet")
    done = here("check", tmp_path / "*.parquet", "--engine", "dask", "-o", tmp_path / "out")
    assert done.returncode == 2
    assert "none of its 2 items was compared with a rating" in done.stderr
    told = json.loads((tmp_path / "out" / "summary.json").read_text())
    assert (told["compared"], told["complete"]) == (False, False)


# --- JUnit (silent.md 6)


def test_a_row_that_was_not_compared_and_has_a_warning_is_skipped(tmp_path: Path) -> None:
    # no document rates a transport chain of 40 mm: no-source-rates-this-size-and-grade
    path = _csv(tmp_path / "list.csv", RIGHT, "P2,Transport chain,40 mm,70,66000")
    told = valid_json(here("check", path, "--format", "json").stdout)
    assert [i["outcome"] for i in told["items"]] == ["agree", "not_compared"]
    assert {f["severity"] for f in told["findings"] if f["row"] == 3} == {"warning"}
    root = ET.fromstring(here("check", path, "--format", "junit").stdout)
    cases = {(case.get("name") or "")[:5]: case for case in root.iter("testcase")}
    assert [child.tag for child in cases["row 3"]] == ["properties", "skipped", "system-out"]
    assert root.get("skipped") == "1" and root.get("failures") == "0"
