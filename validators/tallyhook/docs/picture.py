"""A terminal's screen as a picture that loads nothing."""

from __future__ import annotations

import io
from pathlib import Path

from rich.console import Console
from rich.text import Text

__all__ = ["screen_svg"]

# ours, since the frame that rich has of its own fetches a font from the web
_FRAME = Path(__file__).resolve().parent / "assets" / "terminal.svg"


def screen_svg(screen: str, *, title: str, width: int) -> str:
    """Draw what a terminal shows: lines of text with its codes of colour.

    Parameters
    ----------
    screen : str
        The lines, with ANSI escape sequences.
    title : str
        The words above the lines.
    width : int
        Columns of the terminal.
    """
    out = Console(
        file=io.StringIO(),
        width=width,
        height=screen.count("\n") + 1,
        record=True,
        highlight=False,
        # whatever the environment says of the terminal that tallyhook runs in
        force_terminal=True,
        color_system="standard",
        no_color=False,
    )
    out.print(Text.from_ansi(screen))
    frame = _FRAME.read_text(encoding="utf-8")
    return out.export_svg(title=title, code_format=frame, unique_id="screen")
