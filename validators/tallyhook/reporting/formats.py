"""Reports for programs: NDJSON, CSV, Parquet and JUnit XML beside the JSON of `Report.to_json`."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree as ET

import polars as pl

from tallyhook.files import is_formula_like
from tallyhook.messages import say
from tallyhook.model.finding import SEVERITIES
from tallyhook.reporting.finding_text import case_lines, rows_of
from tallyhook.reporting.report import PIECE, json_records
from tallyhook.wording import row_ranges

if TYPE_CHECKING:
    from tallyhook.reporting.report import Report

__all__ = [
    "FINDING_FIELDS",
    "ndjson_pieces",
    "safe_cell",
    "to_csv",
    "to_junit",
    "to_ndjson",
    "to_parquet",
]

FINDING_FIELDS = (
    "rule", "severity", "file", "sheet", "row", "rows", "column", "item", "observed", "expected",
    "ratio", "cause", "confidence", "other_causes", "source", "locator", "note",
)  # fmt: skip
"""The columns of the CSV and Parquet files."""

_NOT_XML = re.compile(r"[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def to_ndjson(report: Report) -> str:
    """Write the report as one JSON record a line.

    The first record has ``"record": "report"`` and everything but the lists; each finding, item
    and item not compared follows with ``"record"`` ``finding``, ``item`` or ``not_compared``, its
    fields as in the JSON report.
    """
    return "".join(ndjson_pieces(report))


def ndjson_pieces(report: Report) -> Iterator[str]:
    """Write the text of `to_ndjson` piece by piece."""
    head = {"record": "report"} | report.head()
    yield json.dumps(head, ensure_ascii=False, allow_nan=False) + "\n"
    for name, frame in report.lists().items():
        single = name.removesuffix("s") if name in ("findings", "items") else name
        records = frame.select(pl.lit(single).alias("record"), pl.all())
        for piece in records.iter_slices(PIECE):
            yield "\n".join(json_records(piece)) + "\n"


def to_csv(report: Report) -> str:
    """Write the findings as CSV: LF, `FINDING_FIELDS`, several rows or causes separated by ``;``.

    A text that a spreadsheet would take for a formula gets an apostrophe in front.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(FINDING_FIELDS)
    for finding in _findings(report).iter_rows():
        writer.writerow([safe_cell(value) for value in finding])
    return out.getvalue()


def safe_cell(value: Any) -> str:
    """Write a value for a CSV that a spreadsheet may open.

    Examples
    --------
    >>> safe_cell("=1+1"), safe_cell("3/8"), safe_cell(-4.5), safe_cell([2, 3])
    ("'=1+1", '3/8', '-4.5', '2;3')
    """
    if value is None:
        return ""
    if isinstance(value, (list, pl.Series)):
        return safe_cell(";".join(map(str, value)))
    if not isinstance(value, str):
        return f"{value:.10g}" if isinstance(value, float) else str(value)
    return f"'{value}" if is_formula_like(value) else value


def to_parquet(report: Report) -> bytes:
    """Write the findings as Parquet, typed: `FINDING_FIELDS`, rows and other causes as lists."""
    out = io.BytesIO()
    _findings(report).write_parquet(out)
    return out.getvalue()


def _findings(report: Report) -> pl.DataFrame:
    return report.stock_findings.select(FINDING_FIELDS)


def to_junit(report: Report, *, fail_on: str = "error") -> str:
    """Write the report as JUnit XML, so that a build server shows findings as failed tests.

    Every item is a test case of its sheet's suite: it fails with a finding at or above `fail_on`
    and passes otherwise; milder findings are its output. It is skipped when no table was held
    against it. A finding about many rows is one case of its own, and those rows are skipped with
    a word about it. A rule that crashed is an error. Of a very long list the items that agree are
    left out, as in `Report.matched`.
    """
    failing = SEVERITIES[: SEVERITIES.index(fail_on) + 1]
    own: dict[tuple[str | None, int], list[dict[str, Any]]] = {}
    shared: list[dict[str, Any]] = []
    for finding in report.stock_findings.iter_rows(named=True):
        if finding["row"] is None:
            shared.append(finding)
        else:
            own.setdefault((finding["sheet"], finding["row"]), []).append(finding)
    many = {(f["sheet"], row): row_ranges(f["rows"]) for f in shared for row in f["rows"] or []}
    root = ET.Element("testsuites", name="tallyhook")
    columns = ("row", "item", "kind", "outcome", "why", "wll_column")
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
    _total(root)
    ET.indent(root)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ET.tostring(root, encoding="unicode") + "\n"


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
    _write(case, found, failing)
    if found:
        return
    if item["outcome"] == "not compared":
        reason = say(item["why"]) if item["why"] else say("not compared")
        ET.SubElement(case, "skipped", message=_xml(reason))
    elif item["outcome"] == "contradicted" and rows is not None:
        reason = say("contradicted, see the case of rows {rows}", rows=rows)
        ET.SubElement(case, "skipped", message=reason)


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
        if finding["severity"] in failing:
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
