"""The answer of ``in_use``: its lines, its wording, and the refusal."""

from __future__ import annotations

import re
import shutil
import textwrap
from dataclasses import asdict, dataclass, field
from typing import Any

from tallyhook.errors import TallyhookError
from tallyhook.packages.package import built_in_packages
from tallyhook.units import factor
from tallyhook.wording import CAUTION, number_text, rounded_down

__all__ = [
    "Factor",
    "InUse",
    "UseRefused",
    "document",
    "short",
    "wrapped",
]

_UNNAMED = ("common-practice", "single-page-practice", "recalled")


class UseRefused(TallyhookError):  # noqa: N818 - it is an answer, and named as one
    """The documents asked for do not cover the case.

    `others` holds what the other document families give for the same case.
    """

    others: tuple[InUse, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Factor:
    """One line of the way from the rating to what is left of it.

    `value` is a pure number when `unit` is ``1``; else it is the load that the line sets
    (a rating, a rounded value, the rating of a weaker part). `left` is the load after the line,
    in [kg].
    """

    name: str
    value: float
    unit: str
    left_kg: float
    source: str
    locator: str
    known_by: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class InUse:
    """What is left of a rating in use, by one family of documents.

    `wll_kg` [kg] and `wll_lb` [lb] are none when the family refuses; `refused` then says why.
    `others` holds the answers of the other families for the same case. `basis` is ``published``,
    or ``marked`` when the start is a rating that was given; `unconfirmed` says why no table
    confirms such a rating, when none does.
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
        return self.load_kg <= self.wll_kg * (1 + 1e-9)

    @property
    def verdict(self) -> str:
        """The load against what is left, in the only words that a table allows."""
        if self.within is None:
            return ""
        return f"{'within' if self.within else 'above'} {self._rating()}"

    def to_dict(self) -> dict[str, Any]:
        """Give the answer as plain data, with the verdict and the caution."""
        plain = asdict(self)
        plain |= {"within": self.within, "verdict": self.verdict, "caution": CAUTION}
        plain["others"] = [
            {k: o[k] for k in ("by", "wll_kg", "wll_lb", "refused", "steps", "notes")}
            for o in plain["others"]
        ]
        return plain

    def to_text(self) -> str:
        """Write the answer line by line, as wide as the terminal."""
        lines = wrapped(f"{', '.join(self.conditions)}; by the {self.by} documents")
        if self.refused:
            lines += ["", *wrapped(f"REFUSED: {self.refused}")]
        else:
            lines.append("")
            for step in self.steps:
                lines += self._step_lines(step)
            lines += ["", *wrapped(f"Left in use: {self.load(self.wll_kg)}, {self._scope()}.")]
            lines += wrapped(f"Weakest part: {self.weakest}.")
            lines += wrapped(f"NOT CONFIRMED: {self.unconfirmed}.") if self.unconfirmed else []
        lines += [line for note in self.notes for line in wrapped(f"Note: {note}.")]
        lines += [
            line for taken in self.assumed for line in wrapped(f"Taken for granted: {taken}.")
        ]
        if self.others:
            lines += ["", "By other documents, for the same case:"]
            lines += [line for other in self.others for line in other.beside()]
        return "\n".join([*lines, "", *wrapped(CAUTION)]) + "\n"

    def beside(self) -> list[str]:
        """Write the answer in a line or two, to stand beside another family's."""
        if self.refused:
            return wrapped(f"{self.by}: no answer. {self.refused}", indent=2)
        factors = " x ".join(number_text(round(s.value, 3)) for s in self.steps if s.unit == "1")
        how = f" ({factors})" if factors else ""
        marked = ", of the marked rating" if self.basis == "marked" else ""
        return wrapped(f"{self.by}: {self.load(self.wll_kg)}{how}{marked}", indent=2)

    def load(self, kg: float | None) -> str:
        """Write a load in the family's unit first, rounded down, never up."""
        if kg is None:
            return "none"
        metric = f"{number_text(rounded_down(kg / 1000))} t"
        pounds = f"{number_text(rounded_down(kg * factor('kg', 'lb')))} lb"
        return f"{pounds} ({metric})" if self.unit == "lb" else f"{metric} ({pounds})"

    def _scope(self) -> str:
        if self.load_kg is None:
            return self._rating()
        return f"and the load of {self._stated()} is {self.verdict}"

    def _rating(self) -> str:
        told = ", which no table confirms" if self.unconfirmed else ""
        return f"the {self.basis} rating under these conditions{told}"

    def _stated(self) -> str:
        """Write the load as stated: rounding it down could show it within what it is above."""
        kg = self.load_kg or 0.0
        metric = f"{number_text(round(kg / 1000, 5))} t"
        pounds = f"{number_text(round(kg * factor('kg', 'lb'), 2))} lb"
        return f"{pounds} ({metric})" if self.unit == "lb" else f"{metric} ({pounds})"

    def _step_lines(self, step: Factor) -> list[str]:
        if step.unit == "1":
            head = f"x {number_text(round(step.value, 3))}"
        elif step.unit == "lb":
            head = f"{number_text(round(step.value, 1))} lb"
        else:
            head = f"{number_text(round(step.value / 1000, 4))} t"
        lines = wrapped(step.name, first=f"  {head:<12}", indent=14)
        known = "" if step.known_by == "published" else f" ({_KNOWN[step.known_by]})"
        lines += wrapped(f"{document(step.source)}; {step.locator}{known}", indent=14)
        return lines + (wrapped(step.note, indent=14) if step.note else [])


_KNOWN = {
    "restated": "read in a restatement",
    "computed": "computed by the named rule",
    "given": "the rule; the figure is as given",
    "recalled": "UNVERIFIED, from memory",
}


def document(source: str) -> str:
    """Give the title of a document by its slug."""
    rows = built_in_packages()["sources"]["documents"]
    titles = dict(zip(rows["source"], rows["title"], strict=True))
    return str(titles.get(source, source))


def short(source: str) -> str:
    """Give what people call a document: its title up to the first comma or colon.

    Examples
    --------
    >>> short("en-818-6"), short("common-practice")
    ('EN 818-6', 'common practice of the trade')
    """
    name = re.split(r"[,:] ", document(source))[0]
    proper = any(c.isdigit() for c in name) or source not in _UNNAMED
    return name if proper else name[:1].lower() + name[1:]


def wrapped(text: str, *, first: str | None = None, indent: int = 0) -> list[str]:
    """Wrap a text to the terminal, or to 80 columns where there is none."""
    lead = " " * indent
    return textwrap.wrap(
        text,
        max(shutil.get_terminal_size((80, 24)).columns, 40),
        initial_indent=lead if first is None else first,
        subsequent_indent=lead,
        break_long_words=False,
        break_on_hyphens=False,
    )
