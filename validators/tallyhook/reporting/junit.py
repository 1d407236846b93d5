"""Reports for build servers: JUnit XML, in which what was not compared never looks passed."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree as ET

import polars as pl

from tallyhook.messages import say
from tallyhook.model.finding import SEVERITIES
from tallyhook.model.sheet import RATINGS
from tallyhook.reporting.finding_text import acceptance, case_lines, is_accepted, rows_of
from tallyhook.reporting.left_out import place_of
from tallyhook.wording import row_ranges

if TYPE_CHECKING:
    from tallyhook.reporting.gates import MostNotCompared
    from tallyhook.reporting.report import Report

__all__ = ["to_junit"]

Finding = dict[str, Any]
Place = tuple[str | None, int]

_NOT_XML = re.compile(r"[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def to_junit(
    *reports: Report,
    fail_on: str = "error",
    not_checked: Sequence[tuple[str, str]] = (),
    most_not_compared: MostNotCompared | None = None,
) -> str:
    """Write reports as JUnit XML, so that a build server shows findings as failed tests.

    Every item is a test case of its sheet's suite, with its outcome, part and rating_id as
    properties. It fails with a finding at or above `fail_on`, and where it is contradicted by one
    that many rows share, which is a case of its own and tells the whole. It is skipped, with the
    reason, where no table was held against it, whatever milder findings it has; where its findings
    were accepted; and where it is contradicted by milder findings alone. It passes otherwise.
    Milder and accepted findings are its output.

    What makes the check incomplete is an error: a rule that crashed, a list or a sheet that could
    not be checked, a list of which nothing was compared. More not compared than
    `most_not_compared` is a failure. Of a very long list the items that agree are left out, as in
    `Report.matched`.
    """
    root = ET.Element("testsuites", name="tallyhook")
    for report in reports:
        _suites_of_list(root, report, SEVERITIES[: SEVERITIES.index(fail_on) + 1])
        _suite_of_check(root, report, most_not_compared)
    for file, why in not_checked:
        suite = _suite(root, file)
        error = ET.SubElement(_case(suite, say("the list")), "error", type="StockListError")
        error.set("message", _xml(say("the list could not be checked ({reason})", reason=why)))
        _count(suite)
    _total(root)
    ET.indent(root)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ET.tostring(root, encoding="unicode") + "\n"


def _suites_of_list(root: ET.Element, report: Report, failing: tuple[str, ...]) -> None:
    own: dict[Place, list[Finding]] = {}
    shared: list[Finding] = []
    for finding in pl.concat([report.stock_findings, report.accepted]).iter_rows(named=True):
        if finding["row"] is None:
            shared.append(finding)
        else:
            own.setdefault((finding["sheet"], finding["row"]), []).append(finding)
    many: dict[Place, list[Finding]] = {}
    for finding in shared:
        for row in finding["rows"] or []:
            many.setdefault((finding["sheet"], row), []).append(finding)
    columns = ("row", "part", "item", "kind", "outcome", "agreed_id", "why", "unread",
               "wll_column", "wll2_column")  # fmt: skip
    for (sheet,), items in report.matched.group_by("sheet", maintain_order=True):
        suite = _suite(root, report.file if sheet is None else f"{report.file}, {sheet}")
        listed = items.select(columns).to_dicts()
        for item, found in zip(listed, _shared_out(listed, sheet, own), strict=True):
            _item_case(suite, item, found, many.get((sheet, item["row"]), []), failing)
        for finding in [f for f in shared if f["sheet"] == sheet]:
            rows = (
                say("rows {rows}", rows=row_ranges(rows_of(finding)))
                if finding["rows"]
                else say("the list")
            )
            _finding_case(suite, f"{rows}: {finding['item'] or ''}", finding, failing)
            shared.remove(finding)
        _count(suite)
    rest = [*shared, *(f for found in own.values() for f in found)]
    if rest or report.crashed:
        _suite_of_rules(root, rest, report.crashed, failing)


def _shared_out(
    items: Sequence[dict[str, Any]], sheet: str | None, own: dict[Place, list[Finding]]
) -> list[list[Finding]]:
    """Give each item of a sheet its findings, and take them from `own`.

    Of the several items of one row each has those about its own column, and the first has the rest.
    """
    first: dict[int, int] = {}
    by_column: dict[tuple[int, str], int] = {}
    for number, item in enumerate(items):
        first.setdefault(item["row"], number)
        for name in ("wll_column", "wll2_column"):
            if item[name] is not None:
                by_column.setdefault((item["row"], item[name]), number)
    given: list[list[Finding]] = [[] for _ in items]
    for row in first:
        for finding in own.pop((sheet, row), []):
            given[by_column.get((row, finding["column"]), first[row])].append(finding)
    return given


def _item_case(
    suite: ET.Element,
    item: dict[str, Any],
    found: list[Finding],
    many: list[Finding],
    failing: tuple[str, ...],
) -> None:
    """Write the case of an item; `many` are the findings about many rows that it is among."""
    place = say("row {row}", row=item["row"])
    case = _case(suite, f"{place}: {item['item'] or item['kind'] or ''}")
    _properties(case, item)
    _write(case, found, failing)
    if case.find("failure") is not None:
        return
    contradicted = item["outcome"] == "contradicted"
    accepted = [f for f in (*found, *many) if is_accepted(f)]
    severe = [f for f in many if f["severity"] in failing and not is_accepted(f)]
    if contradicted and severe:
        rows = row_ranges(severe[0]["rows"])
        text = say("contradicted, see the case of rows {rows}", rows=rows)
        ET.SubElement(case, "failure", message=_xml(text), type=severe[0]["rule"])
    elif item["outcome"] == "not compared":
        reason = say(item["why"]) if item["why"] else say("not compared")
        _skip(case, [reason, item["unread"], *map(_accepted_text, accepted)])
    elif accepted:
        _skip(case, [_accepted_text(finding) for finding in accepted])
    elif contradicted and (found or many):
        _skip(case, [say("contradicted, by findings milder than those that fail the check")])
    elif contradicted:
        text = say("contradicted, see the other cases of the row")
        ET.SubElement(case, "failure", message=_xml(text), type="contradicted")


def _skip(case: ET.Element, reasons: Sequence[str | None]) -> None:
    said = "; ".join(dict.fromkeys(reason for reason in reasons if reason))
    # the reason stands before the output of the case, as the form of JUnit has it
    skipped = ET.Element("skipped", message=_xml(said))
    case.insert(len(case.findall("properties")), skipped)


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


def _accepted_text(finding: Finding) -> str:
    """Say what was accepted, by whom and why, and which document allows it."""
    parts = {"rule": finding["rule"], "how": acceptance(finding)}
    document = finding["decision"]["document"]
    if document:
        return say("{rule} accepted {how} ({document})", document=document, **parts)
    return say("{rule} accepted {how}", **parts)


def _finding_case(suite: ET.Element, name: str, finding: Finding, failing: tuple[str, ...]) -> None:
    case = _case(suite, name)
    _write(case, [finding], failing)
    if is_accepted(finding):
        _skip(case, [_accepted_text(finding)])


def _suite_of_rules(
    root: ET.Element, rest: list[Finding], crashed: dict[str, str], failing: tuple[str, ...]
) -> None:
    suite = _suite(root, "rules")
    for finding in rest:
        _finding_case(suite, f"{finding['rule']}: {finding['item'] or ''}", finding, failing)
    for rule, reason in crashed.items():
        error = ET.SubElement(_case(suite, rule), "error", type="RuleCrash")
        error.set("message", _xml(say("the rule did not answer ({reason})", reason=reason)))
    _count(suite)


def _suite_of_check(root: ET.Element, report: Report, most: MostNotCompared | None) -> None:
    """Tell what was left unchecked, and that too little was compared, as cases of their own."""
    suite = ET.Element("testsuite", name=_xml(say("{file}: what was checked", file=report.file)))
    for left in report.left_out:
        case = _case(suite, place_of(left))
        if left.state == RATINGS:
            what = say("looks like ratings and was not checked ({why})", why=say(left.why))
            ET.SubElement(case, "error", type="NotChecked", message=_xml(what))
        else:
            _skip(case, [say("not checked: {why}", why=say(left.why))])
    if not report.compared:
        error = ET.SubElement(_case(suite, say("the list")), "error", type="NothingCompared")
        error.set("message", _xml(report.incomplete[0]))
    if most is not None and (left_over := most.exceeded(report.counts)):
        case = _case(suite, say("items not compared"))
        ET.SubElement(case, "failure", type="most-not-compared", message=_xml(left_over))
    if len(suite):
        root.append(suite)
        _count(suite)


def _suite(root: ET.Element, name: str) -> ET.Element:
    return ET.SubElement(root, "testsuite", name=_xml(name))


def _case(suite: ET.Element, name: str) -> ET.Element:
    group = suite.get("name", "")
    return ET.SubElement(suite, "testcase", classname=group, name=_xml(name.strip(": ")), time="0")


def _write(case: ET.Element, findings: list[Finding], failing: tuple[str, ...]) -> None:
    mild = []
    for finding in findings:
        text = "\n".join(case_lines(finding))
        if finding["severity"] in failing and not is_accepted(finding):
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
