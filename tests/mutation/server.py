"""Run tests in a forked child, with the changed source of one module in place of its file.

The parent imports the libraries and the project once; each child forgets the changed module and
all that import from it, and imports them anew with the source it is handed. polars starts its
threads at the first question and threads do not survive a fork: so the parent asks none.
"""

from __future__ import annotations

import ast
import gc
import importlib
import importlib.abc
import importlib.machinery
import importlib.util
import json
import os
import signal
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

import pytest

__all__ = ["Child", "Ran", "finished", "load", "run_tests", "start", "trace"]

ROOT = Path(__file__).parents[2]
_OPTIONS = (
    "-x", "-q", "--no-header", "-p", "no:cacheprovider", "-p", "no:xdist",
    "-p", "no:unraisableexception", "-p", "no:threadexception",  # they collect garbage
)  # fmt: skip


class _Changed(importlib.abc.MetaPathFinder, importlib.abc.SourceLoader):
    """Gives one module the changed source; every other is imported as ever."""

    def __init__(self, name: str, path: Path, source: str) -> None:
        self.name, self.path, self.source = name, path, source

    def find_spec(
        self, name: str, path: Any, target: Any = None
    ) -> importlib.machinery.ModuleSpec | None:
        if name != self.name:
            return None
        return importlib.util.spec_from_file_location(name, self.path, loader=self)

    def get_filename(self, name: str) -> str:
        return str(self.path)

    def get_data(self, path: str | bytes) -> bytes:
        if Path(os.fsdecode(path)) != self.path:  # a compiled file of the unchanged source
            raise FileNotFoundError(path)
        return self.source.encode()


@dataclass(slots=True, eq=False)
class _Chosen:
    """Runs the tests that are asked for, in the order they are asked for."""

    wanted: Sequence[str]

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        place = {nodeid: at for at, nodeid in enumerate(self.wanted)}
        chosen = [item for item in items if item.nodeid in place]
        items[:] = sorted(chosen, key=lambda item: place[item.nodeid])


@dataclass(slots=True, eq=False)
class _Tracer:
    """Notes which functions of the project each test calls, and how long it takes.

    What a fixture calls counts for every test that uses it, though it is set up once; and caches
    are emptied before each test, so that the first to call does not hide the others.
    """

    folder: str
    calls: dict[str, list[str]] = field(default_factory=dict)
    seconds: dict[str, float] = field(default_factory=dict)
    of_fixture: dict[str, set[CodeType]] = field(default_factory=dict)

    @contextmanager
    def _noting(self) -> Iterator[set[CodeType]]:
        seen: set[CodeType] = set()

        def note(frame: FrameType, event: str, _: Any) -> None:
            if event == "call":
                seen.add(frame.f_code)

        before = sys.getprofile()
        sys.setprofile(note)
        try:
            yield seen
        finally:
            sys.setprofile(before)

    @pytest.hookimpl(hookwrapper=True)
    def pytest_fixture_setup(self, fixturedef: pytest.FixtureDef[Any]) -> Iterator[None]:
        with self._noting() as seen:
            yield
        self.of_fixture.setdefault(fixturedef.argname, set()).update(seen)

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        for cached in _caches():
            cached.cache_clear()
        began = time.monotonic()
        with self._noting() as seen:
            yield
        self.seconds[item.nodeid] = time.monotonic() - began
        seen = seen.union(*(self.of_fixture.get(f, set()) for f in item.fixturenames))  # type: ignore[attr-defined]
        self.calls[item.nodeid] = sorted(
            f"{Path(code.co_filename).relative_to(ROOT).as_posix()}:{code.co_firstlineno}"
            for code in seen
            if code.co_filename.startswith(self.folder)
        )


def _caches() -> list[Any]:
    """The functions of the project that remember their answers."""
    return [
        value
        for name, module in list(sys.modules.items())
        if name.startswith("tallyhook")
        for value in list(vars(module).values())
        if hasattr(value, "cache_clear")
        and getattr(value, "__module__", "").startswith("tallyhook")
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class Child:
    """A forked child, and when it must be done."""

    pid: int
    until: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Ran:
    """How a child ended: the exit code of pytest, or None for one that took too long.

    `seconds` are of the processor, so that they do not hang on what else the machine does.
    """

    pid: int
    code: int | None
    seconds: float


def start(work: Callable[[], int], *, seconds: float) -> Child:
    """Fork a child that does some work and ends with the code that it answers."""
    pid = os.fork()
    if pid:
        return Child(pid=pid, until=time.monotonic() + seconds)
    code = 70
    try:
        os.setpgid(0, 0)
        silence = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1, 2):
            os.dup2(silence, stream)
        gc.disable()
        code = work()
    finally:
        os._exit(code)


def finished(children: Sequence[Child]) -> Ran:
    """Wait for the first of some children to end, and end the one that takes too long."""
    while True:
        for child in children:
            late = time.monotonic() > child.until
            if late:
                os.kill(child.pid, signal.SIGKILL)
            pid, status, used = os.wait4(child.pid, 0 if late else os.WNOHANG)
            if pid:
                code = None if late else os.waitstatus_to_exitcode(status)
                return Ran(pid=pid, code=code, seconds=used.ru_utime + used.ru_stime)
        time.sleep(0.005)


def run_tests(nodeids: Sequence[str], *, name: str, path: Path, source: str) -> int:
    """Run tests with the changed source of a module, until the first one fails."""
    sys.meta_path.insert(0, _Changed(name, ROOT / path, source))
    _forget(name)
    files = list(dict.fromkeys(nodeid.split("::")[0] for nodeid in nodeids))
    return int(pytest.main([*_OPTIONS, *files], plugins=[_Chosen(nodeids)]))


def _forget(name: str) -> None:
    """Take a module and every one that imports from it, at any remove, out of what is imported.

    A package is forgotten with all its modules; `tallyhook` itself imports only when it is asked.
    """
    importers = _importers()
    forgotten, waiting = {"tallyhook"}, [name]
    while waiting:
        module = waiting.pop()
        if module not in forgotten:
            forgotten.add(module)
            waiting += importers[module]
            waiting += [other for other in sys.modules if other.startswith(f"{module}.")]
    forgotten.remove("tallyhook")
    for module in forgotten:
        parent, _, own = module.rpartition(".")
        sys.modules.pop(module, None)
        if own in vars(sys.modules.get(parent, object)):
            delattr(sys.modules[parent], own)


@cache
def _importers() -> dict[str, list[str]]:
    """Module of the project -> those that import from it.

    A package that imports its modules by their names in a folder imports from all of them.
    """
    found: dict[str, list[str]] = defaultdict(list)
    for name, module in list(sys.modules.items()):
        if not name.startswith("tallyhook"):
            continue
        file = getattr(module, "__file__", None)
        source = Path(file).read_text(encoding="utf-8") if file else ""
        for each in ast.walk(ast.parse(source)):
            if isinstance(each, ast.Import):
                for alias in each.names:
                    found[alias.name].append(name)
            elif isinstance(each, ast.ImportFrom) and each.module:
                found[each.module].append(name)
                for alias in each.names:  # a module, perhaps
                    found[f"{each.module}.{alias.name}"].append(name)
        if "import_module(" in source and hasattr(module, "__path__"):
            for other in list(sys.modules):
                if other.startswith(f"{name}."):
                    found[other].append(name)
    return found


def trace(tests: Sequence[str], answer: Path) -> int:
    """Run tests unchanged and write what each calls and takes, and the modules they import."""
    tracer = _Tracer(str(ROOT / "validators"))
    code = int(pytest.main([*_OPTIONS, *tests], plugins=[tracer]))
    own = str(ROOT / "tests")
    imported = [
        name
        for name, module in sys.modules.items()
        if (file := getattr(module, "__file__", None)) and not file.startswith(own)
    ]
    told = {"calls": tracer.calls, "seconds": tracer.seconds, "imported": imported}
    answer.write_text(json.dumps(told), encoding="utf-8")
    return code


def load(names: Sequence[str]) -> None:
    """Import what every child needs, in the parent and once."""
    for name in names:
        if not name.startswith(("__main__", "mutation", "_pytest", "conftest")):
            try:
                importlib.import_module(name)
            except ImportError:  # a module that its library makes up
                continue
    _importers()
    gc.collect()
    gc.freeze()  # what all children share is looked at and copied by none of them
