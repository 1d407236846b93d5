"""The loading gate: a pandera schema from a table's own Table Schema.

The Table Schema in the package's descriptor is the one declaration; nothing is written twice.
Pandera stops a table that breaks it before anybody computes with it. It is not the audit: that
one reports every fault, with its place, through `tallyhook.auditing.audit`.

The schema takes a table as ``pandas.read_csv`` reads it without options, too
(`tallyhook.packages.plain_frames`).
"""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pandas as pd

from tallyhook.errors import PackageError
from tallyhook.messages import say
from tallyhook.packages.frames import frame_of
from tallyhook.packages.lookup import table_name
from tallyhook.packages.package import (
    NUMERIC_TYPES,
    Package,
    Resource,
    built_in_package,
    load_package,
    pattern_of,
)
from tallyhook.packages.plain_frames import Lost, as_typed, is_text, lost_by_plain_reading

if TYPE_CHECKING:
    import pandera.pandas as pa

__all__ = ["pandera_schema", "typed_table"]

_AS_TEXT = "dtype=str, keep_default_na=False"


def typed_table(package: Package, table: str) -> pd.DataFrame:
    """Hand out a table as a typed frame that keeps its schema [indexed by line in its file].

    Numbers are floats, counts nullable integers, yes or no nullable booleans, missing text is an
    empty string.

    Raises
    ------
    PackageError
        There is no such table, or a cell, a row or a key breaks the schema.
    """
    import pandera.errors

    _ = package[table]  # refuses a table that there is not
    resource = package.resources[table]
    try:
        return _schema(resource, {}).validate(frame_of(package, table), lazy=True)
    except pandera.errors.SchemaErrors as errors:
        first = errors.failure_cases.iloc[0]
        parts = {"file": package.folder / resource.path, "column": first["column"]}
        many = len(errors.failure_cases)
        raise PackageError(
            say(
                "{many} cells break the schema, first '{failure_case}' ({check})",
                many=many,
                failure_case=first["failure_case"],
                check=first["check"],
            ),
            where=say("{file}, line {n}, column {column}", n=first["index"], **parts)
            if pd.notna(first["index"])
            else say("{file}, column {column}", **parts),
            next_step=say("'tallyhook audit {name}' lists them", name=package.name),
        ) from None


def pandera_schema(package: str | Path, table: str | None = None) -> pa.DataFrameSchema:
    """Build the pandera schema of a table of a rating package from its Table Schema.

    Parameters
    ----------
    package : str or Path
        The name of a built-in package, or as a `Path` the folder of another.
    table : str, optional
        One of the package's tables; the main one of a built-in package otherwise.

    Returns
    -------
    pandera.pandas.DataFrameSchema
        Types, required cells, allowed words, patterns, smallest and largest values, unique columns
        and the primary key are kept. ``validate`` gives the frame back typed: missing text is an
        empty string. It takes the table as `pandas.read_csv` reads it without options. Where that
        reading loses something (``012``, ``n/a``) it refuses the column; read such a table with
        ``dtype=str, keep_default_na=False``.

    Raises
    ------
    PackageError
        There is no such package or table.

    Examples
    --------
    >>> schema = pandera_schema("chain")
    >>> schema.name, str(schema.columns["wll_kg"].dtype)
    ('ratings', 'float64')
    """
    of = load_package(package) if isinstance(package, Path) else built_in_package(package)
    name = table or (table_name(of.name, None) if isinstance(package, str) else "")
    _ = of[name]  # refuses a table that there is not
    resource = of.resources[name]
    return _schema(resource, lost_by_plain_reading(of, resource))


def _schema(resource: Resource, lost: Lost) -> pa.DataFrameSchema:
    # imported here: pandera takes a second to import and small commands never validate
    import pandera.pandas as pa

    columns = {
        name: _column(spec, name in resource.key, lost.get(name))
        for name, spec in resource.fields.items()
    }
    return pa.DataFrameSchema(
        columns,
        parsers=pa.Parser(partial(as_typed, resource=resource, lost=lost)),
        name=resource.name,
        strict=True,
        ordered=True,
        unique=list(resource.key) or None,
        unique_column_names=True,
    )


def _column(spec: dict[str, Any], key: bool, lost: str | None) -> pa.Column:
    import pandera.pandas as pa

    limits = dict(spec.get("constraints", {}))
    if (pattern := pattern_of(spec)) is not None:
        limits["pattern"] = pattern
    text = is_text(spec)
    required = key or bool(limits.get("required"))
    # `error` names the check: pandera drops `name` of a built-in check
    checks = [
        build(limits[constraint], ignore_na=True, error=f"{constraint} {limits[constraint]}")
        for constraint, build in {
            "minimum": pa.Check.ge,
            "maximum": pa.Check.le,
            "exclusiveMinimum": pa.Check.gt,
            "exclusiveMaximum": pa.Check.lt,
            "enum": _one_of if text else pa.Check.isin,
            "pattern": _matches,
        }.items()
        if constraint in limits
    ]
    if required and text:
        checks.append(pa.Check.str_length(min_value=1, error="required"))
    if lost is not None:
        told = say(
            "a plain reading loses {lost} of it; read it with {how}", lost=say(lost), how=_AS_TEXT
        )
        checks.insert(0, pa.Check(_whole_text, ignore_na=False, error=told))
    if spec.get("type") in NUMERIC_TYPES:
        checks.append(pa.Check(_finite, ignore_na=True, error="finite"))
    kinds = {"number": "float64", "integer": "Int64", "boolean": "boolean"}
    return pa.Column(
        kinds.get(str(spec.get("type")), "str"),
        checks=checks,
        nullable=not text and not required,
        unique=bool(limits.get("unique")),
        title=spec.get("title"),
        description=spec.get("description"),
    )


def _whole_text(column: pd.Series[Any]) -> bool:
    return not pd.api.types.is_numeric_dtype(column.dtype) and not column.isna().any()


def _finite(column: pd.Series[float]) -> pd.Series[bool]:
    return column.abs() != float("inf")


def _one_of(words: list[str], **options: Any) -> pa.Check:
    import pandera.pandas as pa

    # missing text is an empty string here, and missing is the affair of `required`
    return pa.Check.isin([*words, ""], **options)


def _matches(pattern: str, **options: Any) -> pa.Check:
    import pandera.pandas as pa

    return pa.Check.str_matches(rf"^(?:{pattern})?$", **options)
