"""The vocabulary package as look-up tables, loaded once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from tallyhook.packages.package import built_in_packages
from tallyhook.vocabulary.tokens import words_of

__all__ = ["Hit", "Phrases", "phrases", "rows"]


@dataclass(frozen=True, slots=True)
class Hit:
    """A phrase that was found: the words `start` to `end` (without `end`) mean `value`."""

    start: int
    end: int
    value: Any


class Phrases:
    """Phrases by their first word, longest first, so that 'no latch' is found before 'latch'."""

    __slots__ = ("_by_first",)

    def __init__(self, entries: Iterable[tuple[str, Any]]) -> None:
        by_first: dict[str, dict[tuple[str, ...], Any]] = {}
        for phrase, value in entries:
            words = (phrase.lower(),) if phrase.isalpha() and phrase.isascii() else words_of(phrase)
            by_first.setdefault(words[0], {}).setdefault(words[1:], value)
        self._by_first = {
            first: sorted(rest.items(), key=lambda item: -len(item[0]))
            if len(rest) > 1
            else list(rest.items())
            for first, rest in by_first.items()
        }

    def find(self, words: Sequence[str]) -> list[Hit]:
        """Find the phrases in a text's words from left to right, none inside another."""
        hits = []
        i, end = 0, len(words)
        by_first = self._by_first
        while i < end:
            for rest, value in by_first.get(words[i], ()):
                stop = i + 1 + len(rest)
                if tuple(words[i + 1 : stop]) == rest:
                    hits.append(Hit(i, stop, value))
                    i = stop - 1
                    break
            i += 1
        return hits

    def at(self, words: Sequence[str], i: int) -> Hit | None:
        """Give the longest phrase that begins at word `i`."""
        if i < len(words):
            for rest, value in self._by_first.get(words[i], ()):
                stop = i + 1 + len(rest)
                if tuple(words[i + 1 : stop]) == rest:
                    return Hit(i, stop, value)
        return None


@cache
def rows(table: str) -> tuple[Mapping[str, Any], ...]:
    """Give the rows of a vocabulary table."""
    return tuple(built_in_packages()["vocabulary"][table].iter_rows(named=True))


@cache
def phrases(table: str, key: str, *columns: str) -> Phrases:
    """Give a table's phrases, each with the value of one column or a tuple of several."""
    return Phrases(
        (row[key], row[columns[0]] if len(columns) == 1 else tuple(row[c] for c in columns))
        for row in rows(table)
    )
