"""Loads and forces: a number, its unit, and what the words beside it say it is."""

from __future__ import annotations

from dataclasses import dataclass, replace

from tallyhook.texts.lexicon import Hit, phrases
from tallyhook.texts.numbers import Number, number_at
from tallyhook.texts.tokens import MARK, NUMBER, WORD, Context, Scan
from tallyhook.units import factor, quantity_kind

__all__ = [
    "BLANK_LOADS",
    "AMBIGUOUS_TON",
    "Load",
    "LoadCell",
    "Loads",
    "find_loads",
    "read_load",
    "ton_note",
    "unit_at",
    "with_unit",
]

AMBIGUOUS_TON = "ton"
"""The unit of a load of which nobody says which ton it is."""

_PLAUSIBLE_KG = (
    100.0,
    400_000.0,
)  # the smallest and largest chain and hooks of any table, with room
_PLAIN_UNITS = frozenset("in inch ton tons t lb lbs kg mm".split())
_WHICH_TON = {
    **dict.fromkeys(("short", "us"), "short ton"),
    **dict.fromkeys(("long", "uk"), "long ton"),
    **dict.fromkeys(("metric", "mt", "tonne", "tonnes"), "t"),
}
_TO = frozenset({"to", "bis", "a", "hasta", "through", "thru"})
_FROM = frozenset({"from", "ab", "von", "desde", "starting", "upto"})
_ABOUT = frozenset({"approx", "about", "ca", "circa", "environ", "aprox", "approximately"})
_SKIP = frozenset(
    {"of", "is", "at", "max", "maximum", "min", "the", "to", "der", "de", "von", "in", "up"}
)
_PER_LENGTH = frozenset({"ft", "foot", "feet", "m", "meter", "metre", "mtr", "yd", "link", "links"})
_PER_ONE = frozenset(
    """each ea pc pcs piece stk stuck unit drum pail keg reel box carton bag bucket roll coil
    bundle skid pallet""".split()
)
BLANK_LOADS = frozenset(
    {
        "",
        "-",
        "--",
        "---",
        "–",
        "—",
        ".",
        "n/a",
        "na",
        "n.a.",
        "none",
        "tba",
        "tbd",
        "k.a.",
        "?",
        "x",
        "nil",
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """A load or force as written.

    Attributes
    ----------
    value, unit : float, str
        The number and its canonical unit; ``ton`` when nobody can say which ton.
    kg, kn : float or None
        The same in kilograms and kilonewtons; None for a bare ton.
    step : float
        Worth of the last significant digit written, in `unit`.
    step_kg : float or None
        The same in kilograms.
    text : str
        As written, with its unit.
    """

    value: float
    unit: str
    kg: float | None
    kn: float | None
    step: float
    step_kg: float | None
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadCell:
    """What a cell of a load column holds: the load, the same in a second unit, or why not."""

    load: Load | None = None
    second: Load | None = None
    pair: bool = False
    note: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Loads:
    """The loads of a free text, by what they are."""

    wll: Load | None = None
    wll2: Load | None = None
    breaking: Load | None = None
    proof: Load | None = None
    design_factor: float | None = None
    pair: bool = False
    notes: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class _Found:
    start: int
    end: int
    number: Number
    unit: str


def read_load(text: str, *, unit: str | None = None, context: Context | None = None) -> LoadCell:
    """Read a cell of a load column.

    Parameters
    ----------
    text : str
        The cell.
    unit : str or None
        The canonical unit of the column, or ``ton``; a unit in the cell goes before it.
    context : Context
        Decimal mark and system of the list.

    Examples
    --------
    >>> read_load("7,100", unit="lb", context=Context(decimal=".")).load.value
    7100.0
    >>> read_load("3,15 t").load.kg
    3150.0
    >>> read_load("1.12T - 15T").note
    "'1.12T - 15T' is a range, not a rating"
    """
    context = context or Context()
    text = text.strip()
    if text.casefold() in BLANK_LOADS:
        return LoadCell()
    scan = Scan(text, context)
    tokens = scan.tokens
    shown = f"'{text}'"
    if any(t.kind == MARK and t.text in "$€£" for t in tokens):
        return LoadCell(note=f"{shown} looks like a price")
    if any(t.kind == MARK and t.text in "<>~≈±?" for t in tokens) or any(
        t.fold in _ABOUT for t in tokens
    ):
        return LoadCell(note=f"{shown} is not one exact number")
    start = 0
    for hit in phrases("load-labels", "word", "label").find(scan.words):
        label_start = scan.where[hit.start]
        scan.claim(label_start, scan.where[hit.end - 1] + 1)
        if hit.value not in ("wll", "breaking", "proof") and label_start == 0:
            return LoadCell(note=f"{shown} is no load rating")
    while start < len(tokens) and (
        scan.used[start] or tokens[start].text in ":=≤." or tokens[start].fold in _SKIP
    ):
        start += 1
    found = _found_at(scan, start, unit)
    if unit is None and found is None and _range_from(scan, start, None) is not None:
        return LoadCell(note=f"{shown} is a range, not a rating")
    if found is None:
        bare = number_at(scan, start, spaces=True)
        if bare is None:
            return LoadCell(note=f"no number could be read from {shown}")
        if start == 0 and bare.end == len(tokens):
            return LoadCell(note=f"{shown} has no unit")
        return LoadCell(note=f"{shown} could not be read as a load")
    rest = found.end
    pair = _is_pair(scan)
    second = None
    if scan.is_mark(rest, "(/=") and scan.is_number(rest + 1):
        second = _found_at(scan, rest + 1, None)
        if second is None or second.unit == found.unit:
            return LoadCell(note=f"{shown} gives several numbers")
        rest = second.end
    elif _is_range(scan, found):
        return LoadCell(note=f"{shown} is a range, not a rating")
    for i in range(rest, len(tokens)):
        token = tokens[i]
        if token.kind == NUMBER:
            return LoadCell(note=f"{shown} gives several numbers")
        if token.kind == WORD and not (
            scan.used[i] or token.fold in _PER_ONE or token.fold in ("max", "per") or pair
        ):
            return LoadCell(note=f"'{token.text}' in {shown} is not understood")
        if token.kind == MARK and token.text not in "*†.,()#/+ °":
            return LoadCell(note=f"{shown} could not be read as a load")
    load = _load(scan, found, trusted=True)
    if load is None:
        return LoadCell(pair=pair, note=_doubt(scan, found))
    if load.value == 0:
        return LoadCell(note=f"{shown} is zero")
    other = _load(scan, second, trusted=True) if second else None
    note = f"{shown} is for a pair" if pair else ton_note(load)
    return LoadCell(load=load, second=other, pair=pair, note=note)


def ton_note(load: Load) -> str | None:
    """Say that a bare ton may be either ton, with both readings; None for any other unit."""
    if load.unit != AMBIGUOUS_TON:
        return None
    short, metric = load.value * factor("short ton", "kg"), load.value * 1000
    return f"'{load.text}' may be short tons ({short:,.0f} kg) or metric tons ({metric:,.0f} kg)"


def unit_at(scan: Scan, i: int) -> tuple[str, int] | None:
    """Read the unit that begins at token `i`: its canonical name and the token after it."""
    place = scan.place.get(i)
    if place is None:
        if scan.is_mark(i, "\"'"):
            if scan.tokens[i].text == '"':
                return "in", i + 1
            if scan.is_mark(i + 1, "'") and scan.adjacent(i + 1):
                return "in", i + 2
        if scan.is_mark(i, "-(") and scan.folded(i + 1) in _PLAIN_UNITS:
            inner = unit_at(scan, i + 1)
            if inner is not None and scan.is_mark(i, "("):
                return (inner[0], inner[1] + 1) if scan.is_mark(inner[1], ")") else None
            return inner
        return None
    hit = phrases("units", "spelling", "unit").at(scan.words, place)
    if hit is None:
        return None
    unit = str(hit.value)
    token = scan.tokens[i]
    end = scan.where[hit.end - 1] + 1
    word = token.fold
    if hit.end - hit.start == 1:
        if word == "t" and token.text == "T":
            unit = AMBIGUOUS_TON
        elif (
            (word == "n" and token.text != "N")
            or (word == "to" and not (end == len(scan.tokens) or scan.tokens[end].kind == MARK))
            or (word == "in" and scan.folded(end) in ("stock", "a", "the", "box", "transit"))
            or (word == "#" and not scan.adjacent(i))
        ):
            return None
    if unit == AMBIGUOUS_TON and scan.context.system == "metric":
        unit = "t"  # sizes in mm, kilograms or kilonewtons settle it
    if unit in (AMBIGUOUS_TON, "t") and scan.is_mark(end, "(") and scan.is_mark(end + 2, ")"):
        which = _WHICH_TON.get(scan.folded(end + 1))
        if which is not None:
            unit, end = which, end + 3
    if scan.is_mark(end, ".") and scan.adjacent(end) and not scan.adjacent(end + 1):
        end += 1
    if end < len(scan.tokens) and scan.is_number(end) and scan.adjacent(end):
        return None
    return unit, end


def find_loads(scan: Scan) -> Loads:
    """Find the loads of a free text and claim them.

    A load counts as the rating when a word beside it says so, or when it is the only load and
    too heavy for a weight. Two loads that no word tells apart are not read.
    """
    labels = _labels_of(scan)
    design_factor = _design_factor(scan, labels)
    notes: list[tuple[str, str]] = []
    groups = _groups(scan, labels, notes)
    slots: dict[str, list[_Found]] = {}
    loose: list[list[_Found]] = []
    spent: set[int] = set()
    for group in groups:
        label = _label(scan, group, labels, spent, groups)
        after = group[-1].end
        if _per(scan, after, _PER_LENGTH):
            continue
        if _per(scan, after, frozenset({"leg", "strang", "brin", "ramal"})):
            notes.append(("wll", f"'{scan.cut(group[0].start, after)}' is for each leg"))
        elif label is None:
            loose.append(group)
        elif label in slots:
            notes.append((label, "two loads are called so"))
            slots[label] = []
        else:
            slots[label] = group
    if "wll" not in slots and not any(f == "wll" for f, _ in notes):
        _settle_loose(scan, loose, labels, slots, notes)
    pair = _is_pair(scan)
    wll = slots.get("wll", [])
    first = _value(scan, "wll", wll, notes)
    second = _load(scan, wll[1], trusted=True) if first and len(wll) > 1 else None
    if "lashing" in slots and first is None:
        notes.append(("wll", "a lashing capacity is no working load limit"))
    if first is not None and (doubt := ton_note(first)):
        notes.append(("wll", doubt))
    if first is not None and pair:
        notes.append(("wll", f"'{first.text}' is for a pair"))
    return Loads(
        wll=first,
        wll2=second,
        breaking=_value(scan, "breaking", slots.get("breaking", []), notes),
        proof=_value(scan, "proof", slots.get("proof", []), notes),
        design_factor=design_factor,
        pair=pair,
        notes=tuple(notes),
    )


def _value(
    scan: Scan, label: str, group: list[_Found], notes: list[tuple[str, str]]
) -> Load | None:
    if not group:
        return None
    load = _load(scan, group[0], trusted=True)
    if load is None:
        notes.append((label, _doubt(scan, group[0])))
        return None
    return load if load.value > 0 else None


def _settle_loose(
    scan: Scan,
    loose: list[list[_Found]],
    labels: list[tuple[int, int, str]],
    slots: dict[str, list[_Found]],
    notes: list[tuple[str, str]],
) -> None:
    """Take the one load that no word describes as the rating, unless it may be a weight or force."""
    rated = []
    weights = [end for _, end, label in labels if label == "weight"]
    for group in loose:
        first = group[0]
        if any(_reaches(scan, end, first.start) for end in weights):
            continue
        if _per(scan, group[-1].end, _PER_ONE):
            notes.append(("wll", f"'{scan.cut(first.start, first.end)}' may be a weight"))
            continue
        load = _load(scan, first, trusted=False)
        if load is None:
            notes.append(("wll", _doubt(scan, first)))
        elif load.unit != AMBIGUOUS_TON and quantity_kind(load.unit) == "force":
            notes.append(("wll", f"'{load.text}' is a force that no word explains"))
        elif _plausible(load.value, load.unit):
            rated.append(group)
        else:
            notes.append(("wll", f"'{load.text}' may be a weight"))
    if len(rated) == 2 and _same_load(scan, rated[0], rated[1]):
        rated = [[*rated[0], *rated[1]]]
    if len(rated) == 1:
        slots["wll"] = rated[0]
        notes[:] = [n for n in notes if not n[1].endswith("may be a weight")]
    elif rated:
        shown = " and ".join(f"'{scan.cut(g[0].start, g[0].end)}'" for g in rated)
        notes.append(("wll", f"{shown}: no word says which is the rating"))


def _reaches(scan: Scan, end: int, start: int) -> bool:
    """Tell whether nothing but plain words stands between a word and a load: "weight per 100: 250 lb"."""
    if not 0 <= start - end <= 8:
        return False
    return not any(scan.is_mark(k, ",;|") for k in range(end, start))


def _same_load(scan: Scan, first: list[_Found], second: list[_Found]) -> bool:
    """Tell whether two loads are one load in two units, as far as tables round."""
    if len(first) > 1 or len(second) > 1 or first[0].unit == second[0].unit:
        return False
    loads = [_load(scan, g[0], trusted=True) for g in (first, second)]
    kg = [x.kg for x in loads if x is not None and x.kg]
    return len(kg) == 2 and abs(kg[0] / kg[1] - 1) <= 0.03


def _groups(
    scan: Scan, labels: list[tuple[int, int, str]], notes: list[tuple[str, str]]
) -> list[list[_Found]]:
    """Collect the loads of a text; two units of one load ("7,100 lb (3,200 kg)") make one group."""
    groups: list[list[_Found]] = []
    label_ends = {end: (start, label) for start, end, label in labels}
    i = 0
    while i < len(scan.tokens):
        if scan.tokens[i].kind != NUMBER or scan.used[i]:
            i += 1
            continue
        found = _found_at(scan, i, None) or _labelled(scan, i, label_ends, notes)
        span = _range_from(scan, i, found)
        if span is not None:
            notes.append(("wll", f"'{scan.cut(i, span)}' is a range, not a rating"))
            scan.claim(i, span)
            i = span
            continue
        if found is None:
            number = number_at(scan, i)
            i = number.end if number else i + 1
            continue
        if _family(scan, found.start):
            notes.append(
                (
                    "wll",
                    f"'{scan.cut(max(0, i - 1), found.end)}' is a limit of a range, not a rating",
                )
            )
            scan.claim(i, found.end)
        elif (
            found.number.spaced
            and found.number.inch is None
            and _may_be_size(scan, found, label_ends)
        ):
            notes.append(
                ("wll", f"'{scan.cut(i, found.end)}' may be one number or a size and a load")
            )
            notes.append(
                ("size", f"'{scan.cut(i, found.end)}' may be one number or a size and a load")
            )
            scan.claim(i, found.end)
        else:
            _add(scan, groups, found)
            scan.claim(i, found.end)
        i = found.end
    kept = []
    for group in groups:
        units = [f.unit for f in group]
        if len(set(units)) < len(units):
            shown = scan.cut(group[0].start, group[-1].end)
            notes.append(("wll", f"'{shown}' gives several ratings"))
        else:
            kept.append(group)
    return kept


def _add(scan: Scan, groups: list[list[_Found]], found: _Found) -> None:
    if groups:
        last = groups[-1][-1]
        between = scan.tokens[last.end : found.start]
        joined = all(t.text in "(/=" for t in between if t.kind == MARK) and all(
            t.fold == "or" for t in between if t.kind != MARK
        )
        if between and joined and len(between) <= 2:
            groups[-1].append(found)
            return
    groups.append([found])


def _found_at(scan: Scan, i: int, column_unit: str | None) -> _Found | None:
    """Read a number with a load unit from token `i` on; a column's unit stands in for a missing one."""
    number = number_at(scan, i, spaces=True)
    if number is None or scan.is_used(number.start, number.end):
        return None
    unit = unit_at(scan, number.end)
    if unit is None and column_unit is None and number.spaced and number.inch is None:
        return None
    if unit is None:
        return _Found(i, number.end, number, column_unit) if column_unit else None
    name, end = unit
    if name != AMBIGUOUS_TON and quantity_kind(name) == "length":
        return None
    if name == AMBIGUOUS_TON and column_unit in ("t", "short ton", "long ton"):
        name = column_unit
    return _Found(i, end, number, name) if scan.free_before(i) else None


def _labelled(
    scan: Scan, i: int, label_ends: dict[int, tuple[int, str]], notes: list[tuple[str, str]]
) -> _Found | None:
    """Read a number whose unit stands before it, as in ``WLL (lb): 7100``."""
    back, unit = i, None
    for _ in range(6):
        before = back - 1
        if back in label_ends:
            start, label = label_ends[back]
            if label not in ("wll", "breaking", "proof"):
                return None
            number = number_at(scan, i, spaces=True)
            if number is None or scan.is_used(i, number.end) or not scan.stands_free(i, number.end):
                return None
            after = unit_at(scan, number.end)
            if after is not None or scan.is_mark(number.end, ":%°"):
                return None
            if unit is None:
                if number.inch is None and number.value >= 100:
                    notes.append((label, f"'{scan.cut(start, number.end)}' has no unit"))
                    scan.claim(i, number.end)
                return None
            return _Found(i, number.end, number, unit)
        if before < 0:
            return None
        token = scan.tokens[before]
        if token.kind == NUMBER or scan.used[before]:
            return None
        if token.kind == WORD:
            read = unit_at(scan, before)
            if read is None or read[0] in ("in", "mm", "cm") or unit is not None:
                return None
            unit = read[0]
        elif token.text not in ":=().[]":
            return None
        back = before
    return None


def _label(
    scan: Scan,
    group: list[_Found],
    labels: list[tuple[int, int, str]],
    spent: set[int],
    others: list[list[_Found]],
) -> str | None:
    """Find the word that says what a load is: the free one before it, else the one after it."""
    starts = {start: (k, label) for k, (start, _, label) in enumerate(labels)}
    ends = {end: (k, label) for k, (_, end, label) in enumerate(labels)}
    back = group[0].start
    for _ in range(7):
        if back in ends and ends[back][0] not in spent:
            k, label = ends[back]
            spent.add(k)
            return label
        if back == 0:
            break
        token = scan.tokens[back - 1]
        skip = (
            token.text in ":=().[]~≤"
            if token.kind == MARK
            else token.kind == WORD and (token.fold in _SKIP or unit_at(scan, back - 1) is not None)
        )
        if not skip:
            break
        back -= 1
    ahead = group[-1].end
    comma = False
    for _ in range(3):
        if ahead in starts and starts[ahead][0] not in spent:
            k, label = starts[ahead]
            if _belongs_to_next(scan, group, labels[k], comma, others):
                return None
            spent.add(k)
            return label
        if not (scan.is_mark(ahead, "().-,") or scan.folded(ahead) in ("min", "max", "the")):
            return None
        comma = comma or scan.is_mark(ahead, ",")
        ahead += 1
    return None


def _belongs_to_next(
    scan: Scan,
    group: list[_Found],
    label: tuple[int, int, str],
    comma: bool,
    others: list[list[_Found]],
) -> bool:
    """Tell whether a word between two loads ("2 t proof 50 kN") says what the second one is."""
    _, end, name = label
    while scan.is_mark(end, ":=.(") or scan.folded(end) in _SKIP:
        end += 1
    following = next((g for g in others if g[0].start == end), None)
    if following is None:
        return comma
    if comma:
        return True
    after = following[-1].end
    if any(start == after for start, _, _ in _labels_of(scan)):
        return False  # "7,100 lb WLL 28,400 lb MBS": every word stands after its number
    mine, its = _rough_kg(group[0]), _rough_kg(following[0])
    return mine < its if name in ("breaking", "proof") else mine > its


def _rough_kg(found: _Found) -> float:
    return found.number.value * (1000 if found.unit == AMBIGUOUS_TON else factor(found.unit, "kg"))


def _labels_of(scan: Scan) -> list[tuple[int, int, str]]:
    return [
        (scan.where[h.start], scan.where[h.end - 1] + 1, str(h.value))
        for h in phrases("load-labels", "word", "label").find(scan.words)
    ]


def _design_factor(scan: Scan, labels: list[tuple[int, int, str]]) -> float | None:
    """Read ``4:1`` or ``safety factor 4`` and claim it."""
    found: set[float] = set()
    for i in range(len(scan.tokens) - 2):
        if (
            scan.is_number(i)
            and (scan.is_mark(i + 1, ":") or scan.folded(i + 1) == "to")
            and scan.tokens[i + 2].text == "1"
            and not scan.is_mark(i - 1, ":/")
            and not scan.is_mark(i + 3, "/:")
            and not (scan.is_number(i + 3) and scan.is_mark(i + 4, "/"))
        ):
            number = number_at(scan, i)
            if number is not None and number.end == i + 1 and 2 <= number.value <= 10:
                if scan.folded(i + 1) == "to" and unit_at(scan, i + 3) is not None:
                    continue
                found.add(number.value)
                scan.claim(i, i + 3)
    for _, end, label in labels:
        if label != "factor":
            continue
        i = end
        while scan.is_mark(i, ":=.") or scan.folded(i) in ("of", "is"):
            i += 1
        number = number_at(scan, i)
        if number is not None and not scan.is_used(i, number.end) and 2 <= number.value <= 10:
            if unit_at(scan, number.end) is None and number.inch is None:
                found.add(number.value)
                scan.claim(i, number.end)
    return found.pop() if len(found) == 1 else None


def _range_from(scan: Scan, i: int, found: _Found | None) -> int | None:
    """Give the end of a range of loads ("1.12T - 15T", "2 to 4 t") that begins at token `i`."""
    if found is not None:
        first, end = found.number, found.end
    else:
        number = number_at(scan, i)
        if number is None:
            return None
        first, end = number, number.end
    if not (scan.is_mark(end, "-~") or (scan.folded(end) in _TO and scan.is_number(end + 1))):
        return None
    second = _found_at(scan, end + 1, None)
    if second is None:
        return None
    unit = found.unit if found else second.unit
    if found is None and not (
        _plausible(first.value, second.unit) and first.value < second.number.value
    ):
        return None
    return second.end if unit == second.unit or found is None else None


def _is_range(scan: Scan, found: _Found) -> bool:
    end = found.end
    if scan.is_mark(end, "-~/,;") or scan.folded(end) in _TO:
        return number_at(scan, end + 1) is not None
    return False


def _family(scan: Scan, i: int) -> bool:
    """Tell whether the words before a load make it the limit of a product family."""
    before = scan.folded(i - 1)
    if before in _FROM or before in _ABOUT or scan.is_mark(i - 1, "<>~≈"):
        return True
    if before in ("to", "zu") and scan.folded(i - 2) in ("up", "bis"):
        return True
    return before == "bis" or (before == "a" and scan.folded(i - 3) == "jusqu") or before == "hasta"


def _may_be_size(scan: Scan, found: _Found, label_ends: dict[int, tuple[int, str]]) -> bool:
    """Tell whether "10 800 kg" may be a 10 mm chain for 800 kg: no other size, no word before it."""
    head = scan.tokens[found.start].text
    before = found.start
    while scan.is_mark(before - 1, ":=."):
        before -= 1
    if not 3 < int(head) < 46 or before in label_ends:
        return False
    return not any(
        (t.kind == MARK and (t.text == '"' or (t.text == "/" and scan.is_number(k + 1))))
        or t.fold in ("mm", "inch")
        for k, t in enumerate(scan.tokens)
    )


def _per(scan: Scan, i: int, words: frozenset[str]) -> bool:
    """Tell whether ``per ...``, ``/ ...`` or the bare word follows."""
    if scan.is_mark(i, "/") or scan.folded(i) in ("per", "pro", "par", "por", "je", "a", "p"):
        i += 1
        if scan.is_number(i):
            i += 1
        return scan.folded(i) in words
    return scan.folded(i) in words and words is _PER_ONE


def _is_pair(scan: Scan) -> bool:
    hits: list[Hit] = phrases("flag-words", "word", "flag", "value").find(scan.words)
    return any(h.value == ("pair", "yes") for h in hits)


def _plausible(value: float, unit: str) -> bool:
    kg = value * (1000 if unit == AMBIGUOUS_TON else factor(unit, "kg"))
    return _PLAUSIBLE_KG[0] <= kg <= _PLAUSIBLE_KG[1]


def _load(scan: Scan, found: _Found, *, trusted: bool) -> Load | None:
    """Make the load of a number and a unit; None when its mark can be read in two ways.

    `trusted` says that a word or a column makes it a rating, so that of two readings the
    only one that can be a rating is taken.
    """
    number, unit = found.number, found.unit
    value, step = number.value, number.step
    if number.other is not None:
        here, there = _plausible(value, unit), _plausible(number.other, unit)
        if scan.context.decimal is None:
            if here == there or not (trusted or unit in ("lb", "t")):
                return None
            if there:
                value, step = number.other, _swapped_step(number)
        elif there and not here:
            return None
    text = scan.cut(found.start, found.end)
    if found.end == number.end:
        text = f"{text} {unit}"
    if unit == AMBIGUOUS_TON:
        return Load(value=value, unit=unit, kg=None, kn=None, step=step, step_kg=None, text=text)
    to_kg = factor(unit, "kg")
    return Load(
        value=value,
        unit=unit,
        kg=value * to_kg,
        kn=value * factor(unit, "kN"),
        step=step,
        step_kg=step * to_kg,
        text=text,
    )


def _swapped_step(number: Number) -> float:
    other = number.other or 0.0
    if other != int(other):
        return 0.001
    digits = str(int(other))
    return float(10 ** (len(digits) - len(digits.rstrip("0"))))


def _doubt(scan: Scan, found: _Found) -> str:
    number = found.number
    shown = scan.cut(found.start, found.end)
    return f"'{shown}' may be {number.value:g} or {number.other or 0:,.0f} {found.unit}"


def with_unit(load: Load, unit: str) -> Load:
    """Give a bare ton its unit, once the list has settled which ton it means."""
    to_kg = factor(unit, "kg")
    return replace(
        load,
        unit=unit,
        kg=load.value * to_kg,
        kn=load.value * factor(unit, "kN"),
        step_kg=load.step * to_kg,
    )
