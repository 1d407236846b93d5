"""Reports for programs: NDJSON, CSV, Parquet and JUnit XML beside the JSON of `Report.to_json`.

NDJSON, CSV and Parquet hold the same records: each finding, item and item not compared, called so
in ``record``, and with the ``file`` of its list. Several lists follow one another; one that could
not be checked is a record ``list_not_checked``.
"""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree as ET

import polars as pl

from tallyhook.files import FORMULA_LIKE
from tallyhook.messages import say
from tallyhook.model.finding import (
    ACCEPT,
    DECISION,
    REPORTED_FINDING,
    SEVERITIES,
    STOCK_FINDING_SCHEMA,
)
from tallyhook.model.items import ITEM_SCHEMA, REPORTED_ITEM, REPORTED_UNCOMPARED
from tallyhook.reporting.finding_text import acceptance, case_lines, rows_of
from tallyhook.reporting.report import PIECE, json_records
from tallyhook.wording import row_ranges

if TYPE_CHECKING:
    from tallyhook.reporting.report import Report

__all__ = [
    "CSV_COLUMNS",
    "RECORD_COLUMNS",
    "ndjson_pieces",
    "to_csv",
    "to_junit",
    "to_ndjson",
    "to_parquet",
]

NotChecked = tuple[str, str]
"""A list that could not be checked, and why."""

RECORD_COLUMNS = tuple(
    dict.fromkeys(("record", *REPORTED_FINDING, *REPORTED_ITEM, *REPORTED_UNCOMPARED))
)
"""The columns of the Parquet file: the fields of all kinds of records."""

_OF_DECISION = tuple(f"decision.{part.name}" for part in DECISION.fields)

CSV_COLUMNS = tuple(
    name
    for column in RECORD_COLUMNS
    for name in (_OF_DECISION if column == "decision" else (column,))
)
"""The columns of the CSV file: those of the Parquet file, a decision in one for each part of it."""

_NOT_XML = re.compile(r"[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")

_RECORDS = {"findings": "finding", "items": "item", "not_compared": "not_compared"}
"""The lists of a report, and what one record of each is called."""


def to_ndjson(*reports: Report, not_checked: Sequence[NotChecked] = ()) -> str:
    """Write reports as one JSON record a line.

    The first record of a list has ``"record": "report"`` and everything but the lists; each
    finding, item and item not compared follows with ``"record"`` ``finding``, ``item`` or
    ``not_compared`` and its fields as in the JSON report, the ``file`` of the list among them.
    """
    return "".join(ndjson_pieces(*reports, not_checked=not_checked))


def ndjson_pieces(*reports: Report, not_checked: Sequence[NotChecked] = ()) -> Iterator[str]:
    """Write the text of `to_ndjson` piece by piece."""
    for report in reports:
        head = {"record": "report"} | report.head()
        yield json.dumps(head, ensure_ascii=False, allow_nan=False) + "\n"
        for records in _records(report).values():
            for piece in records.iter_slices(PIECE):
                yield "\n".join(json_records(piece)) + "\n"
    for file, why in not_checked:
        left = {"record": "list_not_checked", "file": file, "why": why}
        yield json.dumps(left, ensure_ascii=False) + "\n"


def _records(report: Report) -> dict[str, pl.DataFrame]:
    """The lists of a report, each record with what it is and its file."""
    found = {}
    for name, frame in report.lists().items():
        of_list = frame if "file" in frame.columns else _of_file(frame, report.file)
        found[name] = of_list.select(pl.lit(_RECORDS[name]).alias("record"), pl.all())
    return found


def _of_file(frame: pl.DataFrame, file: str) -> pl.DataFrame:
    return frame.select(pl.lit(file).alias("file"), pl.all())


def _table(reports: Sequence[Report], not_checked: Sequence[NotChecked]) -> pl.DataFrame:
    """All records in one table, `RECORD_COLUMNS`."""
    types = STOCK_FINDING_SCHEMA | ITEM_SCHEMA | dict.fromkeys(RECORD_COLUMNS[:1], pl.String)
    empty = {c: types.get(c, pl.String) for c in RECORD_COLUMNS if c != "index"}
    left = pl.DataFrame(
        [{"record": "list_not_checked", "file": file, "why": why} for file, why in not_checked],
        schema=dict.fromkeys(("record", "file", "why"), pl.String),
    )
    parts = [frame for report in reports for frame in _records(report).values()]
    # relaxed: the indexes of several frames may be numbers and text
    whole = pl.concat([pl.DataFrame(schema=empty), *parts, left], how="diagonal_relaxed")
    return whole.select(c if c in whole.columns else pl.lit(None).alias(c) for c in RECORD_COLUMNS)


def to_csv(*reports: Report, not_checked: Sequence[NotChecked] = ()) -> str:
    """Write the records of reports as CSV: LF, `CSV_COLUMNS`.

    A field that a record does not have is empty; several rows or causes are separated by ``;``. A
    text that a spreadsheet would take for a formula gets an apostrophe in front.
    """
    table = _table(reports, not_checked)
    parts = table["decision"].struct.unnest().rename(lambda name: f"decision.{name}")
    flat = pl.concat([table.drop("decision"), parts], how="horizontal").select(CSV_COLUMNS)
    return flat.select(_cell(name, dtype) for name, dtype in flat.schema.items()).write_csv()


def _cell(name: str, dtype: pl.DataType) -> pl.Expr:
    """Write a column for a CSV that a spreadsheet may open."""
    if dtype.is_numeric():
        return pl.col(name).cast(pl.String).str.strip_suffix(".0")
    if isinstance(dtype, pl.List):
        joined = pl.col(name).cast(pl.List(pl.String)).list.join(";")
        return joined.replace("", None)
    text = pl.col(name).cast(pl.String)
    return pl.when(text.str.contains(FORMULA_LIKE)).then("'" + text).otherwise(text).alias(name)


def to_parquet(*reports: Report, not_checked: Sequence[NotChecked] = ()) -> bytes:
    """Write the records of reports as Parquet, typed: `RECORD_COLUMNS`.

    Rows and other causes are lists, a decision is a structure.
    """
    out = io.BytesIO()
    _table(reports, not_checked).write_parquet(out)
    return out.getvalue()


def to_junit(
    *reports: Report, fail_on: str = "error", not_checked: Sequence[NotChecked] = ()
) -> str:
    """Write reports as JUnit XML, so that a build server shows findings as failed tests.

    Every item is a test case of its sheet's suite: it fails with a finding at or above `fail_on`
    and passes otherwise; milder and accepted findings are its output. It is skipped when no table
    was held against it; its outcome, part and rating_id are properties of the case. A finding about
    many rows is one case of its own, and those rows are skipped with a word about it. A rule that
    crashed and a list that could not be checked are errors. Of a very long list the items that
    agree are left out, as in `Report.matched`.
    """
    root = ET.Element("testsuites", name="tallyhook")
    for report in reports:
        _suites_of_list(root, report, SEVERITIES[: SEVERITIES.index(fail_on) + 1])
    for file, why in not_checked:
        suite = _suite_of_sheet(root, file, None)
        error = ET.SubElement(_case(suite, say("the list")), "error", type="StockListError")
        error.set("message", _xml(say("the list could not be checked ({reason})", reason=why)))
        _count(suite)
    _total(root)
    ET.indent(root)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ET.tostring(root, encoding="unicode") + "\n"


def _suites_of_list(root: ET.Element, report: Report, failing: tuple[str, ...]) -> None:
    own: dict[tuple[str | None, int], list[dict[str, Any]]] = {}
    shared: list[dict[str, Any]] = []
    found_and_accepted = pl.concat([report.stock_findings, report.accepted])
    for finding in found_and_accepted.iter_rows(named=True):
        if finding["row"] is None:
            shared.append(finding)
        else:
            own.setdefault((finding["sheet"], finding["row"]), []).append(finding)
    many = {(f["sheet"], row): row_ranges(f["rows"]) for f in shared for row in f["rows"] or []}
    columns = ("row", "part", "item", "kind", "outcome", "agreed_id", "why", "wll_column")
    for (sheet,), items in report.matched.group_by("sheet", maintain_order=True):
        suite = _suite_of_sheet(root, report.file, sheet)
        done: set[int] = set()
        for item in items.select(columns).iter_rows(named=True):
            # of the several items of one row, the first carries the row's findings
            found = [] if item["row"] in done else own.pop((sheet, item["row"]), [])
            done.add(item["row"])
            _item_case(suite, item, found, failing, many.get((sheet, item["row"])))
        for finding in [f for f in shared if f["sheet"] == sheet]:
            rows = (
                say("rows {rows}", rows=row_ranges(rows_of(finding)))
                if finding["rows"]
                else say("the list")
            )
            _write(_case(suite, f"{rows}: {finding['item'] or ''}"), [finding], failing)
            shared.remove(finding)
        _count(suite)
    rest = [*shared, *(f for found in own.values() for f in found)]
    if rest or report.crashed:
        _suite_of_rules(root, rest, report.crashed, failing)


def _suite_of_sheet(root: ET.Element, file: str, sheet: str | None) -> ET.Element:
    name = file if sheet is None else f"{file}, {sheet}"
    return ET.SubElement(root, "testsuite", name=_xml(name))


def _item_case(
    suite: ET.Element,
    item: dict[str, Any],
    found: list[dict[str, Any]],
    failing: tuple[str, ...],
    rows: str | None,
) -> None:
    """Write the case of an item; `rows` are those of a finding about many that it is among."""
    place = say("row {row}", row=item["row"])
    case = _case(suite, f"{place}: {item['item'] or item['kind'] or ''}")
    _properties(case, item)
    _write(case, found, failing)
    if any(not _is_accepted(finding) for finding in found):
        return
    if item["outcome"] == "not compared":
        reason = say(item["why"]) if item["why"] else say("not compared")
        ET.SubElement(case, "skipped", message=_xml(reason))
    elif item["outcome"] == "contradicted" and rows is not None:
        reason = say("contradicted, see the case of rows {rows}", rows=rows)
        ET.SubElement(case, "skipped", message=reason)


def _properties(case: ET.Element, item: dict[str, Any]) -> None:
    agrees = item["outcome"] == "agree"
    told = {
        "outcome": item["outcome"].replace(" ", "_"),
        "part": item["part"],
        "rating_id": item["agreed_id"] if agrees else None,
    }
    properties = ET.SubElement(case, "properties")
    for name, value in told.items():
        if value is not None:
            ET.SubElement(properties, "property", name=name, value=_xml(value))


def _is_accepted(finding: dict[str, Any]) -> bool:
    return bool(finding["decision"]) and finding["decision"]["decision"] == ACCEPT


def _suite_of_rules(
    root: ET.Element, rest: list[dict[str, Any]], crashed: dict[str, str], failing: tuple[str, ...]
) -> None:
    suite = ET.SubElement(root, "testsuite", name="rules")
    for finding in rest:
        _write(_case(suite, f"{finding['rule']}: {finding['item'] or ''}"), [finding], failing)
    for rule, reason in crashed.items():
        error = ET.SubElement(_case(suite, rule), "error", type="RuleCrash")
        error.set("message", _xml(say("the rule did not answer ({reason})", reason=reason)))
    _count(suite)


def _case(suite: ET.Element, name: str) -> ET.Element:
    group = suite.get("name", "")
    return ET.SubElement(suite, "testcase", classname=group, name=_xml(name.strip(": ")), time="0")


def _write(case: ET.Element, findings: list[dict[str, Any]], failing: tuple[str, ...]) -> None:
    mild = []
    for finding in findings:
        text = "\n".join(case_lines(finding))
        if _is_accepted(finding):
            accepted = say("accepted {how}", how=acceptance(finding))
            mild.append(f"{text}\n{accepted}")
        elif finding["severity"] in failing:
            message = say(
                "{observed}; expected {expected}",
                observed=finding["observed"] or "",
                expected=finding["expected"] or "",
            )
            failure = ET.SubElement(case, "failure", message=_xml(message), type=finding["rule"])
            failure.text = _xml(text)
        else:
            mild.append(text)
    if mild:
        ET.SubElement(case, "system-out").text = _xml("\n\n".join(mild))


def _count(suite: ET.Element) -> None:
    cases = suite.findall("testcase")
    suite.set("tests", str(len(cases)))
    for attribute, tag in (("failures", "failure"), ("errors", "error"), ("skipped", "skipped")):
        suite.set(attribute, str(sum(case.find(tag) is not None for case in cases)))


def _total(root: ET.Element) -> None:
    for attribute in ("tests", "failures", "errors", "skipped"):
        root.set(attribute, str(sum(int(suite.get(attribute, "0")) for suite in root)))


def _xml(text: str) -> str:
    return _NOT_XML.sub("\ufffd", text)
