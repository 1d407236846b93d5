"""Of several columns that could each be the grade, one is it, all say the same, or none is taken.

Which one does not depend on where they stand: it is the column that is headed so and nothing more,
that holds what its heading says, and that the words of the rows bear out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from tallyhook.messages import say
from tallyhook.model.layout import FORCES
from tallyhook.recognising import thresholds
from tallyhook.recognising.evidence import (
    ColumnEvidence,
    Columns,
    TableEvidence,
    having,
    replaced,
    shown_among,
)
from tallyhook.recognising.rivals import Rivals, rivals_of

__all__ = ["one_of_each"]

_ROLES: tuple[str, ...] = ("grade", "size", "legs", "angle", *FORCES[1:], "design_factor")
_ROLES += ("latch", "cradle", "swivel", "overhead")
"""What an item has one of, and reads from a column of its own."""


def one_of_each(columns: Columns, table: TableEvidence) -> Columns:
    """Keep of the columns of one role those that say the same, or the one that surely is it."""
    for role in _ROLES:
        groups: dict[tuple[tuple[str, str], ...], list[ColumnEvidence]] = {}
        for column in having(columns, role):
            groups.setdefault(tuple(sorted(column.gives.items())), []).append(column)
        for group in groups.values():
            if len(group) > 1:
                columns = replaced(columns, *_not_kept(role, group, columns, table))
        columns = replaced(columns, *_settled(role, columns))
    return columns


def _settled(role: str, columns: Columns) -> list[ColumnEvidence]:
    """Give the columns that cannot be what they are headed as, where another column surely is."""
    kept = [c for c in having(columns, role) if c.named or c.reading.whole]
    if not kept:
        return []
    why = _it_is(role, kept, columns)
    # two sizes or two forces in two units are both the item's
    in_two_units = role in ("size", *FORCES)
    return [
        replace(c.refused(why), refused_role=None)
        for c in columns
        if c.refused_role == role and not (in_two_units and c.reading.whole)
    ]


def _it_is(role: str, kept: Sequence[ColumnEvidence], columns: Columns) -> str:
    first = min(kept, key=lambda c: c.heading)
    return say("the {role} is {heading}", role=role, heading=shown_among(first, columns))


def _not_kept(
    role: str, group: Sequence[ColumnEvidence], columns: Columns, table: TableEvidence
) -> list[ColumnEvidence]:
    """Give the columns of a group that are not kept, with the reason."""
    named = [c for c in group if c.named]
    kept = named or _kept(group, rivals_of(role, group, columns, table))
    if not kept:
        both = say(" and ").join(shown_among(c, columns) for c in group)
        why = say("in doubt: {headings} could each be the {role}", headings=both, role=role)
        # its rows are told: `tallyhook.interpreting.unread_cells`
        return [replace(c.refused(why), refused_role=role) for c in group]
    why = _it_is(role, kept, columns)
    return [c.refused(why) for c in group if c not in kept]


def _kept(group: Sequence[ColumnEvidence], rivals: Rivals) -> list[ColumnEvidence]:
    """Choose the columns that are kept; none when in doubt."""
    fitting = [c for c in group if rivals.fit[c.column] >= thresholds.SURELY_FITS]
    best = fitting or list(group)
    first = [c for c in best if c.reading.whole] or best
    if not all(rivals.same(c, first[0]) for c in first):
        first = _borne_out(first, rivals)
    if not first:
        return []
    others = [c for c in best if c not in first and not c.reading.whole]
    against = [c for c in others if not rivals.same(c, first[0])]
    if against and _borne_out([*first[:1], *against], rivals) not in ([], first[:1]):
        return []  # the heading says one, the words of the rows the other
    return [*first, *(c for c in others if c not in against)]


def _borne_out(group: Sequence[ColumnEvidence], rivals: Rivals) -> list[ColumnEvidence]:
    """Choose the one column that the words of the rows bear out, and not the others."""
    shares = rivals.borne_out(group)
    sure = [c for c in group if (shares[c.column] or 0) >= thresholds.SURELY_FITS]
    others = [shares[c.column] for c in group if c not in sure]
    against = all(share is not None and share < thresholds.HALF_FITS for share in others)
    return sure if len(sure) == 1 and against else []
