"""Say why a number is wrong: which plausible mistake produces this very number."""

from __future__ import annotations

from typing import Any

import polars as pl

from tallyhook.explaining.collect import CERTIFICATE, collect, collect_echoes, once_a_column
from tallyhook.explaining.ladders import Ladders, Rating
from tallyhook.explaining.weigh import UNEXPLAINED, Verdict, candidates, weigh
from tallyhook.matching.followed import followed_schemes
from tallyhook.matching.match import CASE_COLUMNS
from tallyhook.model.distinct import DistinctItems
from tallyhook.model.finding import SEVERITIES
from tallyhook.rules.judge import findings_by_row
from tallyhook.wording import number_text, rating_text

__all__ = ["RATING_RULES", "explain"]

RATING_RULES = (
    "rated-above-every-source",
    "rated-below-every-source",
    "rated-between-the-sources",
    "grab-hook-without-cradle-is-not-reduced",
)
"""The rules whose findings are about a load that the tables contradict."""

COLUMN_RULES = ("ton-is-ambiguous",)
"""The rules whose findings are about a column, whichever rows show it."""

_EVIDENCE = (
    *CASE_COLUMNS,
    "size_in",
    "wll_value",
    "wll2_kg",
    "breaking_kn",
    "proof_kn",
    "nearest_kg",
)


def explain(
    findings: pl.DataFrame,
    listed: DistinctItems,
    reference: pl.DataFrame,
    causes: pl.DataFrame,
    places: pl.DataFrame | None = None,
) -> pl.DataFrame:
    """Fill cause, confidence and other causes of the rating findings, and merge shared ones.

    Parameters
    ----------
    findings : frame
        As `tallyhook.rules.judge.judge` returns them.
    listed : DistinctItems
        The matched items and their rows.
    reference : frame
        The ratings they were matched with.
    causes : frame
        ``vocabulary.causes``: cause and prior.
    places : frame, optional
        As for `tallyhook.explaining.collect.collect`.

    Returns
    -------
    frame
        The findings, one a row; those of a whole column or block stand once, with ``rows``.
    """
    rating = pl.col("rule").is_in(RATING_RULES)
    wrong = findings.filter(rating)
    if wrong.is_empty():
        told = findings_by_row(findings, listed)
        return _worst_first(once_a_column(told, COLUMN_RULES).drop("key"))
    filled = _filled(wrong, listed, reference, causes)
    rest = once_a_column(findings_by_row(findings.filter(~rating), listed), COLUMN_RULES)
    found = collect(findings_by_row(filled, listed), listed, places)
    return _worst_first(pl.concat([found, collect_echoes(rest, found)]).drop("key"))


def _worst_first(findings: pl.DataFrame) -> pl.DataFrame:
    rank = {severity: i for i, severity in enumerate(SEVERITIES)}
    place = pl.coalesce("row", pl.col("rows").list.first())
    return findings.sort(
        pl.col("severity").replace_strict(rank, return_dtype=pl.Int8),
        "sheet",
        place,
        maintain_order=True,
    )


def _filled(
    wrong: pl.DataFrame, listed: DistinctItems, reference: pl.DataFrame, causes: pl.DataFrame
) -> pl.DataFrame:
    """Find the causes of the rating findings, item by item."""
    ladders = Ladders(reference)
    priors = dict(zip(causes["cause"], causes["prior"], strict=True))
    contradicted = listed.distinct.filter(pl.col("outcome") == "contradicted")
    cases = contradicted.select(_EVIDENCE).unique(maintain_order=True).with_row_index("explained")
    items = contradicted.join(
        cases, on=list(_EVIDENCE), how="left", nulls_equal=True, maintain_order="left"
    )
    case_items = {row["explained"]: row for row in cases.iter_rows(named=True)}
    found = candidates(case_items, ladders)
    rows = [
        (number, case_items[number], _groups(sheet, column, supplier, kind))
        for number, sheet, column, supplier, kind in items.select(
            "explained", "sheet", "wll_column", "supplier", "kind"
        ).iter_rows()
    ]
    followed = _followed(listed.distinct, items)
    verdicts = weigh(rows, found, priors, times=items["times"].to_list())
    told = pl.DataFrame(
        [
            _told(v, case_items[case], ladders, scheme)
            for v, (case, _, _), scheme in zip(verdicts, rows, followed, strict=True)
        ],
        schema={
            "why": pl.String,
            "sure": pl.Float64,
            "others": pl.List(pl.String),
            "meant": pl.String,
            "off": pl.Float64,
            "meant_source": pl.String,
            "meant_locator": pl.String,
            "how": pl.String,
        },
        orient="row",
    )
    told = pl.concat([items.select("key"), told], how="horizontal")
    filled = wrong.join(told, on="key", how="left", maintain_order="left")
    return filled.with_columns(
        pl.coalesce("why", "cause").alias("cause"),
        pl.col("sure").alias("confidence"),
        pl.col("others").alias("other_causes"),
        pl.coalesce("meant", "expected").alias("expected"),
        pl.coalesce("off", "ratio").alias("ratio"),
        pl.coalesce("meant_source", "source").alias("source"),
        pl.coalesce("meant_locator", "locator").alias("locator"),
        pl.concat_list(
            "how",
            pl.when(pl.coalesce("off", "ratio") < 1)
            .then(pl.lit(CERTIFICATE))
            .otherwise(pl.when(pl.col("note") != CERTIFICATE).then("note")),
        )
        .list.drop_nulls()
        .list.join("; ")
        .replace("", None)
        .alias("note"),
    ).select(wrong.columns)


def _groups(
    sheet: str | None, column: str | None, supplier: str | None, kind: str
) -> tuple[str, ...]:
    groups = [f"column:{sheet}:{column}:{kind}"]
    if supplier:
        groups.append(f"supplier:{supplier}:{kind}")
    return tuple(groups)


def _followed(distinct: pl.DataFrame, items: pl.DataFrame) -> list[str | None]:
    """The scheme that the list follows, for each item."""
    column = ["sheet", "wll_column", "metric"]
    metric = pl.col("size_in").is_null().alias("metric")
    asked = items.select("sheet", "wll_column", metric)
    return asked.join(
        followed_schemes(distinct),
        on=column,
        how="left",
        nulls_equal=True,
        maintain_order="left",
    )["followed"].to_list()


def _to_show(
    meant: Rating | None, item: dict[str, Any], ladders: Ladders, followed: str | None
) -> Rating:
    """The rating to show as expected: of the scheme that the row or else the list claims.

    Where none is claimed it is the lowest that the item could be held against or, with a cause,
    of the system that the row names sizes in; where several would do then, a sling whose angle is
    not said, the one nearest to the load.
    """
    # a fifth is the usual deduction; the quarter of one standard never passes for the table's
    own = [r for r in ladders.own(item) if "25" not in (r.deduction or "")] or ladders.own(item)
    if angle := _strictest(item):  # never the figure of the laxer reading
        at = [r for r in own if (r.angle_from_deg or 0) < angle <= (r.angle_to_deg or 0)]
        own = at or own
    if followed is None and item["size_in"] and ladders.system(item["wll_unit"]) == "lb":
        followed = "us-chain"  # nobody else names sizes in inches and loads in pounds
    claimed = [r for r in own if r.family == followed]
    if meant is None:
        return min(claimed or own, key=lambda r: r.kg)
    system = [r for r in own if (r.scheme == "european") == (own[0].scheme == "european")]
    nearest = max if item["wll_kg"] > meant.kg else min
    return nearest(claimed or system, key=lambda r: r.kg)


_AT = "{unsaid}: the rating named here is for {angle} degrees to the vertical"


def _strictest(item: dict[str, Any]) -> float | None:
    """The wider angle to the vertical [deg] of two readings, where both are open."""
    if item["angle_to_deg"] is not None:
        return None
    readings = (item["angle_if_vertical_deg"], item["angle_if_horizontal_deg"])
    return max((angle for angle in readings if angle is not None), default=None)


def _told(
    verdict: Verdict, item: dict[str, Any], ladders: Ladders, followed: str | None
) -> dict[str, Any]:
    meant = verdict.prediction.meant if verdict.prediction else None
    shown = ladders.in_unit(_to_show(meant, item, ladders, followed), item["wll_unit"])
    unexplained = verdict.cause == UNEXPLAINED
    off = item["wll_kg"] / shown.kg
    how = [verdict.prediction.how if verdict.prediction else None]
    # American law gives hooks no rating but a least one: the table's note says so
    floor = item["kind"] == "hook" and shown.family == "us-chain"
    if unexplained or (floor and off > 1):
        how.append(shown.note)
    if (shown.legs or 1) > 1 and item["angle_to_deg"] is None:
        unsaid = (
            "no angle is said"
            if _strictest(item) is None
            else "the line its angle counts from is not said"
        )
        how.append(_AT.format(unsaid=unsaid, angle=number_text(shown.angle_to_deg or 0)))
    if item["cradle"] is None and shown.cradle == "yes":
        how.append("no cradle is said: the rating named here is for a hook with one")
    return {
        "why": verdict.cause,
        "sure": None if unexplained else round(verdict.confidence, 3),
        "others": list(verdict.others),
        "meant": rating_text(shown.value, shown.unit, item["wll_unit"]),
        "off": off,
        "meant_source": shown.source,
        "meant_locator": shown.locator,
        "how": "; ".join(filter(None, how)) or None,
    }
