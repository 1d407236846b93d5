"""What common practice lets pass, and what it does not (docs/promises.md, the words of known_by).

The ratings are invented: the rule is that of the promise, not of a document.
"""

from __future__ import annotations

from typing import Any

import polars as pl
import pytest

from tallyhook.matching.match import match
from tallyhook.model.items import items_frame
from tallyhook.packages.package import Package
from tallyhook.packages.reference import reference_ratings, with_rank

CHAIN = {
    "row": 2, "kind": "chain", "grade": 70, "size_mm": 11.0, "wll_unit": "kg",
    "wll_step_kg": 1.0,
}  # fmt: skip
GRAB = CHAIN | {"kind": "grab-hook", "grade": 80, "size_mm": 10.0, "cradle": "no"}


def _told(reference: pl.DataFrame, **item: Any) -> tuple[str, str | None]:
    matched = match(items_frame([CHAIN | item]), reference)
    return matched["outcome"][0], matched["agreed_known_by"][0]


def _known_by(packages: dict[str, Package], rating_id: str, word: str) -> pl.DataFrame:
    reference = reference_ratings(packages)
    same = pl.col("rating_id") == rating_id
    return reference.with_columns(
        pl.when(same).then(pl.lit(word)).otherwise("known_by").alias("known_by")
    )


def test_practice_lets_a_row_pass_where_nothing_else_rates_it(packages: dict[str, Package]) -> None:
    # 7/16 in of grade 70: 8,750 lb, 3,970 kg
    reference = _known_by(packages, "chain/us-chain/70/11mm", "practice")
    assert _told(reference, wll_kg=3970.0, scheme="us-chain") == ("agree", "practice")


@pytest.mark.parametrize("word", ["published", "restated", "computed"])
def test_a_named_document_comes_before_practice(packages: dict[str, Package], word: str) -> None:
    # the tie-down law rates the same, and a row that names no scheme is told that it does
    reference = _known_by(packages, "chain/us-tiedown/70/11mm", word)
    reference = reference.with_columns(
        pl.when(pl.col("rating_id") == "chain/us-chain/70/11mm")
        .then(pl.lit("practice"))
        .otherwise("known_by")
        .alias("known_by")
    )
    assert _told(reference, wll_kg=3970.0) == ("agree", word)


def test_practice_that_a_document_of_its_scheme_outranks_lets_nothing_pass(
    packages: dict[str, Package],
) -> None:
    reference = reference_ratings(packages)
    rating = "grab-hook/european/80/10mm/no-cradle/no-cradle-20"
    assert _told(reference, **GRAB, wll_kg=2520.0)[0] == "agree"
    outranked = reference.with_columns(
        (pl.col("rating_id") == rating).fill_null(value=False).alias("outranked")
    )
    assert _told(outranked, **GRAB, wll_kg=2520.0, scheme="european")[0] == "contradicted"


def test_an_australian_standard_outranks_no_european_practice(packages: dict[str, Package]) -> None:
    # AS 3775.2 takes 25 percent off a hook without a cradle; the European hook has no document
    reference = reference_ratings(packages)
    rated = reference.filter(kind="grab-hook", scheme="european", cradle="no", size_mm=10, grade=80)
    assert set(rated["source"]) >= {"as-3775"}
    assert not rated["outranked"].any()


@pytest.mark.parametrize(
    ("source", "known_by", "outranked"),
    [
        ("en-1677-1", "restated", True),
        ("en-1677-1", "computed", True),
        ("en-1677-1", "recalled", False),
        ("en-1677-1", "practice", False),
        ("as-3775", "published", False),  # of another part of the world
    ],
)
def test_a_named_document_of_its_scheme_outranks_practice(
    packages: dict[str, Package], source: str, known_by: str, outranked: bool
) -> None:
    rated = reference_ratings(packages).filter(
        kind="grab-hook", scheme="european", cradle="no", size_mm=10, grade=80
    )
    practice = rated.head(1).with_columns(pl.lit("practice").alias("known_by"))
    other = practice.with_columns(
        pl.lit(source).alias("source"),
        pl.lit(known_by).alias("known_by"),
        pl.lit("grab-hook/european/80/10mm/no-cradle/other").alias("rating_id"),
    )
    ranked = with_rank(pl.concat([practice, other]), packages)
    assert ranked["outranked"].to_list() == [outranked, False]
    # its own pounds and kilograms do not outrank each other
    pounds = other.with_columns(practice["rating_id"])
    assert not with_rank(pl.concat([practice, pounds]), packages)["outranked"].any()
