"""Flags: what a text says, denies or leaves open of latch, cradle, swivel, lifting and the like."""

from __future__ import annotations

from functools import cache

from tallyhook.messages import say
from tallyhook.texts.scan import Context, Scan
from tallyhook.vocabulary.blanks import is_blank
from tallyhook.vocabulary.context import phrases_for
from tallyhook.vocabulary.denials import DENIED, OPEN, SAID, affixed, answer_of
from tallyhook.vocabulary.lexicon import Phrases, rows
from tallyhook.vocabulary.tokens import WORD, fold, words_of

__all__ = ["FLAGS", "find_flags", "flag_of", "read_flag", "read_swivel", "says", "turns_under_load"]

FLAGS = ("latch", "cradle", "overhead", "swivel", "material", "hitch", "pair", "shortening")
"""The flags of an item."""

_FITTED = ("latch", "cradle")
"""What a hook has or has not: where words say it and leave it open, it is open."""

_SWIVELS = ("bearing", "positioning")

_UNSAID, _NAMED = "unsaid", "named"

_SPAN = 8
"""Words of "turns freely under full load", with room for one or two more."""


@cache
def _phrases_of(flag: str) -> Phrases:
    """The phrases of one flag, so that the phrases of another cannot hide them.

    Each has what it says, what its denial says, and its language.
    """
    entries = []
    for row in rows("flag-words"):
        if row["flag"] == flag:
            word = str(row["word"])
            language = str(row["language"])
            entries.append((word, (row["value"], row["denied"], language)))
            if row["denied"]:
                entries += [(f, (row["denied"], "", language)) for f in affixed(word, language)]
    return Phrases(entries)


def flag_of(scan: Scan, flag: str) -> tuple[set[str], bool]:
    """Give the different things that a text says of a flag, and whether any is in doubt."""
    found: set[str] = set()
    doubt = False
    for hit in _phrases_of(flag).find(scan.words):
        value, denied, language = hit.value
        start, end = scan.where[hit.start], scan.where[hit.end - 1] + 1
        if value == _UNSAID and not denied:
            continue
        verdict = scan.denials.verdict(start, end, language)
        if not denied and value != _NAMED and verdict.polarity != SAID and not verdict.before:
            # "choke no latch", "carbon steel not for lifting": of a hitch, a material or a pair
            # there is nothing that a denial behind it could say, it is that of something else
            found.add(value)
        elif (
            verdict.polarity == OPEN and flag == "overhead" and value == "yes" and verdict.approved
        ):
            found.add(value)  # "overhead lifting possible": a use that is offered is sold
        elif verdict.polarity == OPEN:
            doubt = True
        elif verdict.polarity == DENIED:
            if denied:
                found.add(denied)
        elif value == _NAMED:
            if verdict.approved:
                found.add("yes")
        elif value != _UNSAID:
            found.add(value)
            doubt = doubt or (flag == "overhead" and scan.denials.near(start, end))
    return found, doubt


def says(text: str, flag: str) -> bool:
    """Tell whether a text says a flag without denying it or leaving it open anywhere."""
    return flag_of(Scan(text, Context()), flag) == ({"yes"}, False)


def turns_under_load(scan: Scan) -> bool | None:
    """Tell whether a text says or denies that a hook turns under load; None where it is open."""
    said: set[str] = set()
    for load in phrases_for("under load").find(scan.words):
        for verb in phrases_for("turning").find(scan.words):
            first, last = min(load.start, verb.start), max(load.end, verb.end)
            if last - first > _SPAN or "" in scan.words[first:last]:
                continue
            start, end = scan.where[first], scan.where[last - 1] + 1
            if any(scan.is_mark(k, ".!") for k in range(start, end)):
                continue
            inside = scan.denials.inside(start, end)
            said.add(DENIED if inside else scan.denials.verdict(start, end).polarity)
    if said == {SAID}:
        return True
    return False if said == {DENIED} else None


def find_flags(scan: Scan, notes: list[tuple[str, str]]) -> dict[str, str | None]:
    """Read the flags of a text; where it contradicts itself a flag is None and noted."""
    out: dict[str, str | None] = dict.fromkeys(FLAGS)
    for flag in FLAGS:
        found, doubt = flag_of(scan, flag)
        if flag == "overhead" and doubt and found <= {"yes"}:
            notes.append((flag, say("it is not clear whether overhead lifting is allowed")))
        elif flag in _FITTED and doubt and found <= {"yes"}:
            notes.append((flag, say("it is left open whether there is one")))
        elif len(found) > 1:
            shown = ", ".join(sorted(found))
            notes.append((flag, say("the words name more than one ({shown})", shown=shown)))
        elif found:
            out[flag] = found.pop()
    if out["swivel"] is None and turns_under_load(scan) is False:
        out["swivel"] = "positioning"
    return out


def read_flag(text: str, flag: str) -> tuple[str | None, str | None]:
    """Read a cell of a yes-or-no column such as latch: the value, and a note when it is neither."""
    cell = text.strip()
    answer = answer_of(fold(cell))
    if answer is not None:
        return "yes" if answer == SAID else "no", None
    if is_blank(cell):
        return None, None
    tokens = Scan(cell, Context()).tokens
    # "no no" leaves nothing open, and says neither
    said = any(_answering(manner).intersection(t.fold for t in tokens) for manner in ("yes", "no"))
    both = all(_answering(manner).intersection(t.fold for t in tokens) for manner in ("yes", "no"))
    if both or any(t.text in "?~" for t in tokens):
        return None, say("'{cell}' is neither yes nor no", cell=cell)
    for words in (cell, f"{flag} {cell}"):  # the heading says what it is that is "not fitted"
        scan = Scan(words, Context())
        value = find_flags(scan, [])[flag]
        start = len(scan.tokens) - len(Scan(cell, Context()).tokens)
        if start and not _answers(scan, start):
            break
        if value is None and start and not said and flag_of(scan, flag)[1] and flag in _FITTED:
            return None, None  # "optional": which it is, is left open
        if value is not None:
            return value, None
    return None, say("'{cell}' is neither yes nor no", cell=cell)


def _answers(scan: Scan, start: int) -> bool:
    """Tell whether the tokens from `start` on say or deny what stands before them, and no more."""
    for token in scan.tokens[start:]:
        known = token.fold in _denying() if token.kind == WORD else token.text in ".-()'"
        if not known:
            return False
    return scan.denials.verdict(0, start).approved or scan.denials.inside(start, len(scan.tokens))


@cache
def _answering(manner: str) -> frozenset[str]:
    """The words that say yes, or no, by themselves."""
    return frozenset(str(r["word"]) for r in rows("denial-words") if r["manner"] == manner)


@cache
def _denying() -> frozenset[str]:
    """The words of the phrases that deny a thing, leave it open or say that it is there."""
    return frozenset(w for row in rows("denial-words") for w in words_of(str(row["word"])))


def read_swivel(text: str) -> tuple[str | None, str | None]:
    """Read a cell of a column of swivels: bearing or positioning, and a note when it is neither.

    That there is a swivel, or none, says nothing of how it turns.

    Examples
    --------
    >>> read_swivel("Bearing"), read_swivel("no")
    (('bearing', None), (None, None))
    """
    cell = text.strip()
    if cell.casefold() in _SWIVELS:
        return cell.casefold(), None
    if is_blank(cell) or answer_of(fold(cell)) is not None:
        return None, None
    for words in (cell, f"{cell} swivel"):  # the heading says what it is that has a bearing
        value = find_flags(Scan(words, Context()), [])["swivel"]
        if value and "?" not in cell:
            return value, None
    return None, say("'{cell}' does not say whether it turns under load", cell=cell)
