"""The names of places in a list, for messages; light, for the process that reads a workbook."""

from __future__ import annotations

from tallyhook.messages import say

__all__ = ["sheet_place"]


def sheet_place(file: str, sheet: str) -> str:
    """Name a sheet of a file.

    Examples
    --------
    >>> sheet_place("list.xlsx", "Hooks")
    "list.xlsx, sheet 'Hooks'"
    """
    return say("{file}, sheet '{sheet}'", file=file, sheet=sheet)
