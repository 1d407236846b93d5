"""The rating packages that a person names: a folder, an archive, or a revision of a repository.

An archive may come from anywhere: it is unpacked into a folder of its own, within bounds, and a
name in it that leads out of that folder is refused. Of a revision the files are taken as git
keeps them. Nothing is fetched.
"""

from __future__ import annotations

import os
import re
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tallyhook.errors import PackageError
from tallyhook.messages import say
from tallyhook.packages.changes import Snapshot, current
from tallyhook.packages.revisions import take_revision
from tallyhook.packages.unpacking import unpack
from tallyhook.wording import one_line

__all__ = ["Side", "packages_of"]

_DESCRIPTOR = "datapackage.json"
_DEEPEST = 4  # folders down: a distribution holds project/validators/datasets/package at most
_MOST_FOLDERS = 20_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """The packages on one side of a comparison.

    Attributes
    ----------
    named : str
        As the person named it.
    packages : dict of str to Snapshot
        By name.
    single : bool
        Whether one package was named, and not a folder of them; an archive of a single one
        is that, whatever folder stands above it in the archive.
    """

    named: str
    packages: dict[str, Snapshot]
    single: bool


def packages_of(named: str | Path, repo: str | Path | None = None) -> Side:
    """Read the rating packages that a person names.

    Parameters
    ----------
    named : str or path
        A package's folder, a folder of packages, a ``.zip`` or ``.tar.gz`` of either, or
        ``REVISION:FOLDER`` of a git repository.
    repo : str or path, optional
        The repository of a revision; that of the working folder otherwise.

    Raises
    ------
    PackageError
        There is no such thing, it holds no rating package, or one of them is broken.
    """
    text = os.fspath(named)
    if os.path.isdir(text):  # noqa: PTH112 - a name too long is no folder, and no error
        return _read(Path(text), text, text)
    if os.path.isfile(text):  # noqa: PTH113
        path = Path(text)
        if path.name == _DESCRIPTOR:
            return _read(path.parent, text, str(path.parent))
        with _emptied_folder() as folder:
            unpack(path, folder)
            return _read(folder, text, text, one_is_single=True)
    if os.path.exists(text):  # noqa: PTH110
        raise PackageError(
            say("it is neither a folder nor a file"), where=text, next_step=_what_may_be_named()
        )
    revision, colon, path_in_it = text.partition(":")
    if not colon or not revision or re.fullmatch(r"[A-Za-z]:[\\/].*", text):
        raise PackageError(
            say("there is no such folder or archive"), where=text, next_step=_what_may_be_named()
        )
    with _emptied_folder() as folder:
        take_revision(revision, path_in_it, Path(repo or "."), folder)
        return _read(folder, text, text)


def _what_may_be_named() -> str:
    return say(
        "name the folder of a package or of several, a .zip or .tar.gz of it, or a revision as"
        " REVISION:FOLDER, such as HEAD:datasets/chain"
    )


@contextmanager
def _emptied_folder() -> Iterator[Path]:
    try:
        with tempfile.TemporaryDirectory(prefix="tallyhook-") as folder:
            yield Path(folder)
    except OSError as error:
        raise PackageError(
            say("it cannot be unpacked ({reason})", reason=error.strerror or error),
            where=tempfile.gettempdir(),
            next_step=say("make room there, or name another folder in TMPDIR"),
        ) from None


def _read(root: Path, named: str, shown: str, *, one_is_single: bool = False) -> Side:
    """Read the packages below a folder; `shown` takes its place where an error says where."""
    folders = _package_folders(root)
    if not folders:
        raise PackageError(
            say("there is no rating package in it, no {file}", file=_DESCRIPTOR),
            where=named,
            next_step=_what_may_be_named(),
        )
    packages: dict[str, Snapshot] = {}
    for folder in folders:
        try:
            snapshot = current(folder)
        except PackageError as error:
            where = one_line(error.where.replace(str(root), shown))
            what = one_line(error.what)
            raise PackageError(what, where=where, next_step=error.next_step) from None
        if snapshot.name in packages:
            raise PackageError(
                say("two packages in it are named {name}", name=snapshot.name),
                where=named,
                next_step=say("name the folder of one of them"),
            )
        packages[snapshot.name] = snapshot
    single = folders == [root] or (one_is_single and len(folders) == 1)
    return Side(named=named, packages=packages, single=single)


def _package_folders(root: Path) -> list[Path]:
    """Find the packages that lie least deep: those of a project, not those of its tests."""
    level = [root]
    for _ in range(_DEEPEST + 1):
        found = [folder for folder in level if (folder / _DESCRIPTOR).is_file()]
        if found:
            return sorted(found)
        level = [inner for folder in level for inner in _inner(folder)]
        if len(level) > _MOST_FOLDERS:
            raise PackageError(
                say("it holds more than {n} folders", n=_MOST_FOLDERS),
                where=str(root),
                next_step=say("name the folder of the packages"),
            )
    return []


def _inner(folder: Path) -> list[Path]:
    try:
        return [p for p in folder.iterdir() if not p.name.startswith(".") and p.is_dir()]
    except OSError:  # not ours to read: whatever it holds was not named
        return []
