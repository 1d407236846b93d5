"""The loading gate: a pandera schema from a table's own Table Schema.

The Table Schema in the package's descriptor is the one declaration; nothing is written twice.
Pandera stops a table that breaks it before anybody computes with it. It is not the audit: that
one reports every fault, with its place, through `tallyhook.auditing.audit`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pandas as pd

from tallyhook.errors import PackageError
from tallyhook.messages import say
from tallyhook.packages.frames import frame_of
from tallyhook.packages.package import NUMERIC_TYPES, Package, Resource, pattern_of

if TYPE_CHECKING:
    import pandera.pandas as pa

__all__ = ["pandera_schema", "typed_table"]


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
        return pandera_schema(resource).validate(frame_of(package, table), lazy=True)
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


def pandera_schema(resource: Resource) -> pa.DataFrameSchema:
    """Build the pandera schema of a table from its Table Schema.

    Types, required cells, allowed words, patterns, smallest and largest values, unique columns
    and the primary key are kept.
    """
    # imported here: pandera takes a second to import and small commands never validate
    import pandera.pandas as pa

    columns = {name: _column(spec, name in resource.key) for name, spec in resource.fields.items()}
    return pa.DataFrameSchema(
        columns,
        name=resource.name,
        strict=True,
        ordered=True,
        unique=list(resource.key) or None,
    )


def _column(spec: dict[str, Any], key: bool) -> pa.Column:
    import pandera.pandas as pa

    limits = dict(spec.get("constraints", {}))
    if (pattern := pattern_of(spec)) is not None:
        limits["pattern"] = pattern
    text = spec.get("type") not in (*NUMERIC_TYPES, "boolean")
    required = key or bool(limits.get("required"))
    # `error` names the check: pandera drops `name` of a built-in check
    checks = [
        build(limits[constraint], ignore_na=True, error=f"{constraint} {limits[constraint]}")
        for constraint, build in {
            "minimum": pa.Check.ge,
            "maximum": pa.Check.le,
            "enum": _one_of if text else pa.Check.isin,
            "pattern": _matches,
        }.items()
        if constraint in limits
    ]
    if required and text:
        checks.append(pa.Check.str_length(min_value=1, error="required"))
    kinds = {"number": "float64", "integer": "Int64", "boolean": "boolean"}
    return pa.Column(
        kinds.get(str(spec.get("type")), "str"),
        checks=checks,
        nullable=not text and not required,
        unique=bool(limits.get("unique")),
        coerce=True,
        title=spec.get("title"),
        description=spec.get("description"),
    )


def _one_of(words: list[str], **options: Any) -> pa.Check:
    import pandera.pandas as pa

    # missing text is an empty string here, and missing is the affair of `required`
    return pa.Check.isin([*words, ""], **options)


def _matches(pattern: str, **options: Any) -> pa.Check:
    import pandera.pandas as pa

    return pa.Check.str_matches(rf"^(?:{pattern})?$", **options)
