"""All the grades that the words of one row name, which may be more than one."""

from __future__ import annotations

import polars as pl

__all__ = ["grades_named"]

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
