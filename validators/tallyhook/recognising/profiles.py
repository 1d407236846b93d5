"""A shop's mapping of columns, kept in a small TOML file for next time."""

from __future__ import annotations

import json
import tomllib
from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from tallyhook.errors import StockListError
from tallyhook.files import write_whole
from tallyhook.messages import say
from tallyhook.model.layout import ROLES, Layout, column_letter
from tallyhook.reading.streams import on_disk

__all__ = ["load_profile", "profile_from_layout", "save_profile"]

Profile = dict[str, Any]


def profile_from_layout(layout: Layout) -> Profile:
    """Take the columns of a layout as a profile.

    Returns
    -------
    dict
        ``columns``: one entry a column with ``heading``, ``role`` and, where known, ``unit``.
    """
    columns = []
    headings = Counter(" ".join(c.heading.casefold().split()) for c in layout.columns)
    for column in layout.columns:
        heading = column.heading
        if headings[" ".join(heading.casefold().split())] > 1:  # by its place, then
            heading = say("column {letter}", letter=column_letter(column.column))
        entry = {"heading": heading, "role": column.role}
        if column.unit:
            entry["unit"] = column.unit
        columns.append(entry)
    return {"columns": columns}


def save_profile(profile: Mapping[str, Any], path: str | Path) -> None:
    """Write a profile as TOML."""
    about = say("what each column of this shop's list is. Edit role and unit freely.")
    lines = [f"# tallyhook profile: {about}"]
    for entry in profile["columns"]:
        lines += ["", "[[columns]]"]
        # a TOML basic string is written as a JSON string is
        lines += [f"{key} = {json.dumps(str(entry[key]), ensure_ascii=False)}" for key in entry]
    write_whole(path, "\n".join(lines) + "\n")


def load_profile(path: str | Path) -> Profile:
    """Read a profile.

    Raises
    ------
    StockListError
        The file is missing, is no TOML, or has a role that does not exist.
    """
    where = str(path)
    try:
        with on_disk(path) as file:
            data = tomllib.loads(file.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError) as error:  # an endless number is no TOML error
        reason = getattr(error, "strerror", None) or str(error)
        raise StockListError(
            say("the profile cannot be read ({reason})", reason=reason),
            where=where,
            next_step=say("check the path, or write the profile anew"),
        ) from None
    columns = data.get("columns")
    if not isinstance(columns, list) or not columns:
        raise StockListError(
            say("the profile names no columns"), where=where, next_step=say("write it anew")
        )
    for entry in columns:
        if not isinstance(entry, dict) or not {"heading", "role"} <= set(entry):
            raise StockListError(
                say("a column of the profile lacks its heading or role"),
                where=where,
                next_step=say("add it"),
            )
        if entry["role"] not in ROLES:
            raise StockListError(
                say("a column cannot be '{role}'", role=entry["role"]),
                where=where,
                next_step=say("roles are {roles}", roles=", ".join(ROLES)),
            )
    return dict(data)
