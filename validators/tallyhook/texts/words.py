"""Words: what a thing is, its form, its connection, and flags such as latch and cradle."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from tallyhook.messages import say
from tallyhook.texts.flags import find_flags
from tallyhook.texts.scan import Context, Scan
from tallyhook.vocabulary.context import head_first, words_for
from tallyhook.vocabulary.denials import DENIED
from tallyhook.vocabulary.lexicon import Hit, phrases, rows
from tallyhook.vocabulary.tokens import MARK, WORD, words_of

__all__ = ["NO_WORDS", "Words", "find_words", "known_words", "names_unknown", "read_words"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """What the words of a text say; each field is None where they are silent or contradict.

    ``kind`` may also be ``any-sling`` (a sling of unsaid material) and ``mixed`` (a word for
    several kinds); `tallyhook.texts.description` turns those into a kind or None.
    """

    kind: str | None = None
    form: str | None = None
    connection: str | None = None
    latch: str | None = None
    cradle: str | None = None
    swivel: str | None = None
    overhead: str | None = None
    material: str | None = None
    hitch: str | None = None
    pair: str | None = None
    shortening: str | None = None
    scheme: str | None = None
    sized_by_chain: bool = True
    notes: tuple[tuple[str, str], ...] = ()


NO_WORDS = Words()
"""A text without a word that says anything."""


def read_words(text: str, *, context: Context | None = None) -> Words:
    """Read the words of a cell or of a whole description.

    Examples
    --------
    >>> read_words("clevis grab hook w/ cradle").form
    'cradle-grab'
    >>> read_words("Screw pin shackle").kind
    'other'
    """
    return find_words(Scan(text, context or Context()))


def find_words(scan: Scan) -> Words:
    """Read what the words of a text say."""
    words = scan.words
    notes: list[tuple[str, str]] = []
    flags = find_flags(scan, notes)
    kind = _kind(scan, notes)
    form = _one(
        scan,
        "form",
        {str(h.value) for h in phrases("form-words", "word", "slug").find(words)},
        notes,
    )
    connection, swivel_only = _connection(scan, notes)
    if swivel_only and connection is None and flags["swivel"] is not None:
        connection = f"{flags['swivel']}-swivel"
    cradle = flags["cradle"]
    if form == "grab" and cradle == "yes":
        form = "cradle-grab"
    elif form == "cradle-grab" and cradle == "no":
        form = "grab"  # "non-cradle grab hook", "Verkürzungsklaue ohne Auflage"
    elif form == "cradle-grab" and any(field == "cradle" for field, _ in notes):
        form = "grab"  # a grab hook all the same, and without a kind it would not be compared
    elif form == "cradle-grab":
        cradle = "yes"
    if swivel_only and connection is None:
        notes.append(("connection", say("'swivel' does not say whether it may turn under load")))
    return Words(
        kind=kind,
        form=form,
        connection=connection,
        latch=flags["latch"],
        cradle=cradle,
        swivel=flags["swivel"],
        overhead=flags["overhead"],
        material=flags["material"],
        hitch=flags["hitch"],
        pair=flags["pair"],
        shortening=flags["shortening"],
        scheme=_scheme(scan),
        sized_by_chain=not (
            (kind == "link" and words_for("own size link") & set(words))
            or (kind == "hook" and words_for("own size hook") & set(words))
        ),
        notes=tuple(notes),
    )


def _one(scan: Scan, field: str, found: set[str], notes: list[tuple[str, str]]) -> str | None:
    """Take the only value found; several contradict each other."""
    if "cradle-grab" in found:
        found.discard("grab")
    if len(found) > 1:
        notes.append(
            (field, say("the words name more than one ({shown})", shown=", ".join(sorted(found))))
        )
        return None
    return found.pop() if found else None


def _connection(scan: Scan, notes: list[tuple[str, str]]) -> tuple[str | None, bool]:
    hits = phrases("connection-words", "word", "slug").find(scan.words)
    found = set()
    for hit in hits:
        first = scan.words[hit.start]
        following = scan.words[hit.end] if hit.end < len(scan.words) else ""
        if first in words_for("measured part") and following in words_for("measure of a part"):
            continue
        start, end = scan.where[hit.start], scan.where[hit.end - 1] + 1
        verdict = scan.denials.verdict(start, end)
        if verdict.polarity == DENIED and hit.value == "bearing-swivel":
            found.add("swivel")  # a swivel, but without the bearing
            continue
        if verdict.polarity == DENIED and verdict.before:
            continue  # behind it, a denial is of the use: "weld on hook not for hoisting"
        found.add(str(hit.value))
    swivel = "swivel" in found
    found.discard("swivel")
    if swivel and found and not found & {"bearing-swivel", "positioning-swivel"}:
        # a clevis swivel hook has a clevis and a swivel; the connection table has one slug each
        notes.append(
            (
                "connection",
                say("swivel and '{shown}' are both named", shown=", ".join(sorted(found))),
            )
        )
        return None, False
    if found & {"bearing-swivel", "positioning-swivel"} and len(found) == 2:
        found -= {"eye", "clevis"}
    if "cotter-pin-clevis" in found:
        found.discard("clevis")
    if "reverse-eye" in found:
        found.discard("eye")
    return _one(scan, "connection", found, notes), swivel


def _scheme(scan: Scan) -> str | None:
    found = {str(h.value) for h in phrases("standard-marks", "mark", "scheme").find(scan.words)}
    return found.pop() if len(found) == 1 else None


def _kind(scan: Scan, notes: list[tuple[str, str]]) -> str | None:
    """Name the thing: the head noun before "with", "for" and the like."""
    hits = phrases("kind-words", "word", "slug", "language").find(scan.words)
    if not hits:
        return None
    tail = _tail_start(scan)
    head = [h for h in hits if h.start < tail and not _in_brackets(scan, h)]
    # of a hook "swivel" and "proof coil" are properties; alone they are things of their own
    said = [tuple(scan.words[h.start : h.end]) for h in head]
    weak = _names_of("property", "grade name")
    head = [h for h, words in zip(head, said, strict=True) if words not in weak] or head
    if not head or (_names_of("grade name").issuperset(said) and _names_hook(scan, tail)):
        return None
    slugs = [str(h.value[0]) for h in head]
    distinct = set(slugs)
    if distinct == {"hook", "grab-hook"}:
        return "grab-hook"
    if len(distinct) == 1:
        return slugs[0]
    runs = _runs(scan.words, head)
    if len(runs) == 1:
        return _compound(head)
    first = _compound(runs[0])
    rest = {_compound(run) for run in runs[1:]}
    if first == "any-sling" and rest == {"chain"}:
        return "sling"
    if first == "other" or (rest <= {first, "chain", "mixed"} and first not in ("chain", "mixed")):
        return first  # "HOOK, GRAB, FOR CHAIN", "SHACKLE, CHAIN": an inventory puts the noun first
    if first == "hook" and rest <= {"hook", "grab-hook", "chain", "any-sling"}:
        return "grab-hook" if "grab-hook" in rest else "hook"
    if first == "sling" and rest <= {"link", "hook", "grab-hook", "chain", "any-sling"}:
        return "sling"
    if first == "chain" and rest == {"any-sling"}:
        return "sling"
    notes.append(("kind", say("the words name more than one kind of thing")))
    return None


def _names_hook(scan: Scan, tail: int) -> bool:
    """Tell whether words before the tail name a form or a connection: "high test clevis grab"."""
    tables = ("form-words", "connection-words")
    hits = [h for table in tables for h in phrases(table, "word", "slug").find(scan.words)]
    return any(hit.start < tail for hit in hits)


def _runs(words: list[str], head: list[Hit]) -> list[list[Hit]]:
    """Group nouns that make one compound: "wire rope thimble", "cotter pin clevis hook"."""
    runs = [[head[0]]]
    for hit in head[1:]:
        between = words[runs[-1][-1].end : hit.start]
        if words_for("compound").issuperset(between):
            runs[-1].append(hit)
        else:
            runs.append([hit])
    return runs


def _compound(run: list[Hit]) -> str:
    """Name a compound: the last noun in English and German, the first in French and Spanish."""
    romance = all(h.value[1] in head_first() for h in run)
    slugs = [str(h.value[0]) for h in run]
    if set(slugs) == {"chain", "any-sling"}:
        return "sling"
    if set(slugs) <= {"hook", "grab-hook", "any-sling"} and slugs[0] != "any-sling":
        return slugs[0]  # "HOOK SLING CLEVIS" is a sling hook
    return slugs[0] if romance else slugs[-1]


@cache
def _known() -> frozenset[str]:
    """The words of the vocabulary that do not name a thing."""
    tables = {
        "form-words": "word",
        "connection-words": "word",
        "flag-words": "word",
        "load-labels": "word",
        "dimension-words": "word",
        "leg-words": "word",
        "finish-words": "word",
        "grade-words": "word",
        "grade-prefixes": "prefix",
        "units": "spelling",
        "standard-marks": "mark",
    }
    found = {w for table, key in tables.items() for r in rows(table) for w in words_of(r[key])}
    return frozenset(found | {str(r["symbol"]).casefold() for r in rows("sling-symbols")})


@cache
def known_words() -> frozenset[str]:
    """All words of the vocabulary that an item may be described with, those of things included."""
    return _known() | {w for r in rows("kind-words") for w in words_of(str(r["word"]))}


def names_unknown(scan: Scan) -> bool:
    """Tell whether a text has a word, outside item codes, that the vocabulary does not know."""
    known = _known()
    for i, token in enumerate(scan.tokens):
        if token.kind == WORD and len(token.text) >= 4 and token.fold not in known:
            joined = any(
                scan.adjacent(k) and (scan.is_number(n) or scan.is_mark(n, "-_./*+#"))
                for k, n in ((i, i - 1), (i + 1, i + 1))
            )
            if not joined:
                return True
    return False


@cache
def _tails() -> Mapping[str, str]:
    """The words after which stands what belongs to the thing, and the mark that some need."""
    return {w.rstrip("/'"): w[len(w.rstrip("/'")) :] for w in words_for("tail")}


@cache
def _names_of(*uses: str) -> frozenset[tuple[str, ...]]:
    return frozenset(tuple(word.split()) for word in words_for(*uses))


def _tail_start(scan: Scan) -> int:
    """Give the word where what belongs to the thing begins."""
    words = scan.words
    labels = phrases("load-labels", "word", "label").find(words)
    for k, word in enumerate(words):
        mark = _tails().get(word)
        if k == 0 or mark is None or any(h.start <= k < h.end for h in labels):
            continue
        if not mark or scan.is_mark(scan.where[k] + 1, mark):
            return k
    return len(words)


def _in_brackets(scan: Scan, hit: Hit) -> bool:
    token = scan.where[hit.start]
    depth = 0
    for t in scan.tokens[:token]:
        if t.kind == MARK:
            depth += (t.text in "([") - (t.text in ")]")
    return depth > 0
