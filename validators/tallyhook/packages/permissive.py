"""Which way a published number lets more pass.

Every numeric field of a rating package says it under ``permissive``: ``up`` where a larger value
lets more pass (a rating, a wear limit counted as loss), ``down`` where a smaller one does (a least
thickness, a test load), ``neither`` where the number permits nothing (a nominal size).

A table of rules holds largest and smallest values in one column. There the words of another
column say it, row by row::

    "permissive": {"column": "comparison", "up": ["at-most"], "down": ["at-least"]}

A row with a word that is in none of the lists (a value that is to be met exactly) may be let pass
by a move either way.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

__all__ = ["Way", "permissive_way"]

Way = Literal["up", "down", "neither", "either"]

_NAMED: tuple[Way, ...] = ("up", "down", "neither")


def permissive_way(field: Mapping[str, Any], row: Mapping[str, Any]) -> Way:
    """Say which move of a number lets more pass.

    Parameters
    ----------
    field : mapping
        The Table Schema field of the number.
    row : mapping
        The row that the number stands in, by column.

    Returns
    -------
    str
        ``up``, ``down``, ``neither``, or ``either``: of a field that says nothing, and of a row
        whose word the field does not list, every move is taken for one that lets more pass.

    Examples
    --------
    >>> length = {"permissive": {"column": "is", "up": ["at-most"], "down": ["at-least"]}}
    >>> [permissive_way(length, {"is": word}) for word in ("at-most", "at-least", "exactly")]
    ['up', 'down', 'either']
    >>> permissive_way({"permissive": "neither"}, {})
    'neither'
    """
    said = field.get("permissive")
    if isinstance(said, Mapping):
        word = row.get(said["column"])
        said = next((way for way in _NAMED if word in said.get(way, ())), None)
    return next((way for way in _NAMED if way == said), "either")
