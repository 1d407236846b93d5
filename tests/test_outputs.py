"""Two hundred outputs and more: every machine format of many lists follows its schema, whole.

Workbooks of several sheets, matrices, stacked tables, frames, decisions, an earlier report, several
lists at once, and a feed. What one format says of the items and the findings, all say.
"""

from __future__ import annotations

import csv
import json
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import pandas as pd
import polars as pl
import pytest

import tallyhook
from one_process import Here
from report_checks import (
    valid_csv,
    valid_findings,
    valid_json,
    valid_ndjson,
    valid_parquet,
    valid_summary,
)
from seeding.lists import block
from seeding.shops import SHOPS
from tallyhook.cluster import run
from tallyhook.reporting.decision_file import DECISION_COLUMNS
from tallyhook.reporting.decisions import apply_decisions
from tallyhook.reporting.formats import to_csv, to_ndjson, to_parquet
from tallyhook.reporting.junit import to_junit
from tallyhook.reporting.report import Report
from tallyhook.reporting.several import several_json_pieces
from tallyhook.reporting.since import since

ROOT = Path(__file__).resolve().parents[1]
LISTS = [
    *sorted((ROOT / "tests" / "corpus").glob("*/list.*")),
    ROOT / "datasets" / "demo" / "harrow-and-pike.csv",
]
RECORDS = {"findings": "finding", "items": "item", "not_compared": "not_compared"}


@pytest.fixture(scope="module")
def reports() -> list[Report]:
    """The reports of the corpus and of some frames."""
    listed = [tallyhook.check(path) for path in LISTS]
    words = [block(shop, 120).to_pandas() for shop in SHOPS[:2]]
    # ASTM A391 as restated: the pounds of grade 80, headed kilograms
    pounds = {"1/4": 3500, "5/16": 4500, "3/8": 7100, "1/2": 12000, "5/8": 18100, "3/4": 28300}
    column = [("Chain", f"{size} in", 80, load) for size, load in pounds.items()]
    words.append(pd.DataFrame(column, columns=["Description", "Size", "Grade", "WLL (kg)"]))
    frames = [words[0], words[1].set_axis([f"p{n}" for n in range(len(words[1]))]), words[2]]
    return [*listed, *(tallyhook.check(frame) for frame in frames)]


def _decided(report: Report, folder: Path) -> Report:
    """Decide on every finding: the first is accepted, the next to be corrected, and so on.

    A danger of several rows is accepted part by part alone; here it is to be corrected.
    """
    rows = []
    for number, finding in enumerate(report.stock_findings.iter_rows(named=True)):
        sheet = f"{finding['sheet']}!" if finding["sheet"] else ""
        key = f"{sheet}row {finding['row']}" if finding["row"] else f"column {finding['column']}"
        of_parts = finding["severity"] == "danger" and finding["rows"] is not None
        word = "correct" if of_parts or number % 2 else "accept"
        rows.append([
            key, finding["rule"], word, "Ann", "by its mark", "2026-11-01",
            ("", "2999-12-31")[number % 3 == 0], "certificate 7", finding["observed"], finding["item"],
        ])  # fmt: skip
    path = folder / "decisions.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([DECISION_COLUMNS, *rows])
    return apply_decisions(report, path).report


def _told(whole: dict[str, Any]) -> list[dict[str, Any]]:
    """The records of a JSON report, as the other formats have them."""
    file = whole["list"]["file"]
    told = [
        {"record": kind, "file": file} | record
        for name, kind in (RECORDS | {"sheets_not_checked": "sheet_not_checked"}).items()
        for record in whole[name]
    ]
    return [
        *told,
        *({"record": "incomplete", "file": file, "why": why} for why in whole["incomplete"]),
    ]


def _held(*reports: Report) -> Iterator[str]:
    """Make every machine format of some reports, and hold each against its schema and the others."""
    if len(reports) == 1:
        wholes = [valid_json(reports[0].to_json())]
    else:
        text = "".join(several_json_pieces(reports, [("x.csv", "it is empty")], {"chain": "1"}))
        wholes = valid_json(text)["lists"]
    yield "json"
    told = [record for whole in wholes for record in _told(whole)]
    ndjson = [r for r in valid_ndjson(to_ndjson(*reports)) if r["record"] != "report"]
    assert ndjson == told
    yield "ndjson"
    tables = valid_parquet(to_parquet(*reports))
    if len(reports) > 1:  # the indexes of several frames stand in one column
        tables, told = [_with_text(r) for r in tables], [_with_text(r) for r in told]
    assert tables == told
    yield "parquet"
    # a spreadsheet takes what begins so for a formula: an apostrophe stands in front
    plain = json.loads(json.dumps(valid_csv(to_csv(*reports))).replace("\"'", '"'))
    assert [_with_text(r) for r in plain] == [_with_text(r) for r in told]
    yield "csv"
    cases = ET.fromstring(to_junit(*reports)).iter("property")
    outcomes = Counter(each.get("value") for each in cases if each.get("name") == "outcome")
    assert outcomes == Counter(r["outcome"] for r in told if r["record"] == "item")
    yield "junit"


def _with_text(record: dict[str, Any]) -> dict[str, Any]:
    """A record with its index as text."""
    if "index" not in record:
        return record
    return record | {"index": None if record["index"] is None else str(record["index"])}


def test_two_hundred_outputs_follow_their_schemas(reports: list[Report], tmp_path: Path) -> None:
    made: list[str] = []
    accepted = 0
    for number, report in enumerate(reports):
        folder = tmp_path / str(number)
        folder.mkdir()
        made += _held(report)
        if report.stock_findings.height:
            decided = _decided(report, folder)
            marks = [f["decision"] for f in valid_json(decided.to_json())["findings"]]
            assert all(marks)
            taken = [mark["decision"] == "accept" for mark in marks]
            assert taken == sorted(taken)  # accepted ones stand last
            assert decided.counts["accepted"] == decided.accepted.height == sum(taken)
            accepted += decided.accepted.height
            made += _held(decided)
            before = folder / "before.json"
            before.write_text(report.to_json(), encoding="utf-8")
            change = since(decided, before)
            told = valid_json("".join(decided.json_pieces({"change": change.to_dict()})))
            assert (len(told["change"]["gone"]) > 0) is any(taken)
            made.append("since")
    for first in range(len(reports) - 2):
        made += _held(*reports[first : first + 3])
    assert len(made) >= 200, Counter(made)
    assert accepted >= 20
    kinds = {name: sum(bool(_is(name, report)) for report in reports) for name in _KINDS}
    assert all(kinds.values()), kinds


_KINDS = ("several sheets", "a matrix", "an index", "a hidden row", "one mistake of many rows")


def _is(kind: str, report: Report) -> Any:
    told = report.lists()
    if kind == "several sheets":
        return len({layout.sheet.name for layout in report.layouts}) > 1
    if kind == "a matrix":
        return told["items"]["column"].is_not_null().any()
    if kind == "an index":
        return told["items"]["index"].is_not_null().any()
    if kind == "a hidden row":
        return report.head()["list"]["hidden_rows"]
    return told["findings"]["rows"].is_not_null().any()


def test_python_says_what_the_json_says(reports: list[Report]) -> None:
    for report in reports:
        whole = json.loads(report.to_json())
        for name in RECORDS:
            frame: pd.DataFrame = getattr(report, name)
            fields = {field: None for record in whole[name] for field in record}
            assert set(fields) <= set(frame.columns)
            assert set(frame.columns) - set(fields) <= {"row", "rows"} or not whole[name]
            rows = frame.astype(object).where(frame.notna(), None).to_dict("records")
            for row, record in zip(rows, whole[name], strict=True):
                for field, value in record.items():
                    same = list(row[field]) if isinstance(value, list) else row[field]
                    assert same == value, (name, field)


def test_a_feed_follows_its_schemas(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from contextlib import nullcontext

    monkeypatch.setattr(run, "cluster_here", lambda _: nullcontext(Here()))
    (tmp_path / "feed").mkdir()
    for number, shop in enumerate((SHOPS[0], SHOPS[0])):
        block(shop, 300, seed=number).write_parquet(tmp_path / "feed" / f"{number}.parquet")
    found = run.run_feed(str(tmp_path / "feed" / "*.parquet"), tmp_path / "out")
    told = valid_summary((tmp_path / "out" / "summary.json").read_text(encoding="utf-8"))
    # the versions are those of a report of the same tool
    own = tallyhook.check(LISTS[-1]).head()
    for name in ("tool", "version", "schema_version", "packages"):
        assert told[name] == own[name]
    frames = [pl.read_parquet(path) for path in sorted((tmp_path / "out").glob("*.parquet"))]
    kept = [record for frame in frames for record in valid_findings(frame)]
    assert len(kept) == found.findings.height > 0
    assert any(record["part"] for record in kept)


def test_the_rating_that_an_item_names_is_its_own(
    reports: list[Report], reference: pl.DataFrame
) -> None:
    for report in reports:
        items = report.matched.filter(pl.col("outcome") == "agree").select(
            "row", "kind", "size_mm", "size_mm_to", "grade", "wll_kg", "agreed_id"
        )
        # every rating of the packages of this house has a name
        assert items["agreed_id"].null_count() == 0
        named = items.join(reference, left_on="agreed_id", right_on="rating_id", how="left").filter(
            (pl.col("kind") == pl.col("kind_right"))
            & (pl.col("grade") == pl.col("grade_right"))
            & pl.any_horizontal(
                pl.col(size) == pl.col("size_mm_right") for size in ("size_mm", "size_mm_to")
            )
            # written as people round and convert it
            & (pl.col("wll_kg") / pl.col("value_kg")).is_between(0.95, 1.05)
            & (pl.col("known_by") != "recalled")
        )
        assert set(named["row"]) == set(items["row"])
