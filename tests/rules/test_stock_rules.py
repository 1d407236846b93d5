"""Every stock rule answers its own example table: the bad row, the good row, the near miss."""

from __future__ import annotations

import polars as pl
import pytest

from stock_items import example_items
from tallyhook._example import example_tables
from tallyhook.packages import Package
from tallyhook.rules import Rule, all_rules


@pytest.mark.parametrize("rule", all_rules("stock"), ids=lambda rule: rule.name)
def test_the_example_finds_what_it_marks_and_nothing_else(
    rule: Rule, reference: pl.DataFrame, packages: dict[str, Package]
) -> None:
    rows = example_tables(rule.sections["Example"], "items")["items"]
    items = example_items(rows, reference)
    tables = {"items": items, "reference": reference}
    read = [
        tables[name] if name in tables else packages[name.split(".")[0]][name.split(".")[1]]
        for name in rule.reads
    ]

    found = rule.check(*read)

    marked = {(int(row["row"]), row["finding"]) for row in rows if row["finding"]}
    assert marked, "an example without a finding shows nothing"
    assert len(marked) < len(rows), "an example without a good row shows nothing"
    assert set(zip(found["row"], found["column"], strict=True)) == marked


@pytest.mark.parametrize("rule", all_rules("stock"), ids=lambda rule: rule.name)
def test_no_items_give_no_findings(
    rule: Rule, reference: pl.DataFrame, packages: dict[str, Package]
) -> None:
    tables = {"items": example_items([], reference), "reference": reference}
    read = [
        tables[name] if name in tables else packages[name.split(".")[0]][name.split(".")[1]]
        for name in rule.reads
    ]
    assert rule.check(*read).is_empty()
