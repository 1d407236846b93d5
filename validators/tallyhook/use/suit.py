"""Which hook forms and connections suit a job, which do not and why, and what is still open.

The rules are data (``hooks.suits``); here they are only held against what was said of the job. What
a law or a standard forbids is refused; what practice or opinion speaks against is unusual.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from tallyhook.messages import say, to_say
from tallyhook.packages.rated_as_chain import forms_rated_as_chain
from tallyhook.units import factor
from tallyhook.use.case import Heat
from tallyhook.use.documents import short
from tallyhook.use.families import Family, family_named, records
from tallyhook.use.heat import heat_steps
from tallyhook.use.heat_limits import Ban, banned_temperature, heat_is_open
from tallyhook.use.result import UseRefused
from tallyhook.use.run import in_use
from tallyhook.use.terms import grade_number
from tallyhook.wording import CAUTION, wrapped

__all__ = ["Choice", "Smallest", "Suit", "suit"]

_SHORTENS = {"grab": "no-cradle", "cradle-grab": "cradle"}
_MAIN = {"form": "takes", "connection": "joins"}
_NUMBERS = (to_say("a number of degrees"), to_say("a number of degrees Celsius"))
"""The answers of questions that are no codes."""
_UNNAMED = to_say("common practice, no source")  # the locator of what no document says
_USED = ("suits", "unusual")  # what somebody may go and use
NOT_CALLED_FOR = to_say("Nothing that was said of the job calls for it.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """A form or a connection held against a job.

    `verdict` is ``suits``, ``refused`` (by a law or a standard), ``unusual`` (practice or opinion
    speaks against it) or ``not called for``; `questions` are what is to be settled before it is
    used.
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

    job: Mapping[str, object]
    choices: tuple[Choice, ...]
    questions: tuple[str, ...]
    smallest: tuple[Smallest, ...]
    notes: tuple[str, ...]

    def of(self, verdict: str, kind: str | None = None) -> tuple[Choice, ...]:
        """Give the choices of a verdict, of one kind or of both."""
        return tuple(c for c in self.choices if c.verdict == verdict and kind in (None, c.kind))

    def to_dict(self) -> dict[str, Any]:
        """Give the answer as plain data, with the caution."""
        return asdict(self) | {"caution": say(CAUTION)}

    def to_text(self) -> str:
        """Write what suits, the smallest sizes, the open questions, and what does not suit."""
        job = ", ".join(f"{k} {v}" for k, v in self.job.items() if v is not None)
        lines = wrapped(say("The job: {job}", job=job))
        for kind, heading in (
            ("form", say("Forms that suit")),
            ("connection", say("Connections that suit")),
        ):
            chosen = self.of("suits", kind)
            lines += ["", *wrapped(heading)] + [line for c in chosen for line in _choice_lines(c)]
            if not chosen:
                lines += wrapped(say("none of the table, for what was said"), indent=2)
        if self.smallest:
            lines += ["", *wrapped(say("Smallest size that carries the load in use"))]
            for s in self.smallest:
                size = s.size or say("none")
                lines += wrapped(f"{s.form}: {size}. {s.why}", indent=2)
        if self.questions:
            lines += ["", say("Still open")]
            lines += [line for q in self.questions for line in wrapped(q, indent=2)]
        for verdict, heading in (
            (
                "unusual",
                say("Unusual: no law or standard here forbids it, and practice is against it"),
            ),
            ("refused", say("Not for this job")),
        ):
            chosen = self.of(verdict)
            lines += ["", *wrapped(heading)] if chosen else []
            lines += [line for c in chosen for line in _choice_lines(c)]
        idle = ", ".join(c.title.lower() for c in self.of("not called for"))
        lines += wrapped(say("Not called for: {items}.", items=idle), indent=2) if idle else []
        for note in self.notes:
            lines += ["", *wrapped(say("Note: {note}.", note=note))]
        return "\n".join([*lines, "", *wrapped(say(CAUTION))]) + "\n"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Lift:
    """What decides the smallest size: the load and how it hangs.

    `load_kg` in [kg], `angle` in [deg to the vertical], `temperature_c` in [deg C].
    """

    family: Family
    grade: int
    load_kg: float
    legs: int | str
    angle: float | None
    hitch: str | None
    temperature_c: float | None


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
    rank = {c: int(q["rank"]) for c, q in questions.items()}
    rules = sorted(records("hooks", "suits"), key=lambda r: rank[r["condition"]])
    ban = None
    if temperature_c is not None:
        ban = banned_temperature(family, number, temperature_c)
    choices = tuple(
        _banned(_judge(kind, row, rules, answers), ban)
        for kind, table in (("form", "forms"), ("connection", "connections"))
        for row in records("hooks", table)
    )
    chosen = [c for c in choices if c.verdict == "suits"]
    loads = {"load_kg": load_kg, "legs": legs, "by": family.name}
    smallest: tuple[Smallest, ...] = ()
    if load_kg is not None:
        lift = _Lift(
            family=family, grade=number, load_kg=load_kg, legs=legs, angle=leg_angle_deg,
            hitch=hitch, temperature_c=temperature_c,
        )  # fmt: skip
        smallest = tuple(_smallest(c.item, lift) for c in chosen if c.kind == "form")
    return Suit(
        job={k: v for k, v in (answers | loads).items() if v is not None},
        choices=choices,
        questions=_open(chosen, rules, answers, questions)
        + _heat_question(family, number, temperature_c),
        smallest=smallest,
        notes=_heat_notes(family, number, temperature_c),
    )


def _known_answers(answers: Mapping[str, Any], questions: Mapping[str, Any]) -> None:
    for condition, answer in answers.items():
        known = str(questions[condition]["answers"])
        if answer is None or known in _NUMBERS or condition == "grade":
            continue
        if answer not in known.split(";"):
            raise UseRefused(
                say(
                    "'{answer}' is no answer to: {question}",
                    answer=answer,
                    question=str(questions[condition]["question"]).rstrip("?"),
                ),
                next_step=say("use one of {names}", names=known.replace(";", ", ")),
            )


def _judge(
    kind: str,
    row: Mapping[str, Any],
    rules: Sequence[Mapping[str, Any]],
    answers: Mapping[str, Any],
) -> Choice:
    """Hold a form or a connection against the answers: what speaks against it goes first."""
    own = [r for r in rules if (r["item_kind"], r["item"]) in ((kind, row[kind]), ("any", "any"))]
    hits = [r for r in own if _holds(r, own, answers)]
    against = [r for r in hits if r["verdict"] == "refused"]
    against += [r for r in hits if r["verdict"] == "unusual"]
    asked = [r for r in hits if r["verdict"] == "ask"]
    suited = [r for r in hits if r["verdict"] == "suits"]
    # a question about what sits in it, or what it hangs on, is a suggestion with a condition
    suited = suited or [r for r in asked if r["condition"] == _MAIN[kind]]
    if against or suited:
        first = (against or suited)[0]
        verdict = str(first["verdict"]) if against else "suits"
        questions = () if verdict == "refused" else tuple(r["reason"] for r in asked)
        reason = str(first["reason"])
    else:
        verdict, questions, first = "not called for", (), row
        reason = say(NOT_CALLED_FOR)
    return Choice(
        kind=kind,
        item=row[kind],
        title=row["title"],
        verdict=verdict,
        reason=reason,
        source=str(first["source"]),
        locator=str(first["locator"]),
        known_by=str(first["known_by"]),
        questions=questions,
    )


def _banned(choice: Choice, ban: Ban | None) -> Choice:
    """Refuse what would suit where its grade may not be used at the temperature of the job."""
    if ban is None or choice.verdict not in _USED:
        return choice
    return replace(
        choice, verdict="refused", reason=ban.reason, source=ban.source, locator=ban.locator,
        known_by=ban.known_by, questions=(),
    )  # fmt: skip


def _holds(
    rule: Mapping[str, Any], own: Sequence[Mapping[str, Any]], answers: Mapping[str, Any]
) -> bool:
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
    chosen: Sequence[Choice],
    rules: Sequence[Mapping[str, Any]],
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
    ordered = sorted(needed, key=lambda c: int(questions[c]["rank"]))
    asked = [_question(questions[c]) for c in ordered]
    return tuple(dict.fromkeys([q for c in chosen for q in c.questions] + asked))


def _question(row: Mapping[str, Any]) -> str:
    answers = row["answers"]
    answers = say(answers) if answers in _NUMBERS else answers.replace(";", ", ")
    return f"{row['question']} ({answers})"


def _smallest(form: str, lift: _Lift) -> Smallest:
    if form not in forms_rated_as_chain(less_a_deduction=True):
        return _special(form, lift.load_kg)
    family, refusal = lift.family, ""
    rows = records("chain", "ratings", scheme=family.scheme or "european", grade=lift.grade)
    for row in rows:
        size = f"{row['size_in']} in" if family.unit == "lb" else f"{row['size_mm']:g} mm"
        try:
            left = in_use(
                by=family.name, grade=lift.grade, size=size, legs=lift.legs, angle=lift.angle,
                angle_to="vertical",
                hitch=lift.hitch, shortened=_SHORTENS.get(form, "no"),
                temperature_c=lift.temperature_c, load_kg=lift.load_kg,
            )  # fmt: skip
        except UseRefused as error:
            refusal = str(error)
            continue
        if left.within:
            why = say(
                "{load} left in use; the load is {verdict}.",
                load=left.load(left.wll_kg),
                verdict=left.verdict,
            )
            name = say("{size} grade {grade}", size=size, grade=lift.grade)
            return Smallest(form=form, size=name, wll_kg=left.wll_kg, why=why)
    why = refusal or say(
        "No size of grade {grade} in the {family} tables carries it.",
        grade=lift.grade,
        family=family.name,
    )
    return Smallest(form=form, size="", wll_kg=None, why=why)


def _special(form: str, load_kg: float) -> Smallest:
    """Look the form up among the special hooks: the smallest there that is rated for the load."""
    rows = [r for r in records("hooks", "special-ratings", form=form) if r["wll_kg"] or r["wll_lb"]]
    for row in sorted(rows, key=_kilograms):
        if _kilograms(row) >= load_kg:
            why = say(
                "{value} {unit} a {per} ({document}, {locator}); one list only.",
                value=row["printed_value"],
                unit=row["printed_unit"],
                per=row["per"],
                document=short(row["source"]),
                locator=row["locator"],
            )
            name = f"{row['hook']}, {row['condition']}"
            return Smallest(form=form, size=name, wll_kg=_kilograms(row), why=why)
    why = say("No table here rates one for this load: the marked rating decides.")
    return Smallest(form=form, size="", wll_kg=None, why=why)


def _kilograms(row: Mapping[str, Any]) -> float:
    return float(row["wll_kg"]) if row["wll_kg"] else float(row["wll_lb"]) * factor("lb", "kg")


def _heat_question(family: Family, grade: int, temperature_c: float | None) -> tuple[str, ...]:
    """Ask what heat does to a grade that no document of the family has a heat table for."""
    if temperature_c is None or not heat_is_open(family, grade):
        return ()
    if banned_temperature(family, grade, temperature_c):
        return ()
    return (
        say(
            "No {family} document read here says what heat does to grade {grade}: what does the "
            "maker allow at {value:g} degC?",
            family=family.name,
            grade=grade,
            value=temperature_c,
        ),
    )


def _heat_notes(family: Family, grade: int, temperature_c: float | None) -> tuple[str, ...]:
    if temperature_c is None:
        return ()
    try:
        step = heat_steps(Heat(in_use=temperature_c), grade, family)[0]
    except UseRefused as error:
        return (str(error).rstrip("."),)
    note = say(
        "{heat} {factor:g} of the rating is left ({document}, {locator})",
        heat=step.name,
        factor=step.value,
        document=short(step.source),
        locator=step.locator,
    )
    return (note,)


def _choice_lines(choice: Choice) -> list[str]:
    where = f"{short(choice.source)}, {choice.locator}"
    if choice.locator == _UNNAMED:
        where = say(choice.locator)
    lines = wrapped(f"{choice.title}: {choice.reason}", first="  ", indent=4)
    return lines + wrapped(f"[{where}]", indent=4)
