"""A connection that is not for lifting is sold for lifting.

## What it checks
Hooks that say they are for overhead lifting, against the connections that the package `hooks`
calls unfit for it, such as a clevis whose pin is held by a cotter.

## Why it matters
A cotter shears or works out, the pin goes with it, and the load with the pin.

## Likely cause
The words were copied from the row of a hook with a forged clevis pin, or the pin is described
wrongly.

## Example
| row | kind | connection        | overhead | finding    |
| --- | ---- | ----------------- | -------- | ---------- |
| 2   | hook | clevis            | yes      |            |
| 3   | hook | cotter-pin-clevis | yes      | connection |
| 4   | hook | cotter-pin-clevis | no       |            |
| 5   | hook | cotter-pin-clevis |          |            |

The `findings`, whole:

| row | observed                                    | expected                                                                     | source          | locator                    | note                                                                                                      |
| --- | ------------------------------------------- | ---------------------------------------------------------------------------- | --------------- | -------------------------- | --------------------------------------------------------------------------------------------------------- |
| 3   | Clevis with cotter pin for overhead lifting | a connection for lifting, such as an eye or a forged clevis with its own pin | common-practice | common practice, no source | The cotter shears or works out, and the pin goes with it; pins get swapped for bolts of unknown strength. |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say, say_each
from tallyhook.model.finding import DANGER
from tallyhook.packages.table_texts import frame_in_words
from tallyhook.rules import rule
from tallyhook.rules.stock import findings


@rule(severity=DANGER, reads=("items", "hooks.connections"), since="0.1.0")
def connection_is_not_for_lifting(items: pl.DataFrame, connections: pl.DataFrame) -> pl.DataFrame:
    unfit = (
        frame_in_words("hooks", "connections", connections)
        .filter(pl.col("overhead") == "no")
        .select("connection", "title", "hazards", "source", "locator")
    )
    sold = items.filter(pl.col("overhead") == "yes")
    broken = sold.join(unfit, on="connection", how="inner", maintain_order="left")
    return findings(
        broken,
        column="connection",
        observed=say_each("{connection} for overhead lifting", connection="title"),
        expected=say(
            "a connection for lifting, such as an eye or a forged clevis with its own pin"
        ),
        source=pl.col("source"),
        locator=pl.col("locator"),
        note=pl.col("hazards"),
    )
