"""The version of a rating package: its three numbers, and what its changelog says of it."""

from __future__ import annotations

import re
from pathlib import Path

from tallyhook.errors import PackageError
from tallyhook.messages import say

__all__ = ["STEPS", "changelog_versions", "version_parts", "version_step"]

STEPS = ("patch", "minor", "major")
"""The steps from one version to the next, the smallest first."""


def changelog_versions(folder: Path) -> list[str]:
    """Read the versions that a package's changelog has headings for, newest first."""
    path = folder / "CHANGELOG.md"
    text = path.read_text(encoding="utf-8", errors="replace") if path.is_file() else ""
    return re.findall(r"^## \[?v?(\d{1,9}\.\d{1,9}\.\d{1,9})\b", text, flags=re.MULTILINE)


def version_parts(version: str, folder: Path) -> tuple[int, ...]:
    """Take a version apart: ``1.4.0`` is (1, 4, 0).

    Raises
    ------
    PackageError
        It is not three numbers; `folder` says whose it is.
    """
    if not re.fullmatch(r"\d+\.\d+\.\d+", version):
        raise PackageError(
            say("'{version}' is not a version", version=version),
            where=str(folder),
            next_step=say("write it as MAJOR.MINOR.PATCH in datapackage.json"),
        )
    return tuple(map(int, version.split(".")))


def version_step(old: str, new: str, folder: Path) -> int:
    """Give the place in `STEPS` of the step from one version to the next; -1 when it is none.

    Raises
    ------
    PackageError
        One of them is not a version; `folder` says whose it is.
    """
    a, b = version_parts(old, folder), version_parts(new, folder)
    if b <= a:
        return -1
    first = next(i for i in range(3) if a[i] != b[i])
    return 2 - first
