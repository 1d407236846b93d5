"""A list as a table: lines of text cells, each line knowing which thing it is."""

from __future__ import annotations

from dataclasses import dataclass, replace

from relations.shops import Case, Manner, Thing, words_of

__all__ = ["Line", "Table", "written"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line below or above the heading; `thing` is the number of its thing, None for others."""

    cells: tuple[str, ...]
    thing: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """The lines of a list, the heading at `heading`; `roles` say what each column is."""

    roles: tuple[str, ...]
    lines: tuple[Line, ...]
    heading: int = 0

    @property
    def rows(self) -> dict[int, int]:
        """The row of each thing, as a spreadsheet numbers it."""
        return {line.thing: n for n, line in enumerate(self.lines, 1) if line.thing is not None}

    def with_lines(self, lines: list[Line]) -> Table:
        """Give the table other lines below its heading."""
        return replace(self, lines=(*self.lines[: self.heading + 1], *lines))

    @property
    def body(self) -> list[Line]:
        """The lines below the heading."""
        return list(self.lines[self.heading + 1 :])


def written(case: Case) -> Table:
    """Write a list in its manner."""
    manner = case.manner
    lines = [Line(cells=tuple(_heading(role, manner) for role in manner.columns))]
    grade = None
    for thing in case.things:
        if manner.grade_place == "section" and thing.grade != grade:
            grade = thing.grade
            title = manner.section_form.format(g=grade)
            lines.append(Line(cells=(title, *[""] * (len(manner.columns) - 1))))
        cells = tuple(_cell(role, thing, manner) for role in manner.columns)
        lines.append(Line(cells=cells, thing=thing.number))
    return Table(roles=manner.columns, lines=tuple(lines))


def _heading(role: str, manner: Manner) -> str:
    name = manner.headings[role]
    if role == "wll" and manner.unit_place == "heading":
        return manner.heading_form.format(name=name, unit=manner.unit_word)
    if role == "breaking":
        return manner.heading_form.format(name=name, unit="kN")
    return name


def _cell(role: str, thing: Thing, manner: Manner) -> str:
    unread = dict(thing.unread)
    if role in unread:
        return unread[role]
    if role == "part":
        return f"HP-{1000 + 37 * thing.number}"
    if role == "description":
        return _description(thing, manner)
    if role == "size":
        return size(thing, manner)
    if role == "grade":
        return grade_text(thing, manner)
    if role == "unit":
        return manner.unit_word
    if role == "breaking":
        # 1 kg of rating is 9.80665 N
        kn = float(
            f"{thing.kg * 9.80665e-3 * (3 if thing.grade == 43 else thing.breaking_times):.4g}"
        )
        return f"{kn:g}" if thing.kind == "chain" else ""
    load = manner.load(thing.kg, thing.lb, thing.times)
    return f"{load} {manner.unit_word}" if manner.unit_place == "cell" else load


def size(thing: Thing, manner: Manner) -> str:
    """Write a size."""
    if manner.inches:
        # a bare number in words may count anything
        bare = manner.size_form == "{f}" and manner.size_place == "description"
        return ('{f}"' if bare else manner.size_form).format(f=thing.size_in)
    whole = thing.size_mm.is_integer()
    plain = f"{thing.size_mm:g}"
    form = manner.size_form if whole else manner.size_form.replace("{n}.0", "{n}")
    return form.format(n=plain, c=plain.replace(".", ","))


def grade_text(thing: Thing, manner: Manner) -> str:
    """Write a grade."""
    return manner.grade_form.format(g=thing.grade, e=thing.grade // 10)


def _description(thing: Thing, manner: Manner) -> str:
    parts = []
    if manner.size_place == "description":
        parts.append(size(thing, manner))
    if manner.grade_place == "description":
        text = grade_text(thing, manner)
        parts.append(text if not text.isdigit() else f"G{thing.grade}")
    return words_of(thing, manner.language, *parts)
