"""Words: what a thing is, its form, its connection, and flags such as latch and cradle."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import takewhile

from tallyhook.texts.scan import Context, Scan
from tallyhook.vocabulary.lexicon import Hit, Phrases, phrases, rows
from tallyhook.vocabulary.tokens import MARK, WORD, words_of

__all__ = ["Words", "find_words", "names_unknown", "read_flag", "read_words"]

_TAIL = frozenset(
    [
        "with",
        "w",
        "wo",
        "without",
        "mit",
        "ohne",
        "avec",
        "sans",
        "con",
        "sin",
        "for",
        "fur",
        "fuer",
        "pour",
        "para",
        "incl",
        "including",
        "inkl",
        "includes",
        "c",
        "fits",
        "suits",
        "suit",
        "on",
        "from",
        "of",
        "de",
        "du",
        "des",
        "d",
        "por",
        "per",
    ]
)
"""After these words stands what belongs to the thing, not what it is."""

_CONNECTING = frozenset({"clevis", "eye", "shank", "swivel"})
_GRADE_NAMES = frozenset({("proof", "coil"), ("high", "test"), ("hi", "test")})
_WEAK = frozenset({("swivel",), ("swivels",), ("wirbel",)}) | _GRADE_NAMES
_NOT = frozenset(
    [
        "not",
        "never",
        "no",
        "non",
        "don",
        "without",
        "except",
        "nicht",
        "kein",
        "keine",
        "pas",
        "ne",
        *("interdit", "interdite", "jamais", "nunca", "prohibido", "nein", "verboten", "untersagt"),
        *("ungeeignet", "unsuitable", "unfit", "cannot", "isn", "prohibited", "forbidden", "avoid"),
    ]
)
_DENIALS = (
    ("without",),
    ("w", "o"),
    ("w", "out"),
    ("wo",),
    ("no",),
    ("non",),
    ("not",),
    ("less",),
    ("ohne",),
    ("kein",),
    ("keine",),
    ("keinen",),
    ("nicht",),
    ("sans",),
    ("pas",),
    ("sin",),
)
_PASSED = frozenset(
    [
        *("a", "an", "any", "the", "its", "chain", "side", "supporting", "fitted", "supplied"),
        *("with", "mit", "avec", "con", "seitliche", "seitlichen", "le", "la", "les", "de", "d"),
        *("un", "une", "una", "muni", "el", "los", "las", "lateral", "laterales"),
    ]
)
"""Words that may stand between a denial and what it denies."""
_DOUBTED = frozenset(
    [
        *("removed", "missing", "lacking", "lacks", "absent", "optional", "extra", "free", "minus"),
        *("excl", "excluding", "except", "neither", "unlike", "replaces", "broken", "not", "no"),
        *("without", "fehlt", "entfallt", "entfaellt", "ohne", "kein", "keine", "nicht"),
        *("sans", "pas", "aucun", "aucune", "depourvu", "depourvue", "sin", "ningun", "ninguna"),
    ]
)
"""Beside a cradle these leave it open whether there is one."""
_OR = frozenset({"or", "nor", "and", "oder", "und", "ou", "ni", "o", "y"})
_LACKING = frozenset({"without", "w", "wo", "ohne", "sans", "sin"})
_WITH = frozenset({"with", "w", "mit", "avec", "con"})

_FLAGS = ("latch", "cradle", "overhead", "swivel", "material", "hitch", "pair", "shortening")
_NO_CHAIN_SIZE = frozenset(
    [
        "master",
        "oblong",
        "ring",
        "rings",
        "pear",
        "quick",
        "cold",
        "lap",
        "repair",
        "anneau",
        "anilla",
        "argolla",
        "ringe",
        "ringglied",
        "aufhangeglied",
        "aufhaengeglied",
        "aufhangekopf",
        "aufhaengekopf",
        "aufhangeglieder",
        "aufhangegarnitur",
        "d",
    ]
)


_NO_CHAIN_HOOK = frozenset(
    ("hoist", "crane", "rope", "cable", "web", "webbing", "synthetic", "kranhaken")
)


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


def read_flag(text: str, flag: str) -> tuple[str | None, str | None]:
    """Read a cell of a yes-or-no column such as latch: the value, and a note when it is neither."""
    word = text.strip().casefold()
    if word in _YES:
        return "yes", None
    if word in _NO:
        return "no", None
    if word in ("", "-", "n/a", "na", "?"):
        return None, None
    value = getattr(read_words(text), flag)
    return value, None if value else f"'{text.strip()}' is neither yes nor no"


_YES = frozenset(
    [
        "yes",
        "y",
        "x",
        "true",
        "1",
        "ja",
        "j",
        "oui",
        "o",
        "si",
        "sí",
        "s",
        "✓",
        "✔",
        "with",
        "mit",
        "avec",
        "con",
    ]
)
_NO = frozenset(
    [
        *("no", "n", "false", "0", "nein", "non", "none", "without", "w/o", "w/out", "wo"),
        *("ohne", "keine", "keiner", "sans", "aucun", "sin", "ninguno", "ninguna"),
    ]
)


def find_words(scan: Scan) -> Words:
    """Read what the words of a text say."""
    words = scan.words
    notes: list[tuple[str, str]] = []
    flags = _flags(scan, notes)
    kind = _kind(scan, notes)
    form = _one(
        scan,
        "form",
        {str(h.value) for h in phrases("form-words", "word", "slug").find(words)},
        notes,
    )
    connection, swivel_only = _connection(scan, notes)
    cradle = flags["cradle"]
    if form == "grab" and cradle == "yes":
        form = "cradle-grab"
    elif form == "cradle-grab" and cradle == "no":
        form = "grab"  # "non-cradle grab hook", "Verkürzungsklaue ohne Auflage"
    elif form == "cradle-grab" and any(field == "cradle" for field, _ in notes):
        form = None
    elif form == "cradle-grab":
        cradle = "yes"
    if swivel_only and connection is None:
        notes.append(("connection", "'swivel' does not say whether it may turn under load"))
    return Words(
        kind=kind,
        form=form,
        connection=connection,
        latch=flags["latch"],
        cradle=cradle,
        swivel=flags["swivel"],
        overhead=_overhead(scan, flags["overhead"], notes),
        material=flags["material"],
        hitch=flags["hitch"],
        pair=flags["pair"],
        shortening=flags["shortening"],
        scheme=_scheme(scan),
        sized_by_chain=not (
            (kind == "link" and _NO_CHAIN_SIZE & set(words))
            or (kind == "hook" and _NO_CHAIN_HOOK & set(words))
        ),
        notes=tuple(notes),
    )


def _one(scan: Scan, field: str, found: set[str], notes: list[tuple[str, str]]) -> str | None:
    """Take the only value found; several contradict each other."""
    if "cradle-grab" in found:
        found.discard("grab")
    if len(found) > 1:
        notes.append((field, f"the words name more than one ({', '.join(sorted(found))})"))
        return None
    return found.pop() if found else None


def _connection(scan: Scan, notes: list[tuple[str, str]]) -> tuple[str | None, bool]:
    hits = phrases("connection-words", "word", "slug").find(scan.words)
    found = set()
    for hit in hits:
        first = scan.words[hit.start]
        following = scan.words[hit.end] if hit.end < len(scan.words) else ""
        if first in ("eye", "shank") and following in (
            "dia",
            "diameter",
            "id",
            "opening",
            "size",
            "bolt",
            "nut",
        ):
            continue
        if hit.value == "cotter-pin-clevis" and _denial(scan, hit.start) is not None:
            continue
        found.add(str(hit.value))
    swivel = "swivel" in found
    found.discard("swivel")
    if swivel and found and not found & {"bearing-swivel", "positioning-swivel"}:
        # a clevis swivel hook has a clevis and a swivel; the connection table has one slug each
        notes.append(("connection", f"swivel and {', '.join(sorted(found))} are both named"))
        return None, False
    if found & {"bearing-swivel", "positioning-swivel"} and len(found) == 2:
        found -= {"eye", "clevis"}
    if "cotter-pin-clevis" in found:
        found.discard("clevis")
    if "reverse-eye" in found:
        found.discard("eye")
    return _one(scan, "connection", found, notes), swivel


def _flags(scan: Scan, notes: list[tuple[str, str]]) -> dict[str, str | None]:
    found: dict[str, set[str]] = {flag: set() for flag in _FLAGS}
    for flag in _FLAGS:
        for hit in phrases_of(flag).find(scan.words):
            value = _undenied(scan, hit) if flag in ("latch", "cradle") else str(hit.value)
            if value != "unsaid":
                found[flag].add(value)
    out: dict[str, str | None] = dict.fromkeys(_FLAGS)
    for flag, values in found.items():
        out[flag] = _one(scan, flag, values, notes)
    return out


def _undenied(scan: Scan, hit: Hit) -> str:
    """Give what a flag's words say with a denial before or after them, ``unsaid`` for either."""
    words, value = scan.words, str(hit.value)
    if value == "unsaid":
        return value
    denied = _denial(scan, hit.start)
    if denied is not None:
        value = "no"
    start = hit.start if denied is None else denied
    if value == "no" and start and words[start] in _LACKING:
        ahead = start - 2 if words[start - 1] in _OR else start - 1
        if ahead >= 0 and words[ahead] in _WITH:
            return "unsaid"  # "with or without latch", "mit/ohne Auflage"
    after = hit.end + (hit.end < len(words) and words[hit.end] == "")
    said_no = after < len(words) and words[after] in _NO
    if said_no and (after + 1 == len(words) or words[after + 1] == ""):
        return "no"  # "cradle: no"
    near = range(start - 1, max(-1, start - 4), -1)
    before = list(takewhile(lambda w: w and w not in _WITH, (words[k] for k in near)))
    behind = list(takewhile(bool, words[hit.end : hit.end + 2]))
    if value == "yes" and _DOUBTED.intersection(before + behind):
        return "unsaid"  # "cradle removed", "lacking a cradle", "sin ninguna cuna"
    return value


def _denial(scan: Scan, start: int) -> int | None:
    """Find the denial that governs the words from `start` on; its first word, or None."""
    words = scan.words
    k = start - 1
    while k >= 0:
        for denial in _DENIALS:
            first = k - len(denial) + 1
            if first >= 0 and tuple(words[first : k + 1]) == denial:
                return first
        if words[k] in _OR:
            k -= 1  # "without latch or cradle"
        elif words[k] not in _PASSED:
            return None
        k -= 1
    return None


@cache
def phrases_of(flag: str) -> Phrases:
    """Give the phrases of one flag, so that the phrases of another cannot hide them."""
    return Phrases((r["word"], r["value"]) for r in rows("flag-words") if r["flag"] == flag)


def _overhead(scan: Scan, value: str | None, notes: list[tuple[str, str]]) -> str | None:
    """Doubt a plain "overhead lifting" that stands near a word of denial."""
    if value == "yes":
        for hit in phrases_of("overhead").find(scan.words):
            before = scan.words[max(0, hit.start - 6) : hit.start]
            # "overhead lifting prohibited" in the same clause, or "overhead: no"
            behind = list(takewhile(bool, scan.words[hit.end : hit.end + 3]))
            answer = list(takewhile(bool, scan.words[hit.end + 1 :])) if not behind else []
            if _NOT.intersection([*before, *behind, *(answer if len(answer) == 1 else [])]):
                notes.append(("overhead", "it is not clear whether overhead lifting is allowed"))
                return None
    return value


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
    head = [h for h, words in zip(head, said, strict=True) if words not in _WEAK] or head
    if not head or (_GRADE_NAMES.issuperset(said) and _names_hook(scan, tail)):
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
    notes.append(("kind", "the words name more than one kind of thing"))
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
        if all(w in _CONNECTING for w in between):
            runs[-1].append(hit)
        else:
            runs.append([hit])
    return runs


def _compound(run: list[Hit]) -> str:
    """Name a compound: the last noun in English and German, the first in French and Spanish."""
    romance = all(h.value[1] in ("fr", "es") for h in run)
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


def _tail_start(scan: Scan) -> int:
    """Give the word where what belongs to the thing begins."""
    words = scan.words
    labels = phrases("load-labels", "word", "label").find(words)
    for k, word in enumerate(words):
        if k == 0 or word not in _TAIL or any(h.start <= k < h.end for h in labels):
            continue
        token = scan.where[k]
        if word in ("w", "c", "d") and not (scan.is_mark(token + 1, "/'") or word == "w"):
            continue
        return k
    return len(words)


def _in_brackets(scan: Scan, hit: Hit) -> bool:
    token = scan.where[hit.start]
    depth = 0
    for t in scan.tokens[:token]:
        if t.kind == MARK:
            depth += (t.text in "([") - (t.text in ")]")
    return depth > 0
