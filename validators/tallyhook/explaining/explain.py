"""Say why a number is wrong: which plausible mistake produces this very number."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import polars as pl

from tallyhook.explaining.candidates import Knowledge, candidates
from tallyhook.explaining.expected import Explanation, explanation
from tallyhook.explaining.facts import trade_facts
from tallyhook.explaining.nature import causes_of
from tallyhook.explaining.series import RatingSeries
from tallyhook.explaining.shared import once_a_column, share_causes, share_repeated
from tallyhook.explaining.weigh import weigh
from tallyhook.matching.followed import COLUMN, followed_schemes
from tallyhook.matching.match import CASE_COLUMNS
from tallyhook.messages import say
from tallyhook.model.distinct import DistinctItems
from tallyhook.model.finding import CERTIFICATE, SEVERITIES
from tallyhook.packages.package import Package
from tallyhook.rules.judge import findings_by_row

__all__ = ["RATING_RULES", "explain"]

RATING_RULES = (
    "rated-above-every-source",
    "rated-below-every-source",
    "rated-between-the-sources",
    "grab-hook-without-cradle-is-not-reduced",
)
"""The rules whose findings are about a load that the tables contradict."""

COLUMN_RULES = ("column-of-loads-holds-none", "ton-is-ambiguous")
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
"""What a cause is found by."""

_EXPLANATION: dict[str, pl.DataType | type[pl.DataType]] = {
    "cause": pl.String,
    "confidence": pl.Float64,
    "other_causes": pl.List(pl.String),
    "expected": pl.String,
    "expected_kg": pl.Float64,
    "rating_id": pl.String,
    "ratio": pl.Float64,
    "source": pl.String,
    "locator": pl.String,
    "note": pl.String,
}


def explain(
    findings: pl.DataFrame,
    listed: DistinctItems,
    reference: pl.DataFrame,
    packages: Mapping[str, Package],
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
    packages : mapping of str to Package
        The causes (``vocabulary.causes``) and the facts of the trade that mistakes follow from.
    places : frame, optional
        As for `tallyhook.explaining.shared.share_causes`.

    Returns
    -------
    frame
        The findings, one a row; those of a whole column or block stand once, with ``rows``.
    """
    of_a_rating = pl.col("rule").is_in(RATING_RULES)
    wrong = findings.filter(of_a_rating)
    rest = once_a_column(findings_by_row(findings.filter(~of_a_rating), listed), COLUMN_RULES)
    if wrong.is_empty():
        return _worst_first(rest.drop("key"))
    known = Knowledge(
        series=RatingSeries(reference),
        facts=trade_facts(packages),
        causes=causes_of(packages["vocabulary"]["causes"]),
    )
    filled = _filled(wrong, listed.distinct, known)
    shared = share_causes(findings_by_row(filled, listed), listed, known.causes, places)
    return _worst_first(pl.concat([shared, share_repeated(rest, shared)]).drop("key"))


def _worst_first(findings: pl.DataFrame) -> pl.DataFrame:
    rank = {severity: i for i, severity in enumerate(SEVERITIES)}
    place = pl.coalesce("row", pl.col("rows").list.first())
    return findings.sort(
        pl.col("severity").replace_strict(rank, return_dtype=pl.Int8),
        "sheet",
        place,
        maintain_order=True,
    )


def _filled(wrong: pl.DataFrame, distinct: pl.DataFrame, known: Knowledge) -> pl.DataFrame:
    """Fill the rating findings with the explanations of their items."""
    contradicted = distinct.filter(pl.col("outcome") == "contradicted")
    explained = pl.DataFrame(
        list(_explanations(contradicted, distinct, known)),
        schema=_EXPLANATION,
        orient="row",
    ).rename({name: f"own_{name}" for name in _EXPLANATION})
    keyed = pl.concat([contradicted.select("key"), explained], how="horizontal")
    filled = wrong.join(keyed, on="key", how="left", maintain_order="left")
    return filled.with_columns(
        *(
            pl.coalesce(f"own_{name}", name).alias(name)
            for name in ("cause", "expected", "expected_kg", "ratio", "source", "locator")
        ),
        # of the one rating that is shown, whether it has a name or none
        pl.when(pl.col("own_expected").is_null())
        .then("rating_id")
        .otherwise("own_rating_id")
        .alias("rating_id"),
        pl.col("own_confidence").alias("confidence"),
        pl.col("own_other_causes").alias("other_causes"),
        _note().alias("note"),
    ).select(wrong.columns)


def _note() -> pl.Expr:
    """The note of the explanation, then the rule's; below the rating the certificate decides."""
    certificate = pl.lit(say(CERTIFICATE))
    ratio = pl.coalesce("own_ratio", "ratio")
    of_the_rule = pl.when(pl.col("note") != certificate).then("note")
    both = pl.concat_list("own_note", pl.when(ratio < 1).then(certificate).otherwise(of_the_rule))
    return both.list.drop_nulls().list.join("; ").replace("", None)


def _explanations(
    contradicted: pl.DataFrame, distinct: pl.DataFrame, known: Knowledge
) -> Iterator[Explanation]:
    """Explain each contradicted item, in their order; what is alike is worked out once."""
    cases = contradicted.select(_EVIDENCE).unique(maintain_order=True).with_row_index("explained")
    items = contradicted.join(
        cases, on=list(_EVIDENCE), how="left", nulls_equal=True, maintain_order="left"
    )
    by_number = {row["explained"]: row for row in cases.iter_rows(named=True)}
    found = candidates(by_number, known)
    rows = [
        (number, by_number[number], _groups(sheet, column, supplier, kind))
        for number, sheet, column, supplier, kind in items.select(
            "explained", "sheet", "wll_column", "supplier", "kind"
        ).iter_rows()
    ]
    verdicts = weigh(rows, found, known.causes, times=items["times"].to_list())
    followed = _followed(distinct, items)
    for verdict, (_, item, _), scheme in zip(verdicts, rows, followed, strict=True):
        yield explanation(verdict, item, known.series, scheme)


def _groups(
    sheet: str | None, column: str | None, supplier: str | None, kind: str
) -> tuple[str, ...]:
    """The groups of rows that an item is of: mistakes are as common in each as they are there."""
    groups = [f"column:{sheet}:{column}:{kind}"]
    if supplier:
        groups.append(f"supplier:{supplier}:{kind}")
    return tuple(groups)


def _followed(distinct: pl.DataFrame, items: pl.DataFrame) -> list[Any]:
    """The scheme that the list follows, for each item."""
    asked = items.select("sheet", "wll_column", pl.col("size_in").is_null().alias("metric"))
    return asked.join(
        followed_schemes(distinct), on=COLUMN, how="left", nulls_equal=True, maintain_order="left"
    )["followed"].to_list()
