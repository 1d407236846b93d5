"""The answer of ``in_use``: its lines, its wording, and the refusal."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

from tallyhook.errors import TallyhookError
from tallyhook.messages import say, to_say
from tallyhook.units import factor
from tallyhook.use.documents import UNVERIFIED, document
from tallyhook.wording import CAUTION, number_text, rounded_down, wrapped

__all__ = ["MARKED", "RULE_OF_THUMB", "Factor", "InUse", "UseRefused"]

MARKED, RULE_OF_THUMB = "marked", "rule of thumb"

_KNOWN = {
    "restated": to_say("read in a restatement"),
    "computed": to_say("computed by the named rule"),
    "maker": to_say("the maker's own figure"),
    "practice": to_say("common practice; no document is named"),
    "given": to_say("the rule; the figure is as given"),
    "recalled": UNVERIFIED,
}
_BASES = {
    "published": to_say("published"),
    "restated": to_say("restated"),
    "computed": to_say("computed"),
    "maker": to_say("the maker's own figure"),
    "practice": to_say("by common practice, no document named"),
    "recalled": UNVERIFIED,
    RULE_OF_THUMB: to_say("by a rule of thumb, no table was read"),
}
_RATINGS = {
    MARKED: to_say("the marked rating under these conditions"),
    "published": to_say("the published rating under these conditions"),
    "restated": to_say(
        "the restated rating under these conditions (a table, read in a restatement)"
    ),
    "computed": to_say("the rating computed for these conditions"),
    "maker": to_say("the rating computed for these conditions by a maker's own figure"),
    "practice": to_say(
        "the rating computed for these conditions by common practice, no document named"
    ),
    "recalled": to_say("a rating that rests on a figure from memory"),
    RULE_OF_THUMB: to_say(
        "the rating computed for these conditions by a rule of thumb, as no table was read"
    ),
}
_WITHIN_ROUNDING = 1 + 1e-9  # a load that is the rating is within it, whatever its last digit


class UseRefused(TallyhookError):  # noqa: N818 - it is an answer, and named as one
    """The documents asked for do not cover the case.

    `others` holds what the other document families give for the same case.
    """

    others: tuple[InUse, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Factor:
    """One line of the way from the rating to what is left of it.

    `value` is a pure number when `unit` is ``1``; else it is the load that the line sets
    (a rating, a rounded value, the rating of a weaker part). `left_kg` is the load after the
    line [kg].
    """

    name: str
    value: float
    unit: str
    left_kg: float
    source: str
    locator: str
    known_by: str
    note: str = ""

    @classmethod
    def of_row(
        cls, name: str, value: float, row: Mapping[str, Any], note: str = "", known_by: str = ""
    ) -> Factor:
        """Make a line from a row of a table; the load after it is filled in by the caller."""
        return cls(
            name=name,
            value=float(value),
            unit="1",
            left_kg=math.nan,
            source=row["source"],
            locator=row["locator"],
            known_by=known_by or row["known_by"],
            note="; ".join(n for n in (note, row["note"] or "") if n),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class InUse:
    """What is left of a rating in use, by one family of documents.

    `wll_kg` [kg] and `wll_lb` [lb] are none when the family refuses; `refused` then says why.
    `others` holds the answers of the other families for the same case. `basis` says how the
    very number is known: ``published``, ``restated``, ``computed``, ``practice``, or ``rule of
    thumb`` where nothing else was read; ``marked`` when the start is a rating that was given.
    `unconfirmed` says why no table confirms such a rating, when none does.
    """

    by: str
    unit: str
    wll_kg: float | None
    wll_lb: float | None
    steps: tuple[Factor, ...] = ()
    weakest: str = ""
    conditions: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    load_kg: float | None = None
    refused: str = ""
    others: tuple[InUse, ...] = field(default=(), repr=False)
    basis: str = "published"
    unconfirmed: str = ""

    @property
    def within(self) -> bool | None:
        """Whether the load is within what is left; none when no load was given."""
        if self.load_kg is None or self.wll_kg is None:
            return None
        return self.load_kg <= self.wll_kg * _WITHIN_ROUNDING

    @property
    def verdict(self) -> str:
        """The load against what is left, in the only words that a table allows."""
        if self.within is None:
            return ""
        if self.within:
            return say("within {rating}", rating=self._rating())
        return say("above {rating}", rating=self._rating())

    def to_dict(self) -> dict[str, Any]:
        """Give the answer as plain data, with the verdict and the caution."""
        plain = asdict(self)
        plain |= {"within": self.within, "verdict": self.verdict, "caution": say(CAUTION)}
        plain["others"] = [
            {k: o[k] for k in ("by", "wll_kg", "wll_lb", "refused", "steps", "notes")}
            for o in plain["others"]
        ]
        return plain

    def to_text(self) -> str:
        """Write the answer line by line, as wide as the terminal."""
        lines = wrapped(
            say(
                "{conditions}; by the {family} documents",
                conditions=", ".join(self.conditions),
                family=self.by,
            )
        )
        lines += ["", *(self._refusal_lines() if self.refused else self._rating_lines())]
        for note in self.notes:
            lines += wrapped(say("Note: {note}.", note=note))
        for taken in self.assumed:
            lines += wrapped(say("Taken for granted: {assumption}.", assumption=taken))
        if self.others:
            lines += ["", say("By other documents, for the same case:")]
            lines += [line for other in self.others for line in other.beside()]
        return "\n".join([*lines, "", *wrapped(say(CAUTION))]) + "\n"

    def beside(self) -> list[str]:
        """Write the answer in a line or two, to stand beside another family's."""
        if self.refused:
            text = say("{family}: no answer. {reason}", family=self.by, reason=self.refused)
            return wrapped(text, indent=2)
        factors = " x ".join(number_text(round(s.value, 3)) for s in self.steps if s.unit == "1")
        text = f"{self.by}: {self.load(self.wll_kg)}" + (f" ({factors})" if factors else "")
        if self.basis == MARKED:
            text = say("{rating}, of the marked rating", rating=text)
        else:
            text = say("{rating}, {known}", rating=text, known=say(_BASES[self.basis]))
        return wrapped(text, indent=2)

    def load(self, kg: float | None) -> str:
        """Write a load in the family's unit first, rounded down, never up."""
        if kg is None:
            return say("none")
        return self._in_both_units(rounded_down(kg / 1000), rounded_down(kg * factor("kg", "lb")))

    def _refusal_lines(self) -> list[str]:
        return wrapped(say("REFUSED: {reason}", reason=self.refused))

    def _rating_lines(self) -> list[str]:
        lines = [line for step in self.steps for line in _step_lines(step)]
        left = say(
            "Left in use: {load}, {scope}.", load=self.load(self.wll_kg), scope=self._scope()
        )
        lines += ["", *wrapped(left)]
        lines += wrapped(say("Weakest part: {part}.", part=self.weakest))
        if self.unconfirmed:
            lines += wrapped(say("NOT CONFIRMED: {reason}.", reason=self.unconfirmed))
        return lines

    def _scope(self) -> str:
        if self.load_kg is None:
            return self._rating()
        # as stated: rounding it down could show it within what it is above
        load = self._in_both_units(
            round(self.load_kg / 1000, 5), round(self.load_kg * factor("kg", "lb"), 2)
        )
        return say("and the load of {load} is {verdict}", load=load, verdict=self.verdict)

    def _rating(self) -> str:
        rating = say(_RATINGS[self.basis])
        if self.unconfirmed:
            return say("{rating}, which no table confirms", rating=rating)
        return rating

    def _in_both_units(self, tonnes: float, pounds: float) -> str:
        t, lb = f"{number_text(tonnes)} t", f"{number_text(pounds)} lb"
        return f"{lb} ({t})" if self.unit == "lb" else f"{t} ({lb})"


def _step_lines(step: Factor) -> list[str]:
    if step.unit == "1":
        head = f"x {number_text(round(step.value, 3))}"
    elif step.unit == "lb":
        head = f"{number_text(round(step.value, 1))} lb"
    else:
        head = f"{number_text(round(step.value / 1000, 4))} t"
    lines = wrapped(step.name, first=f"  {head:<12}", indent=14)
    where = f"{document(step.source)}; {step.locator}"
    if step.known_by != "published":
        where += f" ({say(_KNOWN[step.known_by])})"
    lines += wrapped(where, indent=14)
    return lines + (wrapped(step.note, indent=14) if step.note else [])
