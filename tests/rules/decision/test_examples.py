"""Every rule on decisions answers its own example table, whole."""

from __future__ import annotations

import polars as pl
import pytest

from example_tables import example_tables
from tallyhook.rules import Rule, all_rules

_TEXTS = (
    "row_key", "rule", "decision", "expires", "document", "observed", "item", "defect", "who", "with_sheet",
    "lacks", "shown", "against",
)  # fmt: skip
_COUNTS = ("line", "matched", "undocumented")
_FIELDS = ("item", "column", "observed", "expected", "note")


def _decisions(rows: list[dict[str, str]]) -> pl.DataFrame:
    return pl.DataFrame(
        {name: [row.get(name) or None for row in rows] for name in _TEXTS}
        | {name: [int(row.get(name) or 0) for row in rows] for name in _COUNTS}
        | {"expired": [row.get("expired") == "yes" for row in rows]},
        schema_overrides=dict.fromkeys(_TEXTS, pl.String),
    )


@pytest.mark.parametrize("rule", all_rules("decision"), ids=lambda rule: rule.name)
def test_the_example_finds_what_it_marks_and_nothing_else(rule: Rule) -> None:
    tables = example_tables(rule.sections["Example"], "decisions")
    rows = tables["decisions"]
    marks = {row["line"]: row["finding"] for row in rows if row["finding"]}
    assert marks and len(marks) < len(rows)
    assert [row["line"] for row in tables["findings"]] == list(marks)

    found = rule.check(_decisions(rows))

    wanted = [
        tuple((row | {"column": marks[row["line"]]}).get(field) or None for field in _FIELDS)
        for row in tables["findings"]
    ]
    assert list(found.select(_FIELDS).iter_rows()) == wanted
