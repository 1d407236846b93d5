"""Reports for programs, read back with the readers that programs use."""

from __future__ import annotations

import csv
import io
import json
import re
from datetime import date
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import polars as pl
import pyarrow.parquet as pq
import pytest
from stock_reports import ROWS, report_of

from report_checks import is_valid, valid_json
from tallyhook.checking import check
from tallyhook.reporting.formats import (
    CSV_COLUMNS,
    RECORD_COLUMNS,
    to_csv,
    to_ndjson,
    to_parquet,
)
from tallyhook.reporting.junit import to_junit

ROOT = Path(__file__).resolve().parents[2]
HOSTILE = (
    "=1+1",
    "+1",
    "-1+1",
    "@SUM(A1)",
    "\t=1",
    "\r=1",
    "<script>alert(1)</script>",
    'a"b,c\nd',
)


def _report(name: str) -> Any:
    if name == "demo":
        return check(ROOT / "datasets" / "demo" / "harrow-and-pike.csv")
    if name == "column":
        return report_of([r | {"lb": round(r["lb"] * 0.4536)} for r in ROWS[:3] * 4])
    if name == "nothing":
        return report_of(ROWS[:1])
    return report_of(
        [
            ROWS[3] | {"part": text, "item": text, "lb": 20_000 + 137 * n}
            for n, text in enumerate(HOSTILE)
        ]
    )


@pytest.mark.parametrize("name", ["demo", "column", "nothing", "hostile"])
def test_the_json_report_follows_its_schema(name: str) -> None:
    told = valid_json(_report(name).to_json())
    counts = told["counts"]
    assert (
        counts["rows"]
        == counts["agree"] + counts["contradicted"] + counts["not_compared"]
        == len(told["items"])
    )


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("findings", 0, "severity"), "fatal"),
        (("findings", 0, "rule"), "Rated Above"),
        (("findings", 0, "row"), 0),
        (("findings", 0, "rows"), [3]),  # row and rows at once
        (("findings", 0, "confidence"), 1.2),
        (("findings", 0, "message"), "free text"),
        (("items", 0, "outcome"), "fine"),
        (("items", 0, "kind"), "rope"),
        (("counts", "rows"), -1),
        (("version",), None),
        (("extra",), 1),
    ],
)
def test_the_schema_refuses_what_is_no_report(path: tuple[Any, ...], value: Any) -> None:
    told = json.loads(report_of().to_json())
    place = told
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    assert not is_valid(told)


def test_ndjson_holds_the_same_records() -> None:
    report = _report("demo")
    whole = report.to_dict()
    lines = to_ndjson(report).splitlines()
    records = [json.loads(line) for line in lines]
    assert records[0]["record"] == "report" and records[0]["counts"] == whole["counts"]
    for name, kind in (
        ("findings", "finding"),
        ("items", "item"),
        ("not_compared", "not_compared"),
    ):
        found = [r for r in records if r["record"] == kind]
        own = {"record": kind, "file": report.file}
        assert found == [own | told for told in whole[name]]


def test_a_text_in_the_csv_is_no_formula() -> None:
    report = _report("hostile")
    rows = list(csv.DictReader(io.StringIO(to_csv(report), newline="")))
    assert tuple(rows[0]) == CSV_COLUMNS
    for text in HOSTILE:
        kept = text if text[0] in "<a" else f"'{text}"
        assert any(row["item"].startswith(kept) for row in rows), text
    for row in rows:
        for cell in row.values():
            number = cell.replace(".", "", 1).lstrip("-").isdigit()
            assert number or not cell.startswith(("=", "+", "-", "@", "\t", "\r")), cell


def test_the_csv_tells_what_was_found() -> None:
    row = next(csv.DictReader(io.StringIO(to_csv(report_of()), newline="")))
    # 49 CFR 393.108: grade 70, 3/8 in, 6,600 lb; it breaks at four times that
    assert (row["row"], row["observed"], row["expected"], float(row["ratio"])) == (
        "5",
        "26,400 lb",
        "6,600 lb",
        4,
    )
    assert row["cause"] == "breaking-force-as-wll" and row["severity"] == "danger"


def test_parquet_is_typed_and_complete() -> None:
    report = _report("column")
    table = pq.read_table(io.BytesIO(to_parquet(report)))
    types = {f.name: str(f.type) for f in table.schema}
    assert types["row"] == "int64" and types["ratio"] == "double" and "list" in types["rows"]
    back = pl.from_arrow(table)
    assert isinstance(back, pl.DataFrame) and tuple(back.columns) == RECORD_COLUMNS
    for kind, told in zip(
        ("finding", "item", "not_compared"), report.lists().values(), strict=True
    ):
        assert back.filter(pl.col("record") == kind).select(told.columns).equals(told)


def _suites(text: str) -> list[ET.Element]:
    root = ET.fromstring(text)
    assert root.tag == "testsuites"
    for attribute, tag in (
        ("tests", "testcase"),
        ("failures", "failure"),
        ("skipped", "skipped"),
        ("errors", "error"),
    ):
        found = (
            sum(c.find(tag) is not None for c in root.iter("testcase"))
            if tag != "testcase"
            else len(list(root.iter(tag)))
        )
        assert int(root.get(attribute, "-1")) == found, attribute
    return list(root)


def test_junit_fails_the_rows_with_findings() -> None:
    (suite,) = _suites(to_junit(report_of()))
    outcome = {
        case.get("name", "").split(":")[0]: next(
            (c.tag for c in case if c.tag != "properties"), "passed"
        )
        for case in suite.iter("testcase")
    }
    assert outcome == {
        "row 2": "passed", "row 3": "passed", "row 4": "passed", "row 5": "failure", "row 6": "failure",
        "row 7": "skipped", "row 8": "passed",
    }  # fmt: skip
    failure = next(suite.iter("failure"))
    assert failure.get("type") == "rated-above-every-source" and "6,600 lb" in (
        failure.get("message") or ""
    )


def test_junit_follows_the_threshold() -> None:
    (suite,) = _suites(to_junit(report_of(), fail_on="danger"))
    assert [
        c.get("name", "")[:5] for c in suite.iter("testcase") if c.find("failure") is not None
    ] == ["row 5"]
    assert any(
        "rated-below" in (c.findtext("system-out") or "")
        or "lower" in (c.findtext("system-out") or "")
        for c in suite
    )


def test_junit_tells_one_mistake_of_many_rows_once() -> None:
    (suite,) = _suites(to_junit(_report("column")))
    failures = [c for c in suite.iter("testcase") if c.find("failure") is not None]
    # every contradicted row fails; what is wrong with all of them is told in one case
    assert len(failures) == 13
    whole = [c for c in failures if c.findtext("failure")]
    assert len(whole) == 1 and whole[0].get("name", "").startswith("rows 2-13")
    told = {c.find("failure").get("message") for c in failures if c is not whole[0]}  # type: ignore[union-attr]
    assert told == {"contradicted, see the case of rows 2-13"}


def test_junit_names_a_rule_that_crashed() -> None:
    import dataclasses

    broken = dataclasses.replace(
        report_of(), crashed={"some-rule": "ZeroDivisionError: division by zero"}
    )
    suites = _suites(to_junit(broken))
    assert [e.get("type") for e in suites[-1].iter("error")] == ["RuleCrash"]


def test_junit_survives_what_is_no_xml() -> None:
    rows = [ROWS[3] | {"part": "x", "item": "bell \x07 <b>&amp; \ufffe ]]>"}]
    (suite,) = _suites(to_junit(report_of(rows)))
    assert "\ufffd" in (next(suite.iter("testcase")).get("name") or "")


def test_the_schema_takes_accepted_findings_and_a_change(tmp_path: Path) -> None:
    from tallyhook.reporting.decisions import apply_decisions
    from tallyhook.reporting.since import since

    file = tmp_path / "decisions.csv"
    file.write_text(
        "row_key,rule,decision,who,why,date,expires,document,observed\n"
        "HP-4,rated-above-every-source,accept,Ann,maker says so,2026-11-20,,certificate 7,"
        '"26,400 lb"\n'
        "HP-99,rated-above-every-source,accept,Ann,gone,2026-11-20,,,\n"
    )
    before = tmp_path / "before.json"
    before.write_text(report_of(ROWS[:4]).to_json())
    decided = apply_decisions(report_of(), file, today=date(2026, 11, 25))
    change = since(report_of(), before).to_dict()
    told = valid_json("".join(decided.report.json_pieces({"change": change})))
    # the open ones, that of a decision on nothing among them; then the accepted one
    assert [f["row"] for f in told["findings"]] == [6, None, 5]
    assert [f["decision"] for f in told["findings"]] == [
        None,
        None,
        {
            "decision": "accept",
            "who": "Ann",
            "why": "maker says so",
            "date": "2026-11-20",
            "expires": None,
            "document": "certificate 7",
        },
    ]
    assert told["counts"]["accepted"] == 1 and "danger" not in told["counts"]["severity"]


def test_pandas_reads_the_items_of_the_csv_as_the_documentation_says(tmp_path: Path) -> None:
    import pandas as pd

    page = (ROOT / "docs" / "report-format.md").read_text(encoding="utf-8")
    (example,) = re.findall(r"```python\n(.*?)```", page, flags=re.DOTALL)
    (tmp_path / "report.csv").write_text(to_csv(report_of()), encoding="utf-8")
    found: dict[str, Any] = {}
    exec(example.replace("report.csv", str(tmp_path / "report.csv")), found)
    items: pd.DataFrame = found["items"]
    assert items["part"].tolist() == [row["part"] for row in ROWS]
    assert items["outcome"].tolist() == report_of().items["outcome"].tolist()


def test_junit_skips_what_was_accepted_and_says_who_did(tmp_path: Path) -> None:
    from tallyhook.reporting.decisions import apply_decisions

    path = tmp_path / "decisions.csv"
    path.write_text(
        "row_key,rule,decision,who,why,date,document,observed\n"
        'HP-4,rated-above-every-source,accept,Ann,its mark,2026-11-20,certificate 7,"26,400 lb"\n'
    )
    report = apply_decisions(report_of(), path, today=date(2026, 11, 25)).report
    (suite,) = _suites(to_junit(report))
    case = next(c for c in suite if (c.get("name") or "").startswith("row 5"))
    how = "by Ann on 2026-11-20: its mark (certificate 7)"
    assert [child.tag for child in case] == ["properties", "skipped", "system-out"]
    assert case[1].get("message") == f"rated-above-every-source accepted {how}"
    assert (case.findtext("system-out") or "").endswith(f"accepted {how}")
