"""What a heading says: a role, a unit, and what it fixes for every cell below it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache

from tallyhook.units import quantity_kind
from tallyhook.vocabulary.lexicon import Hit, Phrases, phrases, rows
from tallyhook.vocabulary.tokens import fold, words_of

__all__ = ["Reading", "is_goods", "join_readings", "read_heading", "unit_of", "unit_words"]


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


# absolute: a price stays a price whatever else its heading says
_ALWAYS_IGNORED = {
    "price",
    "weight",
    "quantity",
    "packing",
    "date",
    "lashing",
    "other strength",
    "another size than the chain's",
}
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
# alone they head a quantity or a price, beside another word they say nothing: "stock description"
_MODIFIERS = frozenset(
    {"stock", "inventory", "inv", "lager", "list", "net", "unit", "units", "available", "other"}
    | {"product", "item", "material", "standard", "std", "nominal", "value", "type", "class"}
)
# "max load height" is a height, and no load
_LENGTHS = frozenset(
    {"height", "width", "depth", "thickness", "radius", "hohe", "hoehe", "breite", "tiefe"}
    | {"hauteur", "largeur", "profondeur", "altura", "ancho", "profundidad"}
)
_SHORT_BUT_SURE = frozenset(
    {"wt", "wgt", "qty", "gew", "qte", "uom", "wll", "swl", "cmu", "cmt", "mbl"}
)


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
def _goods() -> frozenset[str]:
    """Single words that name the goods themselves: a heading only when they stand alone."""
    tables = (("kind-words", "word"), ("form-words", "word"), ("connection-words", "word"))
    return frozenset(str(r[key]) for table, key in tables for r in rows(table))


def is_goods(word: str) -> bool:
    """Whether a word names the goods themselves: chain, hook, clevis."""
    return word in _goods()


@cache
def unit_words() -> Mapping[tuple[str, ...], str]:
    """Give every spelling of a unit, as words, and its canonical name."""
    return {words_of(str(r["spelling"])): str(r["unit"]) for r in rows("units")}


@lru_cache(maxsize=4096)
def unit_of(text: str) -> str | None:
    """Give the canonical unit when the text is a unit and nothing else.

    A capital T alone may be a short ton or a tonne: it reads as "ton".

    Examples
    --------
    >>> unit_of("lbs."), unit_of("(kN)"), unit_of("T"), unit_of("t"), unit_of("pieces")
    ('lb', 'kN', 'ton', 't', None)
    """
    text = text.strip().strip("()[]{}").strip()
    if text in ('"', "''", "″", "in."):
        return "in"
    if text in ("T", "T."):
        return "ton"
    words = tuple(w for w in words_of(text) if w)
    return unit_words().get(words) if words else None


_BRACKET = re.compile(r"[(\[{]([^()\[\]{}]*)[)\]}]")
_CAMEL = re.compile(
    r"(?<=[a-z])(?=[A-Z][a-z])|(?<=[A-Z]{3})(?=(?:kgs?|lbs?|t|kN|mm)\b)|(?<=[a-z])(?=(?:Kg|Lbs?|KN)\b)"
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
    if not text or len(text) > 90:
        return Reading(text=text)
    plain = _CAMEL.sub(" ", text).replace("_", " ")
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
    gives = _gives(plain, rest if entries else words)
    roles = {language: role for language, role, _, _ in entries}
    if "#" in plain and not set(roles.values()) & {"wll", "breaking", "proof"}:
        units = []  # "Part #" is a number, "WLL #" is in pounds
    word = " ".join(words[hit.start : hit.end]) if hit else ""
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
    return Reading(
        text=text,
        roles=roles,
        unit=_settled(units, capitals, roles) or _implied(entries, units),
        units=tuple(units),
        gives=gives,
        whole=hit is not None
        and not [w for w in rest if w not in ("in", "en", "of", "the", "de", "per")],
        ignored=next((note for _, role, _, note in entries if role == "ignore"), ""),
        word=word,
    )


def _units_in_bracket(content: str) -> list[str]:
    unit = unit_of(content)
    if unit:
        return [unit]
    parts = [unit_of(p) for p in re.split(r"[/,;&]| and | und ", content)]
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
        short = single and len(word) <= 3 and word not in _SHORT_BUT_SURE
        for entry in hit.value:
            role, note = entry[1], entry[3]
            doubtful = single and (
                word in _goods() or word in ("max", "min", "list", "net", "each", "value", "limit")
            )
            if not alone and (
                role == "load" or doubtful or (short and role not in ("wll", "breaking", "proof"))
            ):
                continue
            sure = role == "ignore" and (note in _ALWAYS_IGNORED or word in _LENGTHS)
            found.append(
                (0 if sure else 1, _RANK[role], -(hit.end - hit.start), -len(word), hit, entry)
            )
    if len({f[4].start for f in found}) > 1:
        found = [f for f in found if " ".join(words[f[4].start : f[4].end]) not in _MODIFIERS]
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
            if words[i] not in ("in", "en"):
                kept.append(words[i])
            i += 1
    return kept


@cache
def _german() -> Mapping[str, tuple[str, str, str, str]]:
    return {
        str(r["heading"]): ("de", str(r["role"]), "", str(r["note"] or ""))
        for r in rows("headings")
        if r["language"] == "de"
        and len(r["heading"]) >= 5
        and " " not in r["heading"]
        and r["role"] != "load"
    }


def _compound(words: list[str]) -> tuple[Hit | None, tuple[tuple[str, str, str, str], ...]]:
    """Read a German compound by its last part: Kettengewicht is a weight."""
    for i, word in enumerate(words):
        for length in range(len(word) - 3, 4, -1):
            entry = _german().get(word[-length:])
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
            if units and tail == ("in",):
                return units, rest[:-1]  # "in tons": the preposition
            if len(tail) == length and tail in unit_words() and not _rate(rest[:-length]):
                units.insert(0, unit_words()[tail])
                rest = rest[:-length]
                break
        else:
            break
    if not units and rest and (rest[0],) in unit_words() and rest[0] not in ("in", "to", "n"):
        units, rest = [unit_words()[(rest[0],)]], rest[1:]
    return units, [w for w in rest if w not in ("in", "en")]


def _rate(before: list[str]) -> bool:
    return bool(before) and before[-1] in ("per", "je", "pro", "par", "por")


def _settled(units: list[str], capitals: set[str], roles: Mapping[str, str]) -> str | None:
    distinct = list(dict.fromkeys(units))
    if len(distinct) != 1:
        return None
    unit = distinct[0]
    foreign = bool(roles) and not {"en", "any"} & set(roles)
    if unit == "t" and "T" in capitals and not foreign:
        return "ton"
    if unit == "ton" and foreign and "T" in capitals and set(roles) <= {"fr"}:
        return "t"  # a French heading counts in tonnes; a Spanish one may be a Mexican shop's
    if unit == "ton" and foreign and set(roles) <= {"fr", "es"}:
        return "ton"
    if unit == "ton" and foreign and "T" in capitals:
        return "t"
    return unit


def _implied(entries: Iterable[tuple[str, str, str, str]], units: list[str]) -> str | None:
    return next((unit for _, _, unit, _ in entries if unit), None) if not units else None


_GRADE = re.compile(
    r"\b(?:grade|grades|gr|g|gk|guteklasse|gueteklasse|klasse|kl|class|classe|clase|grado|calidad)"
    r"[ .\-]*(\d{1,4}|[tv]\b)(?![\d./])"
)
_BARE_GRADE = re.compile(r"^\s*(?:30|43|70|80|100|120|proof coil|high test|transport)\s*$")
_LEGS = re.compile(
    r"\b([1-4])(?:\s*(?:-|/|&|,|\+|or|and|to|und|oder|bis|et|ou|y|o)\s*([1-4]))?[\s\-.]*"
    r"(?:und\s+4-)?(?:legs?\b|legged|lg\b|str[aä]n\w*|straen\w*|brins?\b|ramal(?:es)?\b)"
)
_TWO_LEGS = re.compile(
    r"\b3\s*+-?\s*+(?:and|und|et|y|&|,|or)\s*+4\s*+-?\s*+(?:legs?\b|str[aä]n\w*|straen\w*|brins?\b|ramal)"
)
_RANGE = re.compile(
    r"(?:^|[^\d.,/])(\d{1,3})\s*+(?:°|deg|grad)?\s*+(?:-|–|to|bis|a|à|<\s*+\S\s*+(?:<|≤|=)+|\.\.\.?|…)\s*+(\d{1,3})\s*(?:°|deg\w*|grad)?(?![\d.,/])"
)
_ANGLE = re.compile(
    r"(?:^|[^\d.,/])(?:(\d{1,3})\s*(?:°|deg\b|degs?\b|degrees?\b|grad\b|grados\b|degres\b)"
    r"|@\s*(\d{1,3})(?![\d.,/:]))"
)
_UP_TO = re.compile(r"(?:≤|<=|up to|bis|jusqu a|hasta|max)\s*(\d{1,3})\s*(?:°|deg|grad)")
_FACTOR = re.compile(r"\b(\d{1,2}(?:[.,]\d)?)\s*:\s*1\b")
_SIZE = re.compile(
    r"^\s*+ø?\s*+(\d++-\d++/\d++|\d++ \d++/\d++|\d++/\d++|\d{1,2}(?:[.,]\d)?(?=\s*+mm))"
    r"\s*+(mm|\"|in\.?|inch|″)?\s*+$"
)
_ANGLES = frozenset({0, 7, 15, 20, 30, 35, 40, 45, 50, 60, 75, 80, 90, 120})


def _gives(text: str, words: list[str]) -> dict[str, str]:
    """Read what a heading fixes: grade, legs, angle, hitch, design factor, size or connection."""
    low = " ".join(fold(w) for w in text.replace("\u2013", "-").split())
    gives: dict[str, str] = {}
    bare = _BARE_GRADE.match(low)
    grade = _GRADE.search(low)
    if bare:
        gives["grade"] = low.strip()
    elif grade and len(set(_GRADE.findall(low))) == 1:
        gives["grade"] = grade[1]
    legs = _legs(low, words)
    if legs:
        gives["legs"] = legs
    angle = _angle(_LEGS.sub(" ", _TWO_LEGS.sub(" ", low)))
    if angle:
        gives["angle"] = angle
    factor = _FACTOR.search(low)
    if factor:
        gives["design_factor"] = factor[1].replace(",", ".")
    size = _SIZE.match(low)
    if size and not gives:
        gives["size"] = text.strip() if size[2] else size[1]
    for hit in phrases("flag-words", "word", "flag", "value").find(words):
        flag, value = hit.value
        aimed = hit.start > 0 and words[hit.start - 1] in ("to", "from", "the")
        if flag == "hitch" and value != "unsaid" and not aimed:
            gives["hitch"] = str(value)
    for role, table in (("connection", "connection-words"), ("form", "form-words")):
        for hit in phrases(table, "word", "slug").find(words):
            if hit.value:
                gives[role] = " ".join(words[hit.start : hit.end])
    return gives


def _legs(low: str, words: list[str]) -> str | None:
    if _TWO_LEGS.search(low):
        return "3-4"
    match = _LEGS.search(low)
    if match:
        return f"{match[1]}-{match[2]}" if match[2] else match[1]
    found = {str(h.value) for h in phrases("leg-words", "word", "legs").find(words) if h.value}
    if found == {"3", "4"}:
        return "3-4"
    return found.pop() if len(found) == 1 else None


def _angle(low: str) -> str | None:
    aim = ""
    if re.search(r"\b(horizontal|horiz|horizontale|waagerecht\w*|waagrecht\w*)\b", low):
        aim = " to horizontal"
    elif re.search(
        r"\b(to vertical|from vertical|vertikale|senkrecht\w*|verticale|β|beta)\b|β|ß", low
    ):
        aim = " to vertical"
    match = _RANGE.search(low)
    if match and {int(match[1]), int(match[2])} <= _ANGLES and int(match[1]) != int(match[2]):
        return f"{match[1]}-{match[2]}{aim}"
    match = _UP_TO.search(low)
    if match and int(match[1]) in _ANGLES:
        return f"0-{match[1]}{aim}"
    match = _ANGLE.search(low)
    if match and int(match[1] or match[2]) in _ANGLES:
        return f"{match[1] or match[2]}{aim}"
    return None


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
        base = above if below.ignored in ("", "dimension") else below
    gives = {**above.gives, **below.gives}
    units = below.units or above.units
    unit = below.unit or above.unit
    kind = _kinds().get(unit or "")
    roles = set(base.roles.values())
    # a unit that belongs to the other row: "WLL in t" above "Chain mm"
    if (kind == "length" and roles & _LOADS) or (kind in ("load", "force") and roles == {"size"}):
        unit = next((u for u in (below.unit, above.unit) if u and _kinds().get(u) != kind), None)
        units = (unit,) if unit else ()
    return replace(base, text=text, gives=gives, unit=unit, units=units)


@cache
def _kinds() -> Mapping[str, str]:
    names = {str(r["unit"]) for r in rows("units")}
    return {n: "load" if n == "ton" else quantity_kind(n) for n in names}
