"""A swivel for positioning is described as turning under load.

## What it checks
Hooks whose swivel is one for positioning and whose own words say that it turns, swivels or
rotates under load.

## Why it matters
A positioning swivel lines the hook up before the lift. Turned under load it wears, seizes and
twists the rope or chain; only a bearing swivel may turn then.

## Likely cause
The words of the bearing swivel in the next row, or the connection is named wrongly.

## Example
| row | kind | connection         | item                                       | finding    |
| --- | ---- | ------------------ | ------------------------------------------ | ---------- |
| 2   | hook | positioning-swivel | Swivel hook, for positioning only          |            |
| 3   | hook | positioning-swivel | Swivel hook, turns under load              | connection |
| 4   | hook | positioning-swivel | Swivel hook, not for rotation under load   |            |
| 5   | hook | bearing-swivel     | Swivel hook with bearing, turns under load |            |

The `findings`, whole:

| row | observed                                   | expected                                                       | source          | locator                          |
| --- | ------------------------------------------ | -------------------------------------------------------------- | --------------- | -------------------------------- |
| 3   | a positioning swivel that turns under load | a bearing swivel, or words that say it is for positioning only | common-practice | several catalogues, swivel hooks |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say
from tallyhook.model.finding import DANGER
from tallyhook.rules import rule
from tallyhook.rules.stock import findings
from tallyhook.texts.item_words import said_to_turn


@rule(severity=DANGER, reads=("items", "hooks.connections"), since="0.1.0")
def positioning_swivel_said_to_turn_under_load(
    items: pl.DataFrame, connections: pl.DataFrame
) -> pl.DataFrame:
    page = connections.filter(pl.col("connection") == "positioning-swivel")
    plain = (pl.col("connection") == "positioning-swivel") | (pl.col("swivel") == "positioning")
    return findings(
        items.filter(plain.fill_null(False)).filter(said_to_turn()),
        column="connection",
        observed=say("a positioning swivel that turns under load"),
        expected=say("a bearing swivel, or words that say it is for positioning only"),
        source=pl.lit(page["source"].first(), dtype=pl.String),
        locator=pl.lit(page["locator"].first(), dtype=pl.String),
    )
