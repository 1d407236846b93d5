"""The ways tallyhook says that it cannot go on.

Each holds its parts, so that a program can act on them, and builds one plain sentence from
them: what is wrong, where, and what to do next. All of them cross a process (pickle) unchanged.
"""

from __future__ import annotations

from functools import partial
from typing import Any

__all__ = ["MissingExtra", "PackageError", "RuleCrash", "StockListError", "TallyhookError"]


class TallyhookError(Exception):
    """What is wrong, where, and what to do next.

    Parameters
    ----------
    what : str
        What is wrong, as a clause without a full stop.
    where : str
        The file, table, sheet or row it was met in; may be empty.
    next_step : str
        What the reader can do about it; may be empty.
    """

    def __init__(self, what: str, *, where: str = "", next_step: str = "") -> None:
        self.what = what
        self.where = where
        self.next_step = next_step
        place = f"{where}: " if where else ""
        advice = f"; {next_step}" if next_step else ""
        super().__init__(f"{place}{what}{advice}.")

    def __reduce__(self) -> tuple[Any, ...]:
        # an exception is made anew from its arguments, and ours is the whole sentence
        make = partial(type(self), where=self.where, next_step=self.next_step)
        return make, (self.what,), self.__dict__


class PackageError(TallyhookError):
    """A rating package cannot be used."""


class StockListError(TallyhookError):
    """A stock list cannot be read or understood."""


class RuleCrash(TallyhookError):  # noqa: N818 - it is a crash that was caught, named as the design names it
    """A rule raised instead of answering."""


class MissingExtra(TallyhookError):  # noqa: N818 - named for what is missing
    """A library that only some commands need is not installed."""
