"""Which hook forms and connections suit a job, which do not and why, and what is still open.

The rules are data (``hooks.suits``); here they are only held against what was said of the job.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from tallyhook.packages.rated_as_chain import forms_rated_as_chain
from tallyhook.units import factor
from tallyhook.use.factors import heat_steps
from tallyhook.use.families import Family, family_named, records
from tallyhook.use.result import UseRefused, short, wrapped
from tallyhook.use.run import in_use
from tallyhook.use.terms import grade_number
from tallyhook.wording import CAUTION

__all__ = ["Choice", "Smallest", "Suit", "suit"]

_SHORTENS = {"grab": "no-cradle", "cradle-grab": "cradle"}
_MAIN = {"form": "takes", "connection": "joins"}
NOT_CALLED_FOR = "Nothing that was said of the job calls for it."


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """A form or a connection held against a job.

    `verdict` is ``suits``, ``refused`` or ``not called for``; `questions` are what is to be
    settled before a suggested one is used.
    """

    kind: str
    item: str
    title: str
    verdict: str
    reason: str
    source: str
    locator: str
    known_by: str
    questions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Smallest:
    """The smallest size of a form whose rating in use carries the load; or why there is none."""

    form: str
    size: str
    wll_kg: float | None
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Suit:
    """What suits a job: every form and every connection with its verdict and one reason."""

    job: Mapping[str, Any]
    choices: tuple[Choice, ...]
    questions: tuple[str, ...]
    smallest: tuple[Smallest, ...]
    notes: tuple[str, ...]

    def of(self, verdict: str, kind: str | None = None) -> tuple[Choice, ...]:
        """Give the choices of a verdict, of one kind or of both."""
        return tuple(c for c in self.choices if c.verdict == verdict and kind in (None, c.kind))

    def to_dict(self) -> dict[str, Any]:
        """Give the answer as plain data, with the caution."""
        return asdict(self) | {"caution": CAUTION}

    def to_text(self) -> str:
        """Write what suits, the smallest sizes, the open questions, and what does not suit."""
        told = ", ".join(f"{k} {v}" for k, v in self.job.items() if v is not None)
        lines = wrapped(f"The job: {told}")
        for kind, heading in (("form", "Forms that suit"), ("connection", "Connections that suit")):
            chosen = self.of("suits", kind)
            lines += ["", *wrapped(heading)] + [line for c in chosen for line in _choice_lines(c)]
            if not chosen:
                lines += wrapped("none of the table, for what was said", indent=2)
        if self.smallest:
            lines += ["", *wrapped("Smallest size that carries the load in use")]
            for s in self.smallest:
                lines += wrapped(f"{s.form}: {s.size or 'none'}. {s.why}", indent=2)
        if self.questions:
            lines += ["", "Still open"]
            lines += [line for q in self.questions for line in wrapped(q, indent=2)]
        lines += ["", "Not for this job"]
        lines += [line for c in self.of("refused") for line in _choice_lines(c)]
        idle = ", ".join(c.title.lower() for c in self.of("not called for"))
        lines += wrapped(f"Not called for: {idle}.", indent=2) if idle else []
        lines += [line for note in self.notes for line in ["", *wrapped(f"Note: {note}.")]]
        return "\n".join([*lines, "", *wrapped(CAUTION)]) + "\n"


def suit(
    *,
    takes: str | None = None,
    joins: str | None = None,
    purpose: str = "lifting",
    grade: int | str = 80,
    load_kg: float | None = None,
    by: str = "european",
    legs: int | str = 1,
    leg_angle_deg: float | None = None,
    hitch: str | None = None,
    included_deg: float | None = None,
    hooks: str | None = None,
    turn: str | None = None,
    eye_lies: str | None = None,
    latch: str | None = None,
    overhead: str | None = None,
    people: str | None = None,
    slack: str | None = None,
    release: str | None = None,
    temperature_c: float | None = None,
    environment: str | None = None,
) -> Suit:
    """Suggest hook forms and connections for a job, with reasons, and say why the others do not.

    Parameters
    ----------
    takes, joins : str, optional
        What sits in the hook, and what the hook is joined to.
    purpose, hitch, hooks, turn, eye_lies, latch, overhead, people, slack, release, environment
        Answers of ``hooks.suit-questions``; what is left out is asked for.
    grade : int or str
        Grade of the hook; with `by`, `legs`, `leg_angle_deg` [deg to the vertical] and `hitch` it
        decides the smallest size.
    load_kg : float, optional
        The load [kg].
    included_deg : float, optional
        Angle between two legs on the hook [deg].
    temperature_c : float, optional
        Temperature of the hook [deg C].

    Raises
    ------
    UseRefused
        An answer is none that the questions know.

    Examples
    --------
    A hook on the trunnions of a mould, where a latch would be in the way:

    >>> [c.item for c in suit(takes="trunnion", latch="in-the-way").of("suits", "form")]
    ['foundry']
    """
    family = family_named(by)
    number = grade_number(grade)
    answers: dict[str, Any] = {
        "purpose": purpose, "takes": takes, "joins": joins, "grade": str(number), "people": people,
        "overhead": overhead, "latch": latch, "slack": slack, "turn": turn, "eye-lies": eye_lies,
        "hooks": hooks, "hitch": hitch, "release": release, "included": included_deg,
        "leg-angle": leg_angle_deg, "temperature": temperature_c, "environment": environment,
    }  # fmt: skip
    questions = {q["condition"]: q for q in records("hooks", "suit-questions")}
    _known_answers(answers, questions)
    rank = {c: q["rank"] for c, q in questions.items()}
    rules = sorted(records("hooks", "suits"), key=lambda r: rank[r["condition"]])
    choices = tuple(
        _judge(kind, row, rules, answers)
        for kind, table in (("form", "forms"), ("connection", "connections"))
        for row in records("hooks", table)
    )
    chosen = [c for c in choices if c.verdict == "suits"]
    loads = {"load_kg": load_kg, "legs": legs, "by": family.name}
    job = {k: v for k, v in (answers | loads).items() if v is not None}
    smallest = tuple(
        _smallest(c.item, family, number, load_kg, legs, leg_angle_deg, hitch, temperature_c)
        for c in chosen
        if c.kind == "form" and load_kg is not None
    )
    return Suit(
        job=job, choices=choices, questions=_open(chosen, rules, answers, questions),
        smallest=smallest, notes=_notes(family, number, temperature_c),
    )  # fmt: skip


def _known_answers(answers: Mapping[str, Any], questions: Mapping[str, Any]) -> None:
    for condition, answer in answers.items():
        known = str(questions[condition]["answers"])
        if answer is None or known.startswith("a number") or condition == "grade":
            continue
        if answer not in known.split(";"):
            raise UseRefused(
                f"'{answer}' is no answer to: {str(questions[condition]['question']).rstrip('?')}",
                next_step=f"use one of {known.replace(';', ', ')}",
            )


def _judge(
    kind: str, row: Mapping[str, Any], rules: list[dict[str, Any]], answers: Mapping[str, Any]
) -> Choice:
    own = [r for r in rules if (r["item_kind"], r["item"]) in ((kind, row[kind]), ("any", "any"))]
    hits = [r for r in own if _holds(r, own, answers)]
    refused = [r for r in hits if r["verdict"] == "refused"]
    asked = [r for r in hits if r["verdict"] == "ask"]
    suited = [r for r in hits if r["verdict"] == "suits"]
    # a question about what sits in it, or what it hangs on, is a suggestion with a condition
    suited = suited or [r for r in asked if r["condition"] == _MAIN[kind]]
    if refused or suited:
        first = (refused or suited)[0]
        questions = () if refused else tuple(r["reason"] for r in asked)
        verdict = "refused" if refused else "suits"
        keys = ("reason", "source", "locator", "known_by")
        told = {k: str(first[k]) for k in keys}
    else:
        verdict, questions = "not called for", ()
        told = {"reason": NOT_CALLED_FOR, "source": row["source"], "locator": row["locator"]}
        told["known_by"] = row["known_by"]
    return Choice(
        kind=kind, item=row[kind], title=row["title"], verdict=verdict, questions=questions, **told
    )


def _holds(rule: Mapping[str, Any], own: list[dict[str, Any]], answers: Mapping[str, Any]) -> bool:
    if rule["and_condition"] != "any" and answers[rule["and_condition"]] != rule["and_value"]:
        return False
    answer = answers[rule["condition"]]
    if answer is None:
        return False
    if rule["value"] == "other":
        return not any(r["value"] == answer for r in own if r["condition"] == rule["condition"])
    if str(rule["value"]).startswith("above-"):
        limit = rule["above_c"] if rule["above_c"] is not None else rule["above_deg"]
        return float(answer) > float(limit)
    return bool(rule["value"] == answer)


def _open(
    chosen: list[Choice],
    rules: list[dict[str, Any]],
    answers: Mapping[str, Any],
    questions: Mapping[str, Any],
) -> tuple[str, ...]:
    """Ask what nobody said and what could still turn a suggested form or connection down."""
    items = {(c.kind, c.item) for c in chosen} | {("any", "any")}
    needed = {
        condition
        for r in rules
        if (r["item_kind"], r["item"]) in items
        for condition in (r["condition"], r["and_condition"])
        if condition != "any" and answers[condition] is None
    }
    needed |= {c for c in _MAIN.values() if answers[c] is None}
    ordered = sorted(needed, key=lambda c: questions[c]["rank"])
    asked = [
        f"{questions[c]['question']} ({questions[c]['answers'].replace(';', ', ')})"
        for c in ordered
    ]
    return tuple(dict.fromkeys([q for c in chosen for q in c.questions] + asked))


def _smallest(
    form: str, family: Family, grade: int, load_kg: float | None, legs: int | str,
    angle: float | None, hitch: str | None, temperature_c: float | None,
) -> Smallest:  # fmt: skip
    if load_kg is None or form not in forms_rated_as_chain(less_a_deduction=True):
        return _special(form, load_kg or 0.0)
    refusal = ""
    rows = records("chain", "ratings", scheme=family.scheme or "european", grade=grade)
    for row in rows:
        size = f"{row['size_in']} in" if family.unit == "lb" else f"{row['size_mm']:g} mm"
        try:
            left = in_use(
                by=family.name, grade=grade, size=size, legs=legs, angle=angle, hitch=hitch,
                shortened=_SHORTENS.get(form, "no"), temperature_c=temperature_c, load_kg=load_kg,
            )  # fmt: skip
        except UseRefused as error:
            refusal = str(error)
            continue
        if left.within:
            why = f"{left.load(left.wll_kg)} left in use; the load is {left.verdict}."
            return Smallest(form=form, size=f"{size} grade {grade}", wll_kg=left.wll_kg, why=why)
    why = refusal or f"No size of grade {grade} in the {family.name} tables carries it."
    return Smallest(form=form, size="", wll_kg=None, why=why)


def _special(form: str, load_kg: float) -> Smallest:
    """Look the form up among the special hooks: the smallest there that is rated for the load."""
    rows = [r for r in records("hooks", "special-ratings", form=form) if r["wll_kg"] or r["wll_lb"]]
    for row in sorted(rows, key=_kilograms):
        if _kilograms(row) >= load_kg:
            name = f"{row['hook']}, {row['condition']}"
            printed = f"{row['printed_value']} {row['printed_unit']} a {row['per']}"
            why = f"{printed} ({short(row['source'])}, {row['locator']}); one list only."
            return Smallest(form=form, size=name, wll_kg=_kilograms(row), why=why)
    why = "No table here rates one for this load: the marked rating decides."
    return Smallest(form=form, size="", wll_kg=None, why=why)


def _kilograms(row: Mapping[str, Any]) -> float:
    return float(row["wll_kg"]) if row["wll_kg"] else float(row["wll_lb"]) * factor("lb", "kg")


def _notes(family: Family, grade: int, temperature_c: float | None) -> tuple[str, ...]:
    if temperature_c is None:
        return ()
    try:
        line = heat_steps(family, grade, hot=temperature_c, exposed=None)[0]
    except UseRefused as error:
        return (str(error).rstrip("."),)
    return (
        f"{line.name} {line.value:g} of the rating is left ({short(line.source)}, {line.locator})",
    )


def _choice_lines(choice: Choice) -> list[str]:
    where = "" if choice.locator == "common practice, no source" else f" {choice.locator}"
    told = "common practice, no source" if not where else f"{short(choice.source)},{where}"
    lines = wrapped(f"{choice.title}: {choice.reason}", first="  ", indent=4)
    return lines + wrapped(f"[{told}]", indent=4)
