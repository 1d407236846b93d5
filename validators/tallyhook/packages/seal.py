"""The seal of a rating package: a hash for each file, and a version that says what changed.

``python -m tallyhook.packages.seal`` is what ``scripts/seal`` and ``scripts/derive`` call. It says
which change forces what (`levels.py`). A version step that is too small for what changed since
the state it is compared with is refused, and so is a version that the changelog does not name, and
a rating that went without an entry in ``retired.csv``.
"""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path

import polars as pl

from tallyhook.errors import PackageError
from tallyhook.files import write_whole
from tallyhook.messages import say
from tallyhook.packages.changes import Change, Snapshot, changes, current
from tallyhook.packages.derive import derive_table, derived_tables
from tallyhook.packages.package import file_hash, load_package
from tallyhook.packages.rating_ids import forgotten_ids, named
from tallyhook.packages.revisions import git
from tallyhook.packages.versions import STEPS, changelog_versions, version_parts, version_step

__all__ = ["committed", "main", "rederive", "seal"]


def committed(folder: Path, ref: str = "HEAD") -> Snapshot | None:
    """Take the package as git has it at `ref`; none where no repository or commit holds it.

    Raises
    ------
    PackageError
        The repository has no such `ref`, or what it has is no package.
    """

    def ask(*words: str) -> str | None:
        try:
            return git(folder, *words, where=str(folder)).decode("utf-8")
        except PackageError:
            return None

    if ask("rev-parse", "--git-dir") is None:
        return None
    if ask("rev-parse", "--verify", f"{ref}^{{commit}}") is None:
        if ref == "HEAD":  # nothing was committed yet
            return None
        raise PackageError(
            say("the repository has no state {ref}", ref=ref),
            where=str(folder),
            next_step=say("name a commit, a tag or a branch after --against"),
        )
    text = ask("show", f"{ref}:./datapackage.json")
    if text is None:
        return None
    try:
        descriptor = json.loads(text)
        paths = [r["path"] for r in descriptor["resources"]]
    except (ValueError, KeyError, TypeError):
        raise PackageError(
            say("what {ref} has there is no package", ref=ref),
            where=str(folder),
            next_step=say("compare with another state, or with none: --unreleased"),
        ) from None
    return Snapshot(
        descriptor=descriptor, files={p: ask("show", f"{ref}:./{p}") or "" for p in paths}
    )


def seal(folder: Path, *, against: Snapshot | None) -> list[Change]:
    """Record hash and size of every file, provided that the version announces the changes.

    Parameters
    ----------
    folder : path
        The package's folder; its ``datapackage.json`` is rewritten.
    against : Snapshot or None
        The state the version is compared with; none for a package that nobody has yet.

    Raises
    ------
    PackageError
        The package is broken, the bump is too small, the changelog lacks the version, or a rating
        went and its id is not in ``retired.csv``.
    """
    new = current(folder)
    found = changes(against, new) if against else []
    _require_announced(folder, new, against, found)
    if against:
        _require_remembered(folder, against, new)
    descriptor = dict(new.descriptor)
    descriptor["resources"] = [
        {
            **r,
            "hash": file_hash(folder / r["path"]),
            "bytes": (folder / r["path"]).stat().st_size,
        }
        for r in new.descriptor["resources"]
    ]
    text = json.dumps(descriptor, indent=2, ensure_ascii=False) + "\n"
    write_whole(folder / "datapackage.json", text)
    return found


def _require_announced(
    folder: Path, new: Snapshot, against: Snapshot | None, found: list[Change]
) -> None:
    """Refuse a version that is too small a step for what changed, or that no changelog names."""
    version = str(new.descriptor.get("version", ""))
    version_parts(version, folder)
    if against and found:
        old_version = against.version
        step = version_step(old_version, version, folder)
        forcing = [c for c in found if STEPS.index(c.level) > step]
        if forcing:
            raise PackageError(
                say(
                    "version {version} after {old_version} is too small a step for {n} changes,"
                    " first {change}",
                    version=version,
                    old_version=old_version,
                    n=len(forcing),
                    change=forcing[0],
                ),
                where=str(folder),
                next_step=say(
                    "raise the {needed} number and say why in CHANGELOG.md",
                    needed=found[0].level.upper(),
                ),
            )
    if version not in changelog_versions(folder):
        raise PackageError(
            say("CHANGELOG.md has no heading for version {version}", version=version),
            where=str(folder),
            next_step=say("add '## {version} - DATE' with what changed and why", version=version),
        )


def _require_remembered(folder: Path, against: Snapshot, new: Snapshot) -> None:
    """Refuse to forget the id of a rating: nobody could tell what became of it."""
    forgotten = forgotten_ids((against.descriptor, against.files), (new.descriptor, new.files))
    if forgotten:
        raise PackageError(
            say(
                "{n} ratings went and their ids are not in retired.csv, first {id}",
                n=len(forgotten),
                id=forgotten[0],
            ),
            where=str(folder),
            next_step=say("add each with its reason, its successor if it has one, and the version"),
        )


def rederive(folder: Path) -> list[Path]:
    """Rewrite the tables of ``data/`` that ``printed/`` derives; give those that changed.

    Tables that nothing derives get their ``rating_id`` alone.
    """
    package = load_package(folder, lenient=True)
    rewritten = []
    derive = derived_tables(package)
    for table in (r.name for r in package.canonical):
        text, resource = package.text[table], package.resources[table]
        derived = derive_table(package, table) if table in derive else named(text, resource)
        if not derived.equals(text):
            path = folder / resource.path
            # polars writes an empty string as two quotes, and a null as nothing
            write_whole(path, derived.select(pl.all().replace("", None)).write_csv())
            rewritten.append(path)
    return rewritten


def main(arguments: list[str]) -> int:
    """Seal the packages that are named; give the exit code."""
    parser = argparse.ArgumentParser(
        prog="seal",
        description="Record the hash of every file of a rating package, if its version announces"
        " what changed.",
    )
    parser.add_argument("packages", nargs="+", type=Path, help="package folders")
    parser.add_argument("--derive", action="store_true", help="first rewrite data/ from printed/")
    parser.add_argument("--against", default="HEAD", help="the git state to compare with")
    parser.add_argument(
        "--unreleased", action="store_true", help="nobody has this version yet: do not compare"
    )
    given = parser.parse_args(arguments)
    for folder in given.packages:
        try:
            for path in rederive(folder) if given.derive else []:
                print(say("{path}: rewritten", path=path))
            against = None if given.unreleased else committed(folder, given.against)
            found = changes(against, current(folder)) if against else []
            for change in found:
                print(f"  {change}")
            seal(folder, against=against)
        except PackageError as error:
            print(error, file=sys.stderr)
            return 2
        print(_sealed(folder, against, given.against, len(found)))
    return 0


def _sealed(folder: Path, against: Snapshot | None, ref: str, changed: int) -> str:
    if against is None:
        return say("{folder}: sealed, compared with nothing", folder=folder)
    return say(
        "{folder}: sealed, {n} changes since {against}", folder=folder, n=changed, against=ref
    )


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
