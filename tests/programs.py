"""The programs beside Python that tests need: found here, skipped for here, asked for by CI.

``TALLYHOOK_PROGRAMS=required``, set by ``.ci/run``, makes a test fail that would be skipped. Run
as a script it prints the Debian packages of the programs that are missing, for ``.ci/programs``.
"""

from __future__ import annotations

import ctypes
import importlib
import os
import shutil
import sys
from types import ModuleType
from typing import NamedTuple, NoReturn


class Program(NamedTuple):
    """A program by any of its commands, with the Debian packages that hold it."""

    purpose: str
    commands: tuple[str, ...]
    packages: str
    library: str = ""
    """A shared library of Linux without which nothing can drive the program."""


BROWSER = Program(
    "a browser",
    ("chromium", "chromium-browser", "google-chrome"),
    "chromium libatomic1",
    library="libatomic.so.1",  # Playwright's driver is linked with it
)
OFFICE = Program("an office program", ("soffice", "libreoffice"), "libreoffice-calc-nogui")
GIT = Program("git", ("git",), "git")
UNSHARE = Program("unshare", ("unshare",), "util-linux")
PROGRAMS = (BROWSER, OFFICE, GIT, UNSHARE)


def found(program: Program) -> str | None:
    """Give the path of a program, or None where it or its library is not installed."""
    if program.library and sys.platform == "linux":
        try:
            ctypes.CDLL(program.library)
        except OSError:
            return None
    return next(filter(None, map(shutil.which, program.commands)), None)


def path_of(program: Program) -> str:
    """Give the path of a program that a test cannot do without."""
    return found(program) or missing(program.purpose)


def library(name: str) -> ModuleType:
    """Import a module that may need a library which a user can do without, and a test cannot."""
    try:
        return importlib.import_module(name)
    except ModuleNotFoundError as error:
        if error.name is None or error.name.startswith("tallyhook"):
            raise
        missing(error.name)


def missing(what: str) -> NoReturn:
    """Skip the test that lacks something; fail it where CI asked for everything."""
    import pytest

    if os.environ.get("TALLYHOOK_PROGRAMS") == "required":
        pytest.fail(f"{what} is not installed here, and CI asked for it", pytrace=False)
    pytest.skip(f"{what} is not installed here")


def forbidden(why: str) -> NoReturn:
    """Skip the test that needs a right which the machine does not give; nothing can install it."""
    import pytest

    pytest.skip(why)


if __name__ == "__main__":
    print(*(program.packages for program in PROGRAMS if not found(program)))
