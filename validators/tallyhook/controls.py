"""Characters that steer a terminal or turn the direction of reading: none leaves in any text.

A cell, a heading, a name of a file, a decision or a maker's package may hold them. What a terminal
would obey, or what makes ``1000`` read as ``0001``, is shown as U+FFFD, the mark of a character
that cannot be shown.
"""

from __future__ import annotations

import re

__all__ = ["without_controls"]

# C0 but tab and line feed, DEL, C1; the marks, embeddings, overrides and isolates of direction
_CONTROLS = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
_COLOURS = re.compile(r"(\x1b\[[0-9;]{0,32}m)")
_ASCII_ONES = bytes({*range(32), 127} - {9, 10})


def without_controls(text: str, *, coloured: bool = False) -> str:
    """Give a text with every such character shown as one that cannot be shown.

    Parameters
    ----------
    text : str
        Any text; tabs and line feeds stay, and of CR LF the line feed.
    coloured : bool
        Leave the codes of colours alone: of what our own output to a terminal holds.

    Examples
    --------
    >>> without_controls("7100\\u202e lb"), without_controls("a\\r\\nb")
    ('7100� lb', 'a\\nb')
    """
    if text.isascii():  # by far the most, and long: as bytes this is ten times as fast
        raw = text.encode("ascii")
        if len(raw.translate(None, _ASCII_ONES)) == len(raw):
            return text
    text = text.replace("\r\n", "\n")
    if coloured:
        parts = _COLOURS.split(text)  # every other one is a code
        parts[::2] = [_CONTROLS.sub("\ufffd", part) for part in parts[::2]]
        return "".join(parts)
    return _CONTROLS.sub("\ufffd", text)
