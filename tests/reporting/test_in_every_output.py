"""What every output carries of an item: a cross table of outputs and of what became of the item.

The written contract is docs/reading-a-report.md, docs/report-format.md and docs/in-a-build.md.
"""

from __future__ import annotations

import csv
import html
import re
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import openpyxl
import pandas as pd
import pytest

from command_line import Ended, here
from report_checks import valid_csv, valid_json, valid_ndjson, valid_parquet
from tallyhook.checking import check
from tallyhook.reporting.decision_file import DECISION_COLUMNS
from tallyhook.reporting.decisions import apply_decisions
from tallyhook.reporting.formats import to_parquet

HEADING = ["Part", "Description", "Size", "Grade", "WLL (lb)"]
# 49 CFR 393.108: 3/8 in grade 70 is 6,600 lb, and breaks at four times that; no document rates
# transport chain of 40 mm
ROWS: dict[str, list[Any]] = {
    "accepted danger": ["P2", "Transport chain", "3/8 in", 70, 26400],
    "accepted warning": ["P3", "Transport chain", "40 mm", 70, 66000],
    "not compared with a warning": ["P4", "Transport chain", "40 mm", 70, 67000],
    "contradicted": ["P5", "Transport chain", "3/8 in", 70, 13200],
    "agree": ["P6", "Transport chain", "3/8 in", 70, 6600],
}
NUMBERS = {name: n for n, name in enumerate(ROWS, start=2)}
OTHER = [["Item", "Size", "Grade", "Xyz"], ["Chain", "10 mm", 8, 31500], ["Chain", "13 mm", 8, 53000]]  # fmt: skip
ABOVE, NO_SOURCE = "rated-above-every-source", "no-source-rates-this-size-and-grade"
WHY = "its mark was seen"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    made = openpyxl.Workbook()
    stock = made.active
    stock.title = "Stock"
    for row in (HEADING, *ROWS.values()):
        stock.append(row)
    other = made.create_sheet("Other")
    for row in OTHER:
        other.append(row)
    made.save(tmp_path / "list.xlsx")
    return tmp_path / "list.xlsx"


@pytest.fixture
def decisions(book: Path) -> Path:
    """Accepts the danger of P2 and the warning of P3, each for what it observed."""
    found = {f["part"]: f for f in check(book).stock_findings.to_dicts()}
    path = book.parent / "decisions.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        told = csv.DictWriter(file, DECISION_COLUMNS, restval="")
        told.writeheader()
        for part in ("P2", "P3"):
            own = {name: found[part][name] for name in ("rule", "observed", "item")}
            told.writerow(
                own | {"row_key": part, "decision": "accept", "who": "Ann", "why": WHY,
                       "date": "2026-11-20", "document": "certificate 7"}
            )  # fmt: skip
    return path


@pytest.fixture
def run(book: Path, decisions: Path) -> Any:
    def ran(*options: str | Path) -> Ended:
        done = here("check", book, "--decisions", decisions, *options)
        assert done.returncode == 2  # the sheet Other was not checked
        return done

    return ran


def _records(form: str, run: Any, book: Path, decisions: Path) -> list[dict[str, Any]]:
    """The records of a format, those of the JSON made alike."""
    if form == "parquet":
        return valid_parquet(to_parquet(apply_decisions(check(book), decisions).report))
    text = run("--format", form).stdout
    if form == "ndjson":
        return valid_ndjson(text)
    if form == "csv":
        return valid_csv(text)
    told = valid_json(text)
    kinds = {"findings": "finding", "items": "item", "not_compared": "not_compared", "sheets_not_checked": "sheet_not_checked"}  # fmt: skip
    records = [{"record": kind} | each for name, kind in kinds.items() for each in told[name]]
    return [*records, *({"record": "incomplete", "why": why} for why in told["incomplete"])]


@pytest.mark.parametrize("form", ["json", "ndjson", "csv", "parquet"])
def test_the_formats_for_programs(form: str, run: Any, book: Path, decisions: Path) -> None:
    records = _records(form, run, book, decisions)
    items = {r["row"]: r["outcome"] for r in records if r["record"] == "item"}
    assert {name: items[row] for name, row in NUMBERS.items()} == {
        "accepted danger": "contradicted",  # it was accepted; no table agrees with it
        "accepted warning": "not_compared",
        "not compared with a warning": "not_compared",
        "contradicted": "contradicted",
        "agree": "agree",
    }
    findings = [r for r in records if r["record"] == "finding"]
    told = {(r["row"], r["rule"], (r["decision"] or {}).get("decision")) for r in findings}
    assert told == {
        (NUMBERS["accepted danger"], ABOVE, "accept"),
        (NUMBERS["accepted warning"], NO_SOURCE, "accept"),
        (NUMBERS["not compared with a warning"], NO_SOURCE, None),
        (NUMBERS["contradicted"], ABOVE, None),
    }
    for finding in findings:
        if finding["decision"]:
            assert (finding["decision"]["who"], finding["decision"]["why"]) == ("Ann", WHY)
            assert finding["decision"]["document"] == "certificate 7"
    assert sum(r["record"] == "not_compared" for r in records) == 2
    sheets = [(r["sheet"], r["state"]) for r in records if r["record"] == "sheet_not_checked"]
    assert sheets == [("Other", "looks_like_ratings")]
    assert ["'Other'" in r["why"] for r in records if r["record"] == "incomplete"] == [True]


def test_junit(run: Any) -> None:
    root = ET.fromstring(run("--format", "junit").stdout)
    tags = {
        int(number[1]): [c.tag for c in case if c.tag in ("failure", "error", "skipped")]
        for case in root.iter("testcase")
        if (number := re.match(r"row (\d+)", case.get("name") or ""))
    }
    assert {name: tags[row] for name, row in NUMBERS.items()} == {
        "accepted danger": ["skipped"],
        "accepted warning": ["skipped"],
        "not compared with a warning": ["skipped"],
        "contradicted": ["failure"],
        "agree": [],
    }
    reasons = [s.get("message") or "" for s in root.iter("skipped")]
    assert WHY in reasons[0] and "certificate 7" in reasons[0]
    assert WHY in reasons[1]
    assert WHY not in reasons[2] and reasons[2]
    (error,) = root.iter("error")
    assert error.get("type") == "NotChecked"


def test_the_terminal(run: Any) -> None:
    text = " ".join(run().stdout.split())
    accepted = text[text.index("ACCEPTED (2)") : text.index("NOT COMPARED (2)")]
    for said in ("row 2", "26,400 lb", "row 3", ABOVE, NO_SOURCE):
        assert said in accepted or said.replace(",", "") in accepted, said
    assert accepted.count(f"accepted by Ann on 2026-11-20: {WHY} (certificate 7)") == 2
    open_ones = text[: text.index("ACCEPTED (2)")]
    assert "row 5" in open_ones and "row 4" in open_ones
    assert "row 2" not in open_ones and "row 3" not in open_ones
    assert "1 agree, 2 contradicted, 2 not compared, 5 items in all" in text
    assert "INCOMPLETE: the sheet 'Other' looks like ratings" in text


def test_the_page(run: Any, tmp_path: Path) -> None:
    run("--html", tmp_path / "page.html")
    page = html.unescape((tmp_path / "page.html").read_text(encoding="utf-8"))
    accepted = page[page.index('id="accepted"') : page.index('id="read"')]
    assert accepted.count(WHY) == 2 and accepted.count("certificate 7") == 2
    assert "the sheet 'Other' looks like ratings and was not checked" in page


def test_the_workbook_marks_the_cells(run: Any, tmp_path: Path) -> None:
    run("--xlsx", tmp_path / "marked.xlsx")
    marked = openpyxl.load_workbook(tmp_path / "marked.xlsx")
    cells = {name: marked["Stock"].cell(row=row, column=5) for name, row in NUMBERS.items()}
    fills = {name: c.fill.start_color.rgb for name, c in cells.items() if c.fill.fill_type}
    comments = {name: c.comment.text for name, c in cells.items() if c.comment}
    for name in ("accepted danger", "accepted warning"):
        cell = _commented(marked, NUMBERS[name])
        assert cell.comment.text.startswith("ACCEPTED\n") and WHY in cell.comment.text
        assert cell.fill.start_color.rgb not in (None, fills["contradicted"])
    assert not comments["contradicted"].startswith("ACCEPTED")
    assert "agree" not in fills
    told = pd.read_excel(tmp_path / "marked.xlsx", sheet_name="Accepted", engine="openpyxl")
    assert told["Row"].tolist() == [2, 3] and set(told["Why"]) == {WHY}
    summary = {str(r[0]): r[1] for r in marked["Summary"].iter_rows(values_only=True)}
    assert summary["Accepted findings"] == 2
    assert "'Other' looks like ratings" in str(summary["INCOMPLETE"])


def _commented(book: Any, row: int) -> Any:
    (cell,) = [c for c in book["Stock"][row] if c.comment]
    return cell


def test_what_was_accepted_still_agrees_with_no_table(tmp_path: Path) -> None:
    # a lifting word on grade 70 strikes a row whose number is right (ASTM A413: not for lifting)
    path = tmp_path / "list.csv"
    path.write_text(
        "Part,Description,Size,Grade,WLL (lb)\nP1,Overhead lifting chain,3/8 in,70,6600\n"
        "P2,Transport chain,3/8 in,70,6600\n"
    )
    before = check(path)
    (danger,) = before.stock_findings.filter(before.stock_findings["severity"] == "danger").to_dicts()  # fmt: skip
    decisions = tmp_path / "decisions.csv"
    with decisions.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([
            DECISION_COLUMNS,
            ["P1", danger["rule"], "accept", "Ann", WHY, "2026-11-20", "", "certificate 7",
             danger["observed"], danger["item"]],
        ])  # fmt: skip
    after = apply_decisions(before, decisions).report
    assert after.accepted.height == 1
    assert before.counts["contradicted"] == after.counts["contradicted"] == 1
    assert after.items["outcome"].tolist() == ["contradicted", "agree"]
