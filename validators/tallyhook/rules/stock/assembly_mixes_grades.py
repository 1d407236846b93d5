"""Chain and fittings of one assembly are of different grades.

## What it checks
Slings whose own words name two grades, such as grade 100 chain with grade 80 hooks. A grade that
is not for lifting at all is `grade-is-not-for-overhead-lifting`.

## Why it matters
An assembly is rated by its weakest part, and a fitting of another grade need not fit the chain.

## Likely cause
A hook was out of stock and the next best was taken, or one of the two grades is typed wrong.

## Example
| row | kind  | item                                  | finding |
| --- | ----- | ------------------------------------- | ------- |
| 2   | sling | 2-leg sling G80 chain with G80 hooks  |         |
| 3   | sling | 2-leg sling G100 chain with G80 hooks | grade   |
| 4   | chain | G80 chain, replaces G70               |         |

The `findings`, whole:

| row | observed                       | expected                             | source          | locator                                           |
| --- | ------------------------------ | ------------------------------------ | --------------- | ------------------------------------------------- |
| 3   | grades 80 and 100 in one sling | one grade, or the rating of grade 80 | 29-cfr-1910-184 | 1910.184(e)(2)(i): rated by its weakest component |
"""

from __future__ import annotations

import polars as pl

from tallyhook.model.finding import WARNING
from tallyhook.rules import rule
from tallyhook.rules.stock import findings

_GRADE = r"(?i)\b(?:g|gr|grade|gk|güteklasse|classe|clase)[ .]?-?(120|100|80|70|43|30)\b"

# grade 7 and transport are names of grade 70 (49 CFR 393.108, ASTM A413); a size is none of them
_SEVEN = r"(?i)\b(?:g|(?:gr|grade|gk|güteklasse|classe|clase)[ .]?-?)7\b"
_TRANSPORT = r"(?i)\btransport (?:(?:grade|chain|grab|clevis|eye|slip|sling|safety) )*hooks?\b"
_SIZE = r"(?i)\b7 ?(?:mm|cm|in|inch|\"|/\d+|[.,]\d+)"

_DENIED = (
    r"(?i)\b(?:not?|never|unlike|than|replac\w+|instead of|was|formerly|without|nicht|keine?|ohne|statt"
    r"|ersetzt|sans|sin)(?: (?:a|an|the|for|use|or|with|any|(?:g|gr|grade)[ .]?-?\d{2,3}))* "
)


def grades_named(*, but_denied: bool = False) -> pl.Expr:
    """The different grades that a row's own words name, lowest first [list of integer].

    `but_denied` leaves out those that the words deny, as in "not G70".
    """
    words = (
        pl.col("item")
        .fill_null("")
        .str.replace_all(_SIZE, " ")
        .str.replace_all(_SEVEN, "G70")
        .str.replace_all(_TRANSPORT, "G70 hooks")
    )
    marks = (
        (words.str.replace_all(_DENIED + _GRADE[4:], " ") if but_denied else words)
        .str.extract_all(_GRADE)
        .list.eval(pl.element().str.extract(r"(\d+)$", 1).cast(pl.Int64))
    )
    return marks.list.unique().list.sort()


@rule(severity=WARNING, reads="items", since="0.1.0")
def assembly_mixes_grades(items: pl.DataFrame) -> pl.DataFrame:
    slings = items.filter(pl.col("kind") == "sling").with_columns(grades_named().alias("grades"))
    broken = slings.filter(pl.col("grades").list.len() > 1)
    named = pl.col("grades").list.eval(pl.element().cast(pl.String)).list.join(" and ")
    return findings(
        broken,
        column="grade",
        observed=pl.format("grades {} in one sling", named),
        expected=pl.format("one grade, or the rating of grade {}", pl.col("grades").list.first()),
        source="29-cfr-1910-184",
        locator="1910.184(e)(2)(i): rated by its weakest component",
    )
