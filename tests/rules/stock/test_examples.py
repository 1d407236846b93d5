"""Every stock rule answers its own example table: the bad row, the good row, the near miss."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd
import polars as pl
import pytest

from example_tables import example_tables
from stock_items import found_by
from tallyhook import check
from tallyhook.packages.package import Package
from tallyhook.rules import Rule, all_rules

_WHOLE = ("observed", "expected", "ratio", "source", "locator", "cause", "note")
"""The fields of a finding that an example compares: one that its table leaves out is empty."""

STOCK_RULES = pytest.mark.parametrize("rule", all_rules("stock"), ids=lambda rule: rule.name)


def _whole(finding: Mapping[str, Any]) -> dict[str, Any]:
    whole = {field: finding.get(field) or None for field in ("row", "column", *_WHOLE)}
    whole["row"] = int(whole["row"])
    if whole["ratio"] is not None:  # written with four figures
        whole["ratio"] = pytest.approx(float(whole["ratio"]), rel=5e-4)
    return whole


@STOCK_RULES
def test_the_example_finds_what_it_marks_and_nothing_else(
    rule: Rule, reference: pl.DataFrame, packages: dict[str, Package]
) -> None:
    tables = example_tables(rule.sections["Example"], "items")
    marks = {row["row"]: row["finding"] for row in tables["items"] if row["finding"]}
    assert marks, "an example without a finding shows nothing"
    assert len(tables["items"]) > len(marks) + 1, "an example has a good row and a near miss"
    assert [row["row"] for row in tables["findings"]] == list(marks)

    found = found_by(rule.name, tables["items"], reference, packages)

    wanted = [_whole(row | {"column": marks[row["row"]]}) for row in tables["findings"]]
    assert [_whole(finding) for finding in found] == wanted


@STOCK_RULES
def test_no_items_give_no_findings(
    rule: Rule, reference: pl.DataFrame, packages: dict[str, Package]
) -> None:
    assert found_by(rule.name, [], reference, packages) == []


def _rules_of(rows: list[dict[str, str]]) -> dict[int, set[tuple[str, str]]]:
    found = check(pd.DataFrame(rows)).findings
    told: dict[int, set[tuple[str, str]]] = {}
    for row, rule, severity in zip(found["row"], found["rule"], found["severity"], strict=True):
        told.setdefault(int(row), set()).add((rule, severity))
    return told


def test_a_hook_of_a_grade_that_is_not_for_lifting_makes_its_sling_a_danger() -> None:
    # ASTM A413/A413M-21, 1.1: grades 30, 43 and 70 are for other purposes than overhead lifting
    rows = [
        {"Description": words, "WLL (lb)": "7,100"}
        for words in (
            "Chain sling G80 3/8 ASOS w/ G70 hook",
            "Chain sling G80 3/8 ASOS w/ G100 hook",
            "Chain sling G80 3/8 ASOS, not G70",
            "Chain sling G80 3/8 ASOS w/ G80 hook",
        )
    ]
    told = _rules_of(rows)
    assert told[2] == {("grade-is-not-for-overhead-lifting", "danger")}
    assert told[3] == {("assembly-mixes-grades", "warning")}
    assert ("grade-is-not-for-overhead-lifting", "danger") not in told[4]
    assert 5 not in told


def test_a_hoist_hook_rated_at_its_breaking_force_is_a_danger() -> None:
    # hoist hook family table (common practice): carbon eye hooks have design factor 5
    frame = pd.DataFrame(
        {
            "Description": ["Eye hoist hook, carbon"] * 3,
            "Rated load t": ["15", "15", "3"],
            "Breaking t": ["15", "75", "15"],
        }
    )
    (danger,) = check(frame).findings.to_dict("records")
    assert (danger["row"], danger["severity"]) == (2, "danger")
    assert danger["column"] == "Rated load t" and danger["expected"].startswith("3 t")
    assert danger["ratio"] == pytest.approx(5)


def test_a_hoist_hook_with_a_shank_or_a_swivel_is_smaller_than_its_eye_hook() -> None:
    # hoist hook family table, size I, alloy: eye hook 5 t; shank and swivel hook 4.5 t
    words = ["Eye hoist hook, alloy", "Swivel hoist hook, alloy", "Shank hoist hook, alloy"]
    frame = pd.DataFrame({"Description": words * 2, "Rated load t": ["5"] * 3 + ["4.5"] * 3})
    found = check(frame).findings
    assert list(found["row"]) == [3, 4]
    assert set(found["rule"]) == {"hoist-hook-is-not-in-the-series"}
