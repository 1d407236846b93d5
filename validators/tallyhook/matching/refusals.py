"""Why an item is held against no rating."""

from __future__ import annotations

import polars as pl

from tallyhook.messages import say
from tallyhook.packages.rated_as_chain import connections_rated_as_chain, forms_rated_as_chain
from tallyhook.texts.units import AMBIGUOUS_TON

__all__ = ["why_not_compared"]

_NOT_RATED_BY_CHAIN = ("other", "link")


def why_not_compared(cases: pl.DataFrame) -> pl.Series:
    """Say why a case cannot be held against any table; null where it can.

    A hook of another form or connection than those that are rated as their chain carries its
    maker's own rating, whatever chain is named beside it.
    """
    kind, load = pl.col("kind"), pl.col("wll_kg")
    hook = kind == "hook"
    in_bare_tons = (pl.col("wll_unit") == AMBIGUOUS_TON).fill_null(value=False)
    # a hook whose form or connection is not said is taken for one that is rated as its chain
    of_form = pl.col("form").is_in(forms_rated_as_chain()).fill_null(value=True)
    of_connection = pl.col("connection").is_in(connections_rated_as_chain()).fill_null(value=True)
    of_a_hoist = pl.col("material").is_not_null() | (pl.col("connection") == "shank")
    no_legs = pl.col("legs").is_null() & pl.col("legs_range").is_null()
    reasons = (
        (
            kind.is_null() | kind.is_in(_NOT_RATED_BY_CHAIN),
            say("it is no chain, chain hook, grab hook or chain sling"),
        ),
        (pl.col("pair") == "yes", say("the rating is said to be for a pair")),
        (load.is_null() & ~in_bare_tons, say("no working load limit could be read")),
        (
            hook & pl.col("size_mm").is_null() & of_a_hoist,
            say("a hoist hook is rated by its own mark, not by a chain size"),
        ),
        (
            hook & ~(of_form & of_connection),
            say("this form is rated by its maker, no general table rates it by chain size"),
        ),
        (pl.col("size_mm").is_null(), say("no size could be read")),
        (pl.col("grade").is_null(), say("no grade could be read")),
        ((kind == "sling") & no_legs, say("the number of legs could not be read")),
        (
            pl.col("hitch").is_in(["choke", "basket"]),
            say("the sling tables rate straight legs, not this hitch"),
        ),
        (load.is_null(), say("it is not said which ton its rating is in")),
    )
    first = pl.coalesce(pl.when(refused).then(pl.lit(why)) for refused, why in reasons)
    return cases.select(first.cast(pl.String)).to_series()
