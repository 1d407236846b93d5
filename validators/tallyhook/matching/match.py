"""Hold each item against every rating it may claim, or say why there is none.

An item agrees when its load is one of the ratings, as printed, as converted into the list's
unit (by 2.2 pounds, too), or rounded no further than the list writes its numbers. Nothing is
clamped, interpolated or extrapolated, and a rating known only from memory never lets an item
pass.
"""

from __future__ import annotations

from decimal import Decimal

import polars as pl

from tallyhook.matching.comparison import compare
from tallyhook.matching.tolerances import CONVERTED_ROUNDING, WIDEST_PRINTED_PAIR
from tallyhook.matching.unread import set_aside
from tallyhook.packages.package import built_in_packages
from tallyhook.texts.units import AMBIGUOUS_TON
from tallyhook.units import CANONICAL, factor

__all__ = ["CASE_COLUMNS", "MATCH_COLUMNS", "match"]

CASE_COLUMNS = (
    "kind",
    "form",
    "connection",
    "size_mm",
    "size_mm_to",
    "grade",
    "scheme",
    "legs",
    "legs_range",
    "angle_from_deg",
    "angle_to_deg",
    "angle_if_vertical_deg",
    "angle_if_horizontal_deg",
    "hitch",
    "cradle",
    "pair",
    "material",
    "wll_kg",
    "wll_unit",
    "wll_step_kg",
)
"""What decides whether two rows of a list are the same question."""

_COMPARED = {
    "case": pl.UInt32,
    "outcome": pl.String,
    "why": pl.String,
    "low_kg": pl.Float64,
    "high_kg": pl.Float64,
    "nearest_value": pl.Float64,
    "nearest_unit": pl.String,
    "nearest_kg": pl.Float64,
    "nearest_scheme": pl.String,
    "nearest_source": pl.String,
    "nearest_locator": pl.String,
    "nearest_rating_id": pl.String,
    "off_by": pl.Float64,
    "agrees_with": pl.String,
    "agreed_id": pl.String,
    "agreed_known_by": pl.String,
}
_OF_THE_ROW = {"by_second": pl.Boolean, "as_smaller_ton": pl.Boolean, "set_aside": pl.Boolean}

_MATCH_TYPES = _COMPARED | _OF_THE_ROW
MATCH_COLUMNS = tuple(_MATCH_TYPES)


def match(items: pl.DataFrame, reference: pl.DataFrame) -> pl.DataFrame:
    """Compare items with the ratings.

    Parameters
    ----------
    items : frame
        Columns of `tallyhook.model.items.ITEM_SCHEMA`.
    reference : frame
        Columns of `tallyhook.packages.reference.REFERENCE_SCHEMA`.

    Returns
    -------
    frame
        `items` with `MATCH_COLUMNS` added: ``outcome`` (``agree``, ``contradicted``,
        ``not compared``), ``why`` it was not compared, the lowest and highest load that any
        source gives [kg], and the rating nearest to the item's with its source. ``agreed_id`` is
        the ``rating_id`` of a rating that lets the item pass, null unless it agrees, and
        ``agreed_known_by`` how that rating is known. ``off_by`` is
        the item's load over the nearest rating; ``agrees_with`` the one scheme that it agrees
        with where several rate the item and only one agrees. A load in bare tons that is above
        every source as short tons, the smaller ton, too, is held against them as short tons, and
        ``as_smaller_ton`` says so; any other load in bare tons is not compared. Where the two
        units of a row disagree and the second is the graver mistake, it is the one held against
        the ratings: the ``wll_`` and ``wll2_`` columns have changed places, and ``by_second``
        says so. An item that would agree, had all its cells been read, is not compared, and
        ``set_aside`` says so (`tallyhook.matching.unread`).
    """
    if items.is_empty():
        return items.with_columns(pl.lit(None, t).alias(c) for c, t in _MATCH_TYPES.items())
    counted = _with_angle_of_scheme(items).with_columns(pl.lit(value=False).alias("as_smaller_ton"))
    first = _as_smaller_ton(counted, reference).with_row_index("_item")
    claims = pl.concat(
        [
            first.with_columns(pl.lit(value=False).alias("by_second")),
            _by_second(first.filter(_second_may_be_graver())),
        ]
    )
    found = _compared(claims, reference)
    by_first, by_second = found.head(first.height), found.slice(first.height)
    graver = _graver(by_first, by_second)
    kept = by_first.filter(~pl.col("_item").is_in(graver["_item"].implode()))
    held = set_aside(pl.concat([kept, graver]).sort("_item"))
    return held.select(*items.columns, *MATCH_COLUMNS)


def _compared(items: pl.DataFrame, reference: pl.DataFrame) -> pl.DataFrame:
    """Compare each different case once, and give its answer to every item that it stands for."""
    cases = items.select(CASE_COLUMNS).unique(maintain_order=True).with_row_index("case")
    answers = compare(cases, reference).select(*_COMPARED)
    numbered = items.join(
        cases, on=list(CASE_COLUMNS), how="left", nulls_equal=True, maintain_order="left"
    )
    return numbered.join(answers, on="case", how="left", maintain_order="left")


# --- the angle ---------------------------------------------------------------------------------


def _with_angle_of_scheme(items: pl.DataFrame) -> pl.DataFrame:
    """Let the scheme that a row claims say from which line its angle counts."""
    schemes = built_in_packages()["vocabulary"]["schemes"]
    lines = dict(schemes.select("scheme", "angle_counts_from").iter_rows())
    line = pl.col("scheme").replace_strict(lines, default=None, return_dtype=pl.String)
    counted = (
        pl.when(line == "vertical")
        .then("angle_if_vertical_deg")
        .when(line == "horizontal")
        .then("angle_if_horizontal_deg")
    )
    return items.with_columns(pl.coalesce("angle_to_deg", counted).alias("angle_to_deg"))


# --- bare tons ---------------------------------------------------------------------------------


def _as_smaller_ton(items: pl.DataFrame, reference: pl.DataFrame) -> pl.DataFrame:
    """Take the bare tons that are above every source in either reading as the smaller ton."""
    bare = (pl.col("wll_unit") == AMBIGUOUS_TON) & pl.col("wll_kg").is_null()
    asked = (bare & pl.col("wll_value").is_not_null()).fill_null(value=False)
    if not items.select(asked.any()).item():
        return items
    as_short = _read_as("short ton")
    tons = items.with_row_index("_item").filter(asked).with_columns(as_short)
    above = _compared(tons, reference).filter((pl.col("outcome") == "contradicted") & _is_above())
    settled = asked & pl.int_range(pl.len()).is_in(above["_item"].implode())
    read = {each.meta.output_name(): each for each in as_short}
    return items.with_columns(
        settled.alias("as_smaller_ton"),
        *(pl.when(settled).then(each).otherwise(name).alias(name) for name, each in read.items()),
    )


def _read_as(ton: str) -> tuple[pl.Expr, ...]:
    """Read a load in bare tons as one of the tons, with the worth of its last digit [kg]."""
    worth = factor(ton, "kg")
    text = pl.col("wll_value").cast(pl.String).str.strip_suffix(".0")
    decimals = text.str.extract(r"\.(\d+)$").str.len_chars().fill_null(0).cast(pl.Float64)
    return (
        pl.lit(ton).alias("wll_unit"),
        (pl.col("wll_value") * worth).alias("wll_kg"),
        (pl.lit(0.1).pow(decimals) * worth).alias("wll_step_kg"),
    )


# --- the second of two loads -------------------------------------------------------------------

_KILOGRAMS = pl.col("wll2_unit").replace_strict(
    {unit: factor(unit, "kg") for unit, (_, kind) in CANONICAL.items() if kind != "length"},
    default=None,
    return_dtype=pl.Float64,
)


def _second_may_be_graver() -> pl.Expr:
    """Whether the second load of an item is held, too.

    It is where it promises more than the first by more than a conversion does, where the two are
    further from each other than a printed pair, and where the first could not be read.
    """
    ratio = pl.col("wll2_kg") / pl.col("wll_kg")
    disagree = (ratio.log().abs() > WIDEST_PRINTED_PAIR) | (ratio > 1 + CONVERTED_ROUNDING)
    return disagree | (pl.col("wll_kg").is_null() & pl.col("wll2_kg").is_not_null())


def _by_second(items: pl.DataFrame) -> pl.DataFrame:
    """Let the two loads of some items change places, so that the second is what they claim."""
    value = (pl.col("wll2_kg") / _KILOGRAMS).round(6)
    names = ("kg", "unit", "text", "column")
    swapped = {f"wll_{n}": pl.col(f"wll2_{n}") for n in names} | {
        f"wll2_{n}": pl.col(f"wll_{n}") for n in names
    }
    return items.with_columns(
        **swapped,
        wll_value=value,
        wll_step_kg=value.map_elements(_last_digit, return_dtype=pl.Float64) * _KILOGRAMS,
        by_second=pl.lit(value=True),
        as_smaller_ton=pl.lit(value=False),
    )


def _last_digit(value: float) -> float:
    """Give the worth of the last digit of a number; 1 for zero."""
    return float(10.0 ** int(Decimal(f"{value:.10g}").normalize().as_tuple().exponent))


def _is_above() -> pl.Expr:
    return (pl.col("wll_kg") > pl.col("high_kg")).fill_null(value=False)


def _graver(first: pl.DataFrame, second: pl.DataFrame) -> pl.DataFrame:
    """Give the items whose second load is contradicted where the first is not, or is too low."""
    beside = second.join(
        first.select("_item", pl.col("outcome").alias("_first"), _is_above().alias("_above")),
        on="_item",
        maintain_order="left",
    )
    graver = (pl.col("_first") != "contradicted") | (~pl.col("_above") & _is_above())
    return beside.filter((pl.col("outcome") == "contradicted") & graver).select(second.columns)
