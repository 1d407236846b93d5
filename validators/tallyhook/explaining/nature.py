"""What each cause is: the columns of vocabulary.causes, read once."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from itertools import product

import polars as pl

from tallyhook.errors import PackageError
from tallyhook.explaining.mistakes import PREDICTED, SLIPS
from tallyhook.messages import say

__all__ = ["AND", "Cause", "Causes", "causes_of"]

AND = " and "
"""What stands between the names of two mistakes that meet in one row."""

_PAIR = 0.5
"""Weight of a pair beside the product of its priors, so that it never outranks one cause that fits
(judgement)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """A cause and its nature; the fields are described in the schema of vocabulary.causes."""

    name: str
    prior: float
    reach: str
    before_conversion: bool = False
    recurs: bool = True
    half_of_pair: str | None = None
    force: str | None = None
    kinds: tuple[str, ...] = ()

    def can_strike(self, kind: str) -> bool:
        """Whether it can leave a wrong number in an item of that kind."""
        return not self.kinds or kind in self.kinds


@dataclass(frozen=True, slots=True, kw_only=True)
class Causes:
    """Every cause by its name, the one that stands for none, and the pairs that can meet.

    A pair is a mistake of the unit, one of the line of the table, and the two together.
    """

    by_name: Mapping[str, Cause]
    unexplained: Cause
    pairs: tuple[tuple[Cause, Cause, Cause], ...]

    def of_a_line(self) -> list[str]:
        """The names of those that take another line of the table, as a shifted row does."""
        return [cause.name for cause in self.by_name.values() if cause.half_of_pair == "line"]

    def once(self) -> list[str]:
        """The names of those that happen row by row, whatever their number."""
        return [cause.name for cause in self.by_name.values() if not cause.recurs]


def causes_of(table: pl.DataFrame) -> Causes:
    """Read the causes and hold them against the functions that predict their numbers.

    Parameters
    ----------
    table : frame
        ``vocabulary.causes``.

    Raises
    ------
    PackageError
        A cause has a function and no row, or a row and no function; only the one of an unknown
        nature, which stands for none, has no function.
    """
    rows = table.to_dicts()
    by_name = {row["cause"]: _cause(row) for row in rows}
    unknown = [row["cause"] for row in rows if row["nature"] == "unknown"]
    predicted = {*PREDICTED, *SLIPS}
    for name in sorted(predicted - by_name.keys()):
        raise _lacking(name, say("it is predicted and not described"))
    for name in sorted(by_name.keys() - predicted - set(unknown)):
        raise _lacking(name, say("it is described and nothing predicts its number"))
    if len(unknown) != 1:
        raise _lacking(", ".join(unknown), say("one cause, and no more, stands for none"))
    return Causes(
        by_name=by_name, unexplained=by_name[unknown[0]], pairs=tuple(_pairs(by_name.values()))
    )


def _pairs(causes: Collection[Cause]) -> Iterator[tuple[Cause, Cause, Cause]]:
    total = sum(cause.prior for cause in causes)  # priors are weights and need not sum to one
    units = [cause for cause in causes if cause.half_of_pair == "unit"]
    lines = [cause for cause in causes if cause.half_of_pair == "line"]
    for unit, line in product(units, lines):
        prior = _PAIR * unit.prior * line.prior / total
        name = f"{unit.name}{AND}{line.name}"
        yield unit, line, Cause(name=name, prior=prior, reach="rating")


def _cause(row: Mapping[str, str | float | None]) -> Cause:
    return Cause(
        name=str(row["cause"]),
        prior=float(row["prior"] or 0),
        reach=str(row["reach"]),
        before_conversion=bool(row["before_conversion"]),
        recurs=bool(row["recurs"]),
        half_of_pair=str(row["half_of_pair"] or "") or None,
        force=str(row["force"] or "") or None,
        kinds=tuple(str(row["kinds"]).split(";")) if row["kinds"] else (),
    )


def _lacking(name: str, why: str) -> PackageError:
    return PackageError(
        say("the cause {name}: {why}", name=name, why=why),
        where="vocabulary.causes",
        next_step=say("give it one row there and one function in explaining/mistakes"),
    )
