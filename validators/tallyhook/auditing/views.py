"""Views of all rating packages at once, for the rules that hold for every table.

Each view is one pandas frame over every canonical table of the packages, so that such a rule is
a function of a table like any other. All but ``targets`` carry ``table`` (``package.table``) and
are indexed by ``row``, the line in that table's CSV file (1 for the heading, so for the table as
a whole).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

import pandas as pd
import polars as pl

from tallyhook.errors import PackageError
from tallyhook.frames import to_pandas
from tallyhook.packages.derive import derive_table, derived_tables
from tallyhook.packages.package import FIRST_ROW, HEADING_ROW, Package, Resource, file_hash
from tallyhook.packages.rating_ids import RATING_ID, RETIRED, rating_ids
from tallyhook.packages.validation import schema_faults
from tallyhook.packages.versions import changelog_versions

__all__ = ["OF_ALL", "VIEWS"]


def values(packages: Mapping[str, Package]) -> pd.DataFrame:
    """One row for each number: its column, unit, source and locator, and whether it is a key."""
    parts = []
    for package, resource in _canonical(packages):
        text = package.text[resource.name]
        numbers = package.tables[resource.name]
        for column in (c for c in resource.fields if numbers.schema[c].is_numeric()):
            override = f"{column}_known_by"
            known_by = _column(text, "known_by")
            if override in text.columns:
                known_by = (
                    pl.when(pl.col(override) != "").then(pl.col(override)).otherwise(known_by)
                )
            parts.append(
                text.select(
                    _rows().alias("row"),
                    pl.lit(f"{package.name}.{resource.name}").alias("table"),
                    pl.lit(column).alias("column"),
                    pl.lit(column in resource.key).alias("key"),
                    pl.lit(str(resource.fields[column].get("unit", ""))).alias("unit"),
                    numbers[column].cast(pl.Float64).alias("value"),
                    _column(text, "source").alias("source"),
                    _column(text, "locator").alias("locator"),
                    known_by.alias("known_by"),
                ).filter(pl.col("value").is_not_null())
            )
    if not parts:
        return _framed(
            [], "table", "column", "key", "unit", "value", "source", "locator", "known_by"
        )
    return to_pandas(pl.concat(parts)).set_index("row")


def fields(packages: Mapping[str, Package]) -> pd.DataFrame:
    """One row for each column of each canonical table, as its schema declares it."""
    parts = ("type", "unit", "title", "example")
    rows = [
        {"row": HEADING_ROW, "table": f"{package.name}.{resource.name}", "column": name}
        | {part: str(spec.get(part, "")) for part in parts}
        for package, resource in _canonical(packages)
        for name, spec in resource.fields.items()
    ]
    return _framed(rows, "table", "column", *parts)


def files(packages: Mapping[str, Package]) -> pd.DataFrame:
    """One row for each file that a descriptor lists: what it is and what was sealed."""
    rows = []
    for package in packages.values():
        for resource in package.resources.values():
            path = package.folder / resource.path
            rows.append(
                {
                    "row": HEADING_ROW,
                    "table": f"{package.name}.{resource.name}",
                    "hash": file_hash(path),
                    "bytes": path.stat().st_size,
                    "sealed_hash": str(resource.descriptor.get("hash", "")),
                    "sealed_bytes": resource.descriptor.get("bytes"),
                }
            )
    return _framed(rows, "table", "hash", "bytes", "sealed_hash", "sealed_bytes")


def versions(packages: Mapping[str, Package]) -> pd.DataFrame:
    """One row for each version that a changelog has a heading for, and the one declared."""
    rows = []
    for package in packages.values():
        for place, named in enumerate(changelog_versions(package.folder) or [""]):
            rows.append(
                {
                    "row": HEADING_ROW,
                    "table": f"{package.name}.",
                    "version": package.version,
                    "place": place,
                    "changelog_version": named,
                }
            )
    return _framed(rows, "table", "version", "place", "changelog_version")


def references(packages: Mapping[str, Package]) -> pd.DataFrame:
    """One row for each cell that points at another table: ``refersTo``, or a foreign key.

    A key of several columns is one row: its columns joined with commas, its values with slashes.
    """
    rows = []
    for package in packages.values():
        for resource in package.resources.values():
            for own, target in _links(package, resource).items():
                for row, value in enumerate(_values(package, resource, own), FIRST_ROW):
                    if value:
                        rows.append(
                            {
                                "row": row,
                                "table": f"{package.name}.{resource.name}",
                                "column": ", ".join(own),
                                "value": value,
                                "refers_to": str(target),
                            }
                        )
    return _framed(rows, "table", "column", "value", "refers_to")


def targets(packages: Mapping[str, Package]) -> pd.DataFrame:
    """One row for each value that something in the packages points at."""
    wanted = {
        target
        for package in packages.values()
        for resource in package.resources.values()
        for target in _links(package, resource).values()
    }
    rows = []
    for target in sorted(wanted):
        package = packages.get(target.package)
        resource = package.resources.get(target.table) if package else None
        if package and resource and set(target.columns) <= resource.fields.keys():
            values = {v for v in _values(package, resource, target.columns) if v}
            rows += [{"row": 0, "refers_to": str(target), "value": v} for v in sorted(values)]
    return _framed(rows, "refers_to", "value")


class _Target(NamedTuple):
    """The columns that something points at."""

    package: str
    table: str
    columns: tuple[str, ...]

    def __str__(self) -> str:
        return ".".join((self.package, self.table, ", ".join(self.columns))).rstrip(".")


def _links(package: Package, resource: Resource) -> dict[tuple[str, ...], _Target]:
    """Give the columns that point somewhere, with what they point at.

    A foreign key says more than the ``refersTo`` of its one column, and takes its place.
    """
    links: dict[tuple[str, ...], _Target] = {}
    for column, field in resource.fields.items():
        if "refersTo" in field:
            name, table, target = [*str(field["refersTo"]).split(".", 2), "", ""][:3]
            links[(column,)] = _Target(name, table, (target,))
    for key in resource.descriptor["schema"].get("foreignKeys", []):
        reference = key["reference"]
        table = reference.get("resource") or resource.name
        columns = tuple(_listed(reference["fields"]))
        links[tuple(_listed(key["fields"]))] = _Target(package.name, table, columns)
    return links


def _values(package: Package, resource: Resource, columns: Sequence[str]) -> Iterator[str | None]:
    """Give what each row has in the columns, numbers in one form; none where one is empty."""
    cells = package.text[resource.name].select(columns)
    numbers = [c for c in columns if resource.is_numeric(c)]
    plain = (pl.col(c).cast(pl.Float64, strict=False).cast(pl.String) for c in numbers)
    cells = cells.with_columns(
        pl.coalesce(p.str.strip_suffix(".0"), pl.col(c))
        for c, p in zip(numbers, plain, strict=True)
    )
    return ("/".join(row) if all(row) else None for row in cells.iter_rows())


def _listed(columns: str | list[str]) -> list[str]:
    return [columns] if isinstance(columns, str) else columns


def derived(packages: Mapping[str, Package]) -> pd.DataFrame:
    """One row for each cell of a derived table: what ``data/`` says and what ``printed/`` gives.

    Of a table that cannot be derived there is one row, with the reason for its data.
    """
    parts = []
    for package, resource in _canonical(packages):
        if resource.name in derived_tables(package):
            name = f"{package.name}.{resource.name}"
            try:
                made = derive_table(package, resource.name)
            except PackageError as error:
                why = {"row": HEADING_ROW, "table": name, "key": "", "column": "derives"}
                parts.append(
                    pl.DataFrame([why | {"data": error.what, "printed": "one value for each cell"}])
                )
                continue
            stored = _long(package.text[resource.name], resource, "data")
            printed = _long(made, resource, "printed").drop("row")
            both = stored.join(printed, on=["key", "column"], how="full", coalesce=True)
            parts.append(
                both.with_columns(
                    pl.lit(name).alias("table"), pl.col("row").fill_null(HEADING_ROW).cast(pl.Int64)
                )
            )
    if not parts:
        return _framed([], "table", "key", "column", "data", "printed")
    frame = to_pandas(pl.concat(parts, how="diagonal"))
    return frame[["row", "table", "key", "column", "data", "printed"]].set_index("row")


def schema_errors(packages: Mapping[str, Package]) -> pd.DataFrame:
    """One row for each cell, row or file that is not what its Table Schema says."""
    rows = [
        {"table": f"{package.name}.{resource.name}"} | fault
        for package in packages.values()
        for resource in package.resources.values()
        for fault in schema_faults(package, resource)
    ]
    return _framed(rows, "table", "column", "observed", "expected")


def names(packages: Mapping[str, Package]) -> pd.DataFrame:
    """One row for each row of a table of named ratings: its name, and what its template gives.

    `expected` is empty where there is no template, or a column that it needs is empty.
    """
    rows = []
    for package, resource in _canonical(packages):
        text = package.text[resource.name]
        if RATING_ID in text.columns and resource.name != RETIRED:
            made = rating_ids(text, resource) or [None] * text.height
            for row, (name, expected) in enumerate(
                zip(text[RATING_ID], made, strict=True), FIRST_ROW
            ):
                rows.append(
                    {
                        "row": row,
                        "table": f"{package.name}.{resource.name}",
                        "rating_id": name,
                        "expected": expected or "",
                    }
                )
    return _framed(rows, "table", "rating_id", "expected")


def all_names(packages: Mapping[str, Package]) -> pd.DataFrame:
    """One row for each name of a rating in any package, and whether it is a retired one."""
    used = names(packages)[["table", "rating_id"]].assign(retired=False)
    gone = retired_names(packages)[["table", "rating_id"]].assign(retired=True)
    return pd.concat([used[used["rating_id"] != ""], gone])


def retired_names(packages: Mapping[str, Package]) -> pd.DataFrame:
    """One row for each name that a package says was retired, and whether its version is known."""
    columns = ("rating_id", "reason", "successor", "since")
    rows = []
    for package in packages.values():
        if RETIRED in package.text:
            text = package.text[RETIRED]
            known = changelog_versions(package.folder)
            for row, entry in enumerate(text.iter_rows(named=True), FIRST_ROW):
                cells = {c: entry.get(c, "") for c in columns}
                rows.append(
                    {
                        "row": row,
                        "table": f"{package.name}.{RETIRED}",
                        **cells,
                        "known_version": cells["since"] in known,
                    }
                )
    return _framed(rows, "table", *columns, "known_version")


VIEWS: dict[str, Callable[[Mapping[str, Package]], pd.DataFrame]] = {
    "all-names": all_names,
    "derived": derived,
    "fields": fields,
    "files": files,
    "names": names,
    "references": references,
    "retired-names": retired_names,
    "schema-errors": schema_errors,
    "targets": targets,
    "values": values,
    "versions": versions,
}
"""What a package rule can read beside tables, by name."""

OF_ALL = ("all-names", "targets")
"""The views that cover every package, whichever are under audit."""


def _canonical(packages: Mapping[str, Package]) -> Iterator[tuple[Package, Resource]]:
    for package in packages.values():
        for resource in package.canonical:
            yield package, resource


def _column(text: pl.DataFrame, name: str) -> pl.Expr:
    return pl.col(name) if name in text.columns else pl.lit("")


def _rows() -> pl.Expr:
    """Number the rows by their lines, whatever the columns are called."""
    return pl.int_range(FIRST_ROW, FIRST_ROW + pl.len(), dtype=pl.Int64)


def _framed(rows: list[dict[str, Any]], *columns: str) -> pd.DataFrame:
    return pd.DataFrame(rows, columns=["row", *columns]).set_index("row")


def _long(text: pl.DataFrame, resource: Resource, value: str) -> pl.DataFrame:
    key = pl.concat_str(resource.key, separator="/") if resource.key else pl.lit("")
    return pl.concat(
        text.select(
            _rows().alias("row"),
            key.alias("key"),
            pl.lit(column).alias("column"),
            pl.col(column).alias(value),
        )
        for column in text.columns
    )
