"""How much work a list may ask for: the same on every machine, and each bound can be raised.

A file of a few megabytes can stand for gigabytes of rows, and a list of two thousand lines for a
thousand tables. What goes beyond a bound is refused in one sentence that names the bound and the
option that raises it. No time and no free memory of a machine decides.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, fields, replace

from tallyhook.errors import StockListError
from tallyhook.messages import say

__all__ = ["Bounds", "bounds", "refuse_beyond", "within_bounds"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """The bounds of a list.

    Attributes
    ----------
    rows : int
        Of a sheet or file.
    tables : int
        One below the other on a sheet.
    texts : int
        Distinct combinations of the texts that items are read from.
    mib : int
        MiB that a workbook unpacks to, that reading it may take of memory, and that may come
        through a pipe.
    cells : int
        Of the block that a sheet of a workbook spans.
    """

    rows: int = 100_000_000
    tables: int = 1_000
    texts: int = 20_000_000
    mib: int = 4_096
    cells: int = 400_000_000


_USUAL = Bounds()
_CURRENT: ContextVar[Bounds] = ContextVar("bounds", default=_USUAL)


def bounds() -> Bounds:
    """Give the bounds that hold now."""
    return _CURRENT.get()


@contextmanager
def within_bounds(wanted: Mapping[str, int]) -> Iterator[None]:
    """Hold what happens in the block to other bounds.

    Parameters
    ----------
    wanted : mapping of name to number
        Those that are not named stay as they are.

    Raises
    ------
    StockListError
        There is no such bound, or it is no whole number above 0.

    Examples
    --------
    >>> with within_bounds({"tables": 5_000}):
    ...     bounds().tables, bounds().rows
    (5000, 100000000)
    """
    known = [field.name for field in fields(Bounds)]
    for name, most in wanted.items():
        if name not in known:
            raise StockListError(
                say("there is no bound '{name}'", name=name),
                next_step=say("use one of {known}", known=", ".join(known)),
            )
        if isinstance(most, bool) or not isinstance(most, int) or most < 1:
            raise StockListError(
                say("the bound {name} cannot be {most}", name=name, most=most),
                next_step=say("give a whole number above 0"),
            )
    token = _CURRENT.set(replace(_CURRENT.get(), **wanted))
    try:
        yield
    finally:
        _CURRENT.reset(token)


def refuse_beyond(
    name: str, what: str, found: int, *, where: str, first: str | None = None
) -> None:
    """Refuse what goes beyond a bound.

    Parameters
    ----------
    name : str
        The bound, a field of `Bounds`.
    what : str
        What there is of it, said already: ``"1,200 tables"``.
    found : int
        How many.
    first : str, optional
        What to try before the bound is raised: to see that it is the list, if it is not said.

    Raises
    ------
    StockListError
        There are more than the bound allows.
    """
    most = getattr(_CURRENT.get(), name)
    if found > most:
        raise StockListError(
            say("it holds {what}, more than the bound of {most:,}", what=what, most=most),
            where=where,
            next_step=say(
                "{first}, or raise the bound: --bound {name}={more}",
                first=first or say("see that it is the list"),
                name=name,
                more=max(2 * most, found),
            ),
        )
