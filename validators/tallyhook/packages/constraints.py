"""Whether a constraint of a column became tighter or looser.

Tighter: a table that was valid may no longer be. What cannot be compared counts as tighter.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal, InvalidOperation
from typing import Any, NamedTuple

__all__ = ["Moved", "constraint_changes"]


class Moved(NamedTuple):
    """One constraint that differs: its name, both states as text, and whether it is tighter."""

    name: str
    old: str
    new: str
    tighter: bool


_SWITCHES = ("required", "unique")
_LEAST = (("minimum", "exclusiveMinimum"), ("minLength",))
_MOST = (("maximum", "exclusiveMaximum"), ("maxLength",))
_COMPARED = {"enum", *_SWITCHES, *(name for names in (*_LEAST, *_MOST) for name in names)}


def constraint_changes(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[Moved]:
    """Give every constraint that differs.

    Examples
    --------
    >>> [m.tighter for m in constraint_changes({"minimum": 0}, {"exclusiveMinimum": 0})]
    [True]
    >>> list(constraint_changes({"enum": ["a"]}, {"enum": ["a", "b"]}))
    [Moved(name='enum', old='', new='b', tighter=False)]
    """
    for name in _SWITCHES:
        a, b = bool(old.get(name)), bool(new.get(name))
        if a != b:
            yield Moved(name, _text(a), _text(b), b)
    yield from _words(old.get("enum"), new.get("enum"))
    for names in _LEAST:
        yield from _bound(names, old, new, lambda a, b: b > a)
    for names in _MOST:
        yield from _bound(names, old, new, lambda a, b: b < a)
    for name in sorted((old.keys() | new.keys()) - _COMPARED):
        before, after = old.get(name), new.get(name)
        if before != after:  # a pattern: which of two lets more through is not told from outside
            yield Moved(name, _text(before), _text(after), after is not None)


def _words(old: list[Any] | None, new: list[Any] | None) -> Iterator[Moved]:
    if old is None or new is None:
        if old != new:
            yield Moved("enum", _text(old), _text(new), new is not None)
        return
    before, after = ({_text(word): None for word in words} for words in (old, new))
    for word in before:
        if word not in after:
            yield Moved("enum", word, "", True)
    for word in after:
        if word not in before:
            yield Moved("enum", "", word, False)


def _bound(
    names: tuple[str, ...],
    old: Mapping[str, Any],
    new: Mapping[str, Any],
    above: Callable[[Decimal, Decimal], bool],
) -> Iterator[Moved]:
    before, after = ([(n, c[n]) for n in names if c.get(n) is not None] for c in (old, new))
    if before == after:
        return
    yield Moved(
        names[0],
        ", ".join(_shown(*each) for each in before),
        ", ".join(_shown(*each) for each in after),
        bool(after) and _tighter(before, after, above),
    )


def _tighter(
    before: list[tuple[str, Any]],
    after: list[tuple[str, Any]],
    above: Callable[[Decimal, Decimal], bool],
) -> bool:
    if not before:
        return True
    try:
        (a, a_open), (b, b_open) = (_strictest(each, above) for each in (before, after))
    except InvalidOperation:  # a date, or anything else that is not compared here
        return True
    return above(a, b) or (a == b and b_open and not a_open)


def _strictest(
    bounds: list[tuple[str, Any]], above: Callable[[Decimal, Decimal], bool]
) -> tuple[Decimal, bool]:
    """Give the bound that decides where both are said, and whether the value itself is outside."""
    read = [(Decimal(str(value)), name.startswith("exclusive")) for name, value in bounds]
    first, *rest = read
    for other in rest:
        if above(first[0], other[0]) or (first[0] == other[0] and other[1]):
            first = other
    return first


def _shown(name: str, value: Any) -> str:
    return f"{_text(value)} ({name})" if name.startswith("exclusive") else _text(value)


def _text(value: Any) -> str:
    if value is None:
        return ""
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
