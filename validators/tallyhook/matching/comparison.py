"""Hold cases against the ratings that they may claim."""

from __future__ import annotations

import polars as pl

from tallyhook.matching.claims import RECALLED, pairs
from tallyhook.matching.refusals import why_not_compared
from tallyhook.matching.tolerances import (
    CONVERTED_ROUNDING,
    EXACT,
    ROUNDED_UP,
    ROUNDING,
    SHORT_POUND,
)
from tallyhook.messages import say, to_say
from tallyhook.packages.descriptors import PRACTICE
from tallyhook.units import factor

__all__ = ["ANGLE_UNSAID", "compare"]

ANGLE_UNSAID = to_say("its rating holds for one reading of its angle only, and which is not said")
"""Why a sling is not compared that agrees with the laxer reading of its angle alone."""

_LAST_BIT = 1 + 1e-9  # half a step is half a step, whatever the last bit of a product says
_ALMOST_A_STEP = 0.999  # cutting a number to a step loses less than a whole one
_WORKED_OUT = 10 * EXACT  # a load worked out with a factor may be rounded a step higher
_FORCE_DECIMALS, _FORCE_FIGURES = (0, 1, 2), 100  # kilonewtons are printed to three figures
_IN_POUNDS = ("lb", "short ton")


def compare(cases: pl.DataFrame, reference: pl.DataFrame) -> pl.DataFrame:
    """Give each case its outcome, the range of its ratings and the nearest of them.

    Parameters
    ----------
    cases : frame
        ``case`` and `tallyhook.matching.match.CASE_COLUMNS`.
    reference : frame
        Columns of `tallyhook.packages.reference.REFERENCE_SCHEMA`.
    """
    open_cases = cases.with_columns(why_not_compared(cases).alias("why"))
    # practice rates nothing that a named document of its scheme rates
    counted = reference.filter(~pl.col("outranked").fill_null(value=False))
    held = _held(pairs(open_cases.filter(pl.col("why").is_null()), counted))
    from_memory = pl.col("known_by") == RECALLED
    summary = _summary(held.filter(~from_memory))
    compared = open_cases.join(summary, on="case", how="left", maintain_order="left")
    only_recalled = held.select("case").unique().join(summary, on="case", how="anti")["case"]
    by_memory = held.filter(from_memory & pl.col("agrees"))["case"].unique()
    return _outcomes(
        compared.with_columns(_why(only_recalled=only_recalled, by_memory=by_memory).alias("why"))
    )


def _held(found: pl.DataFrame) -> pl.DataFrame:
    """Say of each pair whether the load is the rating (``agrees``), and how far off it is."""
    # between the two printed units of one rating there is no difference
    bound = (
        pl.when(pl.col("known_by") == RECALLED)
        .then("value_kg")
        .otherwise(pl.col("wll_kg").clip("low_kg", "high_kg"))
    )
    difference = pl.col("wll_kg") - pl.col("bound_kg")
    up, down = _room()
    same = (difference <= up * _LAST_BIT) & (difference >= -down * _LAST_BIT)
    return found.with_columns(bound.alias("bound_kg")).with_columns(
        (same | _is_converted() | _is_through_kilonewtons()).alias("agrees"),
        (pl.col("wll_kg") / pl.col("bound_kg")).log().abs().alias("distance"),
    )


def _room() -> tuple[pl.Expr, pl.Expr]:
    """How far above and below a rating its number may be written [kg].

    It is rounded to the nearest step of the number as written, or cut to the step below.
    """
    rating, step = pl.col("value_kg"), pl.col("wll_step_kg")
    exact = EXACT * rating
    up = pl.max_horizontal(pl.min_horizontal(step / 2, ROUNDED_UP * rating), exact)
    down = pl.max_horizontal(pl.min_horizontal(step * _ALMOST_A_STEP, ROUNDING * rating), exact)
    worked_out = pl.max_horizontal(up, pl.min_horizontal(step, _WORKED_OUT * rating))
    return pl.when(pl.col("known_by") == "computed").then(worked_out).otherwise(up), down


def _is_converted() -> pl.Expr:
    """Whether the load is the rating in the other system of units, as people convert it.

    They divide or multiply by 2.2, too, and round to fives or twenty-fives, which the last digit
    does not show; the room for that is small (`CONVERTED_ROUNDING`).
    """
    in_pounds = pl.col("wll_unit").is_in(_IN_POUNDS)
    crosses = in_pounds != (pl.col("unit") == "lb")
    short = pl.when(in_pounds).then(1 / SHORT_POUND).otherwise(SHORT_POUND)
    steps = (pl.col("wll_kg") / pl.col("wll_step_kg")).round().cast(pl.Int64, strict=False)
    fives = pl.when(steps % 25 == 0).then(25).when(steps % 5 == 0).then(5).otherwise(1)
    rating = pl.col("value_kg")
    room = pl.max_horizontal(
        pl.min_horizontal(pl.col("wll_step_kg") * fives / 2, CONVERTED_ROUNDING * rating),
        EXACT * rating,
    )
    near = pl.any_horizontal(
        (pl.col("wll_kg") - rating * times).abs() <= room * _LAST_BIT
        for times in (pl.lit(1.0), short)
    )
    return (crosses & near).fill_null(value=False)


def _is_through_kilonewtons() -> pl.Expr:
    """Whether the load is the rating as a rounded force, written with more digits than that had.

    8 t are 78.453 kN, printed as 78.5 kN; a list gives it as 78.50 kN, or works 8,004.8 kg out.
    """
    rating, newtons = pl.col("value_kg"), factor("kg", "kN")
    room = pl.min_horizontal(pl.col("wll_step_kg") / 2, EXACT * rating) * _LAST_BIT
    forces = [((rating * newtons).round(d), 10.0**-d) for d in _FORCE_DECIMALS]
    near = pl.any_horizontal(
        (force >= _FORCE_FIGURES * digit) & ((pl.col("wll_kg") - force / newtons).abs() <= room)
        for force, digit in forces
    )
    return near.fill_null(value=False)


def _summary(known: pl.DataFrame) -> pl.DataFrame:
    """The ratings of each case in one row: their range, who agrees, and the nearest."""
    nearest = known.sort(
        "case", ~pl.col("agrees"), "distance", ~pl.col("shown"), maintain_order=True
    )
    first = {
        "value": "nearest_value",
        "unit": "nearest_unit",
        "value_kg": "nearest_kg",
        "ref_scheme": "nearest_scheme",
        "source": "nearest_source",
        "locator": "nearest_locator",
        "rating_id": "nearest_rating_id",
    }
    lets_pass = pl.col("agrees") & pl.col("strict")
    practice = pl.col("known_by") == PRACTICE
    return nearest.group_by("case", maintain_order=True).agg(
        pl.col("agrees").any().alias("agrees"),
        (pl.col("agrees") & pl.col("strict")).any().alias("agrees_strictly"),
        pl.col("low_kg").min(),
        pl.col("high_kg").max(),
        pl.col("counts_as").n_unique().alias("schemes"),
        pl.col("counts_as").filter("agrees").unique().alias("agreeing"),
        # a rating that holds for one reading of an angle only lets no row pass
        # of several, practice comes last
        *(
            pl.col(column).filter(lets_pass).sort_by(practice.filter(lets_pass)).first().alias(name)
            for column, name in (("rating_id", "agreed_id"), ("known_by", "agreed_known_by"))
        ),
        *(pl.col(column).first().alias(name) for column, name in first.items()),
    )


def _why(*, only_recalled: pl.Series, by_memory: pl.Series) -> pl.Expr:
    """Why a case is not compared, now that its ratings are known."""
    unrated = pl.col("why").is_null() & pl.col("agrees").is_null()
    case, agrees = pl.col("case"), pl.col("agrees")
    return (
        pl.when(unrated & case.is_in(only_recalled.implode()))
        .then(pl.lit(say("the only rating for it is from memory and unverified")))
        .when(unrated)
        .then(pl.lit(say("no rating table covers this kind, size and grade")))
        .when(~agrees & case.is_in(by_memory.implode()))
        .then(pl.lit(say("it fits only a rating that is from memory and unverified")))
        .when(agrees & ~pl.col("agrees_strictly"))
        .then(pl.lit(say(ANGLE_UNSAID)))
        .otherwise("why")
    )


def _outcomes(compared: pl.DataFrame) -> pl.DataFrame:
    agreeing = pl.col("agreeing")
    return compared.with_columns(
        pl.when(pl.col("why").is_not_null())
        .then(pl.lit("not compared"))
        .when("agrees")
        .then(pl.lit("agree"))
        .otherwise(pl.lit("contradicted"))
        .alias("outcome"),
        *(
            pl.when(pl.col("why").is_null() & pl.col("agrees")).then(column).alias(column)
            for column in ("agreed_id", "agreed_known_by")
        ),
        (pl.col("wll_kg") / pl.col("nearest_kg")).alias("off_by"),
        pl.when((pl.col("schemes") > 1) & (agreeing.list.len() == 1))
        .then(agreeing.list.first())
        .alias("agrees_with"),
    )
