"""Every example in a docstring runs and gives what it says; each names its document."""

from __future__ import annotations

import doctest
import importlib
import pkgutil

import pytest

import tallyhook

MODULES = sorted(
    m.name
    for m in pkgutil.walk_packages(tallyhook.__path__, "tallyhook.")
    if not m.name.endswith("__main__") and ".rules." not in m.name
)


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_of_a_module_run(name: str) -> None:
    try:
        module = importlib.import_module(name)
    except ModuleNotFoundError as error:  # an engine whose library is not installed
        if (error.name or "").startswith("tallyhook"):
            raise
        pytest.skip(f"{error.name} is not installed")
    failed, _ = doctest.testmod(module)
    assert failed == 0
