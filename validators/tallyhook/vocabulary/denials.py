"""The one reader of denials: whether a text says, denies or leaves open what a word names.

The words come from the table ``denial-words``; this module knows only how they stand to each
other. A denial reaches over articles and adjectives, over "and" and "or", and no further than a
comma, a bracket, a number or a word such as "with" and "but". Whatever is in doubt is left open.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

from tallyhook.vocabulary.lexicon import rows
from tallyhook.vocabulary.tokens import MARK, NUMBER, WORD, Token, one_mark, tokens_of

__all__ = ["DENIED", "OPEN", "SAID", "Denials", "Verdict", "affixed", "answer_of"]

SAID, DENIED, OPEN = "said", "denied", "open"
_MAYBE = "maybe"
"""A denial behind a word that may belong to what follows."""

_NEAR = 2
"""Words that nobody knows over which a denial still leaves it open what is denied."""
_FAR = 7
"""Words of a list such as "without latch, cradle or wings" that are looked through."""

_BREAK, _ANSWER, _AND, _NUMBER, _WORD, _PASSED = (
    frozenset({name}) for name in ("break", "answer", "and", "numeral", "word", "passed")
)
_LEFT_OUT = frozenset({"without", "none"})
_DENYING = frozenset({"without", "none", "not", "lacking", "after", "no"})
_ENDS = _BREAK | _ANSWER | _NUMBER
_APART = frozenset({"cell no", "cell yes", "prefix"})
"""Manners of words that stand alone in a cell or are joined to another."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """Whether a word is said, denied or left open, and whether a word or a yes approves it.

    What is left open is approved where it is offered: "overhead lifting possible".

    ``before`` tells that it is denied by a word right before it: the denials of "choke no latch"
    and "latch not fitted per pair" belong to the latch.
    """

    polarity: str
    approved: bool = False
    before: bool = False


_PLAINLY = Verdict(polarity=SAID)


class _Part(NamedTuple):
    """A phrase of the table, a word, a number or a mark; `tight` where a hyphen joins it."""

    kinds: frozenset[str]
    start: int
    end: int
    tight: bool = False


@cache
def _by_manner() -> Mapping[str, list[tuple[str, str]]]:
    """The words of each manner, with their language."""
    found: dict[str, list[tuple[str, str]]] = {}
    for row in rows("denial-words"):
        found.setdefault(row["manner"], []).append((row["word"], row["language"]))
    return found


@cache
def _by_first() -> Mapping[str, list[tuple[tuple[str, ...], frozenset[str]]]]:
    """The phrases of the table by their first token, longest first, with all their manners."""
    found: dict[str, set[str]] = {}
    for manner, words in _by_manner().items():
        for word, _ in words if manner not in _APART else ():
            found.setdefault(word, set()).add(manner)
    kinds = {frozenset(manners): frozenset(manners) for manners in found.values()}
    by_first: dict[str, list[tuple[tuple[str, ...], frozenset[str]]]] = {}
    for word, manners in found.items():
        plain = word.isascii() and word.replace(" ", "").isalpha()  # most phrases: plain words
        key = tuple(word.split()) if plain else tuple(t.fold for t in tokens_of(one_mark(word)))
        by_first.setdefault(key[0], []).append((key[1:], kinds[frozenset(manners)]))
    for entries in by_first.values():
        if len(entries) > 1:
            entries.sort(key=lambda entry: -len(entry[0]))
    return by_first


@cache
def _openers() -> frozenset[str]:
    """The first tokens of the phrases without which every word of a text is plainly said."""
    silent = {"passed", "has", "with", "and", "but", "there", "number", "nothing"}
    phrases = ((first, entry) for first, entries in _by_first().items() for entry in entries)
    return frozenset(first for first, (_, manners) in phrases if manners - silent)


def affixed(word: str, language: str) -> list[str]:
    """Give the forms of a word that deny it: "latchless", "uncradled", "auflagenlos".

    Examples
    --------
    >>> affixed("cradled", "en")[:4]
    ['noncradled', 'non cradled', 'uncradled', 'un cradled']
    """
    found = []
    for prefix, of in _by_manner()["prefix"]:
        if of == language:
            found += [prefix + word, f"{prefix} {word}"]
    if " " not in word:
        for suffix, of in _by_manner()["suffix"]:
            if of == language:
                found += [word + suffix, f"{word}s{suffix}"]
    return found


@cache
def _determiners() -> frozenset[tuple[str, str]]:
    return frozenset(_by_manner()["none"])


@cache
def _answers() -> Mapping[str, str]:
    """The whole cells that say yes or no."""
    yes = ("yes", "cell yes", "with", "there")
    no = ("no", "cell no", "without", "none", "not", "lacking")
    found = {word: DENIED for manner in no for word, _ in _by_manner()[manner]}
    return found | {word: SAID for manner in yes for word, _ in _by_manner()[manner]}


def answer_of(cell: str) -> str | None:
    """Read a cell that is nothing but an answer: said, denied, or None where it is more or less.

    Examples
    --------
    >>> answer_of("ja"), answer_of("w/o"), answer_of("with latch")
    ('said', 'denied', None)
    """
    return _answers().get(cell)


class Denials:
    """The words of denial of one text, and what they deny."""

    __slots__ = ("_at", "_parts", "_tokens")

    def __init__(self, tokens: Sequence[Token]) -> None:
        self._tokens = tokens
        if _openers().isdisjoint([token.fold for token in tokens]):
            tokens = ()  # most texts: no word that can deny anything or leave it open
        self._parts: list[_Part] = []
        self._at = [0] * (len(tokens) + 1)
        i = 0
        while i < len(tokens):
            part = self._part_at(i)
            for k in range(i, part.end):
                self._at[k] = len(self._parts)
            if part.kinds:
                self._parts.append(part)
            i = part.end
        self._at[len(tokens)] = len(self._parts)

    def verdict(self, start: int, end: int, language: str | None = None) -> Verdict:
        """Say whether the words of tokens `start` to `end` (without `end`) are denied.

        `language` is that of the words: the "no" of "pestillo no pintado" denies the paint, that
        of "latch no spring" may deny either.
        """
        if not self._parts:
            return _PLAINLY
        behind, approved_behind = self._behind(end, language)
        ahead, approved_ahead, without = self._ahead(start)
        approved = approved_behind or approved_ahead
        if behind == "yes" or behind == "no":
            return Verdict(polarity=SAID if behind == "yes" else DENIED, approved=True)
        if behind == _MAYBE:
            behind = None if ahead == DENIED else OPEN  # "no latch no swivel", "latch no spring"
        if OPEN in (behind, ahead) or (without and behind == DENIED):
            return Verdict(polarity=OPEN, approved=approved and DENIED not in (behind, ahead))
        if DENIED in (behind, ahead):
            return Verdict(polarity=DENIED, before=ahead == DENIED and self._directly(start))
        return Verdict(polarity=SAID, approved=approved)

    def _directly(self, start: int) -> bool:
        """Tell whether "no", "not" or "without" stands before token `start`, but for articles."""
        k = self._at[start] - 1
        while "passed" in self._kinds(k):
            k -= 1
        return bool(self._kinds(k) & (_LEFT_OUT | {"not"}))

    def near(self, start: int, end: int) -> bool:
        """Tell whether any word of denial stands in the same clause near these tokens."""
        if not self._parts:
            return False
        first, last = self._at[start], self._at[end - 1] + 1
        for k in range(first - 1, max(-1, first - _FAR), -1):
            if self._parts[k].kinds & (_BREAK | _ANSWER):
                break
            if self._parts[k].kinds & _DENYING:
                return True
        for k in range(last, min(len(self._parts), last + 3)):
            if self._parts[k].kinds & (_BREAK | _ANSWER):
                break
            if "without" in self._parts[k].kinds and not self._kinds(k + 1) & _ENDS:
                break  # "for overhead lifting without hooks" is for overhead lifting
            if self._parts[k].kinds & _DENYING:
                return True
        return False

    def inside(self, start: int, end: int) -> bool:
        """Tell whether a word of denial stands among these tokens."""
        if not self._parts:
            return False
        parts = self._parts[self._at[start] : self._at[end - 1] + 1]
        return any(part.kinds & _DENYING for part in parts)

    def _part_at(self, i: int) -> _Part:
        """Cut the part that begins at token `i`; marks that mean nothing have no kinds."""
        tokens = self._tokens
        token = tokens[i]
        tight = i > 1 and self._joined(i - 1)
        for rest, manners in _by_first().get(token.fold, ()):
            end = i + 1 + len(rest)
            if end > len(tokens):
                continue
            if not rest or tuple(t.fold for t in tokens[i + 1 : end]) == rest:
                if "number" in manners and self._numbers(end):
                    manners = _PASSED
                return _Part(manners, i, end, tight)
        if token.kind == WORD:
            return _Part(_WORD, i, i + 1, tight)
        if token.kind == NUMBER:
            return _Part(_NUMBER, i, i + 1, tight)
        if token.text in ",;|)]":
            return _Part(_BREAK, i, i + 1)
        if token.text in ":=(>→[?":
            return _Part(_ANSWER, i, i + 1)
        if token.text in "/&+":
            return _Part(_AND, i, i + 1)
        if token.text == "-" and not self._joined(i):
            return _Part(_ANSWER, i, i + 1)
        if token.text in ".!" and i > 0 and len(tokens[i - 1].text) > 3:
            return _Part(_BREAK, i, i + 1)
        return _Part(frozenset(), i, i + 1)

    def _joined(self, i: int) -> bool:
        """Tell whether token `i` is a hyphen between two words without a space."""
        tokens = self._tokens
        return (
            0 < i < len(tokens) - 1
            and tokens[i].kind == MARK
            and tokens[i].text == "-"
            and tokens[i - 1].end == tokens[i].start
            and tokens[i].end == tokens[i + 1].start
        )

    def _numbers(self, i: int) -> bool:
        """Tell whether "." or the degree sign and a number follow: "No. 8"."""
        tokens = self._tokens
        return (
            i + 1 < len(tokens)
            and tokens[i].text in ".°"
            and tokens[i].start == tokens[i - 1].end
            and tokens[i + 1].kind == NUMBER
        )

    def _kinds(self, k: int) -> frozenset[str]:
        """Give the kinds of part `k`; the ends of the text are breaks."""
        return self._parts[k].kinds if 0 <= k < len(self._parts) else _BREAK

    # -- what stands before a word ------------------------------------------------------------

    def _ahead(self, start: int) -> tuple[str, bool, bool]:
        """Read leftwards: the polarity, whether approved, whether by a word such as without."""
        k = self._at[start] - 1
        unknown, approved = 0, False
        if "with" in self._kinds(k + 1):
            return self._with(k + 1), False, False  # "with bearing" is a phrase of its own
        if self._closes(k):
            return self._bracketed(k), False, False
        while unknown <= _NEAR:
            kinds = self._kinds(k)
            if "nothing" in kinds or kinds & _ENDS or "but" in kinds:
                return SAID, approved, False
            if "without" in kinds:
                return self._without(k, unknown), approved, True
            if "none" in kinds or "lacking" in kinds:
                return self._without(k, unknown), approved, False
            if "not" in kinds:
                return (SAID if unknown else DENIED), approved, False
            if "open" in kinds:
                return OPEN, "offered" in kinds, False
            if "with" in kinds:
                return self._with(k), approved, False
            if "and" in kinds:
                return self._listed(k - 1), approved, False
            if "approved" in kinds or "has" in kinds:
                approved = approved or "approved" in kinds
            elif kinds & {"yes", "no", "after"}:
                return SAID, approved, False
            elif not kinds & {"passed", "there"}:
                unknown += 1
            k -= 1
        return SAID, approved, False

    def _closes(self, k: int) -> bool:
        return 0 <= k < len(self._parts) and self._tokens[self._parts[k].start].text in ")]"

    def _bracketed(self, k: int) -> str:
        """Read "(no) latch" and "with (or without) latch"."""
        inside = [self._kinds(j) for j in range(max(0, k - 4), k)]
        for place in range(len(inside) - 1, -1, -1):
            if inside[place] == _ANSWER:
                words = inside[place + 1 :]
                denying = [w for w in words if w & {"without", "none", "not"}]
                return SAID if not denying else DENIED if len(words) == 1 else OPEN
        return SAID

    def _without(self, k: int, unknown: int) -> str:
        """Say what "without" at part `k` does: "with or without" and "not without" leave open."""
        left = self._kinds(k - 1)
        if unknown or ("not" in left and "without" in self._kinds(k)):
            return OPEN
        if left & {"and"} and "with" in self._kinds(k - 2):
            return OPEN
        for j in range(k - 1, max(-1, k - 5), -1):
            kinds = self._kinds(j)
            if kinds & _ENDS or "but" in kinds:
                break  # "replaces G70 without latch": the grade is what is replaced
            if "open" in kinds and "passed" not in kinds:
                return OPEN
        return DENIED

    def _with(self, k: int) -> str:
        """Say what "with" at part `k` does: "not fitted with" denies, "optional with" does not."""
        j = k - 1
        if "and" in self._kinds(j) and self._kinds(j - 1) & _LEFT_OUT:
            return OPEN
        for _ in range(4):
            kinds = self._kinds(j)
            if "nothing" in kinds:
                return SAID
            if "open" in kinds and "passed" not in kinds:
                return OPEN
            if kinds & {"not", "none"}:
                return DENIED
            if not kinds & {"has", "passed", "there", "approved"}:
                return SAID
            j -= 1
        return SAID

    def _listed(self, k: int) -> str:
        """Read the words before "and" or "or" up to what governs them."""
        comma = unknown = False
        for j in range(k, max(-1, k - _FAR), -1):
            kinds = self._kinds(j)
            if kinds & _LEFT_OUT:
                if "with" in kinds:
                    return OPEN
                return OPEN if comma else self._without(j, 0)
            if "with" in kinds:
                return self._with(j)
            if "not" in kinds:
                return OPEN if comma or unknown else DENIED
            if kinds & {"nothing", "but"} or kinds & _ANSWER:
                return SAID
            if kinds & _BREAK:
                if comma or self._tokens[self._parts[j].start].text != ",":
                    return SAID
                comma = True
            unknown = unknown or "word" in kinds
        return SAID

    # -- what stands behind a word ------------------------------------------------------------

    def _behind(self, end: int, language: str | None) -> tuple[str | None, bool]:
        """Read rightwards: yes, no, denied, open or None, and whether it is approved."""
        k = self._at[end - 1] + 1
        if self._suffixed(k):
            return DENIED, False
        mark = False
        for _ in range(6):
            kinds = self._kinds(k)
            if kinds & _ANSWER and k < len(self._parts):
                mark = True
            elif "open" in kinds and self._kinds(k + 1) & _ENDS:
                break  # "cradle extra", not "cradle extra large"
            elif not ("passed" in kinds and not kinds & {"without", "none", "not", "lacking"}):
                break
            k += 1
        kinds = self._kinds(k)
        if kinds & _BREAK:
            follows = self._kinds(k + 1)
            alone = bool(self._kinds(k + 2) & _ENDS)
            opened = "open" in follows and alone and k + 1 < len(self._parts)
            return (_MAYBE if opened else None), False  # "latch, optional", "no latch, spare"
        if mark and self._text(k - 1) in (":", "=") and self._kinds(k + 1) & _ENDS:
            letter = answer_of(self._text(k)) if len(self._text(k)) == 1 else None
            if letter is not None:
                return ("yes" if letter == SAID else "no"), True  # "latch: N"
        if "not" in kinds or "no" in kinds or "yes" in kinds:
            return self._answered(k, language)
        if kinds & _LEFT_OUT:
            return (DENIED if self._kinds(k + 1) & _ENDS else None), False
        if "after" in kinds:
            return DENIED, False
        if "lacking" in kinds:
            belongs = "word" in self._kinds(k + 1) and not mark
            return (_MAYBE if belongs else DENIED), False
        if "open" in kinds:
            return OPEN, "offered" in kinds
        if "and" in kinds:
            return self._shared(k + 1), False
        return None, "approved" in kinds

    def _suffixed(self, k: int) -> bool:
        """Tell whether a suffix is joined by a hyphen: "cradle-less"."""
        return k < len(self._parts) and self._parts[k].tight and "suffix" in self._parts[k].kinds

    def _answered(self, k: int, language: str | None) -> tuple[str | None, bool]:
        """Read "latch no", "latch: yes", "latch not fitted", "latch not galvanised"."""
        kinds, j = self._kinds(k), k + 1
        following = self._kinds(j)
        if "and" in following and self._text(j) == "/" and self._kinds(j + 1) & {"yes", "no"}:
            return OPEN, False  # "latch yes/no"
        ends = bool(following & _ENDS)
        if "yes" in kinds:
            if ends or "word" in following:
                return "yes", True
            return (OPEN if "open" in following else None), False
        if "no" in kinds and (ends or not kinds & {"none", "not"}):
            return "no", False
        if "not" in kinds:
            if ends:
                return "no", False
            for _ in range(4):
                following = self._kinds(j)
                if following & {"there", "approved"}:
                    return DENIED, False
                if not following & {"passed", "has", "not"}:
                    break
                j += 1
            if "has" in self._kinds(j - 1) and following & _ENDS:
                return DENIED, False  # "cuna: no lleva"
            if "none" not in kinds or not self._determines(k, language):
                return (OPEN if "open" in following else None), False
        next_answered = self._kinds(j + 1) & {"yes", "no"} or self._text(j + 1) in (":", "=")
        if "word" in following and next_answered:
            return "no", False  # "cuna no pestillo si", "cradle=no latch=yes"
        return _MAYBE, False

    def _determines(self, k: int, language: str | None) -> bool:
        """Tell whether part `k` can stand before a noun in a language: English "no" can."""
        return language is None or (self._text(k), language) in _determiners()

    def _text(self, k: int) -> str:
        return self._tokens[self._parts[k].start].fold if k < len(self._parts) else ""

    def _shared(self, k: int) -> str | None:
        """Read "latch and cradle not fitted" from the second word on."""
        for j in range(k, min(len(self._parts), k + 4)):
            kinds = self._kinds(j)
            if kinds & _ENDS or kinds & {"with", "without", "none", "but", "has"}:
                return None
            if kinds & {"after", "lacking"}:
                return DENIED
            if "not" in kinds:
                return DENIED if self._kinds(j + 1) & {"there", "approved"} else None
        return None
