"""No code uses a private part of a library: a new release may change it without a word."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]

DOCUMENTED = dict.fromkeys(
    ("_asdict", "_field_defaults", "_fields", "_make", "_replace"),
    "public parts of named tuples, underlined so as not to clash with a field (Python's collections)",
)
"""Names that are public in spite of their underscore, each with the reason."""


def private(name: str) -> bool:
    return name.startswith("_") and not name.startswith("__")


def private_parts(source: str) -> Iterator[tuple[int, str]]:
    """Give each use of a private part of something that is not ours, with its line."""
    for node in ast.walk(ast.parse(source)):
        match node:
            case ast.Import(names=names):
                used = [each.name for each in names]
                found = [
                    name for name in used if not ours(name) and any(map(private, name.split(".")))
                ]
            case ast.ImportFrom(module=module, names=names, level=0) if not ours(module or ""):
                used = [f"{module}.{each.name}" for each in names]
                found = [name for name in used if any(map(private, name.split(".")))]
            case ast.Attribute(value=ast.Name(id="self" | "cls")):
                continue
            case ast.Attribute(attr=name):
                found = [name] if private(name) else []
            case ast.Call(func=ast.Name(id="getattr" | "setattr" | "hasattr" | "delattr"), args=[_, ast.Constant(value=str(name)), *_]):  # fmt: skip
                found = [name] if private(name) else []
            case ast.Call(keywords=keywords):
                found = [each.arg for each in keywords if each.arg and private(each.arg)]
            case _:
                continue
        yield from ((node.lineno, name) for name in found if name not in DOCUMENTED)


def ours(module: str) -> bool:
    return module.split(".")[0] == "tallyhook"


def sources() -> Iterator[tuple[str, str]]:
    """Give every Python source of the toolkit and its scripts, those inside shell scripts too."""
    for path in sorted(
        path for top in ("validators", "scripts") for path in (ROOT / top).rglob("*")
    ):
        place = str(path.relative_to(ROOT))
        if path.suffix == ".py":
            yield place, path.read_text(encoding="utf-8")
        elif path.parent.name == "scripts" and path.is_file():
            text = path.read_text(encoding="utf-8")
            for inside in re.finditer(
                r"<<'PY'\n(.*?)^PY$|-c '([^']*)'", text, re.DOTALL | re.MULTILINE
            ):
                yield (
                    f"{place} (in line {text[: inside.start()].count(chr(10)) + 1})",
                    inside[1] or inside[2],
                )


# the first two were in the toolkit once
@pytest.mark.parametrize(
    ("source", "name"),
    [
        ("from rich._export_format import CONSOLE_SVG_FORMAT", "rich._export_format.CONSOLE_SVG_FORMAT"),
        ("for sheet in book.worksheets:\n    sheet._pivots = []", "_pivots"),
        ("book._sheets[0]", "_sheets"),
        ("import rich._export_format as shapes", "rich._export_format"),
        ("from rich import _export_format", "rich._export_format"),
        ("import rich\nrich._console", "_console"),
        ("getattr(sheet, '_pivots', None)", "_pivots"),
        ("Console(_environ={})", "_environ"),
        ("super()._render()", "_render"),
        ("self.book._sheets", "_sheets"),
    ],
)  # fmt: skip
def test_a_private_part_of_a_library_is_met(source: str, name: str) -> None:
    assert [found for _, found in private_parts(source)] == [name]


@pytest.mark.parametrize(
    "source",
    [
        "from __future__ import annotations",
        "from tallyhook.rules.package._forces import broken",
        "self._kept = cls._made",
        "sling._replace(legs=2)",
        "kind.__name__",
        "_own = pl.col('_each')",
        "getattr(sheet, 'title')",
    ],
)
def test_what_is_public_or_ours_is_not(source: str) -> None:
    assert list(private_parts(source)) == []


def test_no_private_part_of_a_library_is_used() -> None:
    everything = dict(sources())
    assert len(everything) > 100 and any("check-across-networks" in place for place in everything)
    found = {
        place: parts for place, text in everything.items() if (parts := list(private_parts(text)))
    }
    assert found == {}, "use what the library documents"
