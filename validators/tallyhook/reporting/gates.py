"""What a check must have done before its answer counts, and how much may be left not compared.

A report is incomplete where a rule crashed, where no item was compared with any rating, or where a
sheet or table that looks like ratings was not checked. A command then ends with exit code 2.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tallyhook.errors import TallyhookError
from tallyhook.messages import say
from tallyhook.reporting.counts import Counts

__all__ = ["MostNotCompared", "compared", "most_not_compared", "reasons_incomplete"]

_BOUND = re.compile(r"(\d{1,18})|(\d{1,3}(?:\.\d{1,9})?) ?%", re.ASCII)


def compared(counts: Counts) -> bool:
    """Whether any item was held against a rating."""
    return counts["agree"] + counts["contradicted"] > 0


def reasons_incomplete(
    counts: Counts, crashed: Mapping[str, str], *, unlooked: Sequence[str] = ()
) -> tuple[str, ...]:
    """Say, a clause each, why the answer of a check is not whole; nothing where it is.

    Parameters
    ----------
    counts
        Of the report.
    crashed
        The rules that did not answer, and what happened.
    unlooked
        What is said of sheets and tables that look like ratings and were not checked.
    """
    said = []
    if not compared(counts):
        said.append(
            say(
                "none of its {n} items was compared with a rating; --show-columns says what each "
                "column was taken for",
                n=counts["rows"],
            )
            if counts["rows"]
            else say("it holds no item that could be compared; check that it is the list")
        )
    said += unlooked
    said += [
        say("the rule {name} crashed, no answer ({reason})", name=name, reason=reason)
        for name, reason in crashed.items()
    ]
    return tuple(said)


@dataclass(frozen=True, slots=True, kw_only=True)
class MostNotCompared:
    """A bound on the items that are not compared: a number, or a share [percent] of all items."""

    number: int | None = None
    percent: float | None = None

    def exceeded(self, counts: Counts) -> str | None:
        """Say that more items than that were not compared; None where they were not."""
        left, rows = counts["not_compared"], counts["rows"]
        if self.number is not None:
            if left <= self.number:
                return None
            return say(
                "{n} of {rows} items were not compared, more than {most}",
                n=left, rows=rows, most=self.number,
            )  # fmt: skip
        assert self.percent is not None
        if 100 * left <= self.percent * rows:
            return None
        return say(
            "{n} of {rows} items were not compared, more than {most} %",
            n=left, rows=rows, most=f"{self.percent:g}",
        )  # fmt: skip


def most_not_compared(text: str) -> MostNotCompared:
    """Read a bound such as ``20`` or ``5%``.

    Raises
    ------
    TallyhookError
        It is neither a whole number nor a share from 0 to 100 percent.

    Examples
    --------
    >>> most_not_compared("20").number, most_not_compared("2.5%").percent
    (20, 2.5)
    """
    found = _BOUND.fullmatch(text.strip())
    if found and found[1]:
        return MostNotCompared(number=int(found[1]))
    if found and float(found[2]) <= 100:
        return MostNotCompared(percent=float(found[2]))
    raise TallyhookError(
        say("'{text}' is neither a number of items nor a share of them", text=text),
        next_step=say("write it as {example}", example="20 or 5%"),
    )
