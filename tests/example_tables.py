"""The example tables in rule docstrings, as data: a test runs every one of them."""

from __future__ import annotations

import re

__all__ = ["example_tables"]

_ROW = re.compile(r"^\s*\|(.*)\|\s*$")


def example_tables(text: str, default: str) -> dict[str, list[dict[str, str]]]:
    """Read the Markdown tables of an *Example* section.

    A table belongs to the name in backticks on a line above it, or to `default`. Cells stay
    text; an empty cell is missing.

    Examples
    --------
    >>> example_tables("| row | a |\\n| --- | - |\\n| 2 | x |", "items")
    {'items': [{'row': '2', 'a': 'x'}]}
    """
    tables: dict[str, list[dict[str, str]]] = {}
    name, heading = default, None
    for line in text.splitlines():
        match = _ROW.match(line)
        if not match:
            quoted = re.search(r"`([^`]+)`", line)
            if quoted:
                name = quoted[1]
            if not line.strip() or quoted:
                heading = None
            continue
        cells = [c.strip() for c in match[1].split("|")]
        if heading is None:
            heading = cells
            tables.setdefault(name, [])
        elif not set("".join(cells)) <= {"-", ":", " "}:
            tables[name].append(dict(zip(heading, cells, strict=True)))
    return tables
