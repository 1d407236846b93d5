"""Numbers, units, rows and lists as people at the counter write them; the caution; the width."""

from __future__ import annotations

import shutil
import textwrap
from collections.abc import Iterable, Sequence
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from tallyhook.messages import say, to_say
from tallyhook.units import factor

__all__ = [
    "CAUTION",
    "USUAL_WIDTH",
    "and_list",
    "load_text",
    "number_text",
    "one_line",
    "or_list",
    "rating_text",
    "rounded_down",
    "rounded_up",
    "row_list",
    "row_ranges",
    "size_text",
    "terminal_lines",
    "terminal_width",
    "times_text",
    "wrapped",
]

CAUTION = to_say(
    "Follow the maker's instructions, local codes and a qualified person; "
    "a maker's marked rating governs over any general table."
)
"""The one caution that every command prints beside ratings."""

USUAL_WIDTH, _LEAST_WIDTH = 80, 40  # columns of a terminal

_MOST_ROWS = 12  # row numbers written out before the rest is counted

_PLURAL = {"short ton": "short tons", "long ton": "long tons"}


def number_text(value: float) -> str:
    """Write a number with thousands commas and no more digits than it has.

    Examples
    --------
    >>> number_text(26400.0), number_text(3.15), number_text(3220.5)
    ('26,400', '3.15', '3,220.5')
    """
    return f"{value:,.6f}".rstrip("0").rstrip(".")


def one_line(text: str) -> str:
    """Keep a text that may come from anywhere in one line, its control characters written out.

    Examples
    --------
    >>> one_line("a" + chr(10) + "b" + chr(27) + "[31m")
    'a\\\\nb\\\\x1b[31m'
    """
    return "".join(
        c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in text
    )


def load_text(kg: float, unit: str, *, down: bool = False) -> str:
    """Write a load of so many kilograms in a unit, to four figures; cut `down` if it is a rating.

    Examples
    --------
    >>> load_text(3200, "t"), load_text(2993.7, "lb"), load_text(3200, "kN")
    ('3.2 t', '6,600 lb', '31.38 kN')
    """
    value = kg * factor("kg", unit)
    figures = rounded_down(value) if down else float(f"{value:.4g}")
    name = _PLURAL.get(unit, unit) if figures != 1 else unit
    return f"{number_text(figures)} {name}"


def rating_text(value: float, unit: str, wanted: str) -> str:
    """Write a published rating for a reader who thinks in another unit, keeping what is printed.

    A converted one is cut to four figures, never rounded up: someone will lift by it.

    Examples
    --------
    >>> rating_text(7100, "lb", "lb"), rating_text(3150, "kg", "t"), rating_text(7100, "lb", "t")
    ('7,100 lb', '3.15 t', '3.22 t (7,100 lb)')
    >>> rating_text(7100, "lb", "short ton"), rating_text(5360, "kg", "lb")
    ('3.55 short tons (7,100 lb)', '11,810 lb (5,360 kg)')
    """
    if (unit, wanted) == ("kg", "t"):
        return f"{number_text(value / 1000)} t"
    printed = f"{number_text(round(value, 2))} {unit}"
    if wanted == unit:
        return printed
    cut = rounded_down(value * factor(unit, wanted))
    name = _PLURAL.get(wanted, wanted) if cut != 1 else wanted
    return f"{number_text(cut)} {name} ({printed})"


def rounded_down(value: float) -> float:
    """Round a load down to four figures: a printed load never promises more.

    Examples
    --------
    >>> rounded_down(5577.9), rounded_down(3.15), rounded_down(12297.2)
    (5577.0, 3.15, 12290.0)
    """
    return _four_figures(value, ROUND_FLOOR)


def rounded_up(value: float) -> float:
    """Round a needed rating up to four figures: a printed one never asks for less.

    Examples
    --------
    >>> rounded_up(942.81), rounded_up(3150.0), rounded_up(12290.1)
    (942.9, 3150.0, 12300.0)
    """
    return _four_figures(value, ROUND_CEILING)


def _four_figures(value: float, rounding: str) -> float:
    if value <= 0:
        return 0.0
    # the ninth figure is the floating point's and not the load's
    whole = Decimal(f"{value:.9g}")
    return float(whole.quantize(Decimal(1).scaleb(whole.adjusted() - 3), rounding))


def size_text(size_mm: float | None, size_in: str | None) -> str:
    """Write a nominal size by the name the list used.

    Examples
    --------
    >>> size_text(10.0, "3/8"), size_text(10.0, None), size_text(None, None)
    ('3/8 in', '10 mm', '')
    """
    if size_in:
        return f"{size_in} in"
    return f"{number_text(size_mm)} mm" if size_mm is not None else ""


def times_text(ratio: float | None) -> str:
    """Write how many times the expected load is listed, to three figures; empty if not known.

    Examples
    --------
    >>> times_text(4.0), times_text(2.20462), times_text(None)
    ('4', '2.2', '')
    """
    return f"{ratio:.3g}" if ratio else ""


def row_ranges(rows: Iterable[int]) -> str:
    """Write row numbers as ranges.

    Examples
    --------
    >>> row_ranges([2, 3, 4, 9, 11, 12])
    '2-4, 9, 11-12'
    """
    ordered = sorted(set(rows))
    runs: list[list[int]] = []
    for row in ordered:
        if runs and row == runs[-1][1] + 1:
            runs[-1][1] = row
        else:
            runs.append([row, row])
    return ", ".join(str(a) if a == b else f"{a}-{b}" for a, b in runs)


def row_list(rows: Iterable[int]) -> str:
    """Write row numbers one by one, and count the rest where they are many.

    Examples
    --------
    >>> row_list([2, 3, 9]), row_list(range(2, 20))
    ('2, 3, 9', '2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13 and 6 more')
    """
    rows = list(rows)
    first = ", ".join(map(str, rows[:_MOST_ROWS]))
    if len(rows) <= _MOST_ROWS:
        return first
    return say("{rows} and {n} more", rows=first, n=len(rows) - _MOST_ROWS)


def or_list(parts: Sequence[str]) -> str:
    """Write alternatives with "or" between them.

    Examples
    --------
    >>> or_list(["a"]), or_list(["a", "b", "c"])
    ('a', 'a or b or c')
    """
    text, *others = parts
    for other in others:
        text = say("{one} or {other}", one=text, other=other)
    return text


def and_list(parts: Sequence[str]) -> str:
    """Write a list of parts with "and" before the last.

    Examples
    --------
    >>> and_list(["a"]), and_list(["a", "b", "c"])
    ('a', 'a, b and c')
    """
    *first, last = parts
    return say("{first} and {last}", first=", ".join(first), last=last) if first else last


def terminal_width() -> int:
    """Give the width that texts are wrapped to: the terminal's, the usual one where there is none.

    Examples
    --------
    >>> terminal_width() >= 40
    True
    """
    return max(shutil.get_terminal_size((USUAL_WIDTH, 24)).columns, _LEAST_WIDTH)


def terminal_lines(line: str) -> list[str]:
    """Give a line for the terminal: whole, or wrapped where it is narrower than usual.

    Whole, those find it who search for it; what begins with spaces is indented further.
    """
    if terminal_width() >= USUAL_WIDTH or not line:
        return [line]
    text = line.lstrip()
    lead = len(line) - len(text)
    return wrapped(text, first=" " * lead, indent=lead + 4 if lead else 0)


def wrapped(text: str, *, first: str | None = None, indent: int = 0) -> list[str]:
    """Wrap a text to the terminal, or to 80 columns where there is none.

    The first line begins with `first`, the others with `indent` spaces; no word is broken.
    """
    lead = " " * indent
    return textwrap.wrap(
        text,
        terminal_width(),
        initial_indent=lead if first is None else first,
        subsequent_indent=lead,
        break_long_words=False,
        break_on_hyphens=False,
    )
