"""A folder of a git repository as it was at a revision."""

from __future__ import annotations

import io
import os
import subprocess
from collections.abc import Iterator
from pathlib import Path

from tallyhook.errors import PackageError
from tallyhook.messages import say
from tallyhook.packages.unpacking import Unpacked, require_bounds, write_files

__all__ = ["git", "take_revision"]

_LONGEST_WAIT = 120  # seconds
_OF_A_HOOK = ("GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE", "GIT_PREFIX", "GIT_COMMON_DIR")


def take_revision(revision: str, path: str, repo: Path, folder: Path) -> None:
    """Write a folder of a repository, as it was at a revision, into an empty folder.

    Parameters
    ----------
    revision : str
        A tag, a branch, a commit: whatever git takes.
    path : str
        The folder, counted from the top of the repository; from the working folder where it
        begins with ``./``.
    repo : path
        The repository, or a folder in it.
    folder : path
        Where the files go.

    Raises
    ------
    PackageError
        git is not installed, or there is no such repository, revision or folder.
    """
    named = f"{revision}:{path}"
    if not named.isprintable() or revision.startswith("-"):
        raise _refused(say("no revision can be named so"), named)
    if not os.path.isdir(repo):  # noqa: PTH112
        raise PackageError(
            say("there is no such folder"), where=str(repo), next_step=say("check --repo")
        )
    git(repo, "rev-parse", "--git-dir", where=str(repo))
    inside = path if path.startswith("./") else path.strip("/")
    if not _object(repo, revision):
        raise _refused(say("the repository has no revision {revision}", revision=revision), named)
    found = _object(repo, f"{revision}:{inside}")
    if not found:
        raise _refused(
            say("there is no {path} at {revision}", path=inside, revision=revision), named
        )
    if git(repo, "cat-file", "-t", found, where=named).strip() != b"tree":
        raise _refused(say("it is a file and no folder"), named)
    write_files(_files(repo, found, named), folder, named)


def _object(repo: Path, name: str) -> str:
    """Give the hash of what git knows by a name; empty where it knows nothing."""
    try:
        known = git(repo, "rev-parse", "--verify", "--quiet", name, where=name)
    except PackageError:
        return ""
    return known.decode("ascii", errors="replace").strip()


def _files(repo: Path, tree: str, where: str) -> Iterator[Unpacked]:
    listed = git(repo, "ls-tree", "-r", "-z", "-l", "--full-tree", tree, where=where)
    entries: list[tuple[str, bytes, int]] = []
    for entry in filter(None, listed.split(b"\0")):
        about, name = entry.split(b"\t", 1)
        mode, kind, blob, length = about.split()
        if kind == b"blob" and mode != b"120000":  # no link, and no other repository
            entries.append((name.decode("utf-8", errors="replace"), blob, int(length)))
    require_bounds(len(entries), sum(size for *_, size in entries), where)
    wanted = b"".join(blob + b"\n" for _, blob, _ in entries)
    content = io.BytesIO(git(repo, "cat-file", "--batch", where=where, stdin=wanted))
    for path, _, size in entries:
        content.readline()
        yield Unpacked(path, io.BytesIO(content.read(size)))
        content.read(1)


def git(repo: Path, *words: str, where: str, stdin: bytes = b"") -> bytes:
    """Ask git something about a repository.

    Raises
    ------
    PackageError
        git is not installed, does not answer, or refuses.
    """
    quiet = {"GIT_TERMINAL_PROMPT": "0", "GIT_OPTIONAL_LOCKS": "0", "LC_ALL": "C"}
    # within a hook these name the repository of the hook, whatever folder is asked about
    inherited = {name: text for name, text in os.environ.items() if name not in _OF_A_HOOK}
    try:
        run = subprocess.run(
            ["git", "-C", str(repo), *words],
            input=stdin,
            capture_output=True,
            env=inherited | quiet,
            timeout=_LONGEST_WAIT,
            check=False,
        )
    except FileNotFoundError:
        raise PackageError(
            say("git is needed to read a revision, and it is not installed here"),
            where=where,
            next_step=say("install it, or name a folder or an archive"),
        ) from None
    except (OSError, subprocess.TimeoutExpired) as error:
        raise _refused(say("git does not answer ({reason})", reason=error), where) from None
    if run.returncode:
        said = run.stderr.decode("utf-8", errors="replace").strip().splitlines()
        raise _refused(say("git refuses ({reason})", reason=said[0] if said else words[0]), where)
    return run.stdout


def _refused(what: str, where: str) -> PackageError:
    return PackageError(
        what,
        where=where,
        next_step=say(
            "write it as REVISION:FOLDER, such as HEAD:datasets/chain, and name the repository"
            " with --repo"
        ),
    )
