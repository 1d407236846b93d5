"""Numbers as lists write them: decimal and thousands marks, fractions, mixed numbers."""

from __future__ import annotations

import re
from dataclasses import dataclass

from tallyhook.texts.scan import Context, Scan
from tallyhook.vocabulary.tokens import FRACTIONS

__all__ = ["Number", "number_at", "numeral", "read_number"]

_GROUP = re.compile(r"(\d{3})(?:[.,](\d{1,2}))?")
"""A group of thousands; one or two digits behind a mark are decimals, whatever the mark is."""

_DENOMINATORS = frozenset({2, 4, 8, 16, 32, 64})


@dataclass(frozen=True, slots=True, kw_only=True)
class Number:
    """A number and how it was written.

    Attributes
    ----------
    value : float
        The number.
    step : float
        Worth of the last significant digit written: 100 for ``7,100``, 0.1 for ``3.0``.
    other : float or None
        What it would be if its only mark were read the other way (``4.250``), else None.
    inch : str or None
        The fraction as an inch name, ``1-1/4``, when it was written as one.
    spaced : bool
        Whether it was put together over a space, as ``12 000`` and ``1 1/4`` are.
    start, end : int
        The tokens it covers.
    """

    value: float
    step: float
    other: float | None = None
    inch: str | None = None
    spaced: bool = False
    start: int = 0
    end: int = 0


def read_number(text: str, *, decimal: str | None = None) -> Number | None:
    """Read a text that is a number and nothing else.

    Parameters
    ----------
    text : str
        The text.
    decimal : str or None
        The decimal mark of the list. Without one a number such as ``4.250`` keeps both readings:
        `Number.value` is the one with a decimal point and `Number.other` the one with thousands.

    Examples
    --------
    >>> read_number("1-1/4").value, read_number("7,100", decimal=".").value
    (1.25, 7100.0)
    >>> read_number("4.250", decimal=",").value, read_number("4.250").other
    (4250.0, 4250.0)
    """
    scan = Scan(text, Context(decimal=decimal))
    found = number_at(scan, 0, spaces=True)
    return found if found is not None and found.end == len(scan.tokens) else None


def number_at(scan: Scan, i: int, *, spaces: bool = False) -> Number | None:
    """Read the number that begins at token `i`.

    Parameters
    ----------
    scan : Scan
        The text.
    i : int
        The token.
    spaces : bool
        Whether a space may group thousands (``12 000``).
    """
    if not scan.is_number(i):
        return None
    text = scan.tokens[i].text
    if text in FRACTIONS:
        return _fraction(0, *FRACTIONS[text], start=i, end=i + 1)
    if text.isdigit() and len(text) <= 3:
        mixed = _mixed(scan, i, int(text))
        if mixed is not None:
            return mixed
        if spaces:
            grouped = _spaced(scan, i)
            if grouped is not None:
                return grouped
    found = numeral(text, scan.context.decimal)
    if found is None:
        return None
    value, step, other = found
    return Number(value=value, step=step, other=other, start=i, end=i + 1)


def numeral(text: str, decimal: str | None) -> tuple[float, float, float | None] | None:
    """Give the value of digits with marks, the worth of the last digit, and the other reading.

    A mark that can only be one thing is read as that, whatever the list's decimal mark is:
    three digits after it and one to three before it are what makes it doubtful.
    """
    if len(text) > 15:
        return None
    marks = [c for c in text if not c.isdigit()]
    if not marks:
        return float(text), _step(text), None
    if len(set(marks)) == 2:
        last = marks[-1]
        whole, _, part = text.rpartition(last)
        if last == "'" or marks.count(last) > 1 or not _grouped(whole, marks[0]):
            return None
        return _decimal(whole.replace(marks[0], ""), part)
    if len(set(marks)) > 2:
        return None
    mark = marks[0]
    if len(marks) > 1 or mark == "'":
        digits = text.replace(mark, "")
        return (float(digits), _step(digits), None) if _grouped(text, mark) else None
    head, _, tail = text.partition(mark)
    if len(tail) != 3 or not _grouped(text, mark):
        return _decimal(head or "0", tail)
    thousands = float(head + tail)
    point = float(f"{head}.{tail}")
    if decimal is None or decimal == mark:
        return point, 0.001, thousands
    return thousands, _step(head + tail), point


def _decimal(whole: str, part: str) -> tuple[float, float, None]:
    return float(f"{whole}.{part}"), float(f"1e-{len(part)}"), None


def _grouped(text: str, mark: str) -> bool:
    head, *rest = text.split(mark)
    return 1 <= len(head) <= 3 and not head.startswith("0") and all(len(r) == 3 for r in rest)


def _step(digits: str) -> float:
    """Worth of the last digit of an integer that is not a trailing zero."""
    kept = digits.rstrip("0")
    return float(10 ** (len(digits) - len(kept))) if kept else 1.0


def _mixed(scan: Scan, i: int, first: int) -> Number | None:
    """Read ``3/8``, ``1-1/4``, ``1 1/4`` or ``1½`` from token `i` on."""
    tokens = scan.tokens
    simple = _simple(scan, i)
    if simple is not None:
        return simple
    if i + 1 < len(tokens) and tokens[i + 1].text in FRACTIONS:
        return _fraction(
            first,
            *FRACTIONS[tokens[i + 1].text],
            start=i,
            end=i + 2,
            spaced=not scan.adjacent(i + 1),
        )
    if scan.is_mark(i + 1, "-") and scan.adjacent(i + 1) and scan.adjacent(i + 2):
        part, spaced = i + 2, False
    elif scan.is_number(i + 1):
        part, spaced = i + 1, True
    else:
        return None
    if part < len(tokens) and tokens[part].text in FRACTIONS:
        return _fraction(first, *FRACTIONS[tokens[part].text], start=i, end=part + 1, spaced=spaced)
    tail = _simple(scan, part)
    if tail is None or tail.inch is None or first == 0:
        return None
    number, denominator = (int(x) for x in tail.inch.split("/"))
    return _fraction(first, number, denominator, start=i, end=tail.end, spaced=spaced)


def _simple(scan: Scan, i: int) -> Number | None:
    if not (scan.is_number(i) and scan.is_mark(i + 1, "/") and scan.is_number(i + 2)):
        return None
    above, below = scan.tokens[i].text, scan.tokens[i + 2].text
    if not (above.isdigit() and below.isdigit() and len(above) <= 2 and len(below) <= 2):
        return None
    if scan.is_mark(i + 3, "/") and scan.is_number(i + 4):
        return None  # a series such as 1/2/4
    number, denominator = int(above), int(below)
    if denominator not in _DENOMINATORS or not 0 < number < denominator or number % 2 == 0:
        return None
    return _fraction(0, number, denominator, start=i, end=i + 3)


def _fraction(
    whole: int, number: int, denominator: int, *, start: int, end: int, spaced: bool = False
) -> Number:
    name = f"{number}/{denominator}"
    return Number(
        value=whole + number / denominator,
        step=1 / denominator,
        inch=f"{whole}-{name}" if whole else name,
        spaced=spaced,
        start=start,
        end=end,
    )


def _spaced(scan: Scan, i: int) -> Number | None:
    """Read thousands grouped by spaces from token `i` on; the last group may have decimals."""
    end, digits = i + 1, scan.tokens[i].text
    decimals = ""
    if digits.startswith("0"):
        return None
    while (
        not decimals
        and scan.is_number(end)
        and not scan.adjacent(end)
        and not scan.used[end]
        and (group := _GROUP.fullmatch(scan.tokens[end].text))
    ):
        digits += group[1]
        decimals = group[2] or ""
        end += 1
    if end == i + 1 or len(digits) > 9:
        return None
    if decimals:
        value, step, _ = _decimal(digits, decimals)
        return Number(value=value, step=step, spaced=True, start=i, end=end)
    return Number(value=float(digits), step=_step(digits), spaced=True, start=i, end=end)
