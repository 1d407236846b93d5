"""Words of a heading that make its column one of something else: paint, crane, old."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cache

from tallyhook.vocabulary.lexicon import rows

__all__ = ["goods", "is_goods", "of_another_thing"]

_GROUPS: Mapping[str, str] = {
    "grade": "grade",
    "size": "size",
    "unit": "unit",
    "legs": "legs",
    "angle": "angle",
    **dict.fromkeys(("wll", "load", "breaking", "proof"), "load"),
}

_OF_GOODS_TOO = ("load", "size")
"""A hook can be one of a crane, and its capacity is what is checked."""


@cache
def goods() -> frozenset[str]:
    """Single words that name the goods themselves: a heading only when they stand alone."""
    tables = (("kind-words", "word"), ("form-words", "word"), ("connection-words", "word"))
    return frozenset(str(r[key]) for table, key in tables for r in rows(table))


def is_goods(word: str) -> bool:
    """Whether a word names the goods themselves: chain, hook, clevis."""
    return word in goods()


@cache
def _other_things() -> Mapping[str, Mapping[str, str]]:
    found: dict[str, dict[str, str]] = {}
    for row in rows("other-things"):
        found.setdefault(str(row["of"]), {})[str(row["word"])] = str(row["holds"])
    return found


@cache
def _first_parts(of: str) -> tuple[tuple[str, str], ...]:
    """Give the first parts of compounds, the longest first."""
    joining = {str(r["language"]) for r in rows("languages") if r["joins_words"]}
    parts = [
        (str(r["word"]), str(r["holds"]))
        for r in rows("other-things")
        if r["of"] == of and r["language"] in joining
    ]
    return tuple(sorted(parts, key=lambda part: -len(part[0])))


def of_another_thing(roles: Iterable[str], words: Sequence[str], word: str) -> str | None:
    """Give what a column holds whose heading says that it is of something else than the goods.

    Parameters
    ----------
    roles : iterable of str
        What the heading would be without such a word.
    words : sequence of str
        Its words, folded.
    word : str
        The word or phrase that gave the role.

    Examples
    --------
    >>> of_another_thing({"wll"}, ["crane", "capacity"], "capacity")
    'another load than the rating'
    >>> of_another_thing({"wll"}, ["crane", "hook", "capacity"], "capacity") is None
    True
    """
    groups = {_GROUPS.get(role) for role in roles}
    if len(groups) != 1 or None in groups:
        return None
    (of,) = groups
    assert of is not None
    own = word.split()
    rest = [w for w in words if w not in own]
    found = next((_other_things()["any"][w] for w in rest if w in _other_things()["any"]), None)
    things = _other_things().get(of, {})
    if found or (of in _OF_GOODS_TOO and any(is_goods(w) and w not in things for w in words)):
        return found
    found = next((things[w] for w in rest if w in things), None)
    return found or _by_first_part(of, own)


def _by_first_part(of: str, own: Sequence[str]) -> str | None:
    """Read a compound by its first part: Krantragfähigkeit is what a crane carries."""
    if len(own) != 1:
        return None
    return next((holds for part, holds in _first_parts(of) if own[0].startswith(part)), None)
