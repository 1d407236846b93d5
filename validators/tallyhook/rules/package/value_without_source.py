"""A published number does not say where it is from, or how that is known.

## What it checks
Every number beside a key has a source, a locator in it, and ``known_by``: published, restated,
computed, maker, practice or recalled.

## Why it matters
A load nobody can look up cannot be held against a label, and must not pass one.

## Likely cause
A row was added in haste, or a column override was left half filled.

## Example
`values`

| row | table      | column | key   | value | source  | locator | known_by  | finding  |
| --- | ---------- | ------ | ----- | ----- | ------- | ------- | --------- | -------- |
| 2   | demo.loads | wll_kg | False | 3150  | the-law | row 1   | published |          |
| 3   | demo.loads | wll_kg | False | 5300  | the-law |         | published | locator  |
| 4   | demo.loads | wll_kg | False | 8000  | the-law | row 3   | guessed   | known_by |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.messages import say
from tallyhook.model.finding import ERROR
from tallyhook.packages.descriptors import KNOWN_BY
from tallyhook.rules import rule
from tallyhook.rules.package import findings
from tallyhook.wording import or_list


@rule(severity=ERROR, reads="values", since="0.1.0")
def value_without_source(values: pd.DataFrame) -> pd.DataFrame:
    published = values[~values["key"].astype(bool)]
    parts = []
    for name in ("source", "locator", "known_by"):
        good = published["known_by"].isin(KNOWN_BY) if name == "known_by" else published[name] != ""
        bad = published[~good]
        # one finding a row: its numbers share the columns
        bad = bad.reset_index().drop_duplicates(["row", "table"]).set_index("row")
        expected = or_list(KNOWN_BY) if name == "known_by" else say("a {name}", name=name)
        parts.append(
            findings(bad, column=name, observed=bad[name], expected=expected).drop(
                columns=["source", "locator"]
            )
        )
    return pd.concat(parts)
