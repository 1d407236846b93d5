"""What the cells of a column are by their form, whatever its heading says."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

from tallyhook.recognising import thresholds
from tallyhook.recognising.unit_words import measures_load, unit_of
from tallyhook.recognising.words import (
    column_words,
    grade_letters,
    grade_names,
    grade_numbers,
    grade_prefixes,
    one_of,
)
from tallyhook.texts.cells import plain_cell, whole_number
from tallyhook.vocabulary.blanks import is_blank
from tallyhook.vocabulary.context import units_with, words_for
from tallyhook.vocabulary.lexicon import rows
from tallyhook.vocabulary.tokens import fold

__all__ = ["ColumnCells", "describe_cells", "holds_load", "holds_size", "is_number"]

_NUMBER = r"(?:\d{1,3}(?:[ .,'\u00a0\u202f]\d{3}){1,9}+(?:[.,]\d+)?|\d++(?:[.,]\d++)?|[.,]\d++)"
_NUMBER_CELL = re.compile(rf"\s*+[~≈<>≤≥]?\s*+-?{_NUMBER}\s*+[*†‡¹²³]{{0,2}}\s*+")
_WORD = re.compile(r"[^\W\d_]{2,}")
_LONG_WORD = re.compile(r"[^\W_]{2,}")
_CODE_CELL = re.compile(r"(?=\D*+\d)[\w./\-]++")


@cache
def _length_unit() -> str:
    return one_of(units_with(unit="mm") | units_with(unit="in"))


@cache
def _size_cell() -> re.Pattern[str]:
    return re.compile(
        rf"\s*+(?:ø|Ø|⌀|{one_of(column_words('diameter'))}\.?|M)?\s*+"
        r"(?:(?:\d+[- ])?\d{1,2}/\d{1,2}|\d*[½¼¾⅛⅜⅝⅞]|\d{1,2}(?:[.,]\d+)?|\.\d+|0[.,]\d+)"
        rf"(?:\s*+[-/]\s*+\d{{1,2}}(?:[.,/]\d+)*)?\s*+(?:{_length_unit()}\.?|\"|''|″)?\s*+"
        r"(?:\(.{0,14}\))?\s*+",
        re.IGNORECASE,
    )


@cache
def _size_mark() -> re.Pattern[str]:
    return re.compile(
        rf"\d\s*(?:{_length_unit()}\b|\"|''|″)|ø|⌀|(?<![\d/])\d{{1,2}}/(?:2|4|8|16|32)(?![\d/])",
        re.IGNORECASE,
    )


@cache
def _grade_cell() -> re.Pattern[str]:
    before = one_of(grade_prefixes() | grade_letters())
    return re.compile(
        rf"\s*+{before}?\s*+[.\-]?\s*+[(]?\s*+{one_of(grade_numbers())}\s*+[)]?\s*+\+?\s*+"
    )


@cache
def _grade_word() -> re.Pattern[str]:
    names = one_of(grade_names() | grade_letters(), between="[- ]")
    return re.compile(rf"\s*(?:{names}|{one_of(grade_prefixes())}\.?\s*\d+ .{{0,20}})\s*")


@cache
def _angle_cell() -> re.Pattern[str]:
    degree = rf"(?:°|{one_of(words_for('degree'))})"
    between = one_of(words_for("range"))
    return re.compile(
        rf"[<≤]?\s*\d{{1,3}}\s*{degree}?"
        rf"(?:\s*(?:-|–|{between}|à)\s*\d{{1,3}}\s*{degree}?)?.{{0,14}}"
    )


@cache
def _factor_cell() -> re.Pattern[str]:
    to = one_of(words_for("range"))
    return re.compile(rf"\d{{1,2}}(?:[.,]\d{{1,2}})?\s*(?::\s*1|x|{to} 1)?")


@cache
def _load_unit() -> re.Pattern[str]:
    spellings = [str(r["spelling"]) for r in rows("units") if measures_load(str(r["unit"]))]
    words = "|".join(
        re.escape(s).replace(r"\ ", r"[ .]*") for s in sorted(spellings, key=len, reverse=True)
    )
    return re.compile(rf"(?<!\d)({_NUMBER})\s*+-?\s*+({words})(?![\w/])", re.IGNORECASE)


def is_number(text: str) -> bool:
    """Whether the cell is a bare number."""
    return _NUMBER_CELL.fullmatch(text) is not None


def holds_load(text: str) -> list[tuple[str, str]]:
    """Find the numbers with a unit of load in a text, as written.

    Examples
    --------
    >>> holds_load("Grab hook 3/8 in, 7,100 lb")
    [('7,100', 'lb')]
    """
    return [(m[1], str(unit_of(m[2]) or m[2])) for m in _load_unit().finditer(text)]


def holds_size(text: str) -> bool:
    """Whether a text names a size: an inch fraction, or a number in mm or inches."""
    return _size_mark().search(text) is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnCells:
    """What the cells of a column are: shares [1] of its filled cells, by their form.

    Each row counts once, so that one odd cell among many rows of few texts weighs no more than it
    should. Of the cells that are bare numbers, whatever their decimal mark, `middle` is the median
    and `smallest` the smallest but for a few odd ones; `units` gives how many cells name each unit.
    """

    filled: int
    distinct: int
    number: float = 0.0
    load: float = 0.0
    load_inside: float = 0.0
    size: float = 0.0
    size_marked: float = 0.0
    size_inside: float = 0.0
    grade: float = 0.0
    grade_marked: float = 0.0
    unit: float = 0.0
    load_units: float = 0.0
    small_integer: float = 0.0
    words: float = 0.0
    long: float = 0.0
    code: float = 0.0
    short: float = 0.0
    angle: float = 0.0
    factor: float = 0.0
    middle: float = 0.0
    smallest: float = 0.0
    units: Mapping[str, int] | None = None

    @property
    def loadlike(self) -> float:
        """Share that is a bare number or a number with a unit of load."""
        return min(1.0, self.number + self.load)


def describe_cells(values: Sequence[str], heading: str = "") -> ColumnCells:
    """Describe the cells of a column from a sample of them; those that repeat its heading not."""
    filled: dict[str, int] = {}
    for value, times in Counter(values).items():
        text = plain_cell(value)
        if text != heading and not is_blank(text):
            filled[text] = filled.get(text, 0) + times
    cells = list(filled)[: thresholds.DISTINCT_CELLS]
    if not cells:
        return ColumnCells(filled=0, distinct=0)
    units: Counter[str] = Counter()
    count: Counter[str] = Counter()
    numbers: list[tuple[float, int]] = []
    for cell in cells:
        rows, (forms, named) = filled[cell], _forms_of(cell)
        if is_number(cell):
            numbers.append((_rough(cell), rows))
        for unit in named:
            units[unit] += rows
        for form in forms:
            count[form] += rows
    total = sum(filled[cell] for cell in cells)
    return ColumnCells(
        filled=sum(filled.values()),
        distinct=len(cells),
        middle=_above(numbers, 0.5),
        smallest=_above(numbers, thresholds.ODD_CELLS),
        units=dict(units),
        **{name: n / total for name, n in count.items()},
    )


@lru_cache(maxsize=8192)
def _forms_of(cell: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Give the forms of one cell, by the names of `ColumnCells`, and the units that it names."""
    whole = whole_number(cell)
    low, number, unit = fold(whole), is_number(cell), unit_of(cell)
    bare = cell.lstrip("<>≤~≈ ")
    match = _load_unit().match(bare)
    rest = bare[match.end() :].strip(" .") if match else ""
    load = bool(match) and (not rest or rest[0] in "(/|,;" or unit_of(rest) is not None)
    marked = holds_size(cell)
    size = _size_cell().fullmatch(cell) is not None
    grade = _grade_cell().fullmatch(low) is not None
    worded = _grade_word().fullmatch(low) is not None
    found = dict(  # noqa: C408 - names of fields
        number=number,
        load=load,
        load_inside=_load_unit().search(cell) is not None,
        size=size,
        size_marked=size and marked,
        size_inside=marked,
        grade=grade or worded,
        grade_marked=worded or (grade and not cell[0].isdigit()),
        unit=unit is not None or low.strip(". ") in column_words("sale-unit"),
        load_units=unit is not None and measures_load(unit),
        small_integer=whole in ("1", "2", "3", "4"),
        words=len(_WORD.findall(cell)) >= 2,
        long=len(_LONG_WORD.findall(cell)) >= 4,
        code=not number and _CODE_CELL.fullmatch(cell) is not None,
        short=len(cell) <= thresholds.LONGEST_SHORT_CELL,
        angle=_angle_cell().fullmatch(cell) is not None,
        factor=_factor_cell().fullmatch(cell) is not None,
    )
    named = [str(unit_of(match[2]))] if match and load else []
    named += [unit] if unit is not None else []
    return tuple(name for name, holds in found.items() if holds), tuple(named)


def _above(numbers: Sequence[tuple[float, int]], share: float) -> float:
    """Give the smallest number with more than a share of the rows up to it; 0 without any."""
    left = share * sum(times for _, times in numbers)
    for number, times in sorted(numbers):
        left -= times
        if left < 0:
            return number
    return 0.0


def _rough(cell: str) -> float:
    """Give the size of a number when nobody knows its decimal mark yet: the smaller reading."""
    text = re.sub(r"[^\d.,]", "", cell)
    marks = [c for c in text if c in ".,"]
    if not marks:
        return float(text or 0)
    if len(marks) == 1 and len(text) - text.rfind(marks[0]) - 1 != 3:
        return float(text.replace(",", "."))
    if len(set(marks)) == 2:
        whole, _, part = text.rpartition(marks[-1])
        return float(re.sub(r"\D", "", whole) + "." + part)
    return float(re.sub(r"\D", "", text))
