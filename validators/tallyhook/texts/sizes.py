"""Sizes of chain: inch names, millimetres, both together, and parts for two sizes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from tallyhook.messages import say
from tallyhook.texts.hedges import hedged
from tallyhook.texts.numbers import Number, number_at
from tallyhook.texts.scan import Context, Scan
from tallyhook.texts.units import unit_at
from tallyhook.vocabulary.blanks import is_blank
from tallyhook.vocabulary.context import words_for
from tallyhook.vocabulary.lexicon import rows
from tallyhook.vocabulary.tokens import NUMBER
from tallyhook.wording import and_list

__all__ = [
    "TWO_SIZES",
    "Size",
    "SizeReading",
    "decimal_name",
    "inch_beside_mm",
    "inch_names",
    "merge_sizes",
    "metric_sizes",
    "read_size",
    "settle_size",
    "size_and_grade",
    "size_labels",
    "two_inch_sizes",
    "two_metric_sizes",
]

_LEAST_MM, _MOST_MM = 3.0, 60.0  # the thinnest and thickest chain anybody rates, with room
TWO_SIZES = 1.34  # two sizes that one fitting serves are neighbours: 7 and 8, 18 and 20, 10 and 13


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """A nominal chain size.

    Attributes
    ----------
    mm : float
        Nominal diameter [mm].
    inch : str or None
        The inch name it was written by.
    mm_to : float or None
        The larger size of a part for two sizes [mm].
    text : str
        As written.
    grade : int or None
        The grade that a code such as ``10-8`` carries with the size.
    """

    mm: float
    inch: str | None = None
    mm_to: float | None = None
    text: str = ""
    grade: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeReading:
    """The size, or two readings that only the load can tell apart, or why it is not known."""

    size: Size | None = None
    either: tuple[Size, Size] | None = None
    note: str | None = None


@cache
def inch_names() -> dict[str, float]:
    return {str(r["name"]): float(r["size_mm"]) for r in rows("sizes") if r["family"] == "inch"}


@cache
def _inch_order() -> dict[str, int]:
    inch = sorted(
        (r for r in rows("sizes") if r["family"] == "inch"), key=lambda r: float(r["value_in"])
    )
    return {str(r["name"]): k for k, r in enumerate(inch)}


@cache
def _inch_values() -> tuple[tuple[float, str], ...]:
    return tuple(
        (float(r["value_in"]), str(r["name"])) for r in rows("sizes") if r["family"] == "inch"
    )


@cache
def metric_sizes() -> frozenset[float]:
    return frozenset(float(r["size_mm"]) for r in rows("sizes") if r["family"] == "metric")


@cache
def size_labels() -> frozenset[tuple[str, float]]:
    return frozenset((str(r["size_in"]), float(r["label_mm"])) for r in rows("size-labels"))


def read_size(
    text: str, *, unit: str | None = None, inches: bool = False, context: Context | None = None
) -> SizeReading:
    """Read a cell of a size column.

    Parameters
    ----------
    text : str
        The cell.
    unit : str or None
        Unit of the column, ``mm`` or ``in``.
    inches : bool
        Whether other cells of the column are inch fractions, so that ``1`` is one inch.
    context : Context
        Decimal mark and system of the list.

    Examples
    --------
    >>> read_size('3/8"').size.mm, read_size("10 mm").size.mm, read_size("1-1/4").size.inch
    (10.0, 10.0, '1-1/4')
    >>> read_size("7/8", unit="mm").size.mm_to
    8.0
    """
    text = text.strip()
    scan = Scan(text, context or Context())
    if not scan.tokens or not any(t.kind == NUMBER for t in scan.tokens):
        return SizeReading(note=None if is_blank(text) else say("'{shown}' is no size", shown=text))
    start = 0
    while scan.means(start, "size label") or (
        start < len(scan.tokens) and scan.is_mark(start, ".:=")
    ):
        start += 1
    pieces = _pieces(scan, start, unit)
    if pieces is None or hedged(scan):
        return SizeReading(note=say("'{shown}' could not be read as a size", shown=text))
    if unit == "mm" and len(pieces) == 1 and pieces[0].number.inch and pieces[0].unit is None:
        return two_metric_sizes(pieces[0].number.inch, text)
    return _from_pieces(scan, pieces, text, unit=unit, inches=inches)


@dataclass(frozen=True, slots=True)
class _Piece:
    number: Number
    unit: str | None
    join: str  # the mark before it: "" for the first, "-", "/", "(" or " "
    end: int


def _pieces(scan: Scan, start: int, unit: str | None) -> list[_Piece] | None:
    """Cut a size cell into numbers with their units; None when anything else stands in it."""
    pieces: list[_Piece] = []
    i, join = start, ""
    while i < len(scan.tokens):
        number = number_at(scan, i)
        if number is None:
            return None
        read = unit_at(scan, number.end)
        own, end = read if read else (None, number.end)
        if own not in (None, "mm", "in"):
            return None
        pieces.append(_Piece(number, own, join, end))
        i, join = end, " "
        while i < len(scan.tokens) and not scan.is_number(i):
            token = scan.tokens[i]
            if token.text in "-/(":
                join = token.text
            elif token.text == "&" or _joins(scan, i):
                join = "-"
            elif token.text not in ")=~,.*" and token.fold not in words_for("beside a size"):
                return None
            i += 1
        if len(pieces) > 3:
            return None
    return None if join and join in "-/" else pieces  # "10-" and "1O" go on with what is not there


def _joins(scan: Scan, i: int) -> bool:
    """Tell whether a word joins two sizes; in "1O" the letter is a slip for a digit."""
    slip = len(scan.tokens[i].text) == 1 and scan.adjacent(i)
    return not slip and scan.means(i, "range", "and", "or")


def _from_pieces(
    scan: Scan, pieces: list[_Piece], text: str, *, unit: str | None, inches: bool
) -> SizeReading:
    shown = text
    if len(pieces) == 1:
        return _single(pieces[0], text, unit=unit, inches=inches, system=scan.context.system)
    if len(pieces) > 2:
        return SizeReading(note=say("'{shown}' gives several numbers", shown=shown))
    first, second = pieces
    names = [_name(p, unit) for p in pieces]
    if names[0] and names[1]:
        return two_inch_sizes(names[0], names[1], text)
    if names[0] and (second.unit == "mm" or second.join in "-(/"):
        return inch_beside_mm(names[0], second.number.value, text)
    if names[1] and (first.unit == "mm" or second.join in "-(/"):
        return inch_beside_mm(names[1], first.number.value, text)
    if any(p.number.inch for p in pieces):
        return SizeReading(note=say("'{shown}' could not be read as a size", shown=shown))
    low, high = first.number.value, second.number.value
    millimetres = "mm" in (first.unit, second.unit) or unit == "mm"
    if low not in metric_sizes():
        return SizeReading(note=say("'{shown}' is no chain size", shown=shown))
    if millimetres or second.join == "/":
        if (
            high in metric_sizes()
            and low < high <= low * TWO_SIZES
            and not (high == 10 and not millimetres)
        ):
            return SizeReading(size=Size(mm=low, mm_to=high, text=text))
        if millimetres:
            return SizeReading(note=say("'{shown}' is not one chain size", shown=shown))
    if second.join == "-":
        return size_and_grade(low, high, text)
    return SizeReading(note=say("'{shown}' may be two sizes, or a size and a grade", shown=shown))


def size_and_grade(low: float, high: float, text: str) -> SizeReading:
    """Read ``10-8`` as 10 mm in grade 8; rising numbers may also be two sizes."""
    if high in (8, 10) and (low >= high or low < high / TWO_SIZES - 0.5):
        return SizeReading(size=Size(mm=low, text=text, grade=int(high) * 10))
    if high in metric_sizes() and low < high <= low * TWO_SIZES and high not in (8, 10, 12):
        return SizeReading(size=Size(mm=low, mm_to=high, text=text))
    return SizeReading(note=say("'{shown}' may be two sizes, or a size and a grade", shown=text))


def _name(piece: _Piece, unit: str | None) -> str | None:
    """Give the inch name of a piece, or None when it is no inch size."""
    if piece.unit == "mm":
        return None
    if piece.number.inch in inch_names():
        return piece.number.inch
    if piece.number.inch is None and (
        piece.unit == "in" or (unit == "in" and piece.number.value < 2)
    ):
        return decimal_name(piece.number.value, 0.006)
    return None


def decimal_name(value: float, room: float) -> str | None:
    near = [name for size, name in _inch_values() if abs(size - value) <= room]
    return near[0] if len(near) == 1 else None


def _single(
    piece: _Piece, text: str, *, unit: str | None, inches: bool, system: str | None
) -> SizeReading:
    number, own = piece.number, piece.unit or unit
    shown = text
    if number.inch is not None:
        if own == "mm" and piece.unit is not None:
            return two_metric_sizes(number.inch, text)
        if number.inch == "7/8" and own != "in":
            inch = Size(mm=inch_names()["7/8"], inch="7/8", text=text)
            if inches:
                return SizeReading(size=inch)
            metric = Size(mm=7.0, mm_to=8.0, text=text)
            return SizeReading(either=(inch, metric))
        name: str | None = number.inch if number.inch in inch_names() else None
        if name is None:
            return SizeReading(note=say("'{shown}' is no chain size", shown=shown))
        return SizeReading(size=Size(mm=inch_names()[name], inch=name, text=text))
    value = number.value
    if own == "in" or (inches and piece.unit is None and unit is None and value < 2):
        name = decimal_name(value, 0.006)
        if name is None:
            return SizeReading(note=say("'{shown}' is no chain size in inches", shown=shown))
        return SizeReading(size=Size(mm=inch_names()[name], inch=name, text=text))
    if own is None and value < 2:
        exact = decimal_name(value, 0.0006)
        if exact is not None and value < 1:
            return SizeReading(size=Size(mm=inch_names()[exact], inch=exact, text=text))
        return SizeReading(note=say("'{shown}' has no unit", shown=shown))
    if inches and own is None:
        return SizeReading(
            note=say("'{shown}' may be millimetres in a column of inches", shown=shown)
        )
    if value in metric_sizes() or (own == "mm" and _LEAST_MM <= value <= _MOST_MM):
        # millimetres said outright: a size that no table rates is the check's business
        return SizeReading(size=Size(mm=value, text=text))
    return SizeReading(note=say("'{shown}' is no chain size", shown=shown))


def two_metric_sizes(name: str, text: str) -> SizeReading:
    """Read ``7/8`` in millimetres: one part for two sizes."""
    if "-" not in name:
        low, high = (float(x) for x in name.split("/"))
        if low in metric_sizes() and high in metric_sizes() and low < high <= low * TWO_SIZES:
            return SizeReading(size=Size(mm=low, mm_to=high, text=text))
    return SizeReading(note=say("'{shown}' is no chain size in millimetres", shown=text))


def two_inch_sizes(first: str, second: str, text: str) -> SizeReading:
    low, high = inch_names()[first], inch_names()[second]
    if low == high:
        return SizeReading(size=Size(mm=low, inch=first, text=text))
    if low < high and _inch_order()[second] - _inch_order()[first] <= 2:
        return SizeReading(size=Size(mm=low, inch=first, mm_to=high, text=text))
    return SizeReading(note=say("'{shown}' gives two sizes", shown=text))


def inch_beside_mm(name: str, label: float, text: str) -> SizeReading:
    """Read an inch name with the millimetres that the list prints beside it."""
    if (name, label) in size_labels():
        return SizeReading(size=Size(mm=inch_names()[name], inch=name, text=text))
    return SizeReading(
        note=say("'{shown}': {name} in is not {label:g} mm", shown=text, name=name, label=label)
    )


def settle_size(
    either: tuple[Size, Size], *, wll_kg: float | None, system: str | None
) -> Size | None:
    """Choose between ``7/8`` in and 7 to 8 mm by the load, or else by the list.

    A chain or hook for 7 and 8 mm is rated 0.75 to 2.6 t in every table, one for 7/8 in 5.8 t
    and more; in between nothing is chosen, nor where the load and the list disagree.
    """
    inch, metric = either
    by_load = None
    if wll_kg is not None:
        by_load = metric if 700 <= wll_kg <= 3000 else inch if 5000 <= wll_kg <= 25_000 else None
        if by_load is None:
            return None
    by_list = {"us": inch, "metric": metric}.get(system or "")
    if by_load is not None and by_list is not None and by_load is not by_list:
        return None
    return by_load or by_list


def merge_sizes(readings: list[SizeReading]) -> SizeReading:
    """Merge the sizes of a text into one, or say that they differ."""
    if len(readings) == 1:
        return readings[0]
    sizes = [r.size for r in readings if r.size is not None]
    if len(sizes) < len(readings):
        return next(r for r in readings if r.size is None)
    names = {s.inch for s in sizes if s.inch}
    plain = [s for s in sizes if not s.inch]
    if len(names) == 1:
        name = next(iter(names))
        leading = next(s for s in sizes if s.inch == name)
        if all((name, s.mm) in size_labels() and s.mm_to is None for s in plain):
            return SizeReading(size=leading)
    elif (not names and len({(s.mm, s.mm_to) for s in sizes}) == 1) or (
        len({(s.mm, s.mm_to) for s in sizes}) == 1 and all(s.inch for s in sizes)
    ):
        return SizeReading(size=sizes[0])
    several = and_list([f"'{s.text}'" for s in sizes[:3]])
    return SizeReading(note=say("{several} are different sizes", several=several))
