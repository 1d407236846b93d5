"""An item with a filled cell that could not be read agrees with nothing."""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say_each
from tallyhook.model.items import UNREAD_CELLS

__all__ = ["set_aside", "unread_cells"]


def set_aside(matched: pl.DataFrame) -> pl.DataFrame:
    """Take what agrees and holds an unread cell as not compared, with that cell as the reason.

    What the cells that were read contradict stays contradicted, and what is not compared for
    another reason keeps that reason. ``set_aside`` is added: whether it would have agreed.
    """
    aside = (pl.col("outcome") == "agree") & pl.col("unread_cells").is_not_null()
    marked = matched.with_columns(aside.fill_null(value=False).alias("set_aside"))
    if not marked["set_aside"].any():
        return marked
    heading = unread_cells().list.first().struct.field("column")
    why = {
        "outcome": pl.lit("not compared"),
        "why": say_each("what stands under '{column}' could not be read", column=heading),
        "agrees_with": pl.lit(None, dtype=pl.String),
        "agreed_id": pl.lit(None, dtype=pl.String),
        "agreed_known_by": pl.lit(None, dtype=pl.String),
    }
    return marked.with_columns(
        pl.when("set_aside").then(new).otherwise(name).alias(name) for name, new in why.items()
    )


def unread_cells() -> pl.Expr:
    """The unread cells of an item (`tallyhook.model.items.UNREAD_CELLS`), null for none."""
    return pl.col("unread_cells").str.json_decode(UNREAD_CELLS)
