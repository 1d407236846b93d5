"""``tallyhook explain``: the page of a rule, a cause or a source."""

from __future__ import annotations

from typing import Annotated

import typer

from tallyhook.cli.exit_codes import OK
from tallyhook.messages import to_say

__all__ = ["explain"]


def explain(
    name: Annotated[str | None, typer.Argument(help=to_say("A rule, a cause or a source."))] = None,
) -> int:
    """Explain a rule, a cause or a source; without a name, list them all."""
    from tallyhook.docs.pages import index_text, page_text
    from tallyhook.docs.terminal import on_terminal

    print(on_terminal(index_text() if name is None else page_text(name)), end="")
    return OK
