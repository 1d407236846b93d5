"""One combination of texts of a list, put together into one item."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import log
from typing import Any, TypeVar

from tallyhook.interpreting.habits import size_habits, system_of
from tallyhook.model.layout import Column, Layout
from tallyhook.texts.description import Description, describe, form_of
from tallyhook.texts.flags import read_flag
from tallyhook.texts.grades import Grade, read_grade
from tallyhook.texts.legs import Angle, read_angle, read_legs
from tallyhook.texts.load_cells import LoadCell, read_load
from tallyhook.texts.numbers import read_number
from tallyhook.texts.quantities import Load, with_unit
from tallyhook.texts.scan import Context, Scan
from tallyhook.texts.sizes import Size, SizeReading, merge_sizes, read_size, settle_size
from tallyhook.texts.units import AMBIGUOUS_TON, unit_at
from tallyhook.texts.words import Words, read_words
from tallyhook.vocabulary.tokens import fold

__all__ = ["Reader"]

_WORD_ROLES = ("kind", "form", "connection", "material", "hitch", "scheme", "standard")

_SAME_LOAD = 0.03  # share by which the same rating differs between the units tables print it in

_CHAIN_GRADES = frozenset({40, 80, 100, 120})  # rope and webbing slings have none of these

Cells = Mapping[str, Sequence[tuple[Column, str]]]
"""The filled cells of a row by the role of their columns."""

T = TypeVar("T")

_CHAIN = ("chain", "kette", "chaine", "cadena")
_NOTHING, _NO_SIZE = Description(), SizeReading()
_SWIVEL = {
    "bearing": "bearing",
    "ball bearing": "bearing",
    "positioning": "positioning",
    "non-bearing": "positioning",
}


_WORDS_ONLY = re.compile(r"[\d°]+")


@dataclass(slots=True)
class Reader:
    """The readers of one list, each distinct text of which is read once."""

    layout: Layout
    context: Context
    size_system: str | None
    inches: dict[str, bool]
    contexts: Mapping[str, Context]  # of the columns with a decimal mark of their own
    sized_by_chain: bool  # whether a heading says that the sizes are those of chain
    seen: dict[tuple[Any, ...], Any] = field(default_factory=dict)

    @classmethod
    def of(cls, layout: Layout) -> Reader:
        sizes = [c for c in layout.columns if c.role == "size"]
        fractions, millimetres = size_habits(layout, sizes)
        system = system_of(layout, any(fractions.values()), any(millimetres.values()))
        inch_list, metric_list = any(fractions.values()), any(millimetres.values())
        size_system = {(True, False): "us", (False, True): "metric"}.get((inch_list, metric_list))
        context = Context(decimal=layout.decimal, system=system)
        return cls(
            layout=layout,
            context=context,
            size_system=size_system or (system if not sizes else None),
            inches=fractions,
            contexts={
                c.column: replace(context, decimal=c.decimal) for c in layout.columns if c.decimal
            },
            sized_by_chain=any(word in fold(c.heading) for c in sizes for word in _CHAIN),
        )

    def once(self, role: str, read: Callable[..., T], text: str, *more: str, **how: Any) -> T:
        """Read a text unless the same text was read in this role in the same way before."""
        key = (role, text, more, tuple(how.values()))
        if key not in self.seen:
            self.seen[key] = read(text, *more, **how)
        found: T = self.seen[key]
        return found

    def context_of(self, column: Column) -> Context:
        return self.contexts.get(column.column, self.context)

    def cells(self, record: Mapping[str, str]) -> Cells:
        found: dict[str, list[tuple[Column, str]]] = {}
        for column in self.layout.columns:
            if text := record.get(column.column, "").strip():
                found.setdefault(column.role, []).append((column, text))
        return found

    def description(self, text: str) -> Description:
        return self.once("description", describe, text, context=self.context)

    def words(self, text: str) -> Words:
        return self.once("words", read_words, text, context=self.context)

    def size(self, cells: Cells, gives: Mapping[str, str]) -> SizeReading:
        readings = []
        for column, text in cells.get("size", ()):
            unit = column.unit if column.unit in ("mm", "in") else None
            inches = self.inches.get(column.column, False)
            context = self.context_of(column)
            readings.append(
                self.once("size", read_size, text, unit=unit, inches=inches, context=context)
            )
        if "size" in gives:
            text = gives["size"]
            readings.append(self.once("size", read_size, text, context=self.context))
        readings = [r for r in readings if r != _NO_SIZE]
        return merge_sizes(readings) if readings else _NO_SIZE

    def load(self, column: Column, record: Mapping[str, str]) -> LoadCell:
        text = record.get(column.column, "").strip()
        unit = column.unit
        if column.unit_column:
            unit = _unit_of(record.get(column.unit_column, "")) or unit
        if unit == AMBIGUOUS_TON and self.context.system == "metric":
            unit = "t"  # sizes in millimetres settle which ton it is
        context = self.context_of(column)
        return self.once("load", read_load, text, unit=unit, context=context)

    def item(
        self,
        record: Mapping[str, str],
        section: str | None,
        gives: Mapping[str, str],
        columns: list[Column],
    ) -> dict[str, Any]:
        """Put together what one combination of texts says."""
        notes: list[tuple[str, str]] = []
        cells = self.cells(record)
        told = [text for _, text in cells.get("description", ())]
        text = self.description(" | ".join(told)) if told else _NOTHING
        above = self.description(section) if section else _NOTHING
        sheet = self.layout.sheet.name
        around = self.description(sheet) if sheet else _NOTHING
        words = self._words(cells, gives)

        kind = self._kind(words, text, above, around)
        loads = self._loads(record, columns, text, notes)
        grade, scheme = self._grade(cells, gives, text, above, around, notes)
        size = self._size(cells, gives, text, above, loads.get("kg"), notes)
        european = size is not None and not size.inch and self._short(cells, gives, text, above)
        legs, three_or_four, angle = self._legs(cells, gives, text, above, european, notes)
        form = words.get("form") or text.form or above.form
        connection = words.get("connection") or text.connection or above.connection
        cradle = self._flag("cradle", cells, text.cradle, words, notes)
        if form == "grab" and cradle == "yes":
            form = "cradle-grab"
        elif form == "cradle-grab" and cradle is None:
            cradle = "yes"
        if kind in (None, "hook") and form in ("grab", "cradle-grab"):
            kind = "grab-hook"
        elif kind is None and form is not None:
            kind = "hook"
        elif (
            kind in (None, "chain", "any-sling")
            and grade in _CHAIN_GRADES
            and (legs is not None or "legs" in gives)
        ):
            kind = "sling"
        elif kind == "any-sling":
            kind = "sling" if grade in _CHAIN_GRADES else None
        hook = kind in ("hook", "grab-hook", "sling")
        latch = self._flag("latch", cells, text.latch or above.latch, words, notes)
        form = form_of(kind, form, latch)
        if kind == "other":
            grade = scheme = None
        if size is not None and not self._by_chain(kind, text, words):
            if "size" in cells:
                notes.append(("size", f"'{size.text}' is no chain size of this kind of item"))
            size = None
        resolved = {
            "kind": kind,
            "form": form,
            "connection": connection,
            "overhead": None,
            "angle": angle.to_deg,
            "legs": legs,
            "description": None,
        }
        if text.notes:
            for name, value in resolved.items():
                if value is None:
                    notes += [n for n in text.notes if n[0] == name]
        breaking = self._force("breaking", record, cells, text.breaking, text, notes)
        proof = self._force("proof", record, cells, text.proof, text, notes)
        factor = self._factor(cells, gives, text, notes)
        pair = text.pair or words.get("pair") or loads.get("pair")
        load: Load | None = loads.get("load")
        second: Load | None = loads.get("second")
        rated = load is not None and load.kg is not None and pair is None
        if load is not None and pair == "yes" and not any("for a pair" in n for _, n in notes):
            notes.append(("wll", f"'{load.text}' is for a pair"))
        return {
            "item": _item_text(cells) or None,
            "kind": kind,
            "form": form if hook or kind is None else None,
            "connection": connection if hook or kind is None else None,
            "size_mm": size.mm if size else None,
            "size_in": size.inch if size else None,
            "size_mm_to": size.mm_to if size else None,
            "grade": grade,
            "scheme": words.get("scheme") or scheme,
            "material": (words.get("material") or text.material)
            if kind in ("hook", None)
            else None,
            "legs": legs,
            "legs_range": "3-4" if three_or_four else None,
            "angle_from_deg": angle.from_deg,
            "angle_to_deg": angle.to_deg,
            "angle_if_vertical_deg": angle.either[0] if angle.either else None,
            "angle_if_horizontal_deg": angle.either[1] if angle.either else None,
            "hitch": self._hitch(words, gives, text, kind),
            "wll_kg": load.kg if load is not None and rated else None,
            "wll_value": load.value if load else None,
            "wll_unit": load.unit if load else None,
            "wll_step_kg": load.step_kg if load is not None and rated else None,
            "wll_text": load.text if load else None,
            "wll_column": loads.get("column"),
            "wll2_kg": second.kg if second and pair is None else None,
            "wll2_unit": second.unit if second else None,
            "wll2_text": second.text if second else None,
            "wll2_column": loads.get("second_column"),
            **{f"breaking_{k}": v for k, v in breaking.items()},
            **{f"proof_{k}": v for k, v in proof.items()},
            "design_factor": factor[0],
            "design_factor_column": factor[1],
            "cradle": cradle,
            "latch": latch,
            "swivel": self._swivel(cells, text, words),
            "overhead": self._flag(
                "overhead", cells, text.overhead or above.overhead, words, notes
            ),
            "pair": pair,
            "shortening": text.shortening or words.get("shortening"),
            "_notes": notes,
            "_load": load,
        }

    def _words(self, cells: Cells, gives: Mapping[str, str]) -> dict[str, str]:
        """Read the cells that hold words; a field's own column goes before the others."""
        found: dict[str, str] = {}
        read = [(role, self.words(text)) for role in _WORD_ROLES for _, text in cells.get(role, ())]
        read += [(role, self.words(gives[role])) for role in _WORD_ROLES if role in gives]
        if not read:
            return found
        fields = (
            "kind",
            "form",
            "connection",
            "material",
            "hitch",
            "scheme",
            "pair",
            "cradle",
            "latch",
            "swivel",
            "overhead",
            "shortening",
        )
        for name in fields:
            own = [getattr(w, name) for role, w in read if role == name and getattr(w, name)]
            other = [
                getattr(w, name)
                for role, w in read
                if role not in (name, "material", "hitch", "scheme", "standard")
                and getattr(w, name)
            ]
            standard = [w.scheme for role, w in read if name == "scheme" and w.scheme]
            values = own or standard or (other if len(set(other)) == 1 else [])
            if values:
                found[name] = values[0]
        if any(role == "kind" and not w.sized_by_chain for role, w in read):
            found["sized_by_chain"] = "no"
        for _, text in cells.get("scheme", ()):
            if text.casefold() in ("european", "us-chain", "us-tiedown", "old-grade-6"):
                found["scheme"] = text.casefold()
        return found

    def _kind(
        self, words: Mapping[str, str], text: Description, above: Description, around: Description
    ) -> str | None:
        own = words.get("kind")
        if own in (None, "mixed", "hook") and text.kind is not None:
            # "hook" in a kind column and "grab hook" in the words: the words say more
            own = text.kind if own != "hook" or text.kind in ("grab-hook", "other") else own
        if own in (None, "mixed") and not text.names_unknown:
            own = above.kind or around.kind
        return None if own == "mixed" else own

    def _by_chain(self, kind: str | None, text: Description, words: Mapping[str, str]) -> bool:
        """Tell whether the size of such a thing is that of a chain."""
        if kind == "other":
            return False
        if text.sized_by_chain and words.get("sized_by_chain") != "no":
            return True
        return self.sized_by_chain

    def _grade(
        self,
        cells: Cells,
        gives: Mapping[str, str],
        text: Description,
        above: Description,
        around: Description,
        notes: list[tuple[str, str]],
    ) -> tuple[int | None, str | None]:
        context = self._row_context(cells)
        written = [gives["grade"]] if "grade" in gives else []
        written += [cell for _, cell in cells.get("grade", ())]
        read = [self._one_grade(cell, context) for cell in written]
        found = next((g for g in read if g.grade is not None), None)
        if found is not None:
            if text.grade is not None and text.grade != found.grade:
                notes.append(
                    ("grade", f"description says {text.grade} and the column says {found.grade}")
                )
            return found.grade, found.scheme or text.scheme or above.scheme
        doubts = [g.note for g in read if g.note]
        if doubts and text.grade is None:
            notes.append(("grade", doubts[0]))
            return None, text.scheme or above.scheme
        if text.grade is None:
            told = [n for n in text.notes if n[0] == "grade"]
            if told and above.grade is None:
                notes += told
            if any("more than one grade" not in n for _, n in told):
                return None, text.scheme or above.scheme
        return (
            text.grade or above.grade or around.grade,
            text.scheme or above.scheme or around.scheme,
        )

    def _short(
        self, cells: Cells, gives: Mapping[str, str], text: Description, above: Description
    ) -> bool:
        """Tell whether the grade of a row is written as the European standards do, 8 or 10."""
        written = [gives["grade"]] if "grade" in gives else []
        written += [cell for _, cell in cells.get("grade", ())]
        context = self._row_context(cells)
        read = [self._one_grade(cell, context) for cell in written]
        if any(g.grade is not None for g in read):
            return any(g.short for g in read)
        return text.grade_short if text.grade is not None else above.grade_short

    def _row_context(self, cells: Cells) -> Context:
        """The list's context, or that of the row where its size is written in millimetres."""
        sizes = cells.get("size", ())
        if self.context.system is None and sizes and all("mm" in c.lower() for _, c in sizes):
            return replace(self.context, system="metric")
        return self.context

    def _one_grade(self, cell: str, context: Context) -> Grade:
        return self.once("grade", read_grade, cell, context=context)

    def _size(
        self,
        cells: Cells,
        gives: Mapping[str, str],
        text: Description,
        above: Description,
        wll_kg: float | None,
        notes: list[tuple[str, str]],
    ) -> Size | None:
        read = self.size(cells, gives)
        told = text.size
        if told is None and text.size_either is not None:
            told = settle_size(text.size_either, wll_kg=wll_kg, system=self.size_system)
        if read.either is not None:
            system = self.size_system
            settled = settle_size(read.either, wll_kg=wll_kg, system=system)
            if (
                settled is None
                and told is not None
                and told.mm in (read.either[0].mm, read.either[1].mm)
            ):
                settled = next(s for s in read.either if s.mm == told.mm)
            if settled is None:
                notes.append(("size", f"'{read.either[0].text}' may be 7/8 in or for 7 and 8 mm"))
                return None
            read = SizeReading(size=settled)
        if read.size is not None:
            if told is not None and (told.mm, told.mm_to) != (read.size.mm, read.size.mm_to):
                if told.mm_to is None and told.mm == read.size.mm_to:
                    return read.size
                notes.append(
                    ("size", f"description says {told.text} and the column says {read.size.text}")
                )
            return read.size
        if read.note is not None and told is None:
            notes.append(("size", read.note))
            return None
        if told is not None:
            return told
        if text.size_either is not None:
            notes.append(("size", f"'{text.size_either[0].text}' may be 7/8 in or for 7 and 8 mm"))
        elif doubts := [n for n in text.notes if n[0] == "size"]:
            notes += doubts
        else:
            return above.size
        return None

    def _loads(
        self,
        record: Mapping[str, str],
        columns: list[Column],
        text: Description,
        notes: list[tuple[str, str]],
    ) -> dict[str, Any]:
        """Read the rating: the first filled column, a second one in another unit, or the words."""
        out: dict[str, Any] = {}
        doubts = []
        for column in columns:
            cell = self.load(column, record)
            if cell.note:
                doubts.append(("wll", cell.note))
            if cell.pair:
                out["pair"] = "yes"
            if cell.load is None:
                continue
            if "load" not in out:
                out |= {"load": cell.load, "column": column.heading}
                _take_further(out, cell.second, column.heading)
            else:
                for other in (cell.load, cell.second):
                    _take_further(out, other, column.heading)
        notes += doubts
        told = text.wll
        if "load" in out:
            load: Load = out["load"]
            if (
                told is not None
                and _differ(load, told)
                and not (out.get("second") and not _differ(out["second"], told))
            ):
                notes.append(
                    ("wll", f"description says {told.text} and the column says {load.text}")
                )
        elif told is not None and not doubts:
            headings = [c.heading for c in self.layout.columns if c.role == "description"]
            out |= {"load": told, "column": headings[0] if headings else None}
            _take_further(out, text.wll2, out["column"])
            notes += [n for n in text.notes if n[0] == "wll"]
        elif not doubts:
            notes += [n for n in text.notes if n[0] == "wll"]
        if "load" in out:
            out["kg"] = out["load"].kg
        return out

    def _force(
        self,
        role: str,
        record: Mapping[str, str],
        cells: Cells,
        told: Load | None,
        text: Description,
        notes: list[tuple[str, str]],
    ) -> dict[str, Any]:
        for column, _ in cells.get(role, ()):
            cell = self.load(column, record)
            if cell.note:
                notes.append((role, cell.note))
            if cell.load is not None and cell.load.kn is not None:
                return {"kn": cell.load.kn, "text": cell.load.text, "column": column.heading}
        if told is None:
            notes += [n for n in text.notes if n[0] == role]
            return {"kn": None, "text": None, "column": None}
        headings = [c.heading for c in self.layout.columns if c.role == "description"]
        return {"kn": told.kn, "text": told.text, "column": headings[0] if headings else None}

    def _legs(
        self,
        cells: Cells,
        gives: Mapping[str, str],
        text: Description,
        above: Description,
        european: bool,
        notes: list[tuple[str, str]],
    ) -> tuple[int | None, bool, Angle]:
        legs: int | None = None
        three_or_four = False
        told = [cell for _, cell in cells.get("legs", ())]
        told += [gives["legs"]] if "legs" in gives else []
        for cell in told:
            read = self.once("legs", read_legs, cell, context=self.context)
            if read.legs is not None:
                legs = read.legs
            three_or_four = three_or_four or read.three_or_four
            if read.legs is None and read.note:
                notes.append(("legs", read.note))
        if legs is not None and text.legs is not None and legs != text.legs:
            notes.append(("legs", f"description says {text.legs} and the column says {legs}"))
        if legs is None and not told:
            legs = text.legs or above.legs
        angle = Angle()
        # a heading such as "Angle to horizontal" says for its cells from which line they count
        angles = [f"{cell} {_WORDS_ONLY.sub(' ', c.heading)}" for c, cell in cells.get("angle", ())]
        angles += [gives["angle"]] if "angle" in gives else []
        for cell in angles:
            angle = self.once("angle", read_angle, cell, context=self.context)
            if angle.note and not (angle.either and european):
                notes.append(("angle", angle.note))
        if not angles:
            said = text.angle_to_deg is not None or text.angle_either is not None
            source = text if said else above
            angle = Angle(
                from_deg=source.angle_from_deg,
                to_deg=source.angle_to_deg,
                either=source.angle_either,
            )
        if angle.either and (european or angle.either[0] == angle.either[1]):
            angle = Angle(to_deg=angle.either[0])  # EN 818-4: the angle to the vertical
        return legs, three_or_four and legs is None, angle

    def _flag(
        self,
        flag: str,
        cells: Cells,
        told: str | None,
        words: Mapping[str, str],
        notes: list[tuple[str, str]],
    ) -> str | None:
        for _, cell in cells.get(flag, ()):
            value, note = self.once(flag, read_flag, cell, flag)
            if value is not None:
                return value
            if note:
                notes.append((flag, note))
        return words.get(flag) or told

    def _swivel(self, cells: Cells, text: Description, words: Mapping[str, str]) -> str | None:
        for _, cell in cells.get("swivel", ()):
            value = _SWIVEL.get(cell.casefold()) or self.words(cell).swivel
            if value:
                return value
        return words.get("swivel") or text.swivel

    def _hitch(
        self,
        words: Mapping[str, str],
        gives: Mapping[str, str],
        text: Description,
        kind: str | None,
    ) -> str | None:
        if gives.get("hitch") in ("straight", "choke", "basket"):
            return gives["hitch"]
        return (words.get("hitch") or text.hitch) if kind in ("sling", None) else None

    def _factor(
        self,
        cells: Cells,
        gives: Mapping[str, str],
        text: Description,
        notes: list[tuple[str, str]],
    ) -> tuple[float | None, str | None]:
        for column, cell in cells.get("design_factor", ()):
            value = self.once("factor", _factor_of, cell)
            if value is not None:
                return value, column.heading
            notes.append(("design_factor", f"'{cell}' is no design factor"))
        if "design_factor" in gives:
            return _factor_of(gives["design_factor"]), None
        return text.design_factor, None


def _factor_of(cell: str) -> float | None:
    head, colon, tail = cell.partition(":")
    if not colon:
        head, colon, tail = cell.partition(" to ")
    number = read_number(head.strip())
    if number is None or number.inch or (colon and tail.strip() != "1"):
        return None
    return number.value if 1 < number.value <= 12 else None


def _unit_of(text: str) -> str | None:
    scan = Scan(text.strip(), Context(system="metric" if text.strip() == "T" else None))
    read = unit_at(scan, 0) if scan.tokens else None
    return read[0] if read and read[1] == len(scan.tokens) else None


def _take_further(out: dict[str, Any], other: Load | None, heading: str | None) -> None:
    """Take a load beside the rating for the second one: of several the one furthest from it."""
    if other is None:
        return
    load: Load = out["load"]
    if other.kg is None and load.kg and other.value > 0:
        # a bare ton is the ton that comes nearer: what is off even so is off in either ton
        tons = [with_unit(other, unit) for unit in ("short ton", "t")]
        other = min(tons, key=lambda ton: _apart(load, ton))
    if "second" not in out or _apart(load, other) > _apart(load, out["second"]):
        out |= {"second": other, "second_column": heading}


def _apart(load: Load, other: Load) -> float:
    """How far two loads are apart, as a logarithm; 0 where one of them is not known."""
    return abs(log(other.kg / load.kg)) if load.kg and other.kg else 0.0


def _differ(first: Load, second: Load) -> bool:
    """Tell whether two loads are more apart than writing and conversion explain."""
    if first.unit == second.unit:
        return abs(first.value - second.value) > max(first.step, second.step) / 2
    if not first.kg or not second.kg:
        return False
    return abs(first.kg / second.kg - 1) > _SAME_LOAD


def _item_text(cells: Cells) -> str:
    """Give the row's own words: the description, else the cells that say what it is."""
    for roles in (("description",), ("kind", "connection", "form", "size", "grade", "legs")):
        texts = [text for role in roles for _, text in cells.get(role, ())]
        if texts:
            return ", ".join(dict.fromkeys(texts))
    return ""
