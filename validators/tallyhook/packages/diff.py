"""What changed between two states of rating packages, and whether the versions announce it."""

from __future__ import annotations

import json
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Any

from tallyhook.errors import PackageError
from tallyhook.messages import say
from tallyhook.packages.changes import Change, Snapshot, changes
from tallyhook.packages.levels import KINDS
from tallyhook.packages.sides import Side, packages_of
from tallyhook.packages.versions import STEPS, version_step
from tallyhook.wording import CAUTION, one_line, terminal_lines

__all__ = ["SCHEMA_VERSION", "Differences", "PackageDifferences", "diff", "diff_schema"]

SCHEMA_VERSION = "1.0"
"""The version of the JSON; `diff.schema.json` beside this module is its schema."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PackageDifferences:
    """What changed in one package.

    Attributes
    ----------
    name : str
        The package, by its name in the new state, or in the old one where it went.
    old_version, new_version : str or None
        None where that state has no such package, and empty where it says no version.
    changes : tuple of Change
        The weightiest first.
    """

    name: str
    old_version: str | None
    new_version: str | None
    changes: tuple[Change, ...]

    @property
    def level(self) -> str | None:
        """The level that the changes force: ``major``, ``minor`` or ``patch``; None for none."""
        return self.changes[0].level if self.changes else None

    @property
    def step(self) -> str | None:
        """The step from the old version to the new one; None where it is none."""
        if not self.old_version or not self.new_version:
            return None
        try:
            place = version_step(self.old_version, self.new_version, Path(self.name))
        except PackageError:  # one of them is no version
            return None
        return STEPS[place] if place >= 0 else None

    @property
    def suffices(self) -> bool | None:
        """Whether the step announces the changes; None where a state has no such package."""
        if self.old_version is None or self.new_version is None:
            return None
        if self.level is None:
            return self.old_version == self.new_version or self.step is not None
        return self.step is not None and STEPS.index(self.step) >= STEPS.index(self.level)

    @property
    def same(self) -> bool:
        """Whether nothing differs, the version among it."""
        return not self.changes and self.old_version == self.new_version


@dataclass(frozen=True, slots=True, kw_only=True)
class Differences:
    """What changed between two states of rating packages.

    Attributes
    ----------
    old, new : str
        The two sides, as they were named.
    packages : tuple of PackageDifferences
        Every package of either side, by name; of a single package, that one alone.
    not_compared : tuple of str
        The packages of the other side, where one side is a single package.
    """

    old: str
    new: str
    packages: tuple[PackageDifferences, ...]
    not_compared: tuple[str, ...] = ()

    @property
    def same(self) -> bool:
        """Whether nothing differs."""
        return all(package.same for package in self.packages)

    @property
    def changes(self) -> tuple[Change, ...]:
        """The changes of all packages."""
        return tuple(change for package in self.packages for change in package.changes)

    @property
    def level(self) -> str | None:
        """The weightiest level that any package's changes force; None where nothing changed."""
        levels = [p.level for p in self.packages if p.level]
        return max(levels, key=STEPS.index, default=None)

    def to_text(self) -> str:
        """Write it for people: a line a change, and what the version of each package says."""
        lines = [say("{old} -> {new}", old=self.old, new=self.new)]
        for package in self.packages:
            if not package.same:
                lines += ["", package.name, *(f"  {change}" for change in package.changes)]
        lines.append("")
        if self.same:
            lines.append(say("Nothing differs."))
        lines += [_verdict(package) for package in self.packages]
        if self.not_compared:
            others = ", ".join(self.not_compared)
            lines.append(
                say("Not compared, since one side has none of it: {others}.", others=others)
            )
        lines += ["", say(CAUTION)]
        return "".join(f"{line}\n" for each in lines for line in terminal_lines(one_line(each)))

    def to_dict(self) -> dict[str, Any]:
        """Give it as plain data, as ``diff.schema.json`` has it."""
        from tallyhook import __version__

        return {
            "tool": "tallyhook",
            "version": __version__,
            "schema_version": SCHEMA_VERSION,
            "old": self.old,
            "new": self.new,
            "same": self.same,
            "level": self.level,
            "packages": [_package_dict(package) for package in self.packages],
            "not_compared": list(self.not_compared),
            "caution": say(CAUTION),
        }

    def to_json(self) -> str:
        """Give it as JSON text."""
        return json.dumps(self.to_dict(), indent=2, ensure_ascii=False) + "\n"


def diff(old: str | Path, new: str | Path, *, repo: str | Path | None = None) -> Differences:
    """Compare two states of rating packages.

    Packages are paired by name. Where one side is a single package, only that one is compared,
    and two single packages are compared whatever their names.

    Parameters
    ----------
    old, new : str or path
        A package's folder, a folder of packages, a ``.zip`` or ``.tar.gz`` of either, or
        ``REVISION:FOLDER`` of a git repository, such as ``HEAD:datasets/chain``.
    repo : str or path, optional
        The repository of a revision; that of the working folder otherwise.

    Raises
    ------
    PackageError
        A side is nothing of that, a package is broken, or the other side has no such package.

    Examples
    --------
    >>> from tallyhook.packages.package import datasets_folder
    >>> diff(datasets_folder(), datasets_folder()).same
    True
    """
    sides = packages_of(old, repo), packages_of(new, repo)
    found = _compared(*sides)
    left = {name for side in sides for name in side.packages} - {p.name for p in found}
    alone = sides[0].single != sides[1].single
    return Differences(
        old=sides[0].named,
        new=sides[1].named,
        packages=tuple(found),
        not_compared=tuple(sorted(left)) if alone else (),
    )


def diff_schema() -> dict[str, Any]:
    """Give the JSON Schema (draft 2020-12) of `Differences.to_json`.

    Examples
    --------
    >>> diff_schema()["$id"]
    'urn:tallyhook:diff:1.0'
    """
    shipped = files("tallyhook.packages") / "diff.schema.json"
    schema: dict[str, Any] = json.loads(shipped.read_text(encoding="utf-8"))
    return schema


def _compared(old: Side, new: Side) -> list[PackageDifferences]:
    if old.single and new.single:
        (before,), (after,) = old.packages.values(), new.packages.values()
        return [_differences(before, after)]
    names = {*old.packages, *new.packages}
    for one, other in ((old, new), (new, old)):
        if one.single:
            (name,) = names = {*one.packages}
            if name not in other.packages:
                raise PackageError(
                    say("there is no package {name} in it", name=name),
                    where=other.named,
                    next_step=say("it has {known}", known=", ".join(sorted(other.packages))),
                )
    return [_differences(old.packages.get(n), new.packages.get(n)) for n in sorted(names)]


def _differences(old: Snapshot | None, new: Snapshot | None) -> PackageDifferences:
    if old is not None and new is not None:
        found = changes(old, new)
    else:
        kind = "package-withdrawn" if new is None else "package-added"
        found = [Change(level=KINDS[kind].level, kind=kind)]
    known = new or old
    assert known is not None, "a package is of one side at least"
    return PackageDifferences(
        name=known.name,
        old_version=old.version if old else None,
        new_version=new.version if new else None,
        changes=tuple(found),
    )


def _verdict(package: PackageDifferences) -> str:
    """Say what level the changes of a package force, and whether its version says so."""
    parts = {
        "name": package.name,
        "old": package.old_version or say("no version"),
        "new": package.new_version or say("no version"),
        "level": (package.level or "").upper(),
        "step": (package.step or "").upper(),
    }
    if package.new_version is None:
        return say("{name}: withdrawn, it was {old}; this forces MAJOR for the whole.", **parts)
    if package.old_version is None:
        return say("{name}: added as {new}; this forces MINOR for the whole.", **parts)
    if package.same:
        return say("{name}: nothing differs, {new}.", **parts)
    if package.level is None:
        if package.suffices:
            return say("{name}: only the version differs, {old} -> {new}.", **parts)
        return say("{name}: only the version differs, and {old} -> {new} is no step up.", **parts)
    if package.suffices:
        return say(
            "{name}: the changes force {level}; {old} -> {new} is {step} and suffices.", **parts
        )
    if package.step is None:
        return say(
            "{name}: the changes force {level}; {old} -> {new} is no step up and does not suffice.",
            **parts,
        )
    return say(
        "{name}: the changes force {level}; {old} -> {new} is {step} and does not suffice.", **parts
    )


def _package_dict(package: PackageDifferences) -> dict[str, Any]:
    return {
        "name": package.name,
        "old_version": package.old_version,
        "new_version": package.new_version,
        "level": package.level,
        "step": package.step,
        "suffices": package.suffices,
        "changes": [
            {name: getattr(change, name) or None for name in _MEMBERS} for change in package.changes
        ],
    }


_MEMBERS = (
    "level", "kind", "table", "rating_id", "key", "column", "old", "new", "unit", "direction",
    "effect", "note",
)  # fmt: skip
