"""``in_use``: the rating that is left, by one family of documents and by the others beside it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from tallyhook.formulas import round_down_r40
from tallyhook.units import factor
from tallyhook.use import factors
from tallyhook.use.assembly import Part, part_of, weaker_step
from tallyhook.use.families import FAMILIES, Family, family_named, records
from tallyhook.use.ratings import (
    Start,
    marked_against_tables,
    marked_start,
    refuse_for_lifting,
    refuse_form,
    start_of,
)
from tallyhook.use.result import Factor, InUse, UseRefused
from tallyhook.use.terms import (
    as_load,
    grade_number,
    nominal_size,
    sling_configuration,
    to_vertical,
)
from tallyhook.wording import number_text

__all__ = ["in_use"]

_KINDS = ("sling", "chain", "hook", "grab-hook")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Case:
    """A job as stated, read once for all families."""

    kind: str
    grade: int
    size_mm: float
    size: str
    configuration: str
    beta: float | None
    hitch: str
    load_shape: str | None
    choke_angle: float | None
    edge_radius_mm: float | None
    hot: float | None
    exposed: float | None
    scale: str
    shortened: str
    shortened_legs: int | None
    uneven: str
    form: str | None
    load_position: str
    load_angle: float | None
    marked_kg: float | None
    components: tuple[Mapping[str, Any], ...]
    lifting: bool
    load_kg: float | None

    @property
    def legs(self) -> int:
        return int(self.configuration[0]) if self.configuration != "endless" else 1


def in_use(
    kind: str = "sling",
    *,
    by: str = "european",
    grade: int | str,
    size: float | str,
    legs: int | str = 1,
    angle: float | Sequence[float] | None = None,
    angle_to: str = "vertical",
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
    components: Sequence[Mapping[str, Any]] = (),
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
        The document family: ``european``, ``us``, ``australian`` or ``us-tiedown``. The answers
        of the others stand beside.
    grade : int or str
        80, 100, ... (8 and 10 are read as 80 and 100).
    size : float or str
        Nominal chain size: 10 [mm], ``'10 mm'`` or ``'3/8 in'``.
    legs : int or str
        1 to 4, or ``endless``.
    angle : float or sequence of float, optional
        Leg angle [deg]; several for legs at unequal angles, of which the largest counts.
    angle_to : str
        What the angle is measured to: ``vertical``, ``horizontal`` or ``included``.
    plan_angles : sequence of float, optional
        Angles between neighbouring legs seen from above [deg], for three and four legs.
    hitch : str, optional
        ``straight``, ``choke`` or ``basket``; straight unless the sling is endless.
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
        The documents of the family do not cover the case; the sentence says what they say, and
        ``others`` on the exception holds what the other families give.

    Examples
    --------
    EN 818-4, table 3: 10 mm grade 8, two legs to 45 degrees, 4.25 t.

    >>> in_use(grade=80, size=10, legs=2, angle=45).wll_kg
    4250.0
    """
    chosen = family_named(by)
    case = _case(**{k: v for k, v in locals().items() if k not in ("by", "chosen")})
    # the tie-down law has nothing to say beside a lift
    beside = [f for f in FAMILIES.values() if not (case.lifting and f.name == "us-tiedown")]
    others = tuple(_beside(case, f) for f in beside if f is not chosen)
    try:
        return replace(_answer(case, chosen), others=others)
    except UseRefused as refusal:
        refusal.others = others
        raise


def _beside(case: _Case, family: Family) -> InUse:
    try:
        return _answer(case, family)
    except UseRefused as refusal:
        return InUse(
            by=family.name, unit=family.unit, wll_kg=None, wll_lb=None, refused=str(refusal)
        )


def _case(**told: Any) -> _Case:
    """Read what was told, and refuse what makes no sense whatever the documents."""
    if told["kind"] not in _KINDS:
        raise UseRefused(
            f"'{told['kind']}' has no rating here", next_step=f"use one of {', '.join(_KINDS)}"
        )
    size_mm, size = nominal_size(told["size"])
    configuration = sling_configuration(told["legs"])
    if told["kind"] != "sling" and configuration != "1-leg":
        raise UseRefused(f"a {told['kind']} has no legs", next_step="name a sling")
    hitch = told["hitch"] or ("choke" if configuration == "endless" else "straight")
    if hitch not in ("straight", "choke", "basket"):
        raise UseRefused(f"'{hitch}' is no hitch", next_step="use straight, choke or basket")
    betas = _betas(told["angle"], told["angle_to"])
    scale, hot, exposed = _temperatures(told)
    load_kg = told["load_kg"]
    if load_kg is not None and not load_kg > 0:
        raise UseRefused(f"a load weighs something, not {load_kg:g} kg")
    uneven = "the load is stated to be uneven" if told["asymmetric"] else ""
    return _Case(
        kind=told["kind"],
        grade=grade_number(told["grade"]),
        size_mm=size_mm,
        size=size,
        configuration=configuration,
        beta=max(betas) if betas else None,
        hitch=hitch,
        load_shape=told["load_shape"],
        choke_angle=told["choke_angle"],
        edge_radius_mm=told["edge_radius_mm"],
        hot=hot,
        exposed=exposed,
        scale=scale,
        shortened=told["shortened"],
        shortened_legs=told["shortened_legs"],
        uneven=uneven or _unequal(betas, told["plan_angles"]),
        form=told["form"],
        load_position=told["load_position"],
        load_angle=told["load_angle"],
        marked_kg=_marked(told),
        components=tuple(told["components"]),
        lifting=told["lifting"],
        load_kg=load_kg,
    )


def _betas(angle: float | Sequence[float] | None, reference: str) -> list[float]:
    if angle is None:
        return []
    several = [angle] if isinstance(angle, int | float) else list(angle)
    return [to_vertical(float(a), reference) for a in several]


def _temperatures(told: Mapping[str, Any]) -> tuple[str, float | None, float | None]:
    celsius = told["temperature_c"], told["exposed_c"]
    fahrenheit = told["temperature_f"], told["exposed_f"]
    if any(t is not None for t in celsius) and any(t is not None for t in fahrenheit):
        raise UseRefused(
            "temperatures are given in degC and in degF", next_step="give them in one of the two"
        )
    if any(t is not None for t in fahrenheit):
        return "f", *fahrenheit
    return "c", *celsius


def _marked(told: Mapping[str, Any]) -> float | None:
    if told["marked_kg"] is not None and told["marked_lb"] is not None:
        raise UseRefused("the marked rating is given twice", next_step="give it in kg or in lb")
    if told["marked_lb"] is not None:
        return as_load(told["marked_lb"], "the marked rating") * factor("lb", "kg")
    return None if told["marked_kg"] is None else as_load(told["marked_kg"], "the marked rating")


def _unequal(betas: Sequence[float], plan: Sequence[float] | None) -> str:
    """Say why a load cannot be taken as evenly shared (EN 818-6, annex A), or nothing."""
    limits = {r["limit"]: r["angle_deg"] for r in records("use", "angle-limits", source="en-818-6")}
    if len(betas) > 1:
        if max(betas) - min(betas) > limits["symmetry-difference"] + 1e-9:
            return f"the leg angles differ by {max(betas) - min(betas):g} deg"
        if min(betas) < limits["symmetry-leg-angle"] - 1e-9:
            return f"a leg hangs at {min(betas):g} deg, below {limits['symmetry-leg-angle']:g} deg"
    if plan and max(plan) - min(plan) > limits["symmetry-plan-angle"] + 1e-9:
        return f"the angles between the legs in plan differ by {max(plan) - min(plan):g} deg"
    return ""


def _answer(case: _Case, family: Family) -> InUse:
    if case.lifting:
        _refuse_tie_down(family)
        refuse_for_lifting(family, case.grade)
    if case.kind == "hook":
        _refuse_form(case)
    if case.kind == "hook" and case.marked_kg is None and not family.scheme:
        raise UseRefused(
            f"the {family.name} documents read here rate no hooks",
            next_step="give the marked rating",
        )
    parts = [
        part_of(
            c, family, case.grade, case.size_mm, lifting=case.lifting,
            load_position=case.load_position, load_angle=case.load_angle,
        )
        for c in case.components
    ]  # fmt: skip
    start = _start(case, family)
    steps = [start.step]
    weakest = "the chain" if case.kind in ("sling", "chain") else "the hook"
    if not parts:
        weakest += " (no other part was named)"
    lower = weaker_step(parts, start.printed_kg, family, top=False)
    if lower:
        steps.append(lower[0])
        weakest = lower[1]
    kg = steps[-1].left_kg
    if case.kind == "sling":
        steps += _apply(
            kg,
            factors.leg_steps(
                family,
                case.configuration,
                case.grade,
                case.beta,
                case.hitch == "basket",
                case.hitch,
            ),
        )
        if start.series and not lower:
            steps += _rounded(case, family, start, steps[-1].left_kg)
    capped = weaker_step(parts, steps[-1].left_kg, family, top=True)
    if capped:
        steps.append(capped[0])
        weakest = capped[1]
    steps += _apply(steps[-1].left_kg, _conditions_of_use(case, family, parts))
    kg = steps[-1].left_kg
    above, unconfirmed = _held_to_tables(case, family)
    doubts = [p for p in parts if p.doubt]
    notes = (*(p.doubt for p in doubts if not p.unconfirmed), *_notes(case, family, kg))
    unsure = "; ".join(
        [*([above] if unconfirmed else []), *(p.doubt for p in doubts if p.unconfirmed)]
    )
    return InUse(
        by=family.name,
        unit=family.unit,
        wll_kg=round(kg, 6),
        wll_lb=round(kg * factor("kg", "lb"), 6),
        steps=tuple(steps),
        weakest=weakest,
        conditions=_conditions(case),
        assumed=_assumed(case),
        notes=notes if unconfirmed or not above else (above, *notes),
        load_kg=case.load_kg,
        basis="published" if case.marked_kg is None else "marked",
        unconfirmed=unsure,
    )


def _refuse_tie_down(family: Family) -> None:
    if family.name == "us-tiedown":
        raise UseRefused(
            "49 CFR 393.108 rates tie-downs and nothing that is lifted",
            next_step="say lifting=False for a tie-down",
        )


def _refuse_form(case: _Case) -> None:
    """Refuse a form that is none, a grab hook, and one that no table rates as its chain."""
    unequal = case.load_position == "unequal-shares"  # refused for that, in its own words
    refuse_form(case.form, marked=case.marked_kg is not None or unequal)
    if case.form in ("grab", "cradle-grab"):
        raise UseRefused(
            "a grab hook is rated with its cradle or without", next_step="name a grab-hook"
        )


def _start(case: _Case, family: Family) -> Start:
    if case.marked_kg is not None:
        return marked_start(case.marked_kg, case.kind, lifting=case.lifting)
    return start_of(family, _table_kind(case), case.grade, case.size_mm, case.size)


def _table_kind(case: _Case) -> str:
    return "chain" if case.kind == "grab-hook" else case.kind


def _held_to_tables(case: _Case, family: Family) -> tuple[str, bool]:
    if case.marked_kg is None:
        return "", False
    return marked_against_tables(
        case.marked_kg, family, _table_kind(case), case.grade, case.size_mm, case.size,
        lifting=case.lifting,
    )  # fmt: skip


def _conditions_of_use(case: _Case, family: Family, parts: Sequence[Part]) -> list[Factor]:
    steps: list[Factor] = []
    if case.kind == "sling":
        steps += factors.hitch_steps(
            family, case.configuration, case.hitch, case.load_shape, case.choke_angle
        )
        steps += factors.asymmetry_steps(family, case.uneven, case.legs)
    elif case.hitch != "straight" and case.kind == "chain":
        raise UseRefused(
            f"a {case.hitch} is a hitch of a sling", next_step="name a sling of one leg"
        )
    if case.kind == "grab-hook" and case.shortened == "no":
        raise UseRefused(
            "a grab hook is rated with its cradle or without",
            next_step="say shortened='cradle' or 'no-cradle' (--shortened cradle or no-cradle)",
        )
    if case.kind in ("sling", "chain"):
        steps += factors.edge_steps(family, case.edge_radius_mm, case.size_mm)
    if case.kind == "hook":
        steps += factors.position_steps(case.form, case.load_position, case.load_angle)
    steps += factors.shortening_steps(family, case.shortened, case.legs, case.shortened_legs)
    steps += factors.heat_steps(
        family, case.grade, hot=case.hot, exposed=case.exposed, scale=case.scale
    )
    return steps


def _apply(kg: float, lines: Sequence[Factor]) -> list[Factor]:
    done = []
    for line in lines:
        kg *= line.value
        done.append(replace(line, left_kg=kg))
    return done


def _rounded(case: _Case, family: Family, start: Start, kg: float) -> list[Factor]:
    """Round a sling's rating as the family's tables print it, and name the printed cell."""
    if start.series == "r40":
        value = 1000 * round_down_r40(kg / 1000)
        source, locator, how, known_by = (
            "iso-3",
            "series R40",
            "rounded down to the preferred numbers",
            "restated",
        )
    else:
        if case.configuration == "1-leg" and case.hitch != "basket":
            return []
        pounds = round(kg * factor("kg", "lb"), 6)  # a half must stay a half
        # to the nearest 100 lb, a half downwards: so do the sling tables that were read
        value = -100 * float((-pounds + 50) // 100) * factor("lb", "kg")
        source, locator = "common-practice", "American sling tables are printed to 100 lb"
        how, known_by = (
            f"to the nearest 100 lb ({number_text(round(pounds, 1))} lb before)",
            "computed",
        )
    unit = "lb" if family.unit == "lb" else "kg"
    shown = value * factor("kg", "lb") if unit == "lb" else value
    step = Factor(
        name=how,
        value=round(shown, 6),
        unit=unit,
        left_kg=round(value, 6),
        source=source,
        locator=locator,
        known_by=known_by,
        note=_cell(case, family, value),
    )
    return [step]


def _cell(case: _Case, family: Family, kg: float) -> str:
    rows = records(
        "chain",
        "slings",
        scheme=family.scheme,
        grade=case.grade,
        size_mm=case.size_mm,
        configuration=case.configuration,
        hitch="choke" if case.configuration == "endless" else "straight",
    )
    unit, to = ("wll_lb", factor("kg", "lb")) if family.unit == "lb" else ("wll_kg", 1.0)
    for row in rows:
        if case.hitch != "basket" and row[unit] is not None and abs(row[unit] - kg * to) < 0.5:
            return f"so in the sling table ({row['locator']})"
    return ""


def _conditions(case: _Case) -> tuple[str, ...]:
    told = [f"{case.size} grade {case.grade} {case.kind}"]
    if case.kind == "sling":
        told.append("endless" if case.configuration == "endless" else f"legs: {case.legs}")
        told.append(f"hitch: {case.hitch}")
    if case.beta is not None:
        told.append(f"{number_text(round(case.beta, 2))} deg to the vertical")
    if case.form:
        told.append(f"form: {case.form}, loaded: {case.load_position}")
    if case.edge_radius_mm is not None:
        told.append(f"edge radius {case.edge_radius_mm:g} mm")
    unit = case.scale.upper()
    if case.hot is not None:
        told.append(f"at {number_text(case.hot)} deg{unit}")
    if case.exposed is not None:
        told.append(f"exposed to {number_text(case.exposed)} deg{unit} before")
    if case.shortened != "no":
        told.append(
            "shortened with cradle" if case.shortened == "cradle" else "shortened without cradle"
        )
    if case.uneven:
        told.append("load shared unevenly")
    return tuple(told)


def _assumed(case: _Case) -> tuple[str, ...]:
    taken = []
    if case.kind in ("sling", "chain") and case.edge_radius_mm is None:
        taken.append("no sharp edge under the chain")
    if case.hot is None:
        taken.append("a temperature at which the rating is not reduced")
    if case.exposed is None:
        taken.append("no earlier exposure to heat")
    if case.legs > 1 and not case.uneven:
        taken.append("legs alike, and a load that they share evenly")
    if not case.components and case.kind == "sling":
        taken.append("master link and fittings rated no lower than the chain")
    taken.append("parts inspected and none past a removal limit")
    return tuple(taken)


def _notes(case: _Case, family: Family, kg: float) -> tuple[str, ...]:
    notes = []
    if family.name == "european" and case.legs > 1 and not case.uneven:
        limits = {r["limit"]: r for r in records("use", "angle-limits", source="en-818-6")}
        least, share = limits["symmetry-leg-angle"], limits["symmetry-load"]
        if case.beta is not None and case.beta < least["angle_deg"]:
            notes.append(
                f"below {least['angle_deg']:g} deg to the vertical EN 818-6 ({least['locator']}) "
                "does not let "
                "symmetry be taken for granted: have a competent person rate the lift, or count "
                "50 percent"
            )
        if case.load_kg is not None and case.load_kg >= share["load_percent"] / 100 * kg:
            notes.append(
                f"from {share['load_percent']:g} percent of the rating up EN 818-6 "
                f"({share['locator']}) does "
                "not let symmetry be taken for granted: have a competent person rate the lift"
            )
    return tuple(notes)
