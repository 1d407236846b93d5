"""What a person says of a list: which sheet, which columns, which scheme, which maker's ratings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

__all__ = ["ColumnChoice", "ListOptions"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ListOptions:
    """The options of `tallyhook.check` and `tallyhook.tidy`, as they travel through the steps.

    Attributes
    ----------
    sheet : str or None
        Only this sheet of a workbook; all sheets otherwise.
    leave_out : tuple of str
        Sheets that are not checked, by name, and tables, by one of their rows
        (`tallyhook.recognising.left_out`).
    columns : mapping of role to heading
        Goes before what would be recognised.
    profile : path or None
        A file that keeps the mapping of a shop's columns.
    scheme : str or None
        The rating scheme that rows claim unless their own words claim another.
    extra : tuple of path
        Folders of a maker's rating packages, used beside the built-in ones.
    bounds : mapping of name to number
        How much work the list may ask for, where it is not the usual (`tallyhook.bounds.Bounds`).
    """

    sheet: str | None = None
    leave_out: tuple[str, ...] = ()
    columns: Mapping[str, str] = field(default_factory=dict)
    profile: str | Path | None = None
    scheme: str | None = None
    extra: tuple[str | Path, ...] = ()
    bounds: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnChoice:
    """What a person says of columns: `columns` by role, and the entries of a `profile` file."""

    columns: Mapping[str, str] = field(default_factory=dict)
    profile: tuple[Mapping[str, str], ...] = ()
