"""The parts of an assembly beside its chain: the weakest of them rates it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from tallyhook.messages import say
from tallyhook.units import factor
from tallyhook.use.case import Case
from tallyhook.use.families import Family, records
from tallyhook.use.hook_position import position_steps
from tallyhook.use.ratings import (
    Doubt,
    Rated,
    marked_against_tables,
    refuse_for_lifting,
    refuse_form,
    start_of,
)
from tallyhook.use.result import Factor, UseRefused
from tallyhook.use.terms import as_load, grade_number, nominal_size
from tallyhook.wording import and_list

__all__ = ["Part", "part_of", "weaker_step"]

_NO_DOUBT = Doubt()
_KNOWN_KEYS = {"name", "where", "wll_kg", "wll_lb", "kind", "form", "grade", "size"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part of an assembly, its rating [kg], and whether it hangs in each leg or carries all.

    `doubt` is what speaks against its marked rating.
    """

    name: str
    kg: float
    top: bool
    note: str
    doubt: Doubt = _NO_DOUBT


def part_of(component: Mapping[str, Any], case: Case, family: Family) -> Part:
    """Rate a component.

    Parameters
    ----------
    component : mapping
        ``name`` (free), ``where`` (``leg``, the usual, or ``top`` for what carries the whole
        load), and either ``wll_kg`` [kg] or ``wll_lb`` [lb] as marked, or ``grade`` and ``size``
        of a hook, with ``form`` (``grab``, ``sorting``) where it matters.
    case : Case
        The job; its load position and load angle are those of a sorting hook, too.

    Raises
    ------
    UseRefused
        It has no rating and the tables have none for it, its grade is not for lifting, a grab
        hook is not the chain's own, or nothing says how a sorting hook is loaded.
    """
    _refuse_unknown_keys(component)
    name = str(component.get("name") or component.get("form") or say("component"))
    top = _is_top(component.get("where", "leg"))
    if case.lifting and "grade" in component:
        refuse_for_lifting(family, grade_number(component["grade"]), name)
    marked = _marked(component, name)
    form = component.get("form")
    refuse_form(form, marked=marked is not None)
    left, how = _left_by_position(form, case)
    as_given = _joined(say("its rating as given"), how)
    if marked is not None and not {"size", "grade"} <= component.keys():
        return Part(name=name, kg=marked * left, top=top, note=as_given)
    rated = _rated(component, name, kind="hook" if family.scheme else "chain")
    own = (rated.grade, rated.size_mm) == (case.grade, case.size_mm)
    if form in ("grab", "cradle-grab") and not own:
        raise UseRefused(
            say(
                "the {name} is {item} and the chain is not: a grab hook takes {what}",
                name=name,
                item=rated.named,
                what=and_list([r["takes"] for r in records("grab-hooks", "fit")]),
            )
        )
    if marked is not None:
        what = say("the marked rating of the {name}", name=name)
        doubt = marked_against_tables(marked, rated, family, lifting=case.lifting, what=what)
        return Part(name=name, kg=marked * left, top=top, note=as_given, doubt=doubt)
    start = start_of(family, rated)
    differs = "" if own else say("it is {item}", item=rated.named)
    return Part(name=name, kg=start.printed_kg * left, top=top, note=_joined(differs, how))


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
    pounds = family.unit == "lb"
    step = Factor(
        name=say("weaker part: {name}", name=weak.name),
        value=weak.kg * factor("kg", "lb") if pounds else weak.kg,
        unit="lb" if pounds else "kg",
        left_kg=weak.kg,
        source=rule["source"],
        locator=rule["locator"],
        known_by=rule["known_by"],
        note=_joined(weak.note, say("a part that is rated lower gives the sling its own rating")),
    )
    return step, weak.name


def _refuse_unknown_keys(component: Mapping[str, Any]) -> None:
    unknown = set(component) - _KNOWN_KEYS
    if unknown:
        raise UseRefused(
            say("a component has no {keys}", keys=", ".join(sorted(unknown))),
            next_step=say("use {keys}", keys=", ".join(sorted(_KNOWN_KEYS))),
        )


def _left_by_position(form: Any, case: Case) -> tuple[float, str]:
    """Give the share that is left of a sorting hook by how it is loaded, and why; else all."""
    if form != "sorting":
        return 1.0, ""
    position_steps(form, case.load_position, case.load_angle)
    return 1.0, say("sorting hook, load at full depth")


def _rated(component: Mapping[str, Any], name: str, *, kind: str) -> Rated:
    if "size" not in component or "grade" not in component:
        raise UseRefused(
            say("the {name} has neither a rating nor a grade and size", name=name),
            next_step=say("give {key}", key="wll_kg"),
        )
    grade = grade_number(component["grade"])
    size_mm, size = nominal_size(component["size"])
    return Rated(kind=kind, grade=grade, size_mm=size_mm, size=size)


def _marked(component: Mapping[str, Any], name: str) -> float | None:
    units = {"wll_kg": 1.0, "wll_lb": factor("lb", "kg")}
    what = say("the rating of the {name}", name=name)
    given = [as_load(component[k], what) * units[k] for k in units if k in component]
    if len(given) > 1:
        raise UseRefused(say("a component has one rating, in kilograms or in pounds"))
    return given[0] if given else None


def _is_top(where: Any) -> bool:
    if where not in ("leg", "top"):
        raise UseRefused(
            say("'{where}' is no place of a component", where=where),
            next_step=say("use leg or top"),
        )
    return bool(where == "top")


def _joined(*notes: str) -> str:
    return "; ".join(n for n in notes if n)
