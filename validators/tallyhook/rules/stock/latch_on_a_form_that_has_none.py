"""A form that is made without a latch is said to have one.

## What it checks
Hooks whose form the package `hooks` says has no latch, such as foundry and sorting hooks, and
whose row says that there is a latch.

## Why it matters
Either the hook is another form, rated and used otherwise, or somebody fitted a latch that keeps
the hook from seating.

## Likely cause
The form is named wrongly, or the words were copied from a sling hook.

## Example
| row | kind      | form    | latch | finding |
| --- | --------- | ------- | ----- | ------- |
| 2   | hook      | foundry | no    |         |
| 3   | hook      | foundry | yes   | latch   |
| 4   | hook      | sorting | yes   | latch   |
| 5   | hook      | double  | yes   |         |
| 6   | grab-hook | grab    | yes   |         |

The `findings`, whole:

| row | observed                | expected                                                                                               | source           | locator                                                                          |
| --- | ----------------------- | ------------------------------------------------------------------------------------------------------ | ---------------- | -------------------------------------------------------------------------------- |
| 3   | Foundry hook with latch | None: a latch would be in the way of thick handles. The rigger keeps the load on until it is down.     | asme-b30-10      | 2005 text, scope of chapter 10-2; no latch: one catalogue table of foundry hooks |
| 4   | Sorting hook with latch | None: the hook must slip in and shake out. Alberta's law allows it without one for skeleton steel and the like where it is safer so. | alberta-ohs-code | 303(3)                                                                           |
"""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say_each
from tallyhook.model.finding import WARNING
from tallyhook.packages.table_texts import frame_in_words
from tallyhook.rules import rule
from tallyhook.rules.stock import findings


@rule(severity=WARNING, reads=("items", "hooks.forms"), since="0.1.0")
def latch_on_a_form_that_has_none(items: pl.DataFrame, forms: pl.DataFrame) -> pl.DataFrame:
    open_forms = (
        frame_in_words("hooks", "forms", forms)
        .filter(pl.col("latch_rule") == "none")
        .select("form", "title", "latch_text", "source", "locator")
    )
    # grab hooks with a keeper that holds the chain in its slot are made and asked for
    latched = items.filter((pl.col("latch") == "yes") & (pl.col("kind") == "hook"))
    return findings(
        latched.join(open_forms, on="form", how="inner", maintain_order="left"),
        column="latch",
        observed=say_each("{form} with latch", form="title"),
        expected=pl.col("latch_text"),
        source=pl.col("source"),
        locator=pl.col("locator"),
    )
