"""Rating packages: folders of tables with one Data Package descriptor, read as frames.

A package is read as text first (`NA`, `01` and `1E3` stay what they are) and then typed by its
own Table Schema. Missing text is an empty string, a missing number or boolean is null. Nothing
outside the package's folder is read and nothing is fetched: a descriptor that points elsewhere
is refused.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import os
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path, PurePosixPath
from typing import Any

import polars as pl

from tallyhook.errors import PackageError
from tallyhook.messages import say
from tallyhook.packages.descriptors import check_descriptor

__all__ = [
    "BUILT_IN",
    "FIRST_ROW",
    "HEADING_ROW",
    "NUMERIC_TYPES",
    "Package",
    "Resource",
    "all_packages",
    "boolean_words",
    "built_in_package",
    "built_in_packages",
    "datasets_folder",
    "file_hash",
    "load_package",
    "pattern_of",
]

BUILT_IN = ("vocabulary", "sources", "chain", "hooks", "grab-hooks", "use", "inspection")
"""The packages that come with tallyhook; ``demo`` is a stock list and not a rating package."""

HEADING_ROW, FIRST_ROW = 1, 2
"""The lines of a table's file that hold its heading and its first row of data."""

_TYPES: dict[str, type[pl.DataType]] = {
    "number": pl.Float64,
    "integer": pl.Int64,
    "boolean": pl.Boolean,
}
NUMERIC_TYPES = ("number", "integer")
"""The types of a Table Schema field that are numbers; all others but booleans are kept as text."""

_TRUE, _FALSE = ("true", "True", "TRUE", "1"), ("false", "False", "FALSE", "0")
"""How a Table Schema writes booleans, where the field does not say otherwise."""

_LARGEST_FILE = 64 * 1024 * 1024  # a rating table is kilobytes; a package may come from anywhere
_PACKED = (b"\x1f\x8b", b"\x28\xb5\x2f\xfd", b"\x78\x01", b"\x78\x5e", b"\x78\x9c", b"\x78\xda")
"""How gzip, zstd and zlib begin: polars would unpack them, to whatever size."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Resource:
    """One table of a package, as its descriptor declares it.

    `path` is relative to the package folder; `fields` maps each column to its Table Schema
    field; `key` is the primary key.
    """

    name: str
    path: str
    fields: dict[str, dict[str, Any]]
    key: tuple[str, ...]
    descriptor: dict[str, Any]

    @property
    def printed(self) -> bool:
        """Whether this is a source's own table and not canonical data."""
        return self.path.startswith("printed/")

    @property
    def measures(self) -> tuple[str, ...]:
        """The numeric columns outside the key: the values somebody published."""
        return tuple(c for c in self.fields if self.is_numeric(c) and c not in self.key)

    def is_numeric(self, column: str) -> bool:
        """Whether the cells of a column are numbers."""
        return self.fields[column].get("type") in NUMERIC_TYPES


@dataclass(frozen=True, slots=True, kw_only=True)
class Package:
    """A rating package: descriptor, the tables typed, the same tables as text."""

    name: str
    version: str
    folder: Path
    descriptor: dict[str, Any]
    resources: dict[str, Resource]
    text: Mapping[str, pl.DataFrame] = field(repr=False)
    tables: Mapping[str, pl.DataFrame] = field(repr=False)

    @property
    def canonical(self) -> tuple[Resource, ...]:
        """The tables of data, without the sources' own as printed."""
        return tuple(r for r in self.resources.values() if not r.printed)

    def __getitem__(self, table: str) -> pl.DataFrame:
        try:
            return self.tables[table]
        except KeyError:
            known = ", ".join(sorted(self.tables))
            raise PackageError(
                say("there is no table '{table}'", table=table),
                where=self.name,
                next_step=say("it has {known}", known=known),
            ) from None


class _WhenAsked(Mapping[str, pl.DataFrame]):
    """Tables that are read when they are first asked for.

    Of a sealed package the hash says beforehand that they can be; others are read at once.
    """

    def __init__(self, names: Iterable[str], read: Callable[[str], pl.DataFrame]) -> None:
        self._names, self._read = dict.fromkeys(names), cache(read)

    def __getitem__(self, name: str) -> pl.DataFrame:
        if name not in self._names:
            raise KeyError(name)
        return self._read(name)

    def __iter__(self) -> Iterator[str]:
        return iter(self._names)

    def __len__(self) -> int:
        return len(self._names)


def datasets_folder() -> Path:
    """Find the built-in packages: beside the code when installed, else in the checkout."""
    here = Path(__file__).resolve().parents[1]
    for folder in (here / "datasets", here.parent.parent / "datasets"):
        if (folder / "sources" / "datapackage.json").is_file():
            return folder
    raise PackageError(
        say("the rating packages are missing"),
        where=str(here),
        next_step=say("reinstall tallyhook"),
    )


@cache
def built_in_packages() -> dict[str, Package]:
    """Load every built-in package, by name.

    Raises
    ------
    PackageError
        A package is missing, broken, or its files are not those it was sealed with.
    """
    folder = datasets_folder()
    return {name: load_package(folder / name, sealed=True) for name in BUILT_IN}


def built_in_package(name: str) -> Package:
    """Give a built-in package.

    Raises
    ------
    PackageError
        There is none of that name.
    """
    packages = built_in_packages()
    if name not in packages:
        raise PackageError(
            say("there is no rating package '{name}'", name=name),
            next_step=say("use one of {packages}", packages=", ".join(packages)),
        )
    return packages[name]


def all_packages(extra: Sequence[str | Path] = ()) -> dict[str, Package]:
    """Give the built-in packages and the extra ones, by name.

    Raises
    ------
    PackageError
        An extra package is broken, or has the name of another.
    """
    packages = dict(built_in_packages())
    for folder in extra:
        package = load_package(folder)
        name = package.name if package.name not in packages else f"{package.name} ({folder})"
        packages[name] = package
    return packages


def load_package(folder: Path | str, *, sealed: bool = False, lenient: bool = False) -> Package:
    """Read a rating package.

    Parameters
    ----------
    folder : path
        The folder that holds ``datapackage.json``.
    sealed : bool
        Also require that every file has the hash that the descriptor records.
    lenient : bool
        Read a cell that breaks its type as missing instead of raising; the audit reports it.

    Raises
    ------
    PackageError
        The folder is no package, its descriptor cannot be acted on or points outside the folder,
        or a cell breaks its schema.
    """
    folder = Path(folder)
    descriptor = _read_descriptor(folder)
    if not sealed:  # of the sealed ones the tests say that they are sound
        check_descriptor(descriptor, str(folder / "datapackage.json"))
    resources = {r.name: r for r in map(_resource, descriptor["resources"])}
    root = None if sealed else folder.resolve()
    paths = {name: _inside(folder, root, resource) for name, resource in resources.items()}

    def read(name: str) -> pl.DataFrame:
        return _read_text(paths[name], resources[name])

    text = _WhenAsked(resources, read)

    def typed(name: str) -> pl.DataFrame:
        # of the sealed ones the tests say that every cell is of its type
        return _typed(text[name], resources[name], paths[name], lenient=lenient or sealed)

    tables = _WhenAsked(resources, typed)
    for name, resource in resources.items():
        if not sealed:
            tables[name]
        elif resource.descriptor.get("hash") != file_hash(paths[name]):
            raise PackageError(
                say("the file is not the one this package was sealed with"),
                where=str(paths[name]),
                next_step=say("restore the file, or seal the package anew with a higher version"),
            )
    return Package(
        name=str(descriptor["name"]),
        version=str(descriptor.get("version", "")),
        folder=folder,
        descriptor=descriptor,
        resources=resources,
        text=text,
        tables=tables,
    )


def boolean_words(spec: Mapping[str, Any]) -> tuple[list[str], list[str]]:
    """Give what a boolean field writes for true and for false, the usual word first."""
    return list(spec.get("trueValues") or _TRUE), list(spec.get("falseValues") or _FALSE)


def pattern_of(spec: Mapping[str, Any]) -> str | None:
    """Give the pattern that every filled cell of a field has to match as a whole.

    A field that may be empty has it as ``patternWhereFilled``: frictionless turns the constraint
    ``pattern`` into a check of the database that fails at the first missing value.
    """
    pattern = spec.get("constraints", {}).get("pattern", spec.get("patternWhereFilled"))
    return None if pattern is None else str(pattern)


def file_hash(path: Path) -> str:
    """Give the hash of a file as a descriptor records it: ``sha256:`` and 64 hex digits."""
    return "sha256:" + hashlib.sha256(path.read_bytes()).hexdigest()


def _read_descriptor(folder: Path) -> dict[str, Any]:
    path = folder / "datapackage.json"
    if not os.path.isdir(folder):  # noqa: PTH112 - a name too long is no folder, and no error
        raise PackageError(
            say("there is no such folder"), where=str(folder), next_step=say("check the path")
        )
    if not path.is_file():
        raise PackageError(
            say("the folder is no rating package, it has no datapackage.json"),
            where=str(folder),
            next_step=say("name a folder that holds one"),
        )
    try:
        descriptor = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError) as error:
        raise PackageError(
            say("the descriptor is not JSON ({reason})", reason=error),
            where=str(path),
            next_step=say("mend the file"),
        ) from None
    resources = descriptor.get("resources") if isinstance(descriptor, dict) else None
    if not isinstance(resources, list) or not resources or not descriptor.get("name"):
        raise PackageError(
            say("the descriptor has no name or no list of resources"),
            where=str(path),
            next_step=say("see DEVELOPERS.md, A rating package"),
        )
    return dict(descriptor)


def _resource(entry: Any) -> Resource:
    try:
        schema = entry["schema"]
        fields = {str(f["name"]): dict(f) for f in schema["fields"]}
        key = schema.get("primaryKey", [])
        return Resource(
            name=str(entry["name"]),
            path=str(entry["path"]),
            fields=fields,
            key=(key,) if isinstance(key, str) else tuple(key),
            descriptor=dict(entry),
        )
    except (KeyError, TypeError, ValueError, AttributeError):
        name = entry.get("name", "?") if isinstance(entry, dict) else "?"
        raise PackageError(
            say("resource '{name}' lacks a name, a path or a schema with fields", name=name),
            where="datapackage.json",
            next_step=say("see DEVELOPERS.md, A rating package"),
        ) from None


def _inside(folder: Path, root: Path | None, resource: Resource) -> Path:
    """Give the path of a table; one that is a link must lead into `root`, unless it is sealed."""
    pure = PurePosixPath(resource.path)
    remote = re.match(r"[a-z][a-z0-9+.-]*:", resource.path, re.IGNORECASE)
    path = folder / pure
    outside = pure.is_absolute() or ".." in pure.parts or "\\" in resource.path
    # a name that no file can have (a zero byte, half a character) is nowhere inside either
    outside = outside or not resource.path.isprintable()
    outside = outside or (root is not None and not path.resolve().is_relative_to(root))
    if remote or outside:
        raise PackageError(
            say(
                "resource '{name}' points outside the package ({path})",
                name=resource.name,
                path=resource.path,
            ),
            where=str(folder),
            next_step=say("keep every table inside the folder"),
        )
    if not os.path.isfile(path):  # noqa: PTH113 - a name too long is no file, and no error
        raise PackageError(
            say("the table's file is missing"), where=str(path), next_step=say("restore it")
        )
    if path.stat().st_size > _LARGEST_FILE:
        raise PackageError(
            say("the table is larger than {mib} MiB", mib=_LARGEST_FILE // 2**20),
            where=str(path),
            next_step=say("a rating table is far smaller; check what the file is"),
        )
    return path


def _read_text(path: Path, resource: Resource) -> pl.DataFrame:
    try:
        data = path.read_bytes()
        if data.startswith(_PACKED):
            raise PackageError(
                say("the table is compressed"),
                where=str(path),
                next_step=say("unpack it to plain CSV"),
            )
        # of small files polars takes four times as long, and every command reads forty of them
        heading, *rows = csv.reader(io.StringIO(data.decode("utf-8-sig"), newline=""), strict=True)
        uneven = next((n for n, r in enumerate(rows, FIRST_ROW) if len(r) != len(heading)), None)
    except (OSError, csv.Error, ValueError) as error:  # bytes that are no UTF-8, no line at all
        reason = str(error).splitlines()[0]
        raise PackageError(
            say("the table cannot be read as CSV ({reason})", reason=reason),
            where=str(path),
            next_step=say("mend the file"),
        ) from None
    if uneven is not None:
        raise PackageError(
            say("the row has another number of cells than the heading"),
            where=say("{file}, line {n}", file=path, n=uneven),
            next_step=say("mend the row"),
        )
    expected = list(resource.fields)
    if heading != expected:
        raise PackageError(
            say(
                "the columns are {columns} and the schema says {expected}",
                columns=", ".join(heading),
                expected=", ".join(expected),
            ),
            where=str(path),
            next_step=say("make the two agree"),
        )
    columns = zip(*rows, strict=True) if rows else ([] for _ in heading)
    frame = pl.DataFrame(
        [pl.Series(c, v, dtype=pl.String) for c, v in zip(heading, columns, strict=True)]
    )
    marks = [m for m in resource.descriptor["schema"].get("missingValues", []) if m and m == str(m)]
    if marks:  # they say what an empty cell says, in every column
        frame = frame.with_columns(pl.all().replace(marks, ""))
    return frame


def _typed(text: pl.DataFrame, resource: Resource, path: Path, *, lenient: bool) -> pl.DataFrame:
    typed_columns = {
        name: _value(name, spec)
        for name, spec in resource.fields.items()
        if str(spec.get("type")) in _TYPES
    }
    if not typed_columns:
        return text
    # one query a table: there are a hundred tables, and every command starts with them
    typed = text.with_columns(typed_columns.values())
    if lenient:
        return typed
    filled = text.select((pl.col(list(typed_columns)) != "").sum()).row(0)
    for name, count in zip(typed_columns, filled, strict=True):
        if typed.height - typed[name].null_count() == count:
            continue
        first = int((typed[name].is_null() & (text[name] != "")).arg_true()[0])
        raise PackageError(
            say(
                "'{text}' is not a {type}",
                text=text[name][first],
                type=resource.fields[name]["type"],
            ),
            where=say(
                "{file}, line {n}, column {column}", file=path, n=FIRST_ROW + first, column=name
            ),
            next_step=say("mend the cell"),
        )
    return typed


def _value(column: str, spec: Mapping[str, Any]) -> pl.Expr:
    cell = pl.col(column)
    if spec["type"] == "boolean":
        true, false = boolean_words(spec)
        read = pl.when(cell.is_in(true)).then(statement=True)
        return read.when(cell.is_in(false)).then(statement=False).alias(column)
    number = cell.cast(_TYPES[spec["type"]], strict=False)
    # NaN and 1e400 are numbers to a computer, and no rating
    return pl.when(number.is_finite()).then(number).alias(column)
