"""The chain size in a free text, once loads, grades, lengths and dimensions have been claimed."""

from __future__ import annotations

from tallyhook.messages import say
from tallyhook.texts.numbers import Number, number_at
from tallyhook.texts.scan import Scan
from tallyhook.texts.sizes import (
    TWO_SIZES,
    Size,
    SizeReading,
    decimal_name,
    inch_beside_mm,
    inch_names,
    merge_sizes,
    metric_sizes,
    size_and_grade,
    size_labels,
    two_inch_sizes,
    two_metric_sizes,
)
from tallyhook.texts.units import unit_at
from tallyhook.vocabulary.tokens import NUMBER

__all__ = ["find_size"]


def find_size(
    scan: Scan,
    *,
    grade: int | None = None,
    label_ends: frozenset[int] = frozenset(),
    only_labelled: bool = False,
) -> SizeReading:
    """Find the chain size in a free text.

    Loads, grades, lengths and other dimensions must have been claimed before. A bare whole
    number is never a size; two different sizes are not read.

    Parameters
    ----------
    scan : Scan
        The text.
    grade : int or None
        The grade that the text says in other words.
    label_ends : frozenset of int
        Tokens before which a word such as "size" or "for chain" stands.
    only_labelled : bool
        Whether no other number counts.
    """
    found: list[tuple[SizeReading, bool]] = []
    i = 0
    while i < len(scan.tokens):
        if scan.tokens[i].kind != NUMBER or scan.used[i]:
            i += 1
            continue
        read, end = _size_at(scan, i, grade, i in label_ends or scan.means(i - 1, "diameter"))
        if read is not None and (i in label_ends or not only_labelled):
            found.append((read, i in label_ends))
            scan.claim(i, end)
        i = max(end, i + 1)
    if not found:
        return SizeReading()
    labelled = [r for r, marked in found if marked]
    return merge_sizes(labelled or [r for r, _ in found])


def _size_at(
    scan: Scan, i: int, grade: int | None, labelled: bool
) -> tuple[SizeReading | None, int]:
    """Read a size from token `i` of a free text on: the reading and the token after it."""
    number = number_at(scan, i)
    if number is None:
        return None, i + 1
    read = unit_at(scan, number.end)
    own, end = read if read and read[0] in ("mm", "in") else (None, number.end)
    if read and read[0] not in ("mm", "in"):
        return None, read[1]
    crossed = _crossed(scan, i, number, own, end)
    if crossed is not None:
        return crossed
    pair = _pair(scan, i, number, own, end, grade)
    if pair is not None:
        return pair
    if not scan.stands_free(i, end):
        return None, end
    text = scan.cut(i, end)
    if number.inch is not None:
        return _fraction(scan, number, own, text, labelled, grade, i), end
    if own == "in":
        name = decimal_name(number.value, 0.006)
        return (
            SizeReading(size=Size(mm=inch_names()[name], inch=name, text=text)) if name else None
        ), end
    written = scan.tokens[i].text
    if own is None and number.value < 1 and len(written.partition(".")[2]) >= 3:
        name = decimal_name(number.value, 0.0006)
        return (
            SizeReading(size=Size(mm=inch_names()[name], inch=name, text=text)) if name else None
        ), end
    if own == "mm" or (labelled and scan.context.system == "metric" and number.end == i + 1):
        if number.value in metric_sizes():
            return SizeReading(size=Size(mm=number.value, text=text)), end
        return (
            SizeReading(note=say("'{shown}' is no chain size", shown=text)) if labelled else None
        ), end
    return None, end


def _fraction(
    scan: Scan,
    number: Number,
    own: str | None,
    text: str,
    labelled: bool,
    grade: int | None,
    i: int,
) -> SizeReading | None:
    assert number.inch is not None
    if own == "mm":
        return two_metric_sizes(number.inch, text)
    if number.inch not in inch_names():
        tail = number.inch.partition("-")[2]
        if number.spaced and tail in inch_names():
            return SizeReading(
                note=say(
                    "'{shown}' may be {inch} or a count and {tail}",
                    shown=text,
                    inch=number.inch,
                    tail=tail,
                )
            )
        if number.spaced is False and tail in inch_names() and "-" in number.inch:
            head = float(number.inch.partition("-")[0])
            if (tail, head) in size_labels() and own is None:
                return SizeReading(size=Size(mm=inch_names()[tail], inch=tail, text=text))
        return SizeReading(note=say("'{shown}' is no chain size", shown=text)) if labelled else None
    if number.spaced and own is None and (grade is None or grade < 80):
        return SizeReading(
            note=say(
                "'{shown}' may be {inch} or a count and {tail}",
                shown=text,
                inch=number.inch,
                tail=number.inch.partition("-")[2],
            )
        )
    size = Size(mm=inch_names()[number.inch], inch=number.inch, text=text)
    if number.inch == "7/8" and own != "in":
        return SizeReading(either=(size, Size(mm=7.0, mm_to=8.0, text=text)))
    return SizeReading(size=size)


def _crossed(
    scan: Scan, i: int, number: Number, own: str | None, end: int
) -> tuple[SizeReading | None, int] | None:
    """Read ``d x p``: chain by diameter and pitch, or a size and another dimension or length."""
    if not scan.means(end, "by"):
        return None
    second = number_at(scan, end + 1)
    if second is None:
        return None
    after = unit_at(scan, second.end)
    unit = after[0] if after else None
    stop = after[1] if after else second.end
    first = scan.cut(i, end)
    if scan.is_used(end + 1, second.end):
        # the length was read already; what stands before it is the size
        return None if own or number.inch else (None, end)
    if number.inch is None and own in (None, "mm") and unit in (None, "mm"):
        if number.value in metric_sizes() and abs(second.value - 3 * number.value) <= 0.6:
            return SizeReading(size=Size(mm=number.value, text=scan.cut(i, stop))), stop
        return (
            (SizeReading(size=Size(mm=number.value, text=first)), stop)
            if own == "mm" and unit is None and number.value in metric_sizes()
            else (None, stop)
        )
    if number.inch is None and own is None:
        return None, stop  # a count and something else
    if (
        number.inch in inch_names()
        and number.inch != "7/8"
        and unit is None
        and second.inch is None
    ):
        size = Size(mm=inch_names()[number.inch], inch=number.inch, text=first)
        return SizeReading(size=size), stop
    return None, stop


def _pair(
    scan: Scan, i: int, number: Number, own: str | None, end: int, grade: int | None
) -> tuple[SizeReading | None, int] | None:
    """Read two joined numbers: ``3/8-10``, ``1/4-5/16``, ``7-8 mm``, ``18/20 mm``, ``10-8``."""
    joined = scan.is_mark(end, "-/&") or scan.means(end, "range", "and", "or")
    if not joined or not scan.is_number(end + 1) or scan.is_used(end, end + 2):
        return None
    second = number_at(scan, end + 1)
    if second is None:
        return None
    after = unit_at(scan, second.end)
    if after and after[0] not in ("mm", "in"):
        return None
    unit, stop = (after[0], after[1]) if after else (None, second.end)
    if not scan.stands_free(i, stop):
        return None if scan.stands_free(i, end) and not scan.adjacent(end) else (None, stop)
    text = scan.cut(i, stop)
    join = scan.tokens[end].text
    tight = scan.adjacent(end) and scan.adjacent(end + 1)
    names = (
        number.inch if number.inch in inch_names() else None,
        second.inch if second.inch in inch_names() else None,
    )
    if own == "in" and number.inch is None:
        names = (decimal_name(number.value, 0.006), names[1])
    if names[0] and names[1] and own != "mm" and unit != "mm":
        return two_inch_sizes(names[0], names[1], text), stop
    if names[0] and second.inch is None and (unit == "mm" or (tight and unit is None)):
        return inch_beside_mm(names[0], second.value, text), stop
    if names[1] and number.inch is None and own == "mm":
        return inch_beside_mm(names[1], number.value, text), stop
    if number.inch or second.inch:
        return None
    low, high = number.value, second.value
    if "mm" in (own, unit) and "in" not in (own, unit):
        if low in metric_sizes() and high in metric_sizes() and low < high <= low * TWO_SIZES:
            return SizeReading(size=Size(mm=low, mm_to=high, text=text)), stop
        return SizeReading(note=say("'{shown}' is not one chain size", shown=text)), stop
    if own or unit or not tight:
        return None
    if join == "/":
        if (
            low in metric_sizes()
            and high in metric_sizes()
            and low < high <= low * TWO_SIZES
            and high not in (8, 10)
        ):
            return SizeReading(size=Size(mm=low, mm_to=high, text=text)), stop
        return None, stop
    if join == "-" and low in metric_sizes() and high in (8, 10):
        read = size_and_grade(low, high, text)
        if read.size and read.size.grade and grade not in (None, read.size.grade):
            return SizeReading(
                note=say("'{shown}' does not fit grade {grade}", shown=text, grade=grade)
            ), stop
        if read.size is None and grade == high * 10 and low < high / 1.2:
            return SizeReading(size=Size(mm=low, text=text, grade=grade)), stop
        return read, stop
    return None, stop
