"""A form that is made with a latch or a locking gate is said to have none.

## What it checks
Hooks whose form the package `hooks` says is made with a latch or locks by itself, and whose row
says that there is no latch.

## Why it matters
The row cannot be both. A hook sold as self-closing that does not close lets a slack sling out.

## Likely cause
The form or the latch is described wrongly, or the latch is sold apart.

## Example
| row | kind | form         | latch | finding |
| --- | ---- | ------------ | ----- | ------- |
| 2   | hook | self-closing | yes   |         |
| 3   | hook | self-closing | no    | latch   |
| 4   | hook | self-locking | no    | latch   |
| 5   | hook | foundry      | no    |         |
| 6   | hook | self-closing |       |         |

The `findings`, whole:

| row | observed                        | expected                                                                                                                        | source      | locator                                                                       |
| --- | ------------------------------- | ------------------------------------------------------------------------------------------------------------------------------- | ----------- | ----------------------------------------------------------------------------- |
| 3   | Self-closing hook without latch | A latch that closes the throat. It holds slack in and carries nothing. A slip hook sold without one is for tie-down and towing. | asme-b30-10 | 2005 text, definitions and 10-1.2.3(b); angle: restated in a trade article    |
| 4   | Self-locking hook without latch | The gate locks by itself under load; a hook that does not lock is taken out of service.                                         | asme-b30-10 | 2005 text, definitions and 10-1.2.3(b)(4); angle: restated in a trade article |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say_each
from tallyhook.model.finding import ERROR
from tallyhook.packages.table_texts import frame_in_words
from tallyhook.rules import rule
from tallyhook.rules.stock import findings


@rule(severity=ERROR, reads=("items", "hooks.forms"), since="0.1.0")
def latch_is_missing(items: pl.DataFrame, forms: pl.DataFrame) -> pl.DataFrame:
    latched = (
        frame_in_words("hooks", "forms", forms)
        .filter(pl.col("latch_rule").is_in(["required", "self-locking"]))
        .select("form", "title", "latch_text", "source", "locator")
    )
    bare = items.filter(pl.col("latch") == "no")
    return findings(
        bare.join(latched, on="form", how="inner", maintain_order="left"),
        column="latch",
        observed=say_each("{form} without latch", form="title"),
        expected=pl.col("latch_text"),
        source=pl.col("source"),
        locator=pl.col("locator"),
    )
