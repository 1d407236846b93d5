"""A column is what its heading says, unless its cells are something else."""

from __future__ import annotations

from dataclasses import replace

from tallyhook.messages import say, to_say
from tallyhook.model.layout import FORCES
from tallyhook.recognising import thresholds
from tallyhook.recognising.cells import ColumnCells
from tallyhook.recognising.evidence import ColumnEvidence, Columns, TableEvidence
from tallyhook.recognising.headings import served_by
from tallyhook.recognising.unit_words import measures_load
from tallyhook.recognising.words import column_words
from tallyhook.units import CANONICAL

__all__ = ["by_heading"]

_FLAGS = ("latch", "cradle", "swivel", "overhead", "hitch")
_WORDED = ("description", "form", "connection", "kind", "material")


def by_heading(columns: Columns, table: TableEvidence) -> Columns:
    """Take the role of each heading, where the cells of its column do not contradict it."""
    return tuple(_by_heading(c, table.language) for c in columns)


def _by_heading(column: ColumnEvidence, language: str) -> ColumnEvidence:
    reading, cells = column.reading, column.cells
    if not cells.filled:
        return column.doubted(say("it holds nothing"))
    role = reading.role(language)
    if role is None and reading.roles:
        role = fitting(set(reading.roles.values()), cells)
        if role is None:
            return column.doubted(
                say("its heading has several meanings and its cells do not settle it")
            )
    if role is None or role == "load":
        return column
    if role == "ignore":
        thing = _with_article(reading.ignored or to_say("thing that is not read"))
        return column.doubted(say("headed as {thing}", thing=thing))
    headed = replace(column, serves=served_by(reading.text)).decided(
        role, say("headed '{words}'", words=reading.word or reading.text), gives=reading.gives
    )
    return _unless_contradicted(headed)


def _with_article(noun: str) -> str:
    if noun.startswith("another"):
        return say(noun)
    if noun[0] in "aeiou":
        return say("an {noun}", noun=say(noun))
    return say("a {noun}", noun=say(noun))


def fitting(roles: set[str], cells: ColumnCells) -> str | None:
    """Choose among the meanings of a heading by the cells, when only one of them fits."""
    marks = cells.grade_marked
    graded = marks >= thresholds.FIT_GRADE_MARKS or cells.smallest >= thresholds.LEAST_GRADE_NUMBER
    numbered = cells.number >= thresholds.FIT_NUMBERED_PARTS
    fits = {
        "grade": cells.grade >= thresholds.FIT_GRADES and graded,
        "size": cells.size >= thresholds.FIT_SIZES
        and marks < thresholds.FIT_SIZES_GRADE_MARKS
        and cells.smallest < thresholds.LEAST_GRADE_NUMBER,
        "part": cells.code >= thresholds.FIT_CODES
        or (numbered and cells.smallest >= thresholds.LEAST_PART_NUMBER),
        "kind": cells.words + cells.short >= thresholds.FIT_KINDS
        and cells.number < thresholds.FIT_KINDS_NUMBERS,
        "description": cells.words >= thresholds.FIT_DESCRIPTIONS,
    }
    found = [r for r in sorted(roles) if fits.get(r)]
    return found[0] if len(found) == 1 else None


def _unless_contradicted(column: ColumnEvidence) -> ColumnEvidence:
    """Take a role back when the cells are not what the heading says."""
    role, unit = column.role, column.reading.unit
    if role in _WORDED and column.cells.number > thresholds.NUMBERS_UNDER_WORDS:
        why = say("headed as {role} but its cells are numbers", role=role)
        return column.decided("part" if role == "description" else "ignore", why)
    if role in (*FORCES, "size") and _are_units(column.cells):
        # "MBL unit", "unit of WLL": the units of that load
        return column.decided("unit", say("headed as {role} but its cells are units", role=role))
    if role == "grade" and _is_another_class(column):
        return column.refused(say("headed as a class of something, and its cells are no grades"))
    why_not = _contradiction(role, column.cells, unit)
    headed_role = _headed_role(role, column.cells, unit)
    if why_not and (headed_role is None or not _some_fit(role, column.cells)):
        return replace(column.refused(why_not), refused_role=headed_role)
    if role in FORCES:
        column = replace(column, unit=unit)
        if len(set(column.reading.units)) > 1:
            column = column.added("units", say("in two units"))
    elif role == "size":
        column = replace(column, unit=unit if unit in ("mm", "cm", "in") else None)
    return column


def _headed_role(role: str, cells: ColumnCells, unit: str | None) -> str | None:
    """Give the role that a heading says and cells do not bear out; None where it may be another.

    Such cells are told as unread (`tallyhook.interpreting.unread_cells`). What is headed in a unit
    of something else, or holds lengths, is a column of something else.
    """
    if role in FORCES:
        return None if unit and not measures_load(unit) else role
    if role == "size":
        other_unit = unit is not None and CANONICAL.get(unit, ("", "load"))[1] != "length"
        large = cells.number > thresholds.NUMBERS_UNDER_SIZE
        return None if other_unit or large or cells.load else role
    return None if role == "unit" else role


def _some_fit(role: str, cells: ColumnCells) -> bool:
    """Tell whether some cells are what the heading says: those are read, and the others told."""
    fits = {
        "grade": cells.grade,
        "size": max(cells.size, cells.size_inside),
        "legs": cells.small_integer,
        "angle": cells.angle,
        "design_factor": cells.factor,
    } | dict.fromkeys(FORCES, max(cells.loadlike, cells.load_inside))
    return fits.get(role, 1 - cells.number) > 0


def _is_another_class(column: ColumnEvidence) -> bool:
    """Whether a heading such as "Class" or "Quality class" heads no grades: A, B, 1, M3."""
    reading = column.reading
    sure = reading.whole and reading.word not in column_words("modifier")
    return not sure and column.cells.grade < thresholds.GRADES_UNDER_HEADING


def _are_units(cells: ColumnCells) -> bool:
    return cells.unit >= thresholds.UNITS_UNDER_HEADING and bool(cells.units)


def _contradiction(role: str, cells: ColumnCells, unit: str | None) -> str | None:
    """Give why the cells cannot be what the heading says, or None."""
    number = cells.number
    if role in FORCES:
        return _no_loads(cells, unit)
    if role == "size":
        return _no_sizes(cells, unit)
    if role == "grade":
        others = number > thresholds.NUMBERS_NO_GRADES or cells.load > thresholds.NUMBERS_NO_GRADES
        if cells.grade < thresholds.GRADES_UNDER_HEADING and others:
            return say("headed as a grade but its cells are other numbers")
    elif role == "legs":
        counts = cells.small_integer
        if number > thresholds.NUMBERS_UNDER_LEGS and counts < thresholds.LEG_COUNTS_UNDER_HEADING:
            return say("headed as a number of legs but its numbers are others")
    elif role == "angle":
        if cells.angle < thresholds.ANGLES_UNDER_HEADING:
            return say("headed as an angle but its cells are not angles")
    elif role == "design_factor":
        if cells.factor < thresholds.FACTORS_UNDER_HEADING:
            return say("headed as a design factor but its cells are not factors")
    elif role == "unit":
        if cells.unit < thresholds.UNITS_UNDER_HEADING:
            return say("headed as a unit but its cells are not units")
    elif role in _FLAGS and number > thresholds.NUMBERS_UNDER_FLAG:
        return say("headed as {role} but its cells are numbers", role=role)
    return None


def _no_loads(cells: ColumnCells, unit: str | None) -> str | None:
    if unit and not measures_load(unit):
        return say("headed in {unit}, which is no unit of load", unit=unit)
    if max(cells.loadlike, cells.load_inside) < thresholds.LOADS_UNDER_HEADING:
        return say("headed as a load but its cells are not loads")
    return None


def _no_sizes(cells: ColumnCells, unit: str | None) -> str | None:
    if cells.load >= thresholds.LOADS_UNDER_SIZE:
        return say("headed as a size but its cells are loads")
    if unit and CANONICAL.get(unit, ("", "load"))[1] != "length":
        return say("headed as a size in {unit}, which is no unit of length", unit=unit)
    numbered = cells.number > thresholds.NUMBERS_UNDER_SIZE
    if numbered and cells.middle > thresholds.LARGEST_MIDDLE_SIZE:
        return say("headed as a size but its numbers are too large for one")
    if max(cells.size, cells.size_inside) < thresholds.SIZES_UNDER_HEADING:
        return say("headed as a size but its cells are not sizes")
    return None
