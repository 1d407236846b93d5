"""The name of a rating is not the one that the template of its table makes of its key.

## What it checks
Every ``rating_id`` is what ``ratingId`` in the table's schema makes of the row's own key, and is
made of words of lower case letters, digits, dots and hyphens between slashes.

## Why it matters
Lists, reports and other people's tables refer to a rating by its name. A name that does not follow
from the key is one that nobody can make again, and leads to another rating than it says.

## Likely cause
A key was changed by hand. Run ``scripts/derive``; a name that goes belongs into ``retired.csv``.

## Example
`names`

| row | table      | rating_id         | expected          | finding   |
| --- | ---------- | ----------------- | ----------------- | --------- |
| 2   | demo.loads | load/demo/80/10mm | load/demo/80/10mm |           |
| 3   | demo.loads | load/demo/80/10mm | load/demo/80/13mm | rating_id |
| 4   | demo.loads |                   | load/demo/80/16mm | rating_id |
| 5   | demo.marks | mark-1            |                   | rating_id |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.messages import say
from tallyhook.model.finding import ERROR
from tallyhook.packages.rating_ids import is_name
from tallyhook.rules import rule
from tallyhook.rules.package import findings


@rule(severity=ERROR, reads="names", since="0.2.0")
def rating_id_is_not_what_its_template_gives(names: pd.DataFrame) -> pd.DataFrame:
    unlike = names["rating_id"] != names["expected"]
    unreadable = ~names["rating_id"].astype(str).map(is_name).astype(bool)
    broken = unlike | unreadable
    wrong = names[broken]
    # by place: rows of several tables have the same number
    made = wrong["expected"].replace("", None).where(unlike[broken])
    return findings(
        wrong,
        column="rating_id",
        expected=made.fillna(say("a name that the table's ratingId makes")),
    )
