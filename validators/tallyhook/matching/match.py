"""Hold each item against every rating it may claim, or say why there is none.

An item agrees when its load is one of the ratings, as printed, as converted into the list's
unit (by 2.2 pounds, too), or rounded no further than the list writes its numbers. Nothing is
clamped, interpolated or extrapolated, and a rating known only from memory never lets an item
pass.
"""

from __future__ import annotations

from decimal import Decimal

import polars as pl

from tallyhook.texts.units import AMBIGUOUS_TON
from tallyhook.units import CANONICAL, factor

__all__ = ["ANGLE_UNSAID", "CASE_COLUMNS", "MATCH_COLUMNS", "WIDEST_PRINTED_PAIR", "match"]

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

MATCH_COLUMNS = (
    "case",
    "outcome",
    "why",
    "low_kg",
    "high_kg",
    "nearest_value",
    "nearest_unit",
    "nearest_kg",
    "nearest_scheme",
    "nearest_source",
    "nearest_locator",
    "off_by",
    "agrees_with",
    "by_second",
)

_MATCH_TYPES = dict.fromkeys(MATCH_COLUMNS, pl.Float64()) | {
    "case": pl.UInt32(),
    "by_second": pl.Boolean(),
    **dict.fromkeys(
        (
            "outcome",
            "why",
            "nearest_unit",
            "nearest_scheme",
            "nearest_source",
            "nearest_locator",
            "agrees_with",
        ),
        pl.String(),
    ),
}

RATED_AS_CHAIN_FORMS = ("self-closing", "self-locking", "foundry")
RATED_AS_CHAIN_CONNECTIONS = (
    "eye",
    "reverse-eye",
    "clevis",
    "positioning-swivel",
    "bearing-swivel",
    "sliding-choker",
)
"""Hooks that are rated as the chain they are matched to (hooks.chain-hooks, hooks.special-ratings);
every other form or connection carries its maker's own rating, whatever chain is named beside it."""

ROUNDED_UP = 0.015
"""Share above a rating up to which a coarsely written number is taken for it."""

ROUNDING = 0.02
"""Share of a rating beyond which a difference is never taken for rounding."""

CONVERTED_ROUNDING = 0.005
"""Share of a rating up to which a converted one may be rounded to fives or twenty-fives."""

WIDEST_PRINTED_PAIR = 0.025
"""Share that the two units of one rating may be apart: in the tables 2,100 lb beside 970 kg, 1.8
percent, is the widest pair; rounding on top."""

ANGLE_UNSAID = "its rating holds for one reading of its angle only, and which is not said"
"""Why a sling is not compared that agrees with the laxer reading of its angle alone."""

_EXACT = 0.0005  # room for a conversion factor of four figures; far less than any rounding step


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
        source gives [kg], and the rating nearest to the item's with its source. A load in bare
        tons that is above every source as short tons, the smaller ton, too, is held against them
        as short tons; any other load in bare tons is not compared. ``off_by`` is
        the item's load over the nearest rating; ``agrees_with`` the one scheme that it agrees
        with where several rate the item and only one agrees. Where the two units of a row
        disagree and the second is the graver mistake, it is the one held against the ratings:
        the ``wll_`` and ``wll2_`` columns have changed places, and ``by_second`` says so.
    """
    if items.is_empty():
        return items.with_columns(pl.lit(None, t).alias(c) for c, t in _MATCH_TYPES.items())
    items = _tons_above(_counted_by_scheme(items), reference)
    numbered = items.with_row_index("_item").with_columns(pl.lit(value=False).alias("by_second"))
    ratio = pl.col("wll2_kg") / pl.col("wll_kg")
    # the second is held, too, where it promises more than the first by more than a conversion does
    apart = (ratio.log().abs() > WIDEST_PRINTED_PAIR) | (ratio > 1 + CONVERTED_ROUNDING)
    only = pl.col("wll_kg").is_null() & pl.col("wll2_kg").is_not_null()
    turned = _turned(numbered.filter(apart | only))
    claims = pl.concat([numbered, turned])
    cases = claims.select(CASE_COLUMNS).unique(maintain_order=True).with_row_index("case")
    compared = _compare(cases, reference)
    keyed = claims.join(
        cases, on=list(CASE_COLUMNS), how="left", nulls_equal=True, maintain_order="left"
    )
    found = keyed.join(
        compared.select(MATCH_COLUMNS[:-1]), on="case", how="left", maintain_order="left"
    )
    first, second = found.head(numbered.height), found.slice(numbered.height)
    worse = _worse(first, second)
    kept = pl.concat([first.filter(~pl.col("_item").is_in(worse["_item"].implode())), worse])
    return kept.sort("_item").select(*items.columns, *MATCH_COLUMNS)


_KILOGRAMS = pl.col("wll2_unit").replace_strict(
    {unit: factor(unit, "kg") for unit, (_, kind) in CANONICAL.items() if kind != "length"},
    default=None,
    return_dtype=pl.Float64,
)


def _turned(items: pl.DataFrame) -> pl.DataFrame:
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
    )


def _last_digit(value: float) -> float:
    """Give the worth of the last digit of a number that is not nought."""
    _, digits, exponent = Decimal(f"{value:.10g}").normalize().as_tuple()
    return float(10.0 ** int(exponent)) if digits != (0,) else 1.0


_ABOVE = (pl.col("wll_kg") > pl.col("high_kg")).fill_null(value=False)


def _worse(first: pl.DataFrame, second: pl.DataFrame) -> pl.DataFrame:
    """Give the items whose second load is contradicted where the first is not, or is too low."""
    told = second.join(
        first.select("_item", pl.col("outcome").alias("_first"), _ABOVE.alias("_above")),
        on="_item",
        maintain_order="left",
    )
    graver = (pl.col("_first") != "contradicted") | (~pl.col("_above") & _ABOVE)
    return told.filter((pl.col("outcome") == "contradicted") & graver).select(second.columns)


def _counted_by_scheme(items: pl.DataFrame) -> pl.DataFrame:
    """Let the scheme that a row claims say from which line its angle counts.

    EN 818-4 counts from the vertical, American charts from the horizontal.
    """
    scheme = pl.col("scheme")
    counted = (
        pl.when(scheme.is_in(["european", "old-grade-6"]))
        .then("angle_if_vertical_deg")
        .when(scheme.is_in(["us-chain", "us-tiedown"]))
        .then("angle_if_horizontal_deg")
    )
    return items.with_columns(pl.coalesce("angle_to_deg", counted).alias("angle_to_deg"))


def _tons_above(items: pl.DataFrame, reference: pl.DataFrame) -> pl.DataFrame:
    """Take the bare tons that are above every source in either reading as the smaller ton."""
    bare = (pl.col("wll_unit") == AMBIGUOUS_TON) & pl.col("wll_kg").is_null()
    tons = items.filter(bare & pl.col("wll_value").is_not_null())
    if tons.is_empty():
        return items
    short = factor("short ton", "kg")
    text = pl.col("wll_value").cast(pl.String).str.strip_suffix(".0")
    decimals = text.str.extract(r"\.(\d+)$").str.len_chars().fill_null(0)
    as_short = (
        pl.lit("short ton").alias("wll_unit"),
        (pl.col("wll_value") * short).alias("wll_kg"),
        (pl.lit(0.1).pow(decimals.cast(pl.Float64)) * short).alias("wll_step_kg"),
    )
    read = match(tons.with_columns(as_short), reference)
    above = read.filter(
        (pl.col("outcome") == "contradicted")
        & (pl.col("wll_kg") > pl.col("high_kg"))
        & ~pl.col("by_second")  # the tons themselves, not what stands beside them
    )
    if above.is_empty():
        return items
    case = [c for c in CASE_COLUMNS if c not in ("wll_unit", "wll_kg", "wll_step_kg")]
    known = above.select(*case, "wll_value", pl.lit(True).alias("above")).unique()
    joined = items.join(
        known, on=[*case, "wll_value"], how="left", nulls_equal=True, maintain_order="left"
    )
    settled = bare & pl.col("above")
    return joined.with_columns(
        pl.when(settled)
        .then(each)
        .otherwise(each.meta.output_name())
        .alias(each.meta.output_name())
        for each in as_short
    ).drop("above")


def _compare(cases: pl.DataFrame, reference: pl.DataFrame) -> pl.DataFrame:
    why = _why_not(cases)
    open_cases = cases.with_columns(why.alias("why"))
    pairs = _candidates(open_cases.filter(pl.col("why").is_null()), reference)
    recalled = pl.col("known_by") == "recalled"
    difference = pl.col("wll_kg") - pl.col("bound_kg")
    room = ROUNDING * pl.col("value_kg")
    exact = _EXACT * pl.col("value_kg")
    # rounded to the nearest step, or cut to the step below: cutting loses less than a whole step
    above = ROUNDED_UP * pl.col("value_kg")
    up = pl.max_horizontal(pl.min_horizontal(pl.col("wll_step_kg") / 2, above), exact)
    down = pl.max_horizontal(pl.min_horizontal(pl.col("wll_step_kg") * 0.999, room), exact)
    # a load worked out with a factor was rounded in the document, too: it may end a step higher
    worked_out = pl.max_horizontal(up, pl.min_horizontal(pl.col("wll_step_kg"), exact * 10))
    up = pl.when(pl.col("known_by") == "computed").then(worked_out).otherwise(up)
    pairs = pairs.with_columns(
        # between the two printed units of one rating there is no difference
        pl.when(recalled)
        .then("value_kg")
        .otherwise(pl.col("wll_kg").clip("low_kg", "high_kg"))
        .alias("bound_kg")
    ).with_columns(
        # half a step is half a step, whatever the last bit of a product says
        (difference <= up * (1 + 1e-9))
        .and_(difference >= -down * (1 + 1e-9))
        .or_(_converted())
        .alias("agrees"),
        _distance().alias("distance"),
    )
    by_memory = pairs.filter(recalled & pl.col("agrees"))["case"].unique()
    known = pairs.filter(~recalled)
    nearest = known.sort("case", ~pl.col("agrees"), "distance", "nearest_rank", maintain_order=True)
    summary = nearest.group_by("case", maintain_order=True).agg(
        pl.col("agrees").any().alias("agrees"),
        (pl.col("agrees") & pl.col("strict")).any().alias("agrees_strictly"),
        pl.col("low_kg").min(),
        pl.col("high_kg").max(),
        pl.col("ref_family").n_unique().alias("families"),
        pl.col("ref_family").filter("agrees").unique().alias("agreeing"),
        pl.col("value").first().alias("nearest_value"),
        pl.col("unit").first().alias("nearest_unit"),
        pl.col("value_kg").first().alias("nearest_kg"),
        pl.col("ref_scheme").first().alias("nearest_scheme"),
        pl.col("source").first().alias("nearest_source"),
        pl.col("locator").first().alias("nearest_locator"),
    )
    only_recalled = (
        pairs.select("case").unique().join(summary.select("case"), on="case", how="anti")
    )
    out = open_cases.join(summary, on="case", how="left", maintain_order="left")
    unrated = pl.col("why").is_null() & pl.col("agrees").is_null()
    out = out.with_columns(
        pl.when(unrated & pl.col("case").is_in(only_recalled["case"].implode()))
        .then(pl.lit("the only rating for it is from memory and unverified"))
        .when(unrated)
        .then(pl.lit("no rating table covers this kind, size and grade"))
        .when(~pl.col("agrees") & pl.col("case").is_in(by_memory.implode()))
        .then(pl.lit("it fits only a rating that is from memory and unverified"))
        .when(pl.col("agrees") & ~pl.col("agrees_strictly"))
        .then(pl.lit(ANGLE_UNSAID))
        .otherwise("why")
        .alias("why")
    )
    return out.with_columns(
        pl.when(pl.col("why").is_not_null())
        .then(pl.lit("not compared"))
        .when("agrees")
        .then(pl.lit("agree"))
        .otherwise(pl.lit("contradicted"))
        .alias("outcome"),
        (pl.col("wll_kg") / pl.col("nearest_kg")).alias("off_by"),
        pl.when((pl.col("families") > 1) & (pl.col("agreeing").list.len() == 1))
        .then(pl.col("agreeing").list.first())
        .alias("agrees_with"),
    )


def _distance() -> pl.Expr:
    return (pl.col("wll_kg") / pl.col("bound_kg")).log().abs()


_POUNDS = ("lb", "short ton")
_SHORT_POUND = (1 / 2.2) / factor("lb", "kg")
"""The pound of those who convert by 2.2 (common practice, no source), over the pound."""


def _converted() -> pl.Expr:
    """Whether the load is the rating in the other system of units, as people convert it.

    They divide or multiply by 2.2, too, and round to fives or twenty-fives, which the last digit
    does not show; the room for that is small (`CONVERTED_ROUNDING`).
    """
    in_pounds = pl.col("wll_unit").is_in(_POUNDS)
    crosses = in_pounds != (pl.col("unit") == "lb")
    short = pl.when(in_pounds).then(1 / _SHORT_POUND).otherwise(_SHORT_POUND)
    steps = (pl.col("wll_kg") / pl.col("wll_step_kg")).round().cast(pl.Int64, strict=False)
    fives = pl.when(steps % 25 == 0).then(25).when(steps % 5 == 0).then(5).otherwise(1)
    room = pl.max_horizontal(
        pl.min_horizontal(
            pl.col("wll_step_kg") * fives / 2, CONVERTED_ROUNDING * pl.col("value_kg")
        ),
        _EXACT * pl.col("value_kg"),
    )
    near = pl.any_horizontal(
        (pl.col("wll_kg") - pl.col("value_kg") * times).abs() <= room * (1 + 1e-9)
        for times in (pl.lit(1.0), short)
    )
    return (crosses & near).fill_null(value=False)


def _why_not(cases: pl.DataFrame) -> pl.Series:
    """Say why a case cannot be held against any table; null where it can."""
    unknown = pl.lit(None, dtype=pl.String)
    return cases.select(
        pl.when(pl.col("kind").is_null() | pl.col("kind").is_in(["other", "link"]))
        .then(pl.lit("it is no chain, chain hook, grab hook or chain sling"))
        .when(pl.col("pair") == "yes")
        .then(pl.lit("the rating is said to be for a pair"))
        .when(pl.col("wll_kg").is_null() & (pl.col("wll_unit") != AMBIGUOUS_TON).fill_null(True))
        .then(pl.lit("no working load limit could be read"))
        .when(
            (pl.col("kind") == "hook")
            & pl.col("size_mm").is_null()
            & (pl.col("material").is_not_null() | (pl.col("connection") == "shank"))
        )
        .then(pl.lit("a hoist hook is rated by its own mark, not by a chain size"))
        .when(
            (pl.col("kind") == "hook")
            & (
                ~pl.col("form").is_in(RATED_AS_CHAIN_FORMS).fill_null(True)
                | ~pl.col("connection").is_in(RATED_AS_CHAIN_CONNECTIONS).fill_null(True)
            )
        )
        .then(pl.lit("this form is rated by its maker, no general table rates it by chain size"))
        .when(pl.col("size_mm").is_null())
        .then(pl.lit("no size could be read"))
        .when(pl.col("grade").is_null())
        .then(pl.lit("no grade could be read"))
        .when(
            (pl.col("kind") == "sling") & pl.col("legs").is_null() & pl.col("legs_range").is_null()
        )
        .then(pl.lit("the number of legs could not be read"))
        .when(pl.col("hitch").is_in(["choke", "basket"]))
        .then(pl.lit("the sling tables rate straight legs, not this hitch"))
        .when(pl.col("wll_kg").is_null())
        .then(pl.lit("it is not said which ton its rating is in"))
        .otherwise(unknown)
    ).to_series()


def _candidates(cases: pl.DataFrame, reference: pl.DataFrame) -> pl.DataFrame:
    """Pair each case with the ratings of its kind, size and grade that it may claim."""
    sized = pl.concat(
        [
            cases.with_columns(pl.col("size_mm").alias("ref_size")),
            # a part for two sizes ("7/8 mm") may carry the rating of either
            cases.filter(pl.col("size_mm_to").is_not_null()).with_columns(
                pl.col("size_mm_to").alias("ref_size")
            ),
        ]
    )
    right = reference.rename(
        {
            "size_mm": "ref_size",
            "scheme": "ref_scheme",
            "cradle": "ref_cradle",
            "legs": "ref_legs",
            "angle_from_deg": "ref_angle_from",
            "angle_to_deg": "ref_angle_to",
        }
    ).with_columns(
        pl.col("deduction").fill_null("").str.contains("25").cast(pl.Int8).alias("nearest_rank"),
        # the tie-down law prints the American ratings: it is no system of its own here
        pl.col("ref_scheme").replace("us-tiedown", "us-chain").alias("ref_family"),
    )
    pairs = sized.join(
        right, on=["kind", "grade", "ref_size"], how="inner", maintain_order="left_right"
    )
    angle = pl.col("angle_to_deg")
    either = [pl.col("angle_if_vertical_deg"), pl.col("angle_if_horizontal_deg")]
    unsaid = (pl.col("kind") == "sling") & angle.is_null() & either[0].is_not_null()
    unsaid = unsaid & (pl.col("legs") != 1).fill_null(True)
    widest = pl.when(unsaid).then(pl.max_horizontal(either)).otherwise(angle)

    def within(deg: pl.Expr) -> pl.Expr:
        return (deg > pl.col("ref_angle_from")) & (deg <= pl.col("ref_angle_to"))

    # three and four legs are rated alike: three are counted (EN 818-4; common practice in America)
    three_or_four = pl.when(pl.col("legs_range") == "3-4").then(3)
    return pairs.filter(
        (pl.col("scheme").is_null() | (pl.col("scheme") == pl.col("ref_scheme")))
        & (
            (pl.col("kind") != "grab-hook")
            | pl.col("cradle").is_null()
            | (pl.col("cradle") == pl.col("ref_cradle"))
        )
        & (
            (pl.col("kind") != "sling")
            | (
                (pl.coalesce("legs", three_or_four) == pl.col("ref_legs"))
                & (
                    (pl.col("legs") == 1)
                    | widest.is_null()
                    | within(widest)
                    | (unsaid & within(pl.min_horizontal(either)))
                )
            )
        )
    ).with_columns((~unsaid | within(widest)).alias("strict"))
