"""Every package rule answers its own example tables: what is marked, and nothing else."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from package_tables import frames, marked
from tallyhook.rules import Rule, all_rules


@pytest.mark.parametrize("rule", all_rules("package"), ids=lambda rule: rule.name)
def test_the_example_finds_what_it_marks_and_nothing_else(rule: Rule) -> None:
    tables = frames(rule.sections["Example"], rule.reads[0])

    found = rule.check(*(tables[name] for name in rule.reads))

    named = found["table"] if "table" in found else pd.Series(rule.reads[0], found.index)
    # a finding on a view names the table that its line is of; the example marks it in the view
    where = [name if name in tables else rule.reads[0] for name in named]
    expected = marked(tables)
    assert expected, "an example without a finding shows nothing"
    assert {
        (t, int(r), c) for t, r, c in zip(where, found["row"], found["column"], strict=True)
    } == expected


@pytest.mark.parametrize("rule", all_rules("package"), ids=lambda rule: rule.name)
def test_empty_tables_give_no_findings(rule: Rule) -> None:
    tables = frames(rule.sections["Example"], rule.reads[0])
    found = rule.check(*(tables[name].iloc[:0] for name in rule.reads))
    assert len(found) == 0


@pytest.mark.parametrize("rule", all_rules("package"), ids=lambda rule: rule.name)
def test_every_rule_has_a_case_of_its_own_beside_the_example(rule: Rule) -> None:
    cases = "".join(
        p.read_text(encoding="utf-8") for p in Path(__file__).parent.glob("test_*_rules.py")
    )
    assert f'"{rule.name}"' in cases
