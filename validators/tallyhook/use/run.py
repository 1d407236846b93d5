"""``in_use``: the rating that is left, by one family of documents and by the others beside it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import replace

from tallyhook.messages import say
from tallyhook.units import factor
from tallyhook.use.assembly import Part, part_of, weaker_step
from tallyhook.use.case import (
    Case,
    configuration_of,
    hitch_of,
    leg_angles,
    load_of,
    marked_rating,
    possible_references,
    require_kind,
    temperatures,
    uneven_share,
)
from tallyhook.use.documents import short
from tallyhook.use.factors import edge_steps, shortening_steps, uneven_steps
from tallyhook.use.families import FAMILIES, Family, family_named
from tallyhook.use.heat import heat_steps
from tallyhook.use.hook_position import position_steps
from tallyhook.use.laws import families_of_tables, is_law, law_names, law_notes, law_step
from tallyhook.use.legs import hitch_steps, leg_steps
from tallyhook.use.ratings import (
    Doubt,
    Start,
    marked_against_tables,
    marked_start,
    printed_start,
    refuse_for_lifting,
    refuse_form,
    start_of,
)
from tallyhook.use.remarks import assumed, conditions, symmetry_notes
from tallyhook.use.result import MARKED, RULE_OF_THUMB, Factor, InUse, UseRefused
from tallyhook.use.rounding import rounded_step
from tallyhook.use.sling_tables import (
    basis_of,
    chokes_by_printed_rating,
    cut_step,
    is_tabulated,
    lowest_step,
    table_step,
)
from tallyhook.use.terms import grade_number, nominal_size
from tallyhook.wording import and_list

__all__ = ["in_use"]


def in_use(
    kind: str = "sling",
    *,
    by: str = "european",
    grade: int | str,
    size: float | str,
    legs: int | str = 1,
    angle: float | Sequence[float] | None = None,
    angle_to: str | None = None,
    plan_angles: Sequence[float] | None = None,
    hitch: str | None = None,
    load_shape: str | None = None,
    choke_angle: float | None = None,
    edge_radius_mm: float | None = None,
    temperature_c: float | None = None,
    temperature_f: float | None = None,
    exposed_c: float | None = None,
    exposed_f: float | None = None,
    shortened: str = "no",
    shortened_legs: int | None = None,
    asymmetric: bool = False,
    form: str | None = None,
    load_position: str = "full-depth",
    load_angle: float | None = None,
    components: Sequence[Mapping[str, object]] = (),
    marked_kg: float | None = None,
    marked_lb: float | None = None,
    load_kg: float | None = None,
    lifting: bool = True,
) -> InUse:
    """Give what is left of a published rating in use, factor by factor, each with its document.

    Parameters
    ----------
    kind : str
        ``sling``, ``chain``, ``hook`` or ``grab-hook``.
    by : str
        The document family: ``european``, ``us``, ``australian`` or ``us-tiedown``; or a law that
        asks for a design factor (``alberta``, ``japan`` ...: the table ``use.law-factors``), which
        brings the lowest rating of the tables down. The answers of the others stand beside.
    grade : int or str
        80, 100, ... (8 and 10 are read as 80 and 100).
    size : float or str
        Nominal chain size: 10 [mm], ``'10 mm'`` or ``'3/8 in'``.
    legs : int or str
        1 to 4, or ``endless``.
    angle : float or sequence of float, optional
        Leg angle [deg]; several for legs at unequal angles, of which the largest counts.
    angle_to : str, optional
        What the angle is measured to: ``vertical``, ``horizontal`` or ``included``. European and
        Australian tables count from the vertical; an American angle is asked for its reference
        where the answer depends on it.
    plan_angles : sequence of float, optional
        Angles between neighbouring legs seen from above [deg], for three and four legs.
    hitch : str, optional
        ``straight``, ``choke`` or ``basket``; straight unless the sling is endless; ``doubled`` for
        an endless one.
    load_shape : str, optional
        ``round`` or ``square``, where a document tells them apart.
    choke_angle : float, optional
        Angle of choke [deg].
    edge_radius_mm : float, optional
        Radius of the sharpest edge the chain bears on [mm].
    temperature_c, temperature_f, exposed_c, exposed_f : float, optional
        Temperature in use, and the highest it was exposed to before [deg C or deg F].
    shortened : str
        ``no``, ``cradle`` or ``no-cradle``.
    shortened_legs : int, optional
        How many legs are shortened; all of them otherwise.
    asymmetric : bool
        The load is not shared evenly, and no competent person has rated the lift.
    form : str, optional
        Hook form (a slug of the table of forms), for hooks.
    load_position : str
        Where the load sits in a hook: ``full-depth``, ``tip``, ``side``, ``back``, or for a double
        hook ``equal-shares`` or ``unequal-shares``.
    load_angle : float, optional
        Load angle of a sorting hook [deg], also of one among the components.
    components : sequence of mapping
        Other parts of the assembly: ``name``, ``where`` (``leg`` or ``top``), and ``wll_kg`` or
        ``wll_lb`` as marked, or ``grade``, ``size`` and ``form`` of a hook.
    marked_kg, marked_lb : float, optional
        The marked rating of one leg [kg or lb]; it governs over the tables, and the answer says
        by how much it is above them.
    load_kg : float, optional
        The load to hold against what is left [kg].
    lifting : bool
        Whether something is lifted; false for a tie-down.

    Returns
    -------
    InUse
        With `steps`, `wll_kg`, `wll_lb`, `weakest`, `others`, `to_text()` and `to_dict()`.

    Raises
    ------
    UseRefused
        The documents of the family do not cover the case, or an American angle does not say what
        it is measured to; the sentence says what they say, and
        ``others`` on the exception holds what the other families give.

    Examples
    --------
    EN 818-4, table 3: 10 mm grade 8, two legs to 45 degrees, 4.25 t.

    >>> in_use(grade=80, size=10, legs=2, angle=45).wll_kg
    4250.0
    """
    law = by if is_law(by) else ""
    chosen = FAMILIES["european"] if law else family_named(by, others=law_names())
    require_kind(kind)
    size_mm, size_name = nominal_size(size)
    configuration = configuration_of(kind, legs)
    known_hitch = hitch_of(hitch, configuration)
    possible = possible_references(angle, angle_to, chosen)
    angles = leg_angles(angle, possible[-1])
    case = Case(
        kind=kind,
        size_mm=size_mm,
        size=size_name,
        configuration=configuration,
        hitch=known_hitch,
        heat=temperatures(
            in_use_c=temperature_c,
            in_use_f=temperature_f,
            before_c=exposed_c,
            before_f=exposed_f,
        ),
        load_kg=load_of(load_kg),
        grade=grade_number(grade),
        largest_angle=max(angles) if angles else None,
        load_shape=load_shape,
        choke_angle=choke_angle,
        edge_radius_mm=edge_radius_mm,
        shortened=shortened,
        shortened_legs=shortened_legs,
        uneven=uneven_share(angles, plan_angles, stated=asymmetric),
        form=form,
        load_position=load_position,
        load_angle=load_angle,
        marked_kg=marked_rating(marked_kg, marked_lb),
        components=tuple(components),
        lifting=lifting,
    )
    if len(possible) > 1:
        _require_reference(case, chosen, angle, plan_angles, asymmetric=asymmetric)
    # the tie-down law has nothing to say beside a lift
    beside = [f for f in FAMILIES.values() if f.lifts or not case.lifting]
    others = tuple(_beside(case, f) for f in beside if law or f is not chosen)
    try:
        answer = _by_law(law, case) if law else _answer(case, chosen)
        return replace(answer, others=others)
    except UseRefused as refusal:
        refusal.others = others
        raise


def _by_law(law: str, case: Case) -> InUse:
    """Give the lowest rating that a table has for the case, as far as a law lets it stand."""
    if not case.lifting:
        raise UseRefused(say("the laws that were read rate what is lifted"))
    answers, refused = [], []
    for family in families_of_tables():
        try:
            answer = _answer(case, family)
        except UseRefused as refusal:
            refused.append(refusal)
            continue
        last = answer.steps[-1].left_kg
        steps = [*answer.steps, *_applied(last, [law_step(law, case, family)])]
        kg = steps[-1].left_kg
        answers.append(
            replace(
                answer,
                by=law,
                wll_kg=round(kg, 6),
                wll_lb=round(kg * factor("kg", "lb"), 6),
                steps=tuple(steps),
                basis=basis_of(steps),
                notes=(*answer.notes, *law_notes(law, case)),
            )
        )
    if not answers:
        raise refused[0]
    return min(answers, key=lambda a: a.wll_kg or 0.0)


def _require_reference(
    case: Case,
    family: Family,
    angle: float | Sequence[float] | None,
    plan_angles: Sequence[float] | None,
    *,
    asymmetric: bool,
) -> None:
    """Refuse an American angle that does not say what it is measured to, with both answers.

    An American rigger means the horizontal, a European the vertical; where both come to the same
    there is nothing to ask.
    """
    answers = {}
    for reference in ("horizontal", "vertical"):
        try:
            angles = leg_angles(angle, reference)
            uneven = uneven_share(angles, plan_angles, stated=asymmetric)
            left = _answer(replace(case, largest_angle=max(angles), uneven=uneven), family)
            answers[reference] = left.load(left.wll_kg)
        except UseRefused:
            answers[reference] = say("no rating")
    if answers["horizontal"] == answers["vertical"]:
        return
    several = [angle] if isinstance(angle, int | float) else list(angle or ())
    raise UseRefused(
        say(
            "an angle of {angle} degrees is {horizontal} to the horizontal, as American tables "
            "count, and {vertical} to the vertical",
            angle=and_list([f"{float(a):g}" for a in several]),
            **answers,
        ),
        next_step=say(
            "say which (--angle-to horizontal or vertical, angle_to='horizontal' in Python)"
        ),
    )


def _beside(case: Case, family: Family) -> InUse:
    try:
        return _answer(case, family)
    except UseRefused as refusal:
        return InUse(
            by=family.name, unit=family.unit, wll_kg=None, wll_lb=None, refused=str(refusal)
        )


def _answer(case: Case, family: Family) -> InUse:
    _refuse_uncovered(case, family)
    parts = [part_of(component, case, family) for component in case.components]
    steps, weakest = _as_slung(case, family, parts)
    if not family.scheme and case.marked_kg is None:
        steps += lowest_step(steps[-1].left_kg, _neighbours(case))
    steps += _applied(steps[-1].left_kg, _conditions_of_use(case, family))
    kg = steps[-1].left_kg
    doubt = _marked_doubt(case, family)
    doubts = [doubt, *(part.doubt for part in parts)]
    confirmed = [d.why for d in doubts if d.why and not d.unconfirmed]
    return InUse(
        by=family.name,
        unit=family.unit,
        wll_kg=round(kg, 6),
        wll_lb=round(kg * factor("kg", "lb"), 6),
        steps=tuple(steps),
        weakest=weakest,
        conditions=conditions(case),
        assumed=assumed(case),
        notes=(*confirmed, *symmetry_notes(case, family, kg)),
        load_kg=case.load_kg,
        basis=_basis(case, family, steps),
        unconfirmed="; ".join(d.why for d in doubts if d.unconfirmed),
    )


def _refuse_uncovered(case: Case, family: Family) -> None:
    """Refuse what no figure of the family could be right for."""
    if case.lifting:
        if not family.lifts:
            raise UseRefused(
                say(
                    "{document} rates tie-downs and nothing that is lifted",
                    document=short("49-cfr-393-108"),
                ),
                next_step=say("say lifting=False for a tie-down"),
            )
        refuse_for_lifting(family, case.grade)
    if case.kind != "hook":
        return
    unequal = case.load_position == "unequal-shares"  # refused for that, in its own words
    refuse_form(case.form, marked=case.marked_kg is not None or unequal)
    if case.form in ("grab", "cradle-grab"):
        raise UseRefused(
            say("a grab hook is rated with its cradle or without"),
            next_step=say("name a grab-hook"),
        )
    if case.marked_kg is None and not family.scheme:
        raise UseRefused(
            say("the {family} documents read here rate no hooks", family=family.name),
            next_step=say("give the marked rating"),
        )


def _basis(case: Case, family: Family, steps: Sequence[Factor]) -> str:
    if case.marked_kg is not None:
        return MARKED
    return basis_of(steps) if family.scheme else RULE_OF_THUMB


def _neighbours(case: Case) -> list[tuple[Family, Factor]]:
    """Give the last line of each family that has tables for the case, as it hangs there."""
    found = []
    for family in FAMILIES.values():
        if family.scheme and (family.lifts or not case.lifting):
            with suppress(UseRefused):
                found.append((family, _as_slung(case, family, ())[0][-1]))
    return found


def _as_slung(case: Case, family: Family, parts: Sequence[Part]) -> tuple[list[Factor], str]:
    """Give the lines from the rating to that of the sling in its hitch, and its weakest part."""
    start = _start(case, family)
    if case.hitch == "doubled":
        _refuse_doubled(case, family)
    if chokes_by_printed_rating(case, family) or case.hitch == "doubled":
        start = printed_start(start)
    steps = [start.step]
    weakest = say("the chain") if case.kind in ("sling", "chain") else say("the hook")
    if not parts:
        weakest = say("{part} (no other part was named)", part=weakest)
    lower = weaker_step(parts, start.printed_kg, family, top=False)
    if lower:
        steps.append(lower[0])
        weakest = lower[1]
    if case.kind == "sling":
        steps += _applied(steps[-1].left_kg, leg_steps(case, family))
        if start.series and not lower:
            steps += rounded_step(case, family, start, steps[-1].left_kg)
    capped = weaker_step(parts, steps[-1].left_kg, family, top=True)
    if capped:
        steps.append(capped[0])
        weakest = capped[1]
    if case.kind != "sling":
        return steps, weakest
    steps += _applied(steps[-1].left_kg, hitch_steps(case, family))
    if case.marked_kg is not None:
        return steps, weakest
    if case.hitch == "choke" and case.configuration != "endless" and family.scheme:
        steps += cut_step(case, family, steps[-1].left_kg)
    governs = not (lower or capped)
    return [*steps, *table_step(case, family, steps[-1].left_kg, governs=governs)], weakest


def _refuse_doubled(case: Case, family: Family) -> None:
    """Refuse a doubled endless sling that no table has: no factor for it was read."""
    if case.marked_kg is None and is_tabulated(case, family):
        return
    raise UseRefused(
        say(
            "no {family} table read here has an endless sling doubled in grade {grade}, {size}",
            family=family.name,
            grade=case.grade,
            size=case.size,
        ),
        next_step=say("rate it as choked, or ask the maker"),
    )


def _start(case: Case, family: Family) -> Start:
    if case.marked_kg is not None:
        return marked_start(case.marked_kg, case.kind, lifting=case.lifting)
    return start_of(family, case.rated)


def _marked_doubt(case: Case, family: Family) -> Doubt:
    if case.marked_kg is None:
        return Doubt()
    return marked_against_tables(case.marked_kg, case.rated, family, lifting=case.lifting)


def _conditions_of_use(case: Case, family: Family) -> list[Factor]:
    steps: list[Factor] = []
    if case.kind == "sling":
        steps += uneven_steps(case, family)
    elif case.hitch != "straight" and case.kind == "chain":
        raise UseRefused(
            say("a {hitch} is a hitch of a sling", hitch=case.hitch),
            next_step=say("name a sling of one leg"),
        )
    if case.kind == "grab-hook" and case.shortened == "no":
        raise UseRefused(
            say("a grab hook is rated with its cradle or without"),
            next_step=say(
                "say shortened='cradle' or 'no-cradle' (--shortened cradle or no-cradle)"
            ),
        )
    if case.kind in ("sling", "chain"):
        steps += edge_steps(case, family)
    if case.kind == "hook":
        steps += position_steps(case.form, case.load_position, case.load_angle)
    return [
        *steps,
        *shortening_steps(case, family),
        *heat_steps(case.heat, case.grade, family),
    ]


def _applied(kg: float, steps: Sequence[Factor]) -> list[Factor]:
    """Fill in the load that is left after each line, from a load [kg]."""
    done = []
    for step in steps:
        kg *= step.value
        done.append(replace(step, left_kg=kg))
    return done
