"""The demo list: every planted mistake is found, and nothing else at danger or error."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

import tallyhook
from tallyhook.reporting.report import Report

DEMO = Path(__file__).resolve().parents[1] / "datasets" / "demo"


@pytest.fixture(scope="module")
def report() -> Report:
    return tallyhook.check(DEMO / "harrow-and-pike.csv")


def planted() -> list[dict[str, str]]:
    with (DEMO / "planted.csv").open(newline="", encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


def test_every_planted_mistake_is_found_and_nothing_else(report: Report) -> None:
    wanted = {(int(p["row"]), p["rule"]) for p in planted()}
    serious = report.findings[report.findings.severity.isin(["danger", "error"])]
    spoken = set(zip(report.findings.row, report.findings.rule, strict=True))
    assert wanted <= spoken
    assert set(zip(serious.row, serious.rule, strict=True)) <= wanted


@pytest.mark.parametrize("mistake", [p for p in planted() if p["cause"]], ids=lambda p: p["row"])
def test_the_planted_cause_is_named_first(report: Report, mistake: dict[str, str]) -> None:
    finding = report.findings[
        (report.findings.row == int(mistake["row"])) & (report.findings.rule == mistake["rule"])
    ].iloc[0]
    assert finding.cause == mistake["cause"]


def test_every_row_is_counted_once(report: Report) -> None:
    counts = report.counts
    assert counts["rows"] == counts["agree"] + counts["contradicted"] + counts["not_compared"]
    with (DEMO / "harrow-and-pike.csv").open(newline="", encoding="utf-8") as lines:
        assert counts["rows"] == len(list(csv.DictReader(lines)))


def test_a_higher_rating_is_never_expected_without_the_certificate(report: Report) -> None:
    raised = report.findings[report.findings.ratio < 1]
    assert len(raised)
    assert raised.note.str.contains("certificate").all()
