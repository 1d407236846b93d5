"""Every example in a docstring runs and gives what it says; each names its document."""

from __future__ import annotations

import doctest
import pkgutil

import pytest

import tallyhook
from programs import library

MODULES = sorted(
    m.name
    for m in pkgutil.walk_packages(tallyhook.__path__, "tallyhook.")
    if not m.name.endswith("__main__") and ".rules." not in m.name
)


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_of_a_module_run(name: str) -> None:
    failed, _ = doctest.testmod(library(name))
    assert failed == 0
