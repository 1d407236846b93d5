"""What a thing is: its kind, form and connection, its grade and scheme, its size."""

from __future__ import annotations

from dataclasses import dataclass

from tallyhook.interpreting.notes import Notes
from tallyhook.interpreting.reader import NO_SIZE, Reader
from tallyhook.interpreting.row import Row
from tallyhook.messages import say
from tallyhook.texts.description import CHAIN_SLING_GRADES, form_of
from tallyhook.texts.flags import read_flag, read_swivel
from tallyhook.texts.grades import Grade
from tallyhook.texts.sizes import Size, SizeReading, merge_sizes, settle_size

__all__ = [
    "Identity",
    "flag_of_row",
    "grade_is_short",
    "grade_of_row",
    "identity_of_row",
    "size_of_row",
    "swivel_of_row",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Identity:
    """What kind of thing an item is; each field is None where the row does not say."""

    kind: str | None
    form: str | None
    connection: str | None
    cradle: str | None
    latch: str | None


def identity_of_row(
    reader: Reader, row: Row, notes: Notes, *, grade: int | None, legs: int | None
) -> Identity:
    """Decide what kind of thing an item is, its form and its connection."""
    form = row.words.get("form") or row.text.form or row.section.form
    cradle = flag_of_row(reader, row, notes, "cradle", row.text.cradle)
    if form == "grab" and cradle == "yes":
        form = "cradle-grab"
    elif form == "cradle-grab" and cradle is None:
        cradle = "yes"
    kind = _implied_kind(
        _named_kind(row),
        form,
        chain_sling=grade in CHAIN_SLING_GRADES,
        has_legs=legs is not None or "legs" in row.gives,
    )
    latch = flag_of_row(reader, row, notes, "latch", row.text.latch or row.section.latch)
    return Identity(
        kind=kind,
        form=form_of(kind, form, latch),
        connection=row.words.get("connection") or row.text.connection or row.section.connection,
        cradle=cradle,
        latch=latch,
    )


def _named_kind(row: Row) -> str | None:
    """The kind that the row's words name, or else the heading above it or the sheet."""
    own, text = row.words.get("kind"), row.text
    if own in (None, "mixed", "hook") and text.kind is not None:
        # "hook" in a kind column and "grab hook" in the words: the words say more
        own = text.kind if own != "hook" or text.kind in ("grab-hook", "other") else own
    if own in (None, "mixed") and not text.names_unknown:
        own = row.section.kind or row.sheet.kind
    return None if own == "mixed" else own


def _implied_kind(
    kind: str | None, form: str | None, *, chain_sling: bool, has_legs: bool
) -> str | None:
    """The kind that follows from the form, or from legs with a grade that only chain has."""
    if kind in (None, "hook") and form in ("grab", "cradle-grab"):
        return "grab-hook"
    if kind is None and form is not None:
        return "hook"
    if kind in (None, "chain", "any-sling") and chain_sling and has_legs:
        return "sling"
    if kind == "any-sling":
        return "sling" if chain_sling else None
    return kind


def flag_of_row(
    reader: Reader, row: Row, notes: Notes, flag: str, described: str | None
) -> str | None:
    """Read a flag from its own column, else from the words, else as the description says."""
    found: str | None = None
    for column, cell in row.cells.get(flag, ()):
        value, note = reader.once(flag, read_flag, cell, flag)
        if note:
            notes.unread_cell(flag, note, column, cell)
        found = found or value
    return found or row.words.get(flag) or described


def swivel_of_row(reader: Reader, row: Row, notes: Notes) -> str | None:
    """Read whether a swivel turns under load."""
    found: str | None = None
    for column, cell in row.cells.get("swivel", ()):
        value, note = reader.once("swivel", read_swivel, cell)
        if note:
            notes.unread_cell("swivel", note, column, cell)
        found = found or value
    return found or row.words.get("swivel") or row.text.swivel


def grade_of_row(reader: Reader, row: Row, notes: Notes) -> tuple[int | None, str | None]:
    """Read the grade, and the scheme that its spelling or the words around it claim."""
    text, section = row.text, row.section
    read = _written_grades(reader, row)
    _note_unread_grades(reader, row, notes)
    found = next((g for g in read if g.grade is not None), None)
    if found is not None:
        if text.grade is not None and text.grade != found.grade:
            notes.contradicts("grade", described=text.grade, column=found.grade)
        return found.grade, found.scheme or text.scheme or section.scheme
    doubts = [g.note for g in read if g.note]
    if doubts and text.grade is None:
        if not row.cells.get("grade"):  # else it is noted of its cell
            notes.add("grade", doubts[0])
        return None, text.scheme or section.scheme
    if text.grade is None:
        if section.grade is None:
            notes.take(text.notes, "grade")
        noted = any(name == "grade" for name, _ in text.notes)
        if noted and not text.grade_ambiguous:
            return None, text.scheme or section.scheme
    return (
        text.grade or section.grade or row.sheet.grade,
        text.scheme or section.scheme or row.sheet.scheme,
    )


def _note_unread_grades(reader: Reader, row: Row, notes: Notes) -> None:
    """Note the grade cells that could not be read.

    A mark of several meanings is none where something else of the row says which one it is.
    """
    context = row.grade_context(reader.context)
    for column, cell in row.cells.get("grade", ()):
        read = reader.grade(cell, context)
        if read.note and row.text.grade not in read.may_be:
            notes.unread_cell("grade", read.note, column, cell)


def grade_is_short(reader: Reader, row: Row) -> bool:
    """Whether the grade of a row is written as the European standards do, 8 or 10."""
    read = _written_grades(reader, row)
    if any(g.grade is not None for g in read):
        return any(g.short for g in read)
    return row.text.grade_short if row.text.grade is not None else row.section.grade_short


def _written_grades(reader: Reader, row: Row) -> list[Grade]:
    context = row.grade_context(reader.context)
    return [reader.grade(cell, context) for cell in (*row.given("grade"), *row.texts_of("grade"))]


def size_of_row(reader: Reader, row: Row, notes: Notes, wll_kg: float | None) -> Size | None:
    """Read the size: the column's, else the description's, else that of the heading above."""
    text = row.text
    described = text.size
    if described is None and text.size_either is not None:
        described = settle_size(text.size_either, wll_kg=wll_kg, system=reader.size_system)
    read = _written_size(reader, row, notes)
    if read.either is not None:
        settled = _settled(read.either, described, wll_kg, reader.size_system)
        if settled is None:
            _note_unread_sizes(row, notes, _two_sizes(read.either))
            return None
        read = SizeReading(size=settled)
    if read.size is not None:
        _hold_against(read.size, described, notes)
        return read.size
    if described is not None:
        return described
    if read.note is not None:
        if not row.filled("size"):  # else it is noted of its cell
            notes.add("size", read.note)
    elif text.size_either is not None:
        notes.add("size", _two_sizes(text.size_either))
    elif any(name == "size" for name, _ in text.notes):
        notes.take(text.notes, "size")
    else:
        return row.section.size
    return None


def _written_size(reader: Reader, row: Row, notes: Notes) -> SizeReading:
    """Read what the size columns and the heading of a matrix column say, as far as it can be."""
    read = reader.sizes(row.filled("size"))
    for (column, cell), each in zip(row.filled("size"), read, strict=True):
        if each.note:
            notes.unread_cell("size", each.note, column, cell)
    read += reader.given_sizes(row.given("size"))
    known = [each for each in read if not each.note] or read
    merged = merge_sizes(known) if known else NO_SIZE
    if merged.note and not any(each.note for each in known):  # each is read, and they differ
        _note_unread_sizes(row, notes, merged.note)
    return merged


def _note_unread_sizes(row: Row, notes: Notes, why: str) -> None:
    """Note all size cells of a row as unread; one that the heading of a matrix gives is no cell."""
    for column, cell in row.filled("size"):
        notes.unread_cell("size", why, column, cell)
    if not row.filled("size"):
        notes.add("size", why)


def _settled(
    either: tuple[Size, Size], described: Size | None, wll_kg: float | None, system: str | None
) -> Size | None:
    """Choose between the readings of "7/8" by the load, the list or the description."""
    settled = settle_size(either, wll_kg=wll_kg, system=system)
    if settled is None and described is not None:
        return next((size for size in either if size.mm == described.mm), None)
    return settled


def _two_sizes(either: tuple[Size, Size]) -> str:
    return say("'{size}' may be 7/8 in or for 7 and 8 mm", size=either[0].text)


def _hold_against(size: Size, described: Size | None, notes: Notes) -> None:
    """Note where the description gives another size than the column."""
    if described is None or (described.mm, described.mm_to) == (size.mm, size.mm_to):
        return
    if described.mm_to is None and described.mm == size.mm_to:
        return  # one of the two sizes that the part is for
    notes.contradicts("size", described=described.text, column=size.text)
