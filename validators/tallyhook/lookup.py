"""Look a rating up, as data."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tallyhook.packages import built_in_packages

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["ratings"]

_MAIN = {
    "chain": "ratings",
    "hooks": "chain-hooks",
    "grab-hooks": "ratings",
    "use": "leg-factors",
    "inspection": "limits",
    "vocabulary": "schemes",
    "sources": "documents",
}


def ratings(package: str, table: str | None = None) -> pd.DataFrame:
    """Give a table of a built-in package as a typed frame.

    Parameters
    ----------
    package : str
        ``chain``, ``hooks``, ``grab-hooks``, ``use``, ``inspection``, ``vocabulary`` or
        ``sources``.
    table : str, optional
        One of the package's tables; its main one otherwise.

    Returns
    -------
    pandas.DataFrame
        Columns and units as the package's Table Schema declares them: the unit is the column
        name's ending (``wll_kg`` in [kg]).

    Raises
    ------
    PackageError
        There is no such package or table.

    Examples
    --------
    49 CFR 393.108, row 3/8 in, grade 80: 7,100 lb.

    >>> chain = ratings("chain")
    >>> law = chain[(chain.scheme == "us-tiedown") & (chain.grade == 80) & (chain.size_mm == 10)]
    >>> law.wll_lb.item()
    7100.0
    """
    from tallyhook.errors import PackageError

    packages = built_in_packages()
    if package not in packages:
        raise PackageError(
            f"there is no rating package '{package}'", next_step=f"use one of {', '.join(packages)}"
        )
    return packages[package][table or _MAIN[package]].to_pandas()
