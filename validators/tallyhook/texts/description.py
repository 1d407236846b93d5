"""A whole free-text description, read into every field an item has.

The readers run in a fixed order and each claims what it has read: documents and codes first,
then grades, legs and angles, lengths and other dimensions, loads, and sizes last, so that
"20 ft", "throat 1-1/8" and "7,100 lb" are gone before a size is looked for.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tallyhook.messages import say
from tallyhook.texts.documents import claim_documents
from tallyhook.texts.grades import Grade, find_grade
from tallyhook.texts.legs import Legs, find_angle, find_legs
from tallyhook.texts.loads import Loads, find_loads
from tallyhook.texts.numbers import number_at
from tallyhook.texts.quantities import Load
from tallyhook.texts.scan import LONGEST, Context, Scan
from tallyhook.texts.sizes import Size, SizeReading, settle_size
from tallyhook.texts.sizes_in_text import find_size
from tallyhook.texts.units import unit_at
from tallyhook.texts.words import Words, find_words, names_unknown
from tallyhook.vocabulary.context import length_units, units_with, words_for
from tallyhook.vocabulary.lexicon import phrases
from tallyhook.vocabulary.tokens import MARK, NUMBER, WORD

__all__ = ["CHAIN_SLING_GRADES", "Description", "describe", "form_of"]

CHAIN_SLING_GRADES = frozenset({40, 80, 100, 120})
"""Grades of chain slings; slings of rope and webbing have none of these."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Description:
    """What one text says about an item; None wherever it is silent or doubtful.

    ``size_either`` holds the two readings of ``7/8`` until the load or the list settles them,
    ``angle_either`` those of an angle that may count from the vertical or the horizontal;
    ``grade_short`` tells that the grade is written as the European standards do,
    ``grade_ambiguous`` that several grades are named or may be meant.
    ``sized_by_chain`` is false for things whose size is not that of a chain, such as master links;
    ``names_unknown`` tells that a word may name a thing the vocabulary does not know.
    ``notes`` are pairs of field and clause: what was ambiguous or could not be read.
    """

    kind: str | None = None
    form: str | None = None
    connection: str | None = None
    size: Size | None = None
    size_either: tuple[Size, Size] | None = None
    grade: int | None = None
    grade_short: bool = False
    grade_ambiguous: bool = False
    scheme: str | None = None
    material: str | None = None
    legs: int | None = None
    angle_from_deg: float | None = None
    angle_to_deg: float | None = None
    angle_either: tuple[float, float] | None = None
    hitch: str | None = None
    wll: Load | None = None
    wll2: Load | None = None
    breaking: Load | None = None
    proof: Load | None = None
    design_factor: float | None = None
    latch: str | None = None
    cradle: str | None = None
    swivel: str | None = None
    overhead: str | None = None
    pair: str | None = None
    shortening: str | None = None
    sized_by_chain: bool = True
    names_unknown: bool = False
    notes: tuple[tuple[str, str], ...] = ()


def describe(text: str, *, context: Context | None = None) -> Description:
    """Read a free-text description of an item.

    Parameters
    ----------
    text : str
        The description, in English, German, French or Spanish.
    context : Context
        Decimal mark and system of the list it stands in.

    Examples
    --------
    The load is the tie-down law's for 3/8 in grade 80 (49 CFR 393.108, table of chain).

    >>> read = describe('3/8" G80 clevis grab hook w/ cradle 7,100 lb WLL')
    >>> read.kind, read.form, read.connection, read.size.mm, read.grade, read.wll.value
    ('grab-hook', 'cradle-grab', 'clevis', 10.0, 80, 7100.0)
    """
    scan = Scan(text, context or Context())
    words = find_words(scan)
    scan.context = _context(scan)
    claim_documents(scan)
    _claim_codes(scan)
    grade = find_grade(scan, material=words.kind == "hook")
    sling = words.kind in ("sling", "any-sling")
    legs = find_legs(scan, sling=sling)
    angle = find_angle(scan)
    sized, by_chain = _claim_dimensions(scan)
    loads = find_loads(scan)
    kind = _kind(words, grade.grade, legs)
    if words.sized_by_chain:
        size = find_size(scan, grade=grade.grade, label_ends=sized)
    else:  # a master link has a size of its own; only "for 3/8 chain" is a chain size
        size = find_size(scan, grade=grade.grade, label_ends=by_chain, only_labelled=True)
    chain_sized = kind != "other" and (words.sized_by_chain or bool(by_chain))
    size = _settled(scan, size, loads) if chain_sized else SizeReading()
    if kind == "other":
        grade = Grade()
    hook = kind in ("hook", "grab-hook", "sling", None)
    noted = {"grade": grade.note, "legs": legs.note, "angle": angle.note, "size": size.note}
    notes = _notes(kind, (*words.notes, *loads.notes), noted)
    if len(text) > LONGEST:
        cut = say("only the first {longest} characters were read", longest=LONGEST)
        notes.append(("description", cut))
    marked = grade.grade
    if size.size is not None and marked is None and grade.note is None:
        marked = size.size.grade  # "10-8" holds both
    return Description(
        kind=kind,
        form=form_of(kind, words.form, words.latch) if hook else None,
        connection=words.connection if hook else None,
        size=size.size,
        size_either=size.either,
        grade=marked,
        grade_short=grade.short,
        grade_ambiguous=grade.ambiguous,
        scheme=words.scheme or grade.scheme,
        material=words.material if kind == "hook" else None,
        legs=legs.legs,
        angle_from_deg=angle.from_deg,
        angle_to_deg=angle.to_deg,
        angle_either=angle.either,
        hitch=words.hitch if kind in ("sling", None) else None,
        wll=loads.wll,
        wll2=loads.wll2,
        breaking=loads.breaking,
        proof=loads.proof,
        design_factor=loads.design_factor,
        latch=words.latch,
        cradle=words.cradle,
        swivel=words.swivel,
        overhead=words.overhead,
        pair="yes" if loads.pair else None,
        shortening=words.shortening,
        sized_by_chain=words.sized_by_chain or bool(by_chain),
        names_unknown=kind is None and names_unknown(scan),
        notes=tuple(notes),
    )


def _settled(scan: Scan, size: SizeReading, loads: Loads) -> SizeReading:
    """Let the load choose between 7/8 in and a part for 7 and 8 mm."""
    if size.either is None or loads.wll is None or loads.wll.kg is None:
        return size
    settled = settle_size(size.either, wll_kg=loads.wll.kg, system=scan.context.system)
    return size if settled is None else SizeReading(size=settled)


def _notes(
    kind: str | None, read: tuple[tuple[str, str], ...], noted: Mapping[str, str | None]
) -> list[tuple[str, str]]:
    """Give what was doubtful of the fields that such a thing has."""
    sling = kind in ("sling", None)
    silent = set() if kind in ("hook", "grab-hook", "sling", None) else {"form", "connection"}
    silent |= set() if sling else {"hitch", "legs", "angle"}
    notes = [*read, *((field, note) for field, note in noted.items() if note)]
    return [(field, note) for field, note in notes if field not in silent]


def form_of(kind: str | None, form: str | None, latch: str | None) -> str | None:
    """Name the form that a kind and a latch imply where no word names one.

    A hook with a latch and no other form is the self-closing one (hooks.forms: "sling hook with
    latch"); a hook of which no latch is said has no form here.
    """
    if form is None and kind == "grab-hook":
        return "grab"
    if form is None and kind == "hook" and latch == "yes":
        return "self-closing"
    return form


def _kind(words: Words, grade: int | None, legs: Legs) -> str | None:
    kind = words.kind
    if kind == "mixed":
        return None
    if kind == "any-sling":
        # a sling with a chain grade is a chain sling; without one it may be rope or webbing
        return "sling" if grade in CHAIN_SLING_GRADES else None
    if kind is None and legs.symbol:
        return "sling"
    if kind in (None, "hook") and words.form in ("grab", "cradle-grab"):
        return "grab-hook"
    if kind is None and words.form is not None:
        return "hook"
    if kind == "chain" and legs.legs is not None:
        return "sling"
    return kind


def _context(scan: Scan) -> Context:
    """Let the text itself say its system and decimal mark before the list does."""
    us = metric = False
    us_words, metric_words = words_for("us list"), words_for("metric list")
    marks: set[str] = set()
    tokens = scan.tokens
    for i, token in enumerate(tokens):
        if token.kind == WORD:
            us = us or token.fold in us_words
            metric = metric or token.fold in metric_words
        elif token.kind == MARK:
            us = us or (token.text == '"' and scan.is_number(i - 1))
        else:
            number = number_at(scan, i)
            if number is None:
                continue
            pounds = scan.folded(i + 1) in units_with(unit="lb")
            us = us or (number.inch not in (None, "7/8") and "/" in token.text + scan.folded(i + 1))
            if number.other is None and number.inch is None and number.value != int(number.value):
                mark = "," if "," in token.text and "." not in token.text else "."
                marks.add(mark)
                metric = metric or mark == ","
            elif number.other is not None and "," in token.text and pounds:
                marks.add(".")
    system = scan.context.system if us == metric else "us" if us else "metric"
    decimal = scan.context.decimal or (marks.pop() if len(marks) == 1 else None)
    return Context(decimal=decimal, system=None if us and metric else system)


def _claim_codes(scan: Scan) -> None:
    """Claim prices, item codes and counts that a word or mark announces."""
    for i, token in enumerate(scan.tokens):
        if token.kind == MARK and token.text in "$€£":
            if scan.is_number(i + 1):
                scan.claim(i, i + 2)
            elif scan.is_number(i - 1):
                scan.claim(i - 1, i + 1)
        elif (
            token.kind == MARK
            and token.text == "#"
            and scan.is_number(i + 1)
            and scan.adjacent(i + 1)
        ):
            if not scan.is_number(i - 1) or not scan.adjacent(i):
                scan.claim(i, i + 2)
        elif token.kind == WORD and token.fold in words_for("currency") and scan.is_number(i - 1):
            scan.claim(i - 1, i + 1)


def _claim_dimensions(scan: Scan) -> tuple[frozenset[int], frozenset[int]]:
    """Claim lengths, counts and dimensions.

    Gives the numbers that a word such as "size" announces, and those of them of which it says
    that they are the chain's.
    """
    hits = phrases("dimension-words", "word", "measures", "side").find(scan.words)
    sized: set[int] = set()
    by_chain = _for_chain(scan)
    loose = []
    for hit in hits:
        measures, side = hit.value
        start, end = scan.where[hit.start], scan.where[hit.end - 1] + 1
        if measures == "size":
            ahead = _ahead(scan, end)
            if ahead is not None:
                sized.add(ahead)
                if words_for("chain") & set(scan.words[hit.start : hit.end]):
                    by_chain.add(ahead)
            continue
        if scan.is_used(start, end):
            continue
        if side == "after" and measures in ("length", "quantity"):
            _claim_before(scan, start, end)
            if (
                measures == "length"
                and scan.folded(start) == "m"
                and scan.is_number(end)
                and scan.adjacent(end)
            ):
                scan.claim(start, end + 1)  # a thread, M12
        else:
            loose.append((start, end, measures, side))
    _claim_feet(scan)
    for start, end, measures, side in loose:
        _claim_labelled(scan, start, end, measures, side, sized)
    letters = [
        i
        for i, token in enumerate(scan.tokens)
        if token.kind == WORD
        and token.text in _DRAWING
        and (scan.is_number(i + 1) or (scan.is_mark(i + 1, "=:") and scan.is_number(i + 2)))
    ]
    for i in letters:  # "B = 30 mm", or several of "A 20 B 33": the letters of a drawing
        if len(letters) > 1 or scan.is_mark(i + 1, "=:"):
            _claim_number(scan, i + 1 if scan.is_number(i + 1) else i + 2)
    free = frozenset(i for i in sized | by_chain if not scan.used[i])
    return free, free & by_chain


_DRAWING = frozenset("ABCDEFHKLPRW")


def _for_chain(scan: Scan) -> set[int]:
    """Find the size in "for 3/8 in chain"."""
    found = set()
    for k, word in enumerate(scan.words):
        if word in words_for("chain"):
            start = next(
                (j for j in range(k - 1, max(-1, k - 7), -1) if scan.words[j] in words_for("for")),
                None,
            )
            if start is not None and scan.is_number(scan.where[start] + 1):
                found.add(scan.where[start] + 1)
    return found


def _claim_number(scan: Scan, i: int) -> bool:
    """Claim a number with its unit of length, unless it is a load or has been read."""
    number = number_at(scan, i)
    if number is None or scan.is_used(i, number.end):
        return False
    unit = unit_at(scan, number.end)
    if unit is not None and unit[0] not in ("mm", "cm", "in"):
        return False
    scan.claim(i, unit[1] if unit else number.end)
    return True


def _claim_before(scan: Scan, start: int, end: int) -> None:
    """Claim the number before a unit or counting word: ``20 ft``, ``10 pcs``."""
    if scan.folded(start) == "m" and scan.is_mark(end, ".") and scan.adjacent(end + 1):
        return  # the M of M.B.F.
    i = start - 1
    if scan.is_mark(i, "-"):
        i -= 1
    if scan.is_number(i) and not scan.used[i]:
        scan.claim(_number_start(scan, i), end)


def _number_start(scan: Scan, i: int) -> int:
    """Find where the number that ends at token `i` begins: 3/8 and 1-1/4 are several tokens."""
    for back in (4, 3, 2):
        number = number_at(scan, i - back) if i - back >= 0 else None
        if number is not None and number.end == i + 1 and not scan.is_used(i - back, i + 1):
            return i - back
    return i


def _claim_feet(scan: Scan) -> None:
    for i in range(1, len(scan.tokens)):
        feet = scan.is_mark(i, "'") and scan.adjacent(i) and not scan.is_mark(i + 1, "'")
        if feet and scan.is_number(i - 1) and not scan.used[i - 1]:
            scan.claim(_number_start(scan, i - 1), i + 1)


def _ahead(scan: Scan, i: int) -> int | None:
    """Give the number that a word announces, over marks and small words."""
    for _ in range(5):
        if i >= len(scan.tokens):
            return None
        if scan.is_number(i):
            return i
        token = scan.tokens[i]
        if token.kind == MARK and token.text not in ":=.()-#~'":
            return None
        if token.kind == WORD and token.fold not in words_for("between label and size"):
            return None
        i += 1
    return None


def _claim_labelled(
    scan: Scan, start: int, end: int, measures: str, side: str, sized: set[int]
) -> None:
    ahead = _ahead(scan, end) if side != "after" else None
    if ahead is not None and measures in ("code", "quantity", "length", "dimension"):
        if measures == "code":
            if scan.tokens[ahead].text and not scan.is_used(ahead, ahead + 1):
                stop = ahead + 1
                while (
                    stop < len(scan.tokens)
                    and scan.adjacent(stop)
                    and not scan.is_mark(stop, ",;)")
                ):
                    stop += 1
                # "item 3/8 in" and "no. 10 mm" name no code
                if not scan.is_mark(ahead + 1, '/"') and unit_at(scan, ahead + 1) is None:
                    scan.claim(ahead, stop)
        elif _claim_number(scan, ahead):
            sized.discard(ahead)
        return
    if side == "before":
        return
    # the number stands before the word: '1-1/8" throat', "50 mm wide"
    i = start - 1
    while i >= 0 and scan.tokens[i].kind != NUMBER:
        if not (scan.is_mark(i, '"-.') or scan.folded(i) in length_units()):
            return
        i -= 1
    if i >= 0 and not scan.used[i]:
        first = _number_start(scan, i)
        if first not in sized:
            scan.claim(first, start)
