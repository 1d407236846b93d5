"""Files and folders that are written whole or not at all, and texts that stay texts in them."""

from __future__ import annotations

import hashlib
import logging
import os
import re
import shutil
import stat
import sys
import tempfile
import traceback
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from tallyhook.errors import TallyhookError
from tallyhook.messages import say

__all__ = [
    "FORMULA_LIKE",
    "is_formula_like",
    "restore_folder",
    "whole_file",
    "whole_folder",
    "write_whole",
]

_log = logging.getLogger(__name__)

_FORMULA = re.compile(r"^(?:\s*[=+\-@]|[\t\r\n])")
FORMULA_LIKE = _FORMULA.pattern
"""How a text begins that a spreadsheet could take for a formula; for polars' patterns, too."""


def is_formula_like(text: str) -> bool:
    """Whether a spreadsheet could take a text for a formula.

    Examples
    --------
    >>> is_formula_like("=1+1"), is_formula_like(" @SUM(A1)"), is_formula_like("3/8")
    (True, True, False)
    """
    return _FORMULA.match(text) is not None


def write_whole(path: str | Path, content: str | bytes) -> None:
    """Write a file; text as UTF-8 with the line ends it has, a name's stray bytes as ``?``.

    Raises
    ------
    TallyhookError
        The file cannot be written; what stood there before still stands.
    """
    with whole_file(path) as draft:
        data = content.encode("utf-8", errors="replace") if isinstance(content, str) else content
        draft.write_bytes(data)


@contextmanager
def whole_file(path: str | Path) -> Iterator[Path]:
    """Give a path to write to, which takes the place of `path` when the block ends well.

    The draft lies in the same folder, so that taking its place is one step of the file system.
    When the block raises, the draft goes and `path` stays as it was. A device or pipe is written
    to directly.

    Raises
    ------
    TallyhookError
        The folder is missing, or the file cannot be written.
    """
    try:
        target = Path(os.path.realpath(path))  # a link stays a link, its target is replaced
    except ValueError:  # a zero byte
        raise _unwritable(path, say("no file can have this name")) from None
    try:
        if target.exists() and not target.is_file() and not target.is_dir():
            yield target
            return
        if target.is_dir():
            raise IsADirectoryError(0, say("it is a folder"))
        draft = _draft_beside(target)
        try:
            yield draft
            with draft.open("rb") as written:
                os.fsync(written.fileno())
            draft.replace(target)
            _log.info("wrote %s", target)
        except BaseException:
            with suppress(OSError):
                draft.unlink()
            raise
    except OSError as error:
        with _unheard():
            traceback.clear_frames(error.__traceback__)
        raise _unwritable(path, error.strerror or str(error)) from error


def _unwritable(path: str | Path, reason: str) -> TallyhookError:
    return TallyhookError(
        say("the file cannot be written ({reason})", reason=reason),
        where=str(path),
        next_step=say("check the folder, its permissions and the space left"),
    )


@contextmanager
def whole_folder(folder: Path) -> Iterator[Path]:
    """Give a folder to write into, which takes the place of `folder` when the block ends well.

    The draft lies beside it. When the block raises, the draft goes and `folder` stays as it was.
    After a run that was killed while the new one took its place, `restore_folder` puts it back.

    Raises
    ------
    OSError
        The folder cannot be written.
    """
    folder.parent.mkdir(parents=True, exist_ok=True)
    draft = Path(tempfile.mkdtemp(prefix=f".{folder.name[:40]}-", dir=folder.parent))
    try:
        draft.chmod(0o777 & ~_umask())
        yield draft
        _take_place(draft, folder)
        _log.info("wrote %s", folder)
    finally:
        shutil.rmtree(draft, ignore_errors=True)


def restore_folder(folder: Path) -> None:
    """Put a folder back that a killed run had moved aside, and remove what else it left.

    A folder is replaced in two steps: the old one is moved aside, the new one takes its place. A
    run that is killed between them leaves none at the place, and the old one whole beside it.
    """
    old = _aside(folder)
    if not old.is_dir():
        return
    if folder.exists():
        shutil.rmtree(old, ignore_errors=True)
    else:
        old.replace(folder)


def _take_place(draft: Path, folder: Path) -> None:
    if not folder.exists():
        draft.replace(folder)
        return
    old = _aside(folder)
    folder.replace(old)
    try:
        draft.replace(folder)
    except OSError:
        old.replace(folder)
        raise
    shutil.rmtree(old, ignore_errors=True)


def _aside(folder: Path) -> Path:
    """Give the one place where the old folder waits, so that a later run finds it."""
    mark = hashlib.sha256(os.fsencode(folder.name)).hexdigest()[:8]  # of names that begin alike
    return folder.parent / f".{folder.name[:40]}-{mark}-old"


@contextmanager
def _unheard() -> Iterator[None]:
    """Keep writers that are broken off from telling a second time that the disk is full."""
    heard, sys.unraisablehook = sys.unraisablehook, lambda _: None
    try:
        yield
    finally:
        sys.unraisablehook = heard


def _draft_beside(target: Path) -> Path:
    handle, name = tempfile.mkstemp(
        prefix=f".{target.stem[:40]}-", suffix=target.suffix, dir=target.parent
    )
    os.close(handle)
    draft = Path(name)
    # a temporary file is private; the report has the permissions any new file would have
    draft.chmod(stat.S_IMODE(target.stat().st_mode) if target.exists() else 0o666 & ~_umask())
    return draft


def _umask() -> int:
    mask = os.umask(0o077)
    os.umask(mask)
    return mask
