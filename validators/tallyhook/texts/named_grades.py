"""All the grades that the words of one row name, which may be more than one."""

from __future__ import annotations

from functools import lru_cache
from itertools import takewhile

import polars as pl

from tallyhook.texts.grades import marked_grades
from tallyhook.texts.scan import Context, Scan
from tallyhook.vocabulary.context import words_for
from tallyhook.vocabulary.denials import SAID
from tallyhook.vocabulary.lexicon import phrases

__all__ = ["grades_named"]

_FAR = 4
"""Words that may stand between the name of a grade and the hook that has it."""


def grades_named(*, but_denied: bool = False) -> pl.Expr:
    """The different grades that a row's own words name, lowest first [list of integer].

    `but_denied` leaves out those that the words deny, as in "not G70".
    """
    read = _undenied if but_denied else _all
    return pl.col("item").fill_null("").map_elements(read, return_dtype=pl.List(pl.Int64))


@lru_cache(maxsize=4096)
def _all(text: str) -> list[int]:
    return sorted({grade for grade, _ in _named(text)})


@lru_cache(maxsize=4096)
def _undenied(text: str) -> list[int]:
    return sorted({grade for grade, said in _named(text) if said})


def _named(text: str) -> list[tuple[int, bool]]:
    """Give each grade that a text names, and whether it is said rather than denied."""
    scan = Scan(text, Context())
    spans = marked_grades(scan)
    for hit in phrases("grade-words", "word", "grade").find(scan.words):
        # an empty word is a comma or bracket: what stands behind it is another thing
        behind = list(takewhile(bool, scan.words[hit.end - 1 : hit.end + _FAR]))
        if hit.value is not None and words_for("hook").intersection(behind):
            # "transport hooks": of a chain the name may be that of the use, too
            start, end = scan.where[hit.start], scan.where[hit.end - 1] + 1
            spans.append((int(hit.value), start, end))
    return [
        (grade, scan.denials.verdict(start, end).polarity == SAID) for grade, start, end in spans
    ]
