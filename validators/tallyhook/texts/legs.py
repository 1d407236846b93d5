"""Legs, angles and type symbols of slings; angles are given to the vertical."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from tallyhook.messages import say
from tallyhook.texts.cells import whole_number
from tallyhook.texts.hedges import hedged
from tallyhook.texts.numbers import number_at
from tallyhook.texts.scan import Context, Scan
from tallyhook.vocabulary.context import phrases_for, words_for
from tallyhook.vocabulary.lexicon import phrases, rows
from tallyhook.vocabulary.tokens import MARK, WORD

__all__ = ["Angle", "Legs", "find_angle", "find_legs", "read_angle", "read_legs"]

_FLATTEST = 30
"""No sling leg stands flatter than this to the horizontal (EN 818-4: 60 degrees to the vertical;
American practice, too), so that a smaller angle counts from the vertical."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Legs:
    """The number of legs, whether a type symbol says it, or why it is not known."""

    legs: int | None = None
    symbol: bool = False
    three_or_four: bool = False
    note: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Angle:
    """The range of the angle of a leg to the vertical [deg], or why it is not known.

    ``either`` holds the largest angle to the vertical where it is not said from which line it
    counts: first if that is the vertical, then if it is the horizontal.
    """

    from_deg: float | None = None
    to_deg: float | None = None
    either: tuple[float, float] | None = None
    note: str | None = None

    @property
    def unread(self) -> bool:
        """Whether nothing of it is known; an angle from either line is known in two readings."""
        return self.to_deg is None and self.either is None and self.note is not None


def read_legs(text: str, *, context: Context | None = None) -> Legs:
    """Read a cell of a legs column.

    Examples
    --------
    >>> read_legs("2-leg").legs, read_legs("double").legs, read_legs("4").legs
    (2, 2, 4)
    """
    scan = Scan(whole_number(text.strip()), context or Context())
    if re.findall(r"\d+", text) == ["3", "4"]:
        # one column of the European tables rates both; which of the two a sling is, it does not say
        return Legs(three_or_four=True, note=say("'{shown}' is three or four", shown=text.strip()))
    if len(scan.tokens) == 1 and scan.tokens[0].text in ("1", "2", "3", "4"):
        return Legs(legs=int(scan.tokens[0].text))
    found = find_legs(scan, sling=True)
    if found.legs is None and found.note is None and scan.tokens:
        return Legs(note=say("'{shown}' is no number of legs", shown=text.strip()))
    if found.legs is not None and hedged(scan):
        return Legs(note=say("'{shown}' is not one number of legs", shown=text.strip()))
    return found


def find_legs(scan: Scan, *, sling: bool) -> Legs:
    """Find the number of legs in a text and claim it.

    Parameters
    ----------
    scan : Scan
        The text.
    sling : bool
        Whether the text is known to be about a sling: only then do ``double`` and ``quad``
        alone say a number of legs.
    """
    found: set[int] = set()
    shown: list[str] = []
    several = False
    for hit in phrases("leg-words", "word", "legs", "slings_only").find(scan.words):
        legs, slings_only = hit.value
        start, end = scan.where[hit.start], scan.where[hit.end - 1] + 1
        if legs:
            if sling or not slings_only:
                found.add(int(legs))
                shown.append(scan.cut(start, end))
                scan.claim(start, end)
            continue
        before = start - 1
        while before >= 0 and scan.is_mark(before, "-"):
            before -= 1
        if not scan.is_number(before) or scan.used[before]:
            continue
        if scan.is_mark(before - 1, "/&-+") and scan.is_number(before - 2):
            # three- and four-leg slings share a column
            several = True
            scan.claim(before - 2, end)
        elif scan.means(before - 1, "and", "or"):
            several = True
            scan.claim(before, end)
        elif scan.tokens[before].text in ("1", "2", "3", "4"):
            found.add(int(scan.tokens[before].text))
            shown.append(scan.cut(before, end))
            scan.claim(before, end)
    symbol = _symbol(scan, sling=sling)
    if symbol is not None:
        found.add(symbol)
    if several:
        return Legs(note=say("more than one number of legs"))
    if len(found) > 1:
        return Legs(note=say("more than one number of legs ({shown})", shown=", ".join(shown)))
    return Legs(legs=found.pop() if found else None, symbol=symbol is not None)


_ANIMAL = "animal"


@cache
def _symbols() -> dict[str, tuple[int, str]]:
    return {
        str(r["symbol"]): (int(r["legs"]), str(r["a_word"] or "")) for r in rows("sling-symbols")
    }


def _symbol(scan: Scan, *, sling: bool) -> int | None:
    """Read a type symbol such as SOS or ADOG; DOG in capitals may also be the animal."""
    for i, token in enumerate(scan.tokens):
        if (
            token.kind != WORD
            or token.text not in _symbols()
            or scan.used[i]
            or not scan.stands_free(i, i + 1)
        ):
            continue
        shouting = scan.text.upper() == scan.text
        legs, a_word = _symbols()[token.text]
        if shouting and not sling and a_word:
            continue
        animal = scan.means(i - 1, "before a dog") or (scan.means(i + 1, "behind a dog"))
        if animal and a_word == _ANIMAL:
            continue
        scan.claim(i, i + 1)
        return legs
    return None


def read_angle(text: str, heading: str = "", *, context: Context | None = None) -> Angle:
    """Read a cell or heading that holds an angle, with or without a degree sign.

    The words of the heading that the cell stands under may say from which line it counts.

    Examples
    --------
    >>> read_angle("0-45").to_deg, read_angle("60 deg to the horizontal").to_deg
    (45.0, 30.0)
    >>> read_angle("60", "Angle to horizontal").to_deg, read_angle("steep").note
    (30.0, "'steep' is no angle")
    """
    text = text.strip()
    scan = Scan(f"{text} {heading}", context or Context())
    found = _find(scan, signed=False)
    cell = Scan(text, context or Context())
    unread = any(scan.is_number(i) and not scan.used[i] for i in range(len(cell.tokens)))
    if found == Angle() or hedged(cell) or unread or _slips(cell):
        return Angle(note=say("'{shown}' is no angle", shown=text))
    return found


def _slips(cell: Scan) -> bool:
    """Tell whether a letter stands where a digit should: "O-45", "4S", "l5-45"."""
    for i, token in enumerate(cell.tokens):
        if token.kind != WORD or len(token.text) > 1 or not token.text.isascii():
            continue
        joined = cell.adjacent(i) or cell.adjacent(i + 1)
        if joined and not cell.means(i, "degree", "temperature"):
            return True
    return False


def find_angle(scan: Scan) -> Angle:
    """Find the angle of the legs in a free text and claim it; a degree sign or word is needed."""
    return _find(scan, signed=True)


def _find(scan: Scan, *, signed: bool) -> Angle:
    found: list[tuple[float | None, float, int, int]] = []
    i = 0
    while i < len(scan.tokens):
        read = _angle_at(scan, i, signed=signed)
        if read is None:
            i += 1
            continue
        found.append(read)
        scan.claim(read[2], read[3])
        i = read[3]
    if not found:
        return Angle()
    if len(found) > 1:
        shown = scan.cut(found[0][2], found[-1][3])
        return Angle(note=say("'{shown}' is more than one angle", shown=shown))
    return _to_vertical(scan, *found[0])


def _angle_at(scan: Scan, i: int, *, signed: bool) -> tuple[float | None, float, int, int] | None:
    """Read one angle or range from token `i` on: from, to, first token, token after the last."""
    number = number_at(scan, i)
    if (
        number is None
        or scan.is_used(i, number.end)
        or number.inch is not None
        or number.value > 180
    ):
        return None
    end, sign = _sign(scan, number.end)
    if sign is None:
        return None
    first, low_sign = number.value, sign
    after = end
    joined = False
    # "0-45", "0° bis 45°", "45° < β ≤ 60°"
    while after < len(scan.tokens) and after < end + 4:
        token = scan.tokens[after]
        if (token.kind == MARK and token.text in "-<≤~.") or (
            token.kind == WORD and token.fold in words_for("range", "and")
        ):
            joined = True
        elif not (token.kind == WORD and token.fold in words_for("vertical") and joined):
            break
        after += 1
    second = number_at(scan, after) if joined else None
    if second is not None and not scan.is_used(after, second.end) and second.inch is None:
        stop, sign = _sign(scan, second.end)
        if (sign and first < second.value <= 180) or (
            sign is False and not signed and first < second.value <= 180
        ):
            return first, second.value, i, stop
    if low_sign or not signed:
        upper = scan.is_mark(i - 1, "≤<") or scan.ends(i, phrases_for("up to"))
        return (0.0 if upper else None), first, i, end
    return None


def _sign(scan: Scan, i: int) -> tuple[int, bool | None]:
    """Read a degree sign: the token after it and whether it is there; None for a temperature."""
    if scan.is_mark(i, "°"):
        if scan.means(i + 1, "temperature") and scan.adjacent(i + 1):
            return i, None
        return i + 1, True
    if scan.is_mark(i, "-") and scan.means(i + 1, "degree"):
        return i + 2, True
    if scan.means(i, "degree"):
        end = i + 1
        if scan.is_mark(end, "."):
            end += 1
        if scan.means(end, "temperature"):
            return i, None
        return end, True
    return i, False


def _to_vertical(scan: Scan, low: float | None, high: float, start: int, end: int) -> Angle:
    near = {scan.folded(k) for k in range(max(0, start - 6), min(len(scan.tokens), end + 5))}
    shown = scan.cut(start, end)
    system = scan.context.system
    if near & words_for("between legs"):
        half = None if low is None else low / 2
        # beyond 120 it is kept, too: no table goes so far, and unread it would fit any of them
        return (
            Angle(from_deg=half, to_deg=high / 2)
            if high < 180
            else Angle(note=say("'{shown}' is no angle of a leg", shown=shown))
        )
    if near & words_for("horizontal") and not near & words_for("vertical"):
        if high > 90 or (low is not None and low > high):
            return Angle(note=say("'{shown}' is no angle of a leg", shown=shown))
        if low is None:
            return Angle(to_deg=90 - high)
        return Angle(from_deg=90 - high, to_deg=90 - low)
    if near & words_for("vertical") and not near & words_for("horizontal") and high < 90:
        return Angle(from_deg=low, to_deg=high)
    if high > 60:
        # more than a right angle is the one between two legs; less may be to the horizontal, too
        between = None
        if low is None and high < 180:
            between = (high / 2, high / 2 if high > 90 else 90 - high)
        note = say("'{shown}' may be the angle of a leg or between two legs", shown=shown)
        return Angle(either=between, note=note)
    if high == 45 and low in (None, 0):
        return Angle(from_deg=low, to_deg=high)  # the same from either line
    unsaid = say("'{shown}' may be to the vertical or to the horizontal", shown=shown)
    if low is None:
        if high < _FLATTEST:
            return Angle(to_deg=high)
        if system == "us" and high in (30, 60):
            return Angle(to_deg=90 - high)  # American charts count from the horizontal
        return Angle(either=(high, 90 - high), note=unsaid)
    if system == "us" and low != 0:
        return Angle(either=(high, 90 - low) if low >= _FLATTEST else None, note=unsaid)
    return Angle(from_deg=low, to_deg=high)
