"""Which document answers which question, for each family that ``by`` can name.

The figures stand in the rating packages; here is only where each family looks.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import polars as pl

from tallyhook.messages import say
from tallyhook.packages.package import built_in_packages
from tallyhook.packages.table_texts import in_words
from tallyhook.use.documents import short
from tallyhook.use.result import UseRefused

__all__ = ["FAMILIES", "Family", "family_named", "in_range", "record", "records"]

_EPS = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """A document family: its rating scheme, its unit, and its document by topic and grade.

    A topic that is missing is one that no document of the family answers. `lifts` is false for
    the family that rates what is tied down and nothing that is lifted.
    """

    name: str
    scheme: str
    unit: str
    legs: dict[int, str]
    endless: dict[int, str]
    heat: dict[int, str]
    after_heat: dict[int, str]
    choke: str
    basket: str
    edge: str
    shortened: dict[str, str]
    asymmetric: str
    flattest: str
    lifts: bool = True


_EUROPEAN = {40: "en-818-5", 80: "en-818-4", 100: "european-grade-10-practice"}

FAMILIES = {
    "european": Family(
        name="european",
        scheme="european",
        unit="t",
        legs=_EUROPEAN,
        endless={40: "en-818-5", 80: "en-818-4", 100: "en-818-4"},
        heat={40: "en-818-6", 80: "en-818-6", 100: "european-grade-10-practice"},
        after_heat={},
        choke="en-818-6",
        basket="",
        edge="en-818-6",
        shortened={"cradle": "common-practice", "no-cradle": "common-practice"},
        asymmetric="en-818-6",
        flattest="en-818-6",
    ),
    "us": Family(
        name="us",
        scheme="us-chain",
        unit="lb",
        legs={80: "asme-b30-9", 100: "asme-b30-9"},
        endless={},
        heat={80: "asme-b30-9", 100: "asme-b30-9"},
        after_heat={80: "asme-b30-9", 100: "asme-b30-9"},
        choke="common-practice",
        basket="",
        edge="",
        shortened={"cradle": "common-practice", "no-cradle": "common-practice"},
        asymmetric="",
        flattest="osha-sling-guidance",
    ),
    "australian": Family(
        name="australian",
        scheme="",
        unit="t",
        legs=dict.fromkeys((30, 40, 80, 100), "dogging-training"),
        endless=dict.fromkeys((30, 40, 80, 100), "as-3775"),
        heat={80: "as-3775"},
        after_heat={},
        choke="dogging-training",
        basket="dogging-training",
        edge="",
        shortened={"cradle": "as-3775", "no-cradle": "as-3775"},
        asymmetric="",
        flattest="",
    ),
    "us-tiedown": Family(
        name="us-tiedown",
        scheme="us-tiedown",
        unit="lb",
        legs={},
        endless={},
        heat={},
        after_heat={},
        choke="",
        basket="",
        edge="",
        shortened={},
        asymmetric="",
        flattest="",
        lifts=False,
    ),
}
"""By the name that ``by`` takes."""

_OTHER_NAMES = {"us-chain": "us", "american": "us", "en": "european", "eu": "european"}


def family_named(name: str, others: Sequence[str] = ()) -> Family:
    """Find a family; `others` are what could have been named in its place.

    Raises
    ------
    UseRefused
        There is no such family.
    """
    try:
        return FAMILIES[_OTHER_NAMES.get(name, name)]
    except KeyError:
        raise UseRefused(
            say("no in-use factors are known by '{name}'", name=name),
            next_step=say("use one of {names}", names=", ".join([*FAMILIES, *others])),
        ) from None


def records(package: str, table: str, **wanted: Any) -> list[dict[str, Any]]:
    """Give the rows of a built-in table whose columns have the wanted values, in file order.

    What they say to people is in the reader's language.
    """
    rows = built_in_packages()[package][table]
    for column, value in wanted.items():
        rows = rows.filter(pl.col(column) == value)
    return [in_words(package, table, row) for row in rows.iter_rows(named=True)]


def record(package: str, table: str, what: str, **wanted: Any) -> dict[str, Any]:
    """Give the first such row.

    Raises
    ------
    UseRefused
        There is none: `what` (a clause) is then what the document lacks.
    """
    rows = records(package, table, **wanted)
    if not rows:
        source = wanted.get("source")
        raise UseRefused(f"{short(source)} {what}" if source else what)
    return rows[0]


def in_range(value: float, row: Mapping[str, Any], low: str, high: str) -> bool:
    """Whether a value lies between two columns of a row, its ends counted as the row says.

    ``from_included`` and ``to_included`` of the row say whether an end is part of the range; an
    end that is missing is open.
    """
    start, end = row[low], row[high]
    above = start is None or value > start + _EPS
    above = above or bool(row["from_included"] and value >= start - _EPS)
    below = end is None or value < end - _EPS
    return above and (below or bool(row["to_included"] and value <= end + _EPS))
