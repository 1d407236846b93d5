"""What an item would be if it were read in another way: the answers that rules ask for.

A row can leave open how it is meant: in which ton, from which line its angle counts, whether a
grab hook has a cradle, by which of its grades a sling is rated. Each reading is held against the
ratings as the item itself is.
"""

from __future__ import annotations

import polars as pl

from tallyhook.matching.comparison import ANGLE_UNSAID
from tallyhook.matching.match import MATCH_COLUMNS, match
from tallyhook.messages import say
from tallyhook.model.items import ITEM_SCHEMA
from tallyhook.texts.named_grades import grades_named
from tallyhook.texts.units import AMBIGUOUS_TON
from tallyhook.units import factor

__all__ = ["READINGS", "readings"]

READINGS = {
    "short-ton": "a load in bare tons, in tons of 2,000 lb",
    "tonne": "a load in bare tons, in tons of 1,000 kg",
    "angle-to-the-vertical": "a sling whose angle is said from no line, from the vertical",
    "angle-to-the-horizontal": "the same, from the horizontal",
    "with-cradle": "a contradicted grab hook without cradle, as one that has it",
    "lowest-grade": "a sling that names several grades, by the lowest of them",
}
"""Each reading, and the items that it is asked of."""

_TONS = {"short-ton": "short ton", "tonne": "t"}
_HUNDREDTH = 100  # a ton is written to two decimals at most


def readings(items: pl.DataFrame, reference: pl.DataFrame) -> pl.DataFrame:
    """Match the other readings of some items.

    Parameters
    ----------
    items : frame
        As `tallyhook.matching.match.match` returns them, with their ``row``.
    reference : frame
        The ratings that they were matched with.

    Returns
    -------
    frame
        ``row``, ``reading`` (one of `READINGS`), ``wll_kg`` and `MATCH_COLUMNS`; no row for a
        reading that does not apply to an item.
    """
    parts = [
        pl.DataFrame(schema={**ITEM_SCHEMA, "reading": pl.String}),
        *_in_a_ton(items),
        *_at_an_angle(items),
        _with_cradle(items),
        _by_the_lowest_grade(items),
    ]
    read = pl.concat(parts, how="vertical_relaxed")
    return match(read, reference).select("row", "reading", "wll_kg", *MATCH_COLUMNS)


def _reading(items: pl.DataFrame, name: str, **changed: pl.Expr) -> pl.DataFrame:
    return items.with_columns(**changed).select(*ITEM_SCHEMA, pl.lit(name).alias("reading"))


def _in_a_ton(items: pl.DataFrame) -> list[pl.DataFrame]:
    tons = items.filter((pl.col("wll_unit") == AMBIGUOUS_TON) & pl.col("wll_value").is_not_null())
    return [
        _reading(
            tons,
            name,
            wll_kg=pl.col("wll_value") * factor(ton, "kg"),
            wll_unit=pl.lit(ton),
            wll_step_kg=pl.lit(factor(ton, "kg") / _HUNDREDTH),
        )
        for name, ton in _TONS.items()
    ]


def _at_an_angle(items: pl.DataFrame) -> list[pl.DataFrame]:
    """Take the slings that agree by one reading only, in the scheme whose rating is nearest."""
    open_ = items.filter(pl.col("why") == say(ANGLE_UNSAID))
    return [
        _reading(
            open_,
            f"angle-to-the-{line}",
            angle_to_deg=pl.col(f"angle_if_{line}_deg"),
            scheme=pl.coalesce("scheme", "nearest_scheme"),
        )
        for line in ("vertical", "horizontal")
    ]


def _with_cradle(items: pl.DataFrame) -> pl.DataFrame:
    bare = items.filter((pl.col("outcome") == "contradicted") & (pl.col("cradle") == "no"))
    return _reading(bare, "with-cradle", cradle=pl.lit("yes"))


def _by_the_lowest_grade(items: pl.DataFrame) -> pl.DataFrame:
    slings = items.filter(pl.col("kind") == "sling").with_columns(grades_named().alias("_grades"))
    mixed = slings.filter(pl.col("_grades").list.len() > 1)
    return _reading(mixed, "lowest-grade", grade=pl.col("_grades").list.first())
