"""Which hooks are rated as the chain of their size: hooks.forms and hooks.connections say it."""

from __future__ import annotations

from functools import cache

import polars as pl

from tallyhook.packages.package import built_in_packages

__all__ = ["connections_rated_as_chain", "forms_rated_as_chain"]


@cache
def forms_rated_as_chain(*, less_a_deduction: bool = False) -> tuple[str, ...]:
    """Give the forms that carry their chain's rating.

    Parameters
    ----------
    less_a_deduction : bool
        Also those that carry it less the deduction of grab-hooks.deductions.

    Examples
    --------
    EN 1677-1: the sling hook with a latch is rated as its chain.

    >>> "self-closing" in forms_rated_as_chain(), "sorting" in forms_rated_as_chain()
    (True, False)
    """
    words = ("yes", "less-a-deduction") if less_a_deduction else ("yes",)
    forms = built_in_packages()["hooks"]["forms"]
    return tuple(forms.filter(pl.col("rated_as_its_chain").is_in(words))["form"])


@cache
def connections_rated_as_chain() -> tuple[str, ...]:
    """Give the connections with which a hook of such a form carries its chain's rating.

    Examples
    --------
    >>> "clevis" in connections_rated_as_chain(), "shank" in connections_rated_as_chain()
    (True, False)
    """
    connections = built_in_packages()["hooks"]["connections"]
    return tuple(connections.filter(pl.col("rated_as_its_chain"))["connection"])
