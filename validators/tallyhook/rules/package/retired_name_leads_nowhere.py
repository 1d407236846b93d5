"""A withdrawn rating is recorded without its reason, its version or a successor that exists.

## What it checks
Every row of ``retired.csv`` has a reason and a version that the package's changelog has a heading
for. Its successor, if it has one, is the name of a rating, in whichever package, or of one that
was retired itself; never its own name.

## Why it matters
Whoever kept the name of a rating that went wants to know why it went and what to use now.

## Likely cause
The entry was written in haste, or the successor was mistyped or withdrawn without an entry.

## Example
`retired-names`

| row | table        | rating_id      | reason    | successor      | since | known_version | finding   |
| --- | ------------ | -------------- | --------- | -------------- | ----- | ------------- | --------- |
| 2   | demo.retired | load/demo/70/7 | mistyped  | load/demo/80/7 | 2.0.0 | true          |           |
| 3   | demo.retired | load/demo/71/7 | mistyped  | load/demo/80/8 | 2.0.0 | true          | successor |
| 4   | demo.retired | load/demo/72/7 | mistyped  | load/demo/72/7 | 2.0.0 | true          | successor |
| 5   | demo.retired | load/demo/73/7 |           |                | 2.0.0 | true          | reason    |
| 6   | demo.retired | load/demo/74/7 | withdrawn |                | 2.0.1 | false         | since     |

`all-names`

| row | table        | rating_id      | retired |
| --- | ------------ | -------------- | ------- |
| 2   | demo.loads   | load/demo/80/7 | false   |
| 4   | demo.retired | load/demo/72/7 | true    |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.messages import say
from tallyhook.model.finding import ERROR
from tallyhook.rules import rule
from tallyhook.rules.package import findings


@rule(severity=ERROR, reads=("retired-names", "all-names"), since="0.2.0")
def retired_name_leads_nowhere(retired: pd.DataFrame, everywhere: pd.DataFrame) -> pd.DataFrame:
    followed = retired["successor"].fillna("")
    known = followed.isin(everywhere["rating_id"]) & (followed != retired["rating_id"])
    lost = retired[(followed != "") & ~known]
    silent = retired[retired["reason"].fillna("") == ""]
    undated = retired[~retired["known_version"].astype(bool)]
    return pd.concat(
        [
            findings(lost, column="successor", expected=say("the name of another rating")),
            findings(silent, column="reason", expected=say("why it was withdrawn")),
            findings(undated, column="since", expected=say("a version of the changelog")),
        ]
    )
