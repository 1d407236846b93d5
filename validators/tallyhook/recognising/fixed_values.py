"""What a heading fixes for every cell below it: a grade, legs, an angle, a hitch, a size."""

from __future__ import annotations

import re
from functools import cache

from tallyhook.recognising import thresholds
from tallyhook.recognising.words import (
    column_words,
    grade_letters,
    grade_names,
    grade_numbers,
    grade_prefixes,
    one_of,
)
from tallyhook.vocabulary.context import units_with, words_for
from tallyhook.vocabulary.denials import DENIED, Denials
from tallyhook.vocabulary.lexicon import phrases, rows
from tallyhook.vocabulary.tokens import fold, one_mark, tokens_of

__all__ = ["fixed_by"]

_FACTOR = re.compile(r"\b(\d{1,2}(?:[.,]\d)?)\s*:\s*1\b")


def fixed_by(text: str, words: list[str]) -> dict[str, str]:
    """Read what a heading fixes.

    Parameters
    ----------
    text : str
        The heading.
    words : list of str
        Its words, folded, without those that name the column.

    Examples
    --------
    >>> fixed_by("2-leg 0-45°", ["2", "leg", "0", "45"])
    {'legs': '2', 'angle': '0-45'}
    """
    low = " ".join(fold(w) for w in text.replace("\u2013", "-").split())
    gives: dict[str, str] = {}
    bare = _bare_grade().match(low)
    grade = _grade().search(low)
    if bare:
        gives["grade"] = low.strip()
    elif grade and len(set(_grade().findall(low))) == 1:
        gives["grade"] = grade[1]
    legs = _legs(low, words)
    if legs:
        gives["legs"] = legs
    angle = _angle(_leg_count().sub(" ", _three_and_four().sub(" ", low)))
    if angle:
        gives["angle"] = angle
    factor = _FACTOR.search(low)
    if factor:
        gives["design_factor"] = factor[1].replace(",", ".")
    size = _size().match(low)
    if size and not gives:
        gives["size"] = text.strip() if size[2] else size[1]
    return gives | _goods(words)


def _goods(words: list[str]) -> dict[str, str]:
    """Read a hitch, a connection or a form; what is denied is given with its denial."""
    gives: dict[str, str] = {}
    flags = phrases("flag-words", "word", "flag", "value").find(words)
    hitches = [h for h in flags if h.value[0] == "hitch" and h.value[1] != "unsaid"]
    for hit in hitches:
        aimed = hit.start > 0 and words[hit.start - 1] in column_words("aim")
        if not aimed and not _is_denied(words, hit.start, hit.end):
            gives["hitch"] = str(hit.value[1])
    for role, table in (("connection", "connection-words"), ("form", "form-words")):
        for hit in phrases(table, "word", "slug").find(words):
            if hit.value:
                denied = _is_denied(words, hit.start, hit.end)
                gives[role] = " ".join(words if denied else words[hit.start : hit.end])
    return gives


def _is_denied(words: list[str], start: int, end: int) -> bool:
    """Whether some words of a heading are denied by those around them."""
    tokens = tokens_of(one_mark(" ".join(words)))
    if len(tokens) != len(words):  # a word of several marks: what stands where is not known
        return False
    return Denials(tokens).verdict(start, end).polarity == DENIED


# ---- grades and sizes


@cache
def _grade() -> re.Pattern[str]:
    letters = one_of(grade_letters(metric=False))
    prefixes = one_of(grade_prefixes())
    # a space stands before a letter: "cl t" is a grade and "clt" a load
    mark = rf"(?:[ .\-]*(?=\d)|[ .\-]+)(\d{{1,4}}|{letters}\b)"
    return re.compile(rf"\b{prefixes}{mark}(?![\d./])")


@cache
def _bare_grade() -> re.Pattern[str]:
    # a number that is the grade itself; 60 alone can as well be an angle
    numbers = [m for m, grade in grade_numbers(metric=False).items() if m == str(grade)]
    return re.compile(rf"^\s*{one_of([*numbers, *grade_names(sure=True)])}\s*$")


@cache
def _size() -> re.Pattern[str]:
    inch, metric = one_of(units_with(unit="in")), one_of(units_with(unit="mm"))
    return re.compile(
        rf"^\s*+ø?\s*+(\d++-\d++/\d++|\d++ \d++/\d++|\d++/\d++"
        rf"|\d{{1,2}}(?:[.,]\d)?(?=\s*+{metric}))\s*+({metric}|{inch}\.?|\"|″)?\s*+$"
    )


# ---- legs


@cache
def _leg_words() -> str:
    beside = {str(r["word"]) for r in rows("leg-words") if not r["legs"]}
    return one_of(beside | column_words("legs"))


@cache
def _leg_count() -> re.Pattern[str]:
    joined = one_of(words_for("and", "or", "range"))
    return re.compile(
        rf"\b([1-4])(?:\s*(?:-|/|&|,|\+|{joined})\s*([1-4]))?[\s\-.]*{_leg_words()}\b"
    )


@cache
def _three_and_four() -> re.Pattern[str]:
    joined = one_of(words_for("and", "or"))
    return re.compile(rf"\b3\s*+-?\s*+(?:{joined}|&|,)\s*+4\s*+-?\s*+{_leg_words()}\b")


def _legs(low: str, words: list[str]) -> str | None:
    if _three_and_four().search(low):
        return "3-4"
    match = _leg_count().search(low)
    if match:
        return f"{match[1]}-{match[2]}" if match[2] else match[1]
    found = {str(h.value) for h in phrases("leg-words", "word", "legs").find(words) if h.value}
    if found == {"3", "4"}:
        return "3-4"
    return found.pop() if len(found) == 1 else None


# ---- angles


@cache
def _degree() -> str:
    return rf"(?:°|{one_of(words_for('degree'))}\b)"


@cache
def _range() -> re.Pattern[str]:
    between = one_of(words_for("range"))
    return re.compile(
        rf"(?:^|[^\d.,/])(\d{{1,3}})\s*+{_degree()}?\s*+"
        rf"(?:-|–|{between}|<\s*+\S\s*+(?:<|≤|=)+|\.\.\.?|…)"
        rf"\s*+(\d{{1,3}})\s*{_degree()}?(?![\d.,/])"
    )


@cache
def _single() -> re.Pattern[str]:
    return re.compile(rf"(?:^|[^\d.,/])(?:(\d{{1,3}})\s*{_degree()}|@\s*(\d{{1,3}})(?![\d.,/:]))")


@cache
def _up_to() -> re.Pattern[str]:
    words = one_of(words_for("up to") | column_words("up-to"))
    return re.compile(rf"(?:≤|<=|{words})\s*(\d{{1,3}})\s*{_degree()}")


@cache
def _to_horizontal() -> re.Pattern[str]:
    return re.compile(_beside_number(words_for("horizontal") | column_words("horizontal")))


@cache
def _to_vertical() -> re.Pattern[str]:
    return re.compile(_beside_number(column_words("vertical")))


def _beside_number(words: frozenset[str]) -> str:
    """Give a pattern for whole words, and for Greek letters wherever they stand: "β45"."""
    letters = "".join(sorted(w for w in words if len(w) == 1))
    anywhere = rf"|[{letters}]" if letters else ""
    return rf"(?<!\w){one_of(words)}(?!\w){anywhere}"


def _angle(low: str) -> str | None:
    aim = ""
    if _to_horizontal().search(low):
        aim = " to horizontal"
    elif _to_vertical().search(low):
        aim = " to vertical"
    match = _range().search(low)
    angles = thresholds.ANGLES
    if match and {int(match[1]), int(match[2])} <= angles and int(match[1]) != int(match[2]):
        return f"{match[1]}-{match[2]}{aim}"
    match = _up_to().search(low)
    if match and int(match[1]) in angles:
        return f"0-{match[1]}{aim}"
    match = _single().search(low)
    if match and int(match[1] or match[2]) in angles:
        return f"{match[1] or match[2]}{aim}"
    return None
