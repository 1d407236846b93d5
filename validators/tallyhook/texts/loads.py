"""The loads of a free text, and what the words beside them say they are."""

from __future__ import annotations

from dataclasses import dataclass

from tallyhook.messages import say
from tallyhook.texts.numbers import number_at
from tallyhook.texts.quantities import (
    Found,
    Load,
    doubt,
    found_at,
    is_pair,
    labels_of,
    load_of,
    plausible,
    range_from,
    ton_note,
)
from tallyhook.texts.scan import Scan
from tallyhook.texts.units import AMBIGUOUS_TON, unit_at
from tallyhook.units import factor, quantity_kind
from tallyhook.vocabulary.context import length_units, phrases_for, words_for
from tallyhook.vocabulary.tokens import MARK, NUMBER, WORD
from tallyhook.wording import and_list

__all__ = ["Loads", "find_loads"]


_PIECE = "one piece"


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


def find_loads(scan: Scan) -> Loads:
    """Find the loads of a free text and claim them.

    A load counts as the rating when a word beside it says so, or when it is the only load and
    too heavy for a weight. Two loads that no word tells apart are not read.
    """
    labels = labels_of(scan)
    design_factor = _design_factor(scan, labels)
    notes: list[tuple[str, str]] = []
    groups = _groups(scan, labels, notes)
    slots: dict[str, list[Found]] = {}
    loose: list[list[Found]] = []
    spent: set[int] = set()
    for group in groups:
        label = _label(scan, group, labels, spent, groups)
        after = group[-1].end
        if _per(scan, after, "length"):
            continue
        if _per(scan, after, "one leg"):
            notes.append(
                ("wll", say("'{shown}' is for each leg", shown=scan.cut(group[0].start, after)))
            )
        elif label is None:
            loose.append(group)
        elif label in slots:
            notes.append((label, say("two loads are called so")))
            slots[label] = []
        else:
            slots[label] = group
    if "wll" not in slots and not any(f == "wll" for f, _ in notes):
        _settle_loose(scan, loose, labels, slots, notes)
    pair = is_pair(scan)
    wll = slots.get("wll", [])
    first = _value(scan, "wll", wll, notes)
    second = load_of(scan, wll[1], trusted=True) if first and len(wll) > 1 else None
    if "lashing" in slots and first is None:
        notes.append(("wll", say("a lashing capacity is no working load limit")))
    if first is not None and (doubt := ton_note(first)):
        notes.append(("wll", doubt))
    if first is not None and pair:
        notes.append(("wll", say("'{shown}' is for a pair", shown=first.text)))
    return Loads(
        wll=first,
        wll2=second,
        breaking=_value(scan, "breaking", slots.get("breaking", []), notes),
        proof=_value(scan, "proof", slots.get("proof", []), notes),
        design_factor=design_factor,
        pair=pair,
        notes=tuple(notes),
    )


def _value(scan: Scan, label: str, group: list[Found], notes: list[tuple[str, str]]) -> Load | None:
    if not group:
        return None
    load = load_of(scan, group[0], trusted=True)
    if load is None:
        notes.append((label, doubt(scan, group[0])))
        return None
    return load if load.value > 0 else None


def _settle_loose(
    scan: Scan,
    loose: list[list[Found]],
    labels: list[tuple[int, int, str]],
    slots: dict[str, list[Found]],
    notes: list[tuple[str, str]],
) -> None:
    """Take the one load that no word describes as the rating, unless it may be a weight."""
    rated = []
    heavy: list[tuple[str, str]] = []
    weights = [end for _, end, label in labels if label == "weight"]
    for group in loose:
        first = group[0]
        if any(_reaches(scan, end, first.start) for end in weights):
            continue
        if _per(scan, group[-1].end, _PIECE):
            shown = scan.cut(first.start, first.end)
            heavy.append(("wll", say("'{shown}' may be a weight", shown=shown)))
            continue
        load = load_of(scan, first, trusted=False)
        if load is None:
            notes.append(("wll", doubt(scan, first)))
        elif load.unit != AMBIGUOUS_TON and quantity_kind(load.unit) == "force":
            notes.append(
                ("wll", say("'{shown}' is a force that no word explains", shown=load.text))
            )
        elif plausible(load.value, load.unit):
            rated.append(group)
        else:
            heavy.append(("wll", say("'{shown}' may be a weight", shown=load.text)))
    if len(rated) == 2 and _same_load(scan, rated[0], rated[1]):
        rated = [[*rated[0], *rated[1]]]
    if len(rated) == 1:
        slots["wll"] = rated[0]
        return
    notes += heavy
    if rated:
        several = and_list([f"'{scan.cut(g[0].start, g[0].end)}'" for g in rated])
        notes.append(("wll", say("{several}: no word says which is the rating", several=several)))


def _reaches(scan: Scan, end: int, start: int) -> bool:
    """Tell whether only plain words stand between a word and a load: "weight per 100: 250 lb"."""
    if not 0 <= start - end <= 8:
        return False
    return not any(scan.is_mark(k, ",;|") for k in range(end, start))


def _same_load(scan: Scan, first: list[Found], second: list[Found]) -> bool:
    """Tell whether two loads are one load in two units, as far as tables round."""
    if len(first) > 1 or len(second) > 1 or first[0].unit == second[0].unit:
        return False
    loads = [load_of(scan, g[0], trusted=True) for g in (first, second)]
    kg = [x.kg for x in loads if x is not None and x.kg]
    return len(kg) == 2 and abs(kg[0] / kg[1] - 1) <= 0.03


def _groups(
    scan: Scan, labels: list[tuple[int, int, str]], notes: list[tuple[str, str]]
) -> list[list[Found]]:
    """Collect the loads of a text; two units of one load ("7,100 lb (3,200 kg)") make one group."""
    groups: list[list[Found]] = []
    label_ends = {end: (start, label) for start, end, label in labels}
    i = 0
    while i < len(scan.tokens):
        if scan.tokens[i].kind != NUMBER or scan.used[i]:
            i += 1
            continue
        found = found_at(scan, i, None) or _labelled(scan, i, label_ends, notes)
        span = range_from(scan, i, found)
        if span is not None:
            notes.append(
                ("wll", say("'{shown}' is a range, not a rating", shown=scan.cut(i, span)))
            )
            scan.claim(i, span)
            i = span
            continue
        if found is None:
            number = number_at(scan, i)
            i = number.end if number else i + 1
            continue
        doubts = _doubts(scan, found, label_ends)
        notes += doubts
        if not doubts:
            _add(scan, groups, found)
        scan.claim(i, found.end)
        i = found.end
    kept = []
    for group in groups:
        units = [f.unit for f in group]
        if len(set(units)) < len(units):
            shown = scan.cut(group[0].start, group[-1].end)
            notes.append(("wll", say("'{shown}' gives several ratings", shown=shown)))
        else:
            kept.append(group)
    return kept


def _doubts(
    scan: Scan, found: Found, label_ends: dict[int, tuple[int, str]]
) -> list[tuple[str, str]]:
    """Say why a number with a unit is no load of the item; nothing where it is one."""
    if _family(scan, found.start):
        shown = scan.cut(max(0, found.start - 1), found.end)
        return [("wll", say("'{shown}' is a limit of a range, not a rating", shown=shown))]
    number = found.number
    if number.spaced and number.inch is None and _may_be_size(scan, found, label_ends):
        shown = scan.cut(found.start, found.end)
        either = say("'{shown}' may be one number or a size and a load", shown=shown)
        return [("wll", either), ("size", either)]
    return []


def _add(scan: Scan, groups: list[list[Found]], found: Found) -> None:
    if groups:
        last = groups[-1][-1]
        between = scan.tokens[last.end : found.start]
        joined = all(t.text in "(/=" for t in between if t.kind == MARK) and all(
            t.fold in words_for("or") for t in between if t.kind != MARK
        )
        if between and joined and len(between) <= 2:
            groups[-1].append(found)
            return
    groups.append([found])


def _labelled(
    scan: Scan, i: int, label_ends: dict[int, tuple[int, str]], notes: list[tuple[str, str]]
) -> Found | None:
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
                    notes.append(
                        (label, say("'{shown}' has no unit", shown=scan.cut(start, number.end)))
                    )
                    scan.claim(i, number.end)
                return None
            return Found(i, number.end, number, unit)
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
    group: list[Found],
    labels: list[tuple[int, int, str]],
    spent: set[int],
    others: list[list[Found]],
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
            else token.kind == WORD
            and (
                token.fold in words_for("between label and load")
                or unit_at(scan, back - 1) is not None
            )
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
        if not (scan.is_mark(ahead, "().-,") or scan.means(ahead, "between load and label")):
            return None
        comma = comma or scan.is_mark(ahead, ",")
        ahead += 1
    return None


def _belongs_to_next(
    scan: Scan,
    group: list[Found],
    label: tuple[int, int, str],
    comma: bool,
    others: list[list[Found]],
) -> bool:
    """Tell whether a word between two loads ("2 t proof 50 kN") says what the second one is."""
    _, end, name = label
    while scan.is_mark(end, ":=.(") or scan.means(end, "between label and load"):
        end += 1
    following = next((g for g in others if g[0].start == end), None)
    if following is None:
        return comma
    if comma:
        return True
    after = following[-1].end
    if any(start == after for start, _, _ in labels_of(scan)):
        return False  # "7,100 lb WLL 28,400 lb MBS": every word stands after its number
    mine, its = _rough_kg(group[0]), _rough_kg(following[0])
    return mine < its if name in ("breaking", "proof") else mine > its


def _rough_kg(found: Found) -> float:
    return found.number.value * (1000 if found.unit == AMBIGUOUS_TON else factor(found.unit, "kg"))


def _design_factor(scan: Scan, labels: list[tuple[int, int, str]]) -> float | None:
    """Read ``4:1`` or ``safety factor 4`` and claim it."""
    found: set[float] = set()
    for i in range(len(scan.tokens) - 2):
        if (
            scan.is_number(i)
            and (scan.is_mark(i + 1, ":") or scan.means(i + 1, "ratio"))
            and scan.tokens[i + 2].text == "1"
            and not scan.is_mark(i - 1, ":/")
            and not scan.is_mark(i + 3, "/:")
            and not (scan.is_number(i + 3) and scan.is_mark(i + 4, "/"))
        ):
            number = number_at(scan, i)
            if number is not None and number.end == i + 1 and 2 <= number.value <= 10:
                if scan.means(i + 1, "ratio") and unit_at(scan, i + 3) is not None:
                    continue
                found.add(number.value)
                scan.claim(i, i + 3)
    for _, end, label in labels:
        if label != "factor":
            continue
        i = end
        while scan.is_mark(i, ":=.") or scan.means(i, "between label and factor"):
            i += 1
        number = number_at(scan, i)
        if number is None or number.inch or scan.is_used(i, number.end):
            continue
        if 2 <= number.value <= 10 and unit_at(scan, number.end) is None:
            found.add(number.value)
            scan.claim(i, number.end)
    return found.pop() if len(found) == 1 else None


def _family(scan: Scan, i: int) -> bool:
    """Tell whether the words before a load make it the limit of a product family."""
    near = scan.means(i - 1, "from", "about") or scan.is_mark(i - 1, "<>~≈")
    return near or scan.ends(i, phrases_for("up to"))


def _may_be_size(scan: Scan, found: Found, label_ends: dict[int, tuple[int, str]]) -> bool:
    """Tell whether "10 800 kg" may be a 10 mm chain for 800 kg."""
    head = scan.tokens[found.start].text
    before = found.start
    while scan.is_mark(before - 1, ":=."):
        before -= 1
    if not 3 < int(head) < 46 or before in label_ends:
        return False
    return not any(
        (t.kind == MARK and (t.text == '"' or (t.text == "/" and scan.is_number(k + 1))))
        or t.fold in length_units(sure=True)
        for k, t in enumerate(scan.tokens)
    )


def _per(scan: Scan, i: int, use: str) -> bool:
    """Tell whether ``per ...`` or ``/ ...`` follows, of a piece the bare word."""
    words = words_for(use)
    if scan.is_mark(i, "/") or scan.means(i, "per"):
        i += 1
        if scan.is_number(i):
            i += 1
        return scan.folded(i) in words
    return scan.folded(i) in words and use == _PIECE
