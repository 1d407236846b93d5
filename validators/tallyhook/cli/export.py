"""``tallyhook export``: the rating packages for other software."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from tallyhook.cli.exit_codes import OK
from tallyhook.messages import say, to_say

__all__ = ["export"]


def export(
    output: Annotated[
        Path, typer.Option("-o", "--output", metavar="FOLDER", help=to_say("Where the files go."))
    ],
    packages: Annotated[
        list[str] | None,
        typer.Argument(metavar="[PACKAGE]...", help=to_say("All of them otherwise.")),
    ] = None,
    format: Annotated[
        str, typer.Option(help=to_say("csv, json, parquet, sqlite or xlsx."))
    ] = "csv",
) -> int:
    """Write the rating packages as CSV, JSON, Parquet, SQLite or XLSX."""
    from tallyhook.packages.export import export as run
    from tallyhook.wording import CAUTION

    for path in run(output, format=format, packages=packages or ()):
        print(path)
    print(say(CAUTION))
    return OK
