"""A page shown on the terminal."""

from __future__ import annotations

import re

from tallyhook.wording import wrapped

__all__ = ["on_terminal"]

_RECORD = re.compile(r"[a-z_]+: ")


def on_terminal(text: str) -> str:
    """Wrap a page or a list to the terminal; tables and headings stay as they are."""
    lines: list[str] = []
    paragraph: list[str] = []

    def close() -> None:
        if paragraph:
            lines.extend(wrapped(" ".join(paragraph), first="", indent=2 * _listed(paragraph[0])))
            paragraph.clear()

    for line in text.splitlines():
        alone = not line or line[0] in "#|" or line[0].isspace() or _RECORD.match(line) is not None
        if alone or _listed(line):
            close()
        if alone and line and line[0] not in "#|":
            lead = line[: len(line) - len(line.lstrip())]
            lines += wrapped(line.strip(), first=lead, indent=len(lead) + 2)
        elif alone:
            lines.append(line)
        else:
            paragraph.append(line)
    close()
    return "\n".join(lines) + "\n"


def _listed(line: str) -> bool:
    return line.startswith("- ")
