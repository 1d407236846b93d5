"""What is installed only where it is wanted: which libraries an extra holds, and who lacks one.

The core checks a list and looks ratings up. A page, a workbook, Parquet lists and a cluster need
libraries that are as large as all of it; each is an extra of the distribution, and `need` is
asked before any work that wants one, so that nothing is half done when it is missing.
"""

from __future__ import annotations

from collections.abc import Mapping
from importlib.util import find_spec
from types import MappingProxyType

from tallyhook.errors import MissingExtra
from tallyhook.messages import say

__all__ = ["EXTRAS", "installed", "need"]

EXTRAS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "page": ("bokeh", "jinja2"),
        "export": ("openpyxl",),
        # polars reads Parquet, too, but a damaged page makes it abort the whole process
        "parquet": ("pyarrow",),
        "cluster": ("dask", "distributed", "pyarrow"),
        # nothing of ours: plain frictionless publishes the packages to a database with it
        "sql": ("sqlalchemy",),
    }
)
"""The modules of each extra but ``all``; ``pyproject.toml`` says which versions."""


def installed(module: str) -> bool:
    """Whether a module can be imported; it is not imported to find out.

    Examples
    --------
    >>> installed("json"), installed("no_such_module")
    (True, False)
    """
    try:
        return find_spec(module) is not None
    except (ImportError, ValueError):
        return False


def need(extra: str, where: str = "") -> None:
    """Refuse to go on without the libraries of an extra.

    Parameters
    ----------
    extra : str
        One of `EXTRAS`.
    where : str
        What wants it: an option, a file.

    Raises
    ------
    MissingExtra
        One of them is not installed; it says the command that installs it.
    """
    missing = [module for module in EXTRAS[extra] if not installed(module)]
    if missing:
        raise MissingExtra(
            say("{modules} is not installed here", modules=", ".join(missing))
            if len(missing) == 1
            else say("{modules} are not installed here", modules=", ".join(missing)),
            where=where,
            next_step=say('run pip install "tallyhook[{extra}]"', extra=extra),
        )
