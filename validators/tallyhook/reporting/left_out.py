"""What of a list was not checked, in words, and what to do about it."""

from __future__ import annotations

from tallyhook.messages import say
from tallyhook.model.sheet import HIDDEN, RATINGS, LeftOut

__all__ = ["option_for", "place_of", "unlooked_text"]


def place_of(left: LeftOut) -> str:
    """Name a sheet or table as `leave_out` takes it.

    Examples
    --------
    >>> place_of(LeftOut(sheet="Chain", row=40, why="", state=RATINGS))
    'Chain!row 40'
    """
    if left.row is None:
        return left.sheet or ""
    row = f"row {left.row}"  # as it is written after the option, in any language
    return row if left.sheet is None else f"{left.sheet}!{row}"


def option_for(left: LeftOut) -> str:
    """Write the option that leaves a sheet or table out by name."""
    return f'--leave-out "{place_of(left)}"'


def unlooked_text(left: LeftOut) -> str | None:
    """Say that what looks like ratings was not checked, and what to do; None for all else."""
    if left.state != RATINGS:
        return None
    parts = {"option": option_for(left), "sheet": left.sheet, "why": say(left.why)}
    if left.row is not None:
        return say(
            "the table from {place} on looks like ratings and was not checked ({why}); put it on a "
            "sheet of its own, or leave it out with {option}",
            place=place_of(left),
            **parts,
        )
    if left.why == HIDDEN:
        return say(
            "the hidden sheet '{sheet}' looks like ratings and was not checked; check it with "
            '--sheet "{sheet}", or leave it out with {option}',
            **parts,
        )
    return say(
        "the sheet '{sheet}' looks like ratings and was not checked ({why}); check it with "
        '--sheet "{sheet}" and say with --column what its columns are, or leave it out with '
        "{option}",
        **parts,
    )
