"""Sealing a rating package: hashes in its descriptor, and a version that says what changed.

Versions: MAJOR when a column, key, unit or meaning changes or a row goes; MINOR when a row is
added or a rating changes; PATCH for words. A bump that is too small for what changed since the
state it is compared with is refused, and so is a version that the changelog does not name.
"""

from __future__ import annotations

import argparse
import csv
import io
import json
import re
import subprocess
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import polars as pl

from tallyhook.errors import PackageError
from tallyhook.files import write_whole
from tallyhook.packages.derive import derive_table, derived_tables
from tallyhook.packages.package import file_hash, load_package

__all__ = [
    "Change",
    "Snapshot",
    "changelog_versions",
    "changes",
    "committed",
    "current",
    "rederive",
    "seal",
]

LEVELS = ("patch", "minor", "major")
_WORDS = ("title", "description", "example")


@dataclass(frozen=True, slots=True, kw_only=True)
class Snapshot:
    """A package at one moment: its descriptor, and the text of each table by its path."""

    descriptor: Mapping[str, Any]
    files: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One thing that differs between two snapshots, and the smallest bump that announces it."""

    level: str
    table: str
    key: str
    column: str
    old: str
    new: str

    def __str__(self) -> str:
        place = "/".join(p for p in (self.table, self.key, self.column) if p)
        return f"{self.level}: {place}: {self.old or 'nothing'} -> {self.new or 'nothing'}"


def current(folder: Path) -> Snapshot:
    """Take the package as it stands in the folder."""
    package = load_package(folder)
    files = {
        r.path: (folder / r.path).read_text(encoding="utf-8") for r in package.resources.values()
    }
    return Snapshot(descriptor=package.descriptor, files=files)


def committed(folder: Path, ref: str = "HEAD") -> Snapshot | None:
    """Take the package as git has it at `ref`; none when it is not there."""

    def show(path: str) -> str | None:
        run = subprocess.run(
            ["git", "-C", str(folder), "show", f"{ref}:./{path}"],
            capture_output=True,
            check=False,
        )
        return run.stdout.decode("utf-8") if run.returncode == 0 else None

    text = show("datapackage.json")
    if text is None:
        return None
    descriptor = json.loads(text)
    paths = [r["path"] for r in descriptor["resources"]]
    return Snapshot(descriptor=descriptor, files={p: show(p) or "" for p in paths})


def changes(old: Snapshot, new: Snapshot) -> list[Change]:
    """List what differs, the weightiest first."""
    before, after = (
        {r["name"]: r for r in s.descriptor["resources"] if _canonical(r)} for s in (old, new)
    )
    found: list[Change] = []
    for name in before.keys() | after.keys():
        if name not in after:
            found.append(_change("major", name, old="table"))
        elif name not in before:
            found.append(_change("minor", name, new="table"))
        else:
            found += _schema_changes(name, before[name]["schema"], after[name]["schema"])
            found += _row_changes(
                name,
                after[name],
                old.files[before[name]["path"]],
                new.files[after[name]["path"]],
            )
    if not found and _comparable(old) != _comparable(new):
        found.append(_change("patch", "", column="words", old="old", new="new"))
    return sorted(found, key=lambda c: (-LEVELS.index(c.level), c.table, c.key, c.column))


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
        The package is broken, the bump is too small, or the changelog lacks the version.
    """
    new = current(folder)
    version = str(new.descriptor.get("version", ""))
    _version_parts(version, folder)
    found = changes(against, new) if against else []
    if against and found:
        old_version = str(against.descriptor["version"])
        needed = found[0].level
        if _bump(old_version, version, folder) < LEVELS.index(needed):
            raise PackageError(
                f"version {version} after {old_version} is too small a step for {found[0]}",
                where=str(folder),
                next_step=f"raise the {needed} number and say why in CHANGELOG.md",
            )
    if version not in changelog_versions(folder):
        raise PackageError(
            f"CHANGELOG.md has no heading for version {version}",
            where=str(folder),
            next_step=f"add '## {version} - DATE' with what changed and why",
        )
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


def rederive(folder: Path) -> list[Path]:
    """Rewrite the tables of ``data/`` that ``printed/`` derives; give those that changed."""
    package = load_package(folder, lenient=True)
    rewritten = []
    for table in derived_tables(package):
        derived = derive_table(package, table)
        if not derived.equals(package.text[table]):
            path = folder / package.resources[table].path
            # polars writes an empty string as two quotes, and a null as nothing
            text = derived.select(pl.all().replace("", None)).write_csv()
            write_whole(path, text)
            rewritten.append(path)
    return rewritten


def changelog_versions(folder: Path) -> list[str]:
    """Read the versions that a package's changelog has headings for, newest first."""
    path = folder / "CHANGELOG.md"
    text = path.read_text(encoding="utf-8", errors="replace") if path.is_file() else ""
    return re.findall(r"^## \[?v?(\d{1,9}\.\d{1,9}\.\d{1,9})\b", text, flags=re.MULTILINE)


def _canonical(resource: Mapping[str, Any]) -> bool:
    return str(resource["path"]).startswith("data/")


def _change(
    level: str, table: str, key: str = "", column: str = "", old: str = "", new: str = ""
) -> Change:
    return Change(level=level, table=table, key=key, column=column, old=old, new=new)


def _comparable(snapshot: Snapshot) -> tuple[str, Mapping[str, str]]:
    resources = [
        {k: v for k, v in r.items() if k not in ("hash", "bytes")}
        for r in snapshot.descriptor["resources"]
    ]
    rest = {k: v for k, v in snapshot.descriptor.items() if k not in ("version", "created")}
    return json.dumps(rest | {"resources": resources}, sort_keys=True), dict(snapshot.files)


def _schema_changes(table: str, old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[Change]:
    if _key(old) != _key(new):
        yield _change(
            "major", table, column="primary key", old="/".join(_key(old)), new="/".join(_key(new))
        )
    before, after = ({f["name"]: f for f in s["fields"]} for s in (old, new))
    for name in sorted(before.keys() | after.keys()):
        a, b = before.get(name), after.get(name)
        if a is None or b is None:
            old_word, new_word = ("column" if x else "" for x in (a, b))
            yield _change("major", table, column=name, old=old_word, new=new_word)
            continue
        for part in ("type", "unit"):
            if a.get(part) != b.get(part):
                yield _change(
                    "major", table, column=name, old=str(a.get(part)), new=str(b.get(part))
                )
        others = (a.keys() | b.keys()) - {"type", "unit", *_WORDS}
        for part in sorted(p for p in others if a.get(p) != b.get(p)):
            yield _change("minor", table, column=f"{name} ({part})", old="old", new="new")


def _row_changes(
    table: str, resource: Mapping[str, Any], old_text: str, new_text: str
) -> Iterator[Change]:
    schema = resource["schema"]
    key = _key(schema)
    before, after = _rows(old_text, key), _rows(new_text, key)
    # a changed rating, code word or way of knowing changes answers; other text is words
    weighty = {
        f["name"]
        for f in schema["fields"]
        if f["type"] in ("number", "integer")
        or "enum" in f.get("constraints", {})
        or "refersTo" in f
    }
    for gone in sorted(before.keys() - after.keys()):
        yield _change("major", table, gone, old="row")
    for added in sorted(after.keys() - before.keys()):
        yield _change("minor", table, added, new="row")
    for same in sorted(before.keys() & after.keys()):
        a, b = before[same], after[same]
        for column in (c for c in b if c in a and a[c] != b[c]):
            level = "minor" if column in weighty else "patch"
            yield _change(level, table, same, column, a[column], b[column])


def _key(schema: Mapping[str, Any]) -> tuple[str, ...]:
    key = schema.get("primaryKey", [])
    return (key,) if isinstance(key, str) else tuple(key)


def _rows(text: str, key: tuple[str, ...]) -> dict[str, dict[str, str]]:
    rows = csv.DictReader(io.StringIO(text))
    return {
        "/".join(str(r.get(c, "")) for c in key) if key else str(n): r for n, r in enumerate(rows)
    }


def _version_parts(version: str, folder: Path) -> tuple[int, ...]:
    if not re.fullmatch(r"\d+\.\d+\.\d+", version):
        raise PackageError(
            f"'{version}' is not a version",
            where=str(folder),
            next_step="write it as MAJOR.MINOR.PATCH in datapackage.json",
        )
    return tuple(map(int, version.split(".")))


def _bump(old: str, new: str, folder: Path) -> int:
    """Give the index in `LEVELS` of the step from one version to the next; -1 for none."""
    a, b = _version_parts(old, folder), _version_parts(new, folder)
    if b <= a:
        return -1
    first = next(i for i in range(3) if a[i] != b[i])
    return 2 - first


def _main(arguments: list[str]) -> int:
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
                print(f"{path}: rewritten")
            found = seal(
                folder, against=None if given.unreleased else committed(folder, given.against)
            )
        except PackageError as error:
            print(error, file=sys.stderr)
            return 2
        print(f"{folder}: sealed, {len(found)} changes since {given.against}")
        for change in found:
            print(f"  {change}")
    return 0


if __name__ == "__main__":
    sys.exit(_main(sys.argv[1:]))
