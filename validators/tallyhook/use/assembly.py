"""The parts of an assembly beside its chain: the weakest of them rates it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from tallyhook.units import factor
from tallyhook.use.factors import position_steps
from tallyhook.use.families import Family, records
from tallyhook.use.ratings import (
    marked_against_tables,
    refuse_for_lifting,
    refuse_form,
    start_of,
)
from tallyhook.use.result import Factor, UseRefused
from tallyhook.use.terms import as_load, grade_number, nominal_size
from tallyhook.wording import number_text

__all__ = ["Part", "part_of", "weaker_step"]

_KNOWN_KEYS = {"name", "where", "wll_kg", "wll_lb", "kind", "form", "grade", "size"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part of an assembly, its rating [kg], and whether it hangs in each leg or carries all."""

    name: str
    kg: float
    top: bool
    note: str
    doubt: str = ""
    unconfirmed: bool = False


def part_of(
    component: Mapping[str, Any],
    family: Family,
    grade: int,
    size_mm: float,
    *,
    lifting: bool,
    load_position: str = "full-depth",
    load_angle: float | None = None,
) -> Part:
    """Rate a component.

    Parameters
    ----------
    component : mapping
        ``name`` (free), ``where`` (``leg``, the usual, or ``top`` for what carries the whole
        load), and either ``wll_kg`` [kg] or ``wll_lb`` [lb] as marked, or ``grade`` and ``size``
        of a hook, with ``form`` (``grab``, ``sorting``) where it matters.
    load_position, load_angle
        Where the load sits in a sorting hook, and its load angle [deg].

    Raises
    ------
    UseRefused
        It has no rating and the tables have none for it, its grade is not for lifting, a grab
        hook is not the chain's own, or nothing says how a sorting hook is loaded.
    """
    unknown = set(component) - _KNOWN_KEYS
    if unknown:
        raise UseRefused(
            f"a component has no {', '.join(sorted(unknown))}",
            next_step=f"use {', '.join(sorted(_KNOWN_KEYS))}",
        )
    name = str(component.get("name") or component.get("form") or "component")
    top = _is_top(component.get("where", "leg"))
    if lifting and "grade" in component:
        refuse_for_lifting(family, grade_number(component["grade"]), name)
    marked = _marked(component, name)
    form = component.get("form")
    refuse_form(form, marked=marked is not None)
    left, how = 1.0, ""
    if form == "sorting":
        step = position_steps(form, load_position, load_angle)[0]
        left, how = step.value, f"x {number_text(step.value)}: {step.name}"
    if marked is not None and not {"size", "grade"} <= component.keys():
        return Part(name=name, kg=marked * left, top=top, note=_noted("its rating as given", how))
    if "size" not in component or "grade" not in component:
        raise UseRefused(
            f"the {name} has neither a rating nor a grade and size", next_step="give wll_kg"
        )
    own_grade = grade_number(component["grade"])
    own_mm, own_size = nominal_size(component["size"])
    if form in ("grab", "cradle-grab") and (own_grade, own_mm) != (grade, size_mm):
        rules = records("grab-hooks", "fit")
        raise UseRefused(
            f"the {name} is {own_size} grade {own_grade} and the chain is not: a grab hook takes "
            f"{' and '.join(r['takes'] for r in rules)}"
        )
    kind = "hook" if family.scheme else "chain"
    if marked is not None:
        doubt, unconfirmed = marked_against_tables(
            marked, family, kind, own_grade, own_mm, own_size, lifting=lifting
        )
        told = doubt.replace("the marked rating", f"the marked rating of the {name}")
        note = _noted("its rating as given", how)
        return Part(
            name=name, kg=marked * left, top=top, note=note, doubt=told, unconfirmed=unconfirmed
        )
    start = start_of(family, kind, own_grade, own_mm, own_size)
    differs = (
        "" if (own_grade, own_mm) == (grade, size_mm) else f"it is {own_size} grade {own_grade}"
    )
    return Part(name=name, kg=start.printed_kg * left, top=top, note=_noted(differs, how))


def _noted(*notes: str) -> str:
    return "; ".join(n for n in notes if n)


def weaker_step(
    parts: Sequence[Part], limit_kg: float, family: Family, *, top: bool
) -> tuple[Factor, str] | None:
    """Give the line of the weakest part below a limit [kg], if there is one, and its name."""
    weak = min((p for p in parts if p.top == top), key=lambda p: p.kg, default=None)
    # the table of chain prints 3.15 t where the formula has 3.2035 t: parts are held to the print
    if weak is None or weak.kg >= limit_kg * (1 - 1e-9):
        return None
    wanted = {"rule": "rating-of-fittings", "source": "29-cfr-1910-184"}
    rule = records("use", "sling-rules", **wanted)[0]
    told = "a part that is rated lower gives the sling its own rating"
    pounds = family.unit == "lb"
    step = Factor(
        name=f"weaker part: {weak.name}",
        value=weak.kg * factor("kg", "lb") if pounds else weak.kg,
        unit="lb" if pounds else "kg",
        left_kg=weak.kg,
        source=rule["source"],
        locator=rule["locator"],
        known_by=rule["known_by"],
        note=_noted(weak.note, told),
    )
    return step, weak.name


def _marked(component: Mapping[str, Any], name: str) -> float | None:
    units = {"wll_kg": 1.0, "wll_lb": factor("lb", "kg")}
    given = [
        as_load(component[k], f"the rating of the {name}") * units[k]
        for k in units
        if k in component
    ]
    if len(given) > 1:
        raise UseRefused("a component has one rating, in kilograms or in pounds")
    return given[0] if given else None


def _is_top(where: Any) -> bool:
    if where not in ("leg", "top"):
        raise UseRefused(f"'{where}' is no place of a component", next_step="use leg or top")
    return bool(where == "top")
