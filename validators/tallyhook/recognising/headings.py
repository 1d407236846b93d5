"""What a heading says: a role, a unit, and what it fixes for every cell below it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache

from tallyhook.recognising import thresholds
from tallyhook.recognising.fixed_values import fixed_by
from tallyhook.recognising.other_things import goods, of_another_thing
from tallyhook.recognising.unit_words import kind_of_unit, plain_words, unit_of, unit_words
from tallyhook.recognising.words import column_words, one_of
from tallyhook.units import CANONICAL
from tallyhook.vocabulary.context import words_for
from tallyhook.vocabulary.lexicon import Hit, Phrases, rows
from tallyhook.vocabulary.tokens import words_of

__all__ = ["Reading", "join_readings", "read_heading", "served_by", "unread"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A heading, read.

    `roles` are the possible roles by language; most headings have one. `whole` tells that nothing
    in the heading was left over; `ignored` says what a column that is not read holds.
    """

    text: str
    roles: Mapping[str, str] = field(default_factory=dict)
    unit: str | None = None
    units: tuple[str, ...] = ()
    gives: Mapping[str, str] = field(default_factory=dict)
    whole: bool = False
    ignored: str = ""
    word: str = ""

    def role(self, language: str | None = None) -> str | None:
        """Give the role, in the list's language when the languages differ."""
        found = set(self.roles.values())
        if len(found) == 1:
            return next(iter(found))
        return self.roles.get(language or "", None)


_LOADS = frozenset({"wll", "breaking", "proof", "load"})
_RANK = {
    role: rank
    for rank, role in enumerate(
        (
            "design_factor",
            "breaking",
            "proof",
            "wll",
            "unit",
            "ignore",
            "part",
            "angle",
            "legs",
            "hitch",
            "grade",
            "size",
            "latch",
            "cradle",
            "swivel",
            "overhead",
            "connection",
            "supplier",
            "standard",
            "scheme",
            "material",
            "form",
            "kind",
            "description",
            "load",
        )
    )
}


@cache
def _headings() -> Phrases:
    entries: dict[str, list[tuple[str, str, str, str]]] = {}
    for row in rows("headings"):
        entry = (
            str(row["language"]),
            str(row["role"]),
            str(row["unit"] or ""),
            str(row["note"] or ""),
        )
        entries.setdefault(str(row["heading"]), []).append(entry)
    return Phrases(entries.items())


@cache
def unread(column: str) -> frozenset[str]:
    """Give what unread columns hold that have a property of ``vocabulary.unread-columns``."""
    return frozenset(str(r["holds"]) for r in rows("unread-columns") if r[column])


@cache
def _languages() -> Mapping[str, Mapping[str, str]]:
    return {str(r["language"]): r for r in rows("languages")}


@cache
def _unit_like() -> frozenset[str]:
    return frozenset(words[0] for words in unit_words() if len(words) == 1)


_BRACKET = re.compile(r"[(\[{]([^()\[\]{}]*)[)\]}]")


@cache
def _joined_words() -> re.Pattern[str]:
    """Give a pattern for the places at which a heading such as "WLLkg" or "ratedLoad" is cut."""
    symbols = [u for u in CANONICAL if u[0].islower() and " " not in u]
    capital = one_of(u.upper() for u in symbols if not u.islower())
    return re.compile(
        rf"(?<=[a-z])(?=[A-Z][a-z])|(?<=[A-Z]{{3}})(?={one_of(symbols)}s?\b)|(?<=[a-z])(?={capital}\b)"
    )


@lru_cache(maxsize=16384)
def read_heading(text: str) -> Reading:
    """Read one heading.

    Examples
    --------
    >>> r = read_heading("WLL (lbs)"); r.role(), r.unit
    ('wll', 'lb')
    >>> read_heading("2-leg 0-45°").gives
    {'legs': '2', 'angle': '0-45'}
    >>> read_heading("Price per 3/8 WLL").role()
    'ignore'
    """
    text = re.sub(r"\s+", " ", text).strip()
    if not text or len(text) > thresholds.LONGEST_HEADING_READ:
        return Reading(text=text)
    plain = _joined_words().sub(" ", text).replace("_", " ")
    units: list[str] = []
    for bracket in _BRACKET.finditer(plain):
        found = _units_in_bracket(bracket[1])
        if found:
            units += found
            plain = plain.replace(bracket[0], " ", 1)
    if re.search(r"\w\s*[\"″]\s*$", plain) and not re.search(r"\d\s*[\"″]\s*$", plain):
        units.append("in")
    words = [w for w in words_of(plain) if w]
    capitals = set(re.findall(r"[^\W\d_]+", plain))
    hit, entries = _best(words, units)
    rest = words if hit is None else words[: hit.start] + words[hit.end :]
    if not units:
        found, rest = _unit_in(rest, capitals)
        units += found
    elif hit is None and not rest:
        entries = ()
    gives = fixed_by(plain, rest if entries else words)
    roles = {language: role for language, role, _, _ in entries}
    if "#" in plain and not set(roles.values()) & {"wll", "breaking", "proof"}:
        units = []  # "Part #" is a number, "WLL #" is in pounds
    word = " ".join(words[hit.start : hit.end]) if hit else ""
    if not roles and set(words) & _words_for_unit() and of_another_thing({"unit"}, words, ""):
        roles = {"any": "unit"}  # each word alone is no more than a modifier: "stock unit"
    other = of_another_thing(set(roles.values()), words, word)
    if set(roles.values()) == {"load"} and unit_of(word):
        units = [str(unit_of(word))]
    if gives and set(roles.values()) <= {
        "grade",
        "legs",
        "angle",
        "size",
        "hitch",
        "connection",
        "form",
    }:
        # "Grade 80" fixes the grade of the cells below; it is no column of grades
        roles = {} if set(gives) & set(roles.values()) else roles
    if set(roles.values()) - {"wll", "load", "breaking", "proof"} and roles:
        gives = {}
    if other:
        roles = dict.fromkeys(roles, "ignore")
        return Reading(text=text, roles=roles, units=tuple(units), ignored=other, word=word)
    return Reading(
        text=text,
        roles=roles,
        unit=_settled(units, capitals, roles) or _implied(entries, units),
        units=tuple(units),
        gives=gives,
        whole=hit is not None and not set(rest) - column_words("particle"),
        ignored=next((note for _, role, _, note in entries if role == "ignore"), ""),
        word=word,
    )


@cache
def _words_for_unit() -> frozenset[str]:
    return frozenset(str(r["heading"]) for r in rows("headings") if r["role"] == "unit")


@lru_cache(maxsize=4096)
def served_by(text: str) -> str | None:
    """Give the role of the columns whose units a heading names, if it does.

    Examples
    --------
    >>> served_by("WLL unit"), served_by("Unit of breaking force"), served_by("Unit")
    ('wll', 'breaking', None)
    """
    words = words_of(re.sub(r"\s+", " ", text).strip())
    rest = [w for w in words if w and w not in _words_for_unit() | column_words("particle")]
    if len(rest) == len(words) or not rest:
        return None
    role = read_heading(" ".join(rest)).role()
    return (
        "wll" if role == "load" else role if role in ("wll", "breaking", "proof", "size") else None
    )


@cache
def _between_units() -> re.Pattern[str]:
    return re.compile(rf"[/,;&]| {one_of(words_for('and'))} ")


def _units_in_bracket(content: str) -> list[str]:
    unit = unit_of(content)
    if unit:
        return [unit]
    parts = [unit_of(p) for p in _between_units().split(content)]
    return [p for p in parts if p] if len(parts) > 1 and all(parts) else []


def _best(
    words: list[str], units: list[str]
) -> tuple[Hit | None, tuple[tuple[str, str, str, str], ...]]:
    """Choose the phrase that says what the column is."""
    found = []
    for hit in _headings().find(words):
        word = " ".join(words[hit.start : hit.end])
        others = [w for i, w in enumerate(words) if not hit.start <= i < hit.end]
        alone = not _without_units(others)
        single = hit.end - hit.start == 1
        short = (
            single
            and len(word) <= thresholds.SHORT_HEADING_WORD
            and word not in column_words("abbreviation")
        )
        for entry in hit.value:
            role, note = entry[1], entry[3]
            doubtful = single and (word in goods() or word in column_words("only-alone"))
            if not alone and (
                role == "load" or doubtful or (short and role not in ("wll", "breaking", "proof"))
            ):
                continue
            sure = role == "ignore" and (note in unread("always") or word in column_words("length"))
            found.append(
                (0 if sure else 1, _RANK[role], -(hit.end - hit.start), -len(word), hit, entry)
            )
    if len({f[4].start for f in found}) > 1:
        found = [
            f
            for f in found
            if " ".join(words[f[4].start : f[4].end]) not in column_words("modifier")
        ]
    if not found:
        return _compound(words)
    found.sort(key=lambda f: f[:4])
    best = found[0][4]
    same = [f for f in found if f[4] is best]
    if found[0][0] == 0:
        same = [f for f in same if f[0] == 0]
    return best, tuple(f[5] for f in same)


def _without_units(words: list[str]) -> list[str]:
    kept = []
    i = 0
    while i < len(words):
        for length in (3, 2, 1):
            if tuple(words[i : i + length]) in unit_words():
                i += length
                break
        else:
            if words[i] not in column_words("before-unit"):
                kept.append(words[i])
            i += 1
    return kept


@cache
def _last_parts() -> Mapping[str, tuple[str, str, str, str]]:
    return {
        str(r["heading"]): (str(r["language"]), str(r["role"]), "", str(r["note"] or ""))
        for r in rows("headings")
        if _languages().get(r["language"], {}).get("joins_words")
        and len(r["heading"]) >= thresholds.COMPOUND_PART
        and " " not in r["heading"]
        and r["role"] != "load"
    }


def _compound(words: list[str]) -> tuple[Hit | None, tuple[tuple[str, str, str, str], ...]]:
    """Read a compound, as German makes them, by its last part: Kettengewicht is a weight."""
    for i, word in enumerate(words):
        for length in range(len(word) - 3, thresholds.COMPOUND_PART - 1, -1):
            entry = _last_parts().get(word[-length:])
            if entry:
                return Hit(i, i + 1, None), (entry,)
    return None, ()


def _unit_in(words: list[str], capitals: set[str]) -> tuple[list[str], list[str]]:
    """Find the units among the words that are left, at the end first, then at the start."""
    units: list[str] = []
    rest = list(words)
    while rest:
        for length in (3, 2, 1):
            tail = tuple(rest[-length:])
            if units and length == 1 and tail[0] in column_words("before-unit") & _unit_like():
                return units, rest[:-1]  # "in tons": the preposition
            if len(tail) == length and tail in unit_words() and not _rate(rest[:-length]):
                units.insert(0, unit_words()[tail])
                rest = rest[:-length]
                break
        else:
            break
    first = rest[0] if rest else ""
    if not units and (first,) in unit_words() and first not in plain_words():
        units, rest = [unit_words()[(first,)]], rest[1:]
    return units, [w for w in rest if w not in column_words("before-unit")]


def _rate(before: list[str]) -> bool:
    return bool(before) and before[-1] in words_for("per")


def _settled(units: list[str], capitals: set[str], roles: Mapping[str, str]) -> str | None:
    distinct = list(dict.fromkeys(units))
    if len(distinct) != 1:
        return None
    unit = distinct[0]
    if unit not in ("t", "ton") or "T" not in capitals:
        return unit
    # a French heading counts in tonnes; a Spanish one may be a Mexican shop's
    means = {str(_languages().get(language, {}).get("capital_t", "ton")) for language in roles}
    english = not roles or {"en", "any"} & set(roles)
    if unit == "t":
        return "ton" if english else "t"
    return "t" if means == {"t"} else "ton"


def _implied(entries: Iterable[tuple[str, str, str, str]], units: list[str]) -> str | None:
    return next((unit for _, _, unit, _ in entries if unit), None) if not units else None


def join_readings(upper: str, lower: str) -> Reading:
    """Read a heading of two rows; the lower one names the column, the upper one adds to it."""
    if not upper or upper == lower:
        return read_heading(lower)
    if not lower:
        return read_heading(upper)
    above, below = read_heading(upper), read_heading(lower)
    text = f"{upper} {lower}"
    below_role = set(below.roles.values()) - {"load"}
    base = below if below_role else above if above.roles else read_heading(text)
    inner = {"ignore", "angle", "legs", "hitch"}
    if below_role and below_role <= inner and set(above.roles.values()) & _LOADS:
        base = above if not below.ignored or below.ignored in unread("yields") else below
    gives = {**above.gives, **below.gives}
    units = below.units or above.units
    unit = below.unit or above.unit
    kind = kind_of_unit(unit)
    roles = set(base.roles.values())
    # a unit that belongs to the other row: "WLL in t" above "Chain mm"
    if (kind == "length" and roles & _LOADS) or (kind in ("load", "force") and roles == {"size"}):
        unit = next((u for u in (below.unit, above.unit) if u and kind_of_unit(u) != kind), None)
        units = (unit,) if unit else ()
    other = of_another_thing(roles, [w for w in words_of(text) if w], base.word)
    if other:
        return replace(base, text=text, roles=dict.fromkeys(base.roles, "ignore"), ignored=other)
    return replace(base, text=text, gives=gives, unit=unit, units=units)
