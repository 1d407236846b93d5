"""``tallyhook audit``: the internal consistency of rating packages."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

from tallyhook.cli.exit_codes import COULD_NOT_RUN, FOUND, OK
from tallyhook.cli.options import Format, Out, With
from tallyhook.messages import to_say

__all__ = ["audit"]


def audit(
    package: Annotated[
        str | None, typer.Argument(help=to_say("One package by name or folder; all otherwise."))
    ] = None,
    extra: With = None,
    format: Out = Format.text,
) -> int:
    """Check the internal consistency of rating packages.

    Exit code: 0 only recorded oddities, 1 findings, 2 could not run or ran incompletely.
    """
    from tallyhook.auditing.audit import audit as run
    from tallyhook.auditing.rendering import render, render_json
    from tallyhook.wording import terminal_width

    name, folders = _audited(package, list(extra or ()))
    report = run(only=name, extra=tuple(folders))
    width = terminal_width()
    print(render_json(report) if format is Format.json else render(report, width), end="")
    if not report.complete:
        return COULD_NOT_RUN
    return FOUND if len(report.findings) else OK


def _audited(package: str | None, extra: list[Path]) -> tuple[str | None, list[Path]]:
    """Give the name of the package to audit and the folders beside the built-in packages.

    A package may be named by its folder; that of a built-in one is not added a second time.
    """
    # by os.path: a name too long is no folder, and no error
    if package is None or not os.path.isdir(package):  # noqa: PTH112
        return package, extra
    from tallyhook.packages.package import datasets_folder, load_package

    folder = Path(package)
    name = load_package(folder, lenient=True).name
    if folder.resolve() != (datasets_folder() / name).resolve():
        extra = [*extra, folder]
    return name, extra
