"""``tallyhook diff``: what changed between two states of rating packages."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from tallyhook.cli.exit_codes import FOUND, OK
from tallyhook.cli.options import Format, Out, write_answer
from tallyhook.messages import to_say

__all__ = ["diff"]


def diff(
    old: Annotated[
        str,
        typer.Argument(
            metavar="OLD",
            help=to_say(
                "A package's folder, a folder of packages, a .zip or .tar.gz of either, or"
                " REVISION:FOLDER of a git repository, such as HEAD:datasets/chain."
            ),
        ),
    ],
    new: Annotated[str, typer.Argument(metavar="NEW", help=to_say("The same, as it is now."))],
    repo: Annotated[
        Path | None,
        typer.Option(
            metavar="FOLDER",
            help=to_say("The repository of a revision; that of the working folder otherwise."),
        ),
    ] = None,
    format: Out = Format.text,
) -> int:
    """Show what changed between two states of rating packages, a line a change.

    Each change says the level that it forces. MAJOR: a value that moves the permissive way, a
    withdrawn row or value, a weaker known_by, a tightened constraint, a changed column, key, unit
    or meaning. MINOR: an added row, table or value, a stricter value, a loosened constraint. PATCH:
    words. At the end stands whether the step of each package's version suffices.

    Exit code: 0 the same, 1 different, 2 could not compare.
    """
    from tallyhook.packages.diff import diff as run

    found = run(old, new, repo=repo)
    write_answer(found, format)
    return OK if found.same else FOUND
