"""An error says the same thing in another process, and keeps its parts there."""

from __future__ import annotations

import copy
import importlib
import pickle
import pkgutil
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

import tallyhook
from fuzzing.inputs import stock_list
from package_folders import edit, make_package
from tallyhook.errors import PackageError, StockListError, TallyhookError
from tallyhook.packages.package import load_package
from tallyhook.use.result import UseRefused

BAD_LISTS = {
    "empty": b"",
    "pdf": b"%PDF-1.7 ...",
    "no load": b"Item,Colour\nhook,red\n",
    "web page": b"<!doctype html><p>hooks",
    "deep": b'{"a":' * 100_000,
    "line": b'{"WLL kg": 1}\nno json\n',
    "parquet": b"PAR1" + b"\0" * 40 + b"PAR1",
    "archive": b"PK\x03\x04" + b"\xff" * 4000,
    "compound": b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600,
    "no text": b"WLL kg\0\x01\x02\n1\n",
}


def classes(base: type[TallyhookError] = TallyhookError) -> Iterator[type[TallyhookError]]:
    yield base
    for one in base.__subclasses__():
        yield from classes(one)


def every_class() -> list[type[TallyhookError]]:
    for module in pkgutil.walk_packages(tallyhook.__path__, "tallyhook."):
        if not module.name.endswith(("__main__", "workbook_worker")):
            importlib.import_module(module.name)
    return sorted(set(classes()), key=lambda each: each.__name__)


def told(error: BaseException) -> tuple[Any, ...]:
    """Everything that an error tells."""
    return type(error), str(error), repr(error), error.args, vars(error)


def same_everywhere(error: TallyhookError) -> None:
    for protocol in range(2, pickle.HIGHEST_PROTOCOL + 1):
        once = pickle.loads(pickle.dumps(error, protocol))
        assert told(once) == told(error)
        # by way of two processes
        assert told(pickle.loads(pickle.dumps(once, protocol))) == told(error)
    assert told(copy.copy(error)) == told(copy.deepcopy(error)) == told(error)


def refusal(call: Callable[[], object]) -> TallyhookError:
    with pytest.raises(TallyhookError) as caught:
        call()
    return caught.value


def test_every_class_of_error_is_known_here() -> None:
    assert [each.__name__ for each in every_class()] == [
        "MissingExtra", "NoRatedLoadError", "OutputError", "PackageError", "RuleCrash", "StockListError",
        "TallyhookError", "UseRefused",
    ]  # fmt: skip


@pytest.mark.parametrize("kind", every_class())
@pytest.mark.parametrize(
    ("where", "next_step", "sentence"),
    [
        ("", "", "the cell is empty."),
        ("a.csv, row 3", "", "a.csv, row 3: the cell is empty."),
        ("", "fill it", "the cell is empty; fill it."),
        ("a.csv, row 3", "fill it", "a.csv, row 3: the cell is empty; fill it."),
    ],
)
def test_an_error_of_every_class_crosses_a_process(
    kind: type[TallyhookError], where: str, next_step: str, sentence: str
) -> None:
    error = kind("the cell is empty", where=where, next_step=next_step)
    assert str(error) == sentence
    same_everywhere(error)


def test_what_was_added_to_an_error_stays_with_it() -> None:
    error = UseRefused("no", where="here")
    error.others = ()
    error.add_note("while checking the feed")
    same_everywhere(error)
    assert pickle.loads(pickle.dumps(error)).__notes__ == ["while checking the feed"]


@pytest.mark.parametrize("data", BAD_LISTS.values(), ids=BAD_LISTS.keys())
def test_the_refusal_of_a_bad_list_crosses_a_process(data: bytes, tmp_path: Path) -> None:
    path = tmp_path / "list"
    path.write_bytes(data)
    error = refusal(lambda: tallyhook.check(path))
    assert isinstance(error, StockListError)
    same_everywhere(error)


@pytest.mark.parametrize("first", range(0, 120, 40))
def test_the_refusals_of_hostile_lists_cross_a_process(first: int, tmp_path: Path) -> None:
    path, refused = tmp_path / "list", 0
    for seed in range(first, first + 40):
        path.write_bytes(stock_list(seed)[1])
        try:
            tallyhook.check(path)
        except TallyhookError as error:
            same_everywhere(error)
            refused += 1
    assert refused


CALLS: dict[str, Callable[[], object]] = {
    "no file": lambda: tallyhook.check("no such file"),
    "a folder": lambda: tallyhook.check(Path(__file__).parent),
    "no frame": lambda: tallyhook.check(3),  # type: ignore[arg-type]
    "no rows": lambda: tallyhook.check(pd.DataFrame()),
    "no scheme": lambda: tallyhook.check("list.csv", scheme="martian"),
    "no package": lambda: tallyhook.ratings("ropes"),
    "no table": lambda: tallyhook.ratings("chain", "ropes"),
    "no maker": lambda: tallyhook.check("list.csv", extra=["no such folder"]),
    "no format": lambda: tallyhook.export("out", format="pdf"),
    "no such audit": lambda: tallyhook.audit(only="ropes"),
    "no grade": lambda: tallyhook.in_use(grade="9", size="10 mm", legs=1, by="european"),
    "no such part": lambda: tallyhook.limits("rope"),
}


@pytest.mark.parametrize("call", CALLS.values(), ids=CALLS.keys())
def test_the_refusal_of_a_wrong_call_crosses_a_process(call: Callable[[], object]) -> None:
    same_everywhere(refusal(call))


@pytest.mark.parametrize(("old", "new"), [("3200", "many"), ("size_mm", "size"), ("3200", '3200"')])
def test_the_refusal_of_a_bad_package_crosses_a_process(old: str, new: str, tmp_path: Path) -> None:
    folder = make_package(tmp_path / "demo")
    edit(folder, old, new)
    error = refusal(lambda: load_package(folder))
    assert isinstance(error, PackageError)
    same_everywhere(error)


def test_an_error_of_another_process_reads_as_here() -> None:
    here = refusal(lambda: tallyhook.check("no such file"))
    with (
        ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool,
        pytest.raises(StockListError) as caught,
    ):
        pool.submit(tallyhook.check, "no such file").result(timeout=120)
    assert str(caught.value) == str(here) == "no such file: there is no such file; check the path."
