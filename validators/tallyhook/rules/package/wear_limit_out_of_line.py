"""A limit of link wear is neither on its own table's line nor in any other document.

## What it checks
Where three quarters of a table's limits are one share of the nominal size in mm, within 3 %, the
others are too (29 CFR 1918 appendix II: 13.3 %). In tables without such a line, each limit for a
size stands in another document as well, within 1 %.

## Why it matters
A misprinted limit keeps a worn chain in service, or scraps a good one.

## Likely cause
A digit; or a misprint of the document itself, which is then a known oddity.

## Example
`chain.link-wear`

| row | source  | locator | size_in | size_mm | max_wear_in | finding     |
| --- | ------- | ------- | ------- | ------- | ----------- | ----------- |
| 2   | the-law | A       | 1/4     | 7       | 0.037       |             |
| 3   | the-law | A       | 3/8     | 10      | 0.052       |             |
| 4   | the-law | A       | 1/2     | 13      | 0.060       | max_wear_in |
| 5   | the-law | A       | 5/8     | 16      | 0.084       |             |
| 6   | the-law | A       | 3/4     | 20      | 0.105       |             |
| 7   | old-law | B       | 1/4     | 7       | 0.047       |             |
| 8   | old-law | B       | 1/2     | 13      | 0.109       |             |
| 9   | copy    | C       | 1/4     | 7       | 0.047       |             |
| 10  | copy    | C       | 1/2     | 13      | 0.107       | max_wear_in |
| 11  | other   | D       | 1/2     | 13      | 0.109       |             |
"""

from __future__ import annotations

import pandas as pd

from tallyhook.messages import say
from tallyhook.model.finding import WARNING
from tallyhook.rules import rule
from tallyhook.rules.package import findings
from tallyhook.rules.package._lines import off_line
from tallyhook.units import factor


@rule(severity=WARNING, reads="chain.link-wear", since="0.1.0")
def wear_limit_out_of_line(wear: pd.DataFrame) -> pd.DataFrame:
    share = wear["max_wear_in"] * factor("in", "mm") / wear["size_mm"]
    line = off_line(wear, share, within=0.03)
    expected = line["line"] * wear["size_mm"] / factor("in", "mm")
    off = line["has_line"] & line["off"]
    loose = wear[~line["has_line"]]
    elsewhere = pd.Series(
        [_stands_elsewhere(each, wear) for _, each in loose.iterrows()],
        index=loose.index,
        dtype=bool,
    )
    alone = loose[~elsewhere]
    return pd.concat(
        [
            findings(wear[off], column="max_wear_in", expected=expected[off].round(3)),
            findings(alone, column="max_wear_in", expected=say("the limit of another document")),
        ]
    )


def _stands_elsewhere(each: pd.Series, wear: pd.DataFrame) -> bool:
    other = wear[(wear["size_in"] == each["size_in"]) & (wear["locator"] != each["locator"])]
    return bool(((other["max_wear_in"] / each["max_wear_in"] - 1).abs() < 0.01).any())
