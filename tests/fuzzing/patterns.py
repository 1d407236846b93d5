"""The regular expressions of the package, and texts on which a careless one takes far too long.

Every call of `re` is found in the source. A pattern that is put together at run time is caught
when it is compiled, by `recorded`. The texts are made from the parsed pattern: what it repeats,
over and over, with and without an end that it refuses.
"""

from __future__ import annotations

import ast
import re
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from re import _constants as ops  # type: ignore[attr-defined]
from re import _parser as parser  # type: ignore[attr-defined]

PACKAGE = Path(__file__).resolve().parents[2] / "validators" / "tallyhook"
METHODS = ("match", "fullmatch", "search", "findall", "finditer", "sub", "split")
# pandas hands these to `re`, row by row; polars has an engine that is linear by design
_PANDAS = {"extract": "search", "contains": "search", "replace": "sub", "fullmatch": "fullmatch"}


@dataclass(frozen=True, slots=True)
class Use:
    """A pattern and one way it is used; `text` is None when only the run knows it."""

    place: str
    text: str | bytes | None
    flags: int
    method: str


def uses() -> list[Use]:
    """Find every use of a regular expression in the source of the package."""
    found: list[Use] = []
    for path in sorted(PACKAGE.rglob("*.py")):
        found += _uses_in(path)
    return found


def _uses_in(path: Path) -> Iterator[Use]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    names: dict[str, ast.Call] = {}
    for node in ast.walk(tree):
        held: ast.expr | None = None
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            name, held = node.targets[0].id, node.value
        elif isinstance(node, ast.FunctionDef) and isinstance(node.body[-1], ast.Return):
            name, held = node.name, node.body[-1].value
        if isinstance(held, ast.Call) and _method(held) == "compile":
            names[name] = held
    used: dict[str, set[str]] = {}
    for node in ast.walk(tree):
        if not isinstance(node, ast.Attribute):
            continue
        base = node.value.func if isinstance(node.value, ast.Call) else node.value
        if isinstance(base, ast.Name) and base.id in names and node.attr in METHODS:
            used.setdefault(base.id, set()).add(node.attr)
    compiled = {id(call): name for name, call in names.items()}
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call) or not (method := _method(node, path)):
            continue
        place = f"{path.relative_to(PACKAGE)}:{node.lineno}"
        text, flags = _constant(node.args[0]), _flags(node, method)
        if method == "compile":
            methods = used.get(compiled.get(id(node), ""), set(METHODS[:3]))
        else:
            methods = {method}
        for each in sorted(methods):
            yield Use(place, text, flags, each)


def _method(call: ast.Call, path: Path | None = None) -> str | None:
    function = call.func
    if not isinstance(function, ast.Attribute) or not call.args:
        return None
    base = function.value
    if isinstance(base, ast.Name) and base.id == "re":
        return function.attr if function.attr in (*METHODS, "compile") else None
    pandas = path is not None and "rules/package" in str(path)
    if pandas and isinstance(base, ast.Attribute) and base.attr == "str":
        return _PANDAS.get(function.attr)
    return None


def _constant(node: ast.expr) -> str | bytes | None:
    if isinstance(node, ast.Constant) and isinstance(node.value, (str, bytes)):
        return node.value
    return None


def _flags(call: ast.Call, method: str) -> int:
    place = {"compile": 1, "sub": 4, "split": 3}.get(method, 2)
    given = [k.value for k in call.keywords if k.arg == "flags"] or call.args[place : place + 1]
    return eval(ast.unparse(given[0]), {"re": re}) if given else 0


@contextmanager
def recorded() -> Iterator[dict[str, set[tuple[str | bytes, int]]]]:
    """Note each pattern that the package compiles meanwhile, by the place of the call."""
    seen: dict[str, set[tuple[str | bytes, int]]] = {}
    original = re._compile  # type: ignore[attr-defined]

    def compile_(pattern, flags):  # type: ignore[no-untyped-def]
        frame = sys._getframe(2)
        if frame.f_code.co_filename.startswith(str(PACKAGE)) and not isinstance(
            pattern, re.Pattern
        ):
            place = f"{Path(frame.f_code.co_filename).relative_to(PACKAGE)}:{frame.f_lineno}"
            seen.setdefault(place, set()).add((pattern, int(flags)))
        return original(pattern, flags)

    re._compile = compile_  # type: ignore[attr-defined]
    try:
        yield seen
    finally:
        re._compile = original  # type: ignore[attr-defined]


def superlinear(use: Use, budget: float = 0.02) -> str | None:
    """Time a pattern on hostile texts; say on which one it is slow, or None.

    A text counts when twice its length takes more than 2.6 times as long and more than `budget`.
    """
    assert use.text is not None
    act = _act(re.compile(use.text, use.flags), use.method)
    for parts in sorted(_pumps(use.text, use.flags)):
        # a pattern that explodes shows it early, and a linear one needs no long text
        spent = 0.0
        for size in (*range(8, 68, 4), 128, 512, 4096):
            spent = _seconds(act, _joined(use, parts, size))
            if spent > budget:
                break
        if spent < budget / 10:
            continue
        while spent < budget and size < 16_384:
            size *= 2
            spent = _seconds(act, _joined(use, parts, size))
        if spent < budget:
            continue
        half, whole = (
            min(_seconds(act, _joined(use, parts, n)) for _ in range(3)) for n in (size // 2, size)
        )
        if whole >= budget and whole > 2.6 * half:
            return f"{whole:.2f} s for {size} of {parts!r}, {half:.3f} s for half of it"
    return None


Parts = tuple[str, str, str, str]
"""What stands before, what is repeated, what else is repeated, and what stands after."""


def _joined(use: Use, parts: Parts, size: int) -> str | bytes:
    text = filled(parts, size)
    return text.encode("latin-1", errors="replace") if isinstance(use.text, bytes) else text


def filled(parts: Parts, size: int) -> str:
    """Repeat what is to be repeated until a text is about so long."""
    before, pump, second, after = parts
    size = size // 2 if second else size
    middle = pump * (size // len(pump)) + second * (size // max(1, len(second)))
    return before + middle + after


def _act(compiled, method):  # type: ignore[no-untyped-def]
    if method == "finditer":
        return lambda text: sum(1 for _ in compiled.finditer(text))
    if method == "sub":
        return lambda text: compiled.sub(b"" if isinstance(text, bytes) else "", text)
    return getattr(compiled, method)


def _seconds(act, text) -> float:  # type: ignore[no-untyped-def]
    started = time.process_time()
    act(text)
    return time.process_time() - started


def _pumps(text: str | bytes, flags: int) -> set[Parts]:
    bodies: set[str] = set()
    starts: set[str] = {""}
    letters: set[str] = set()
    _walk(list(parser.parse(text, flags)), [""], bodies, starts, letters)
    marks = sorted(letters | {" "}, key=lambda c: (c.isalpha(), c))[:12]
    single = sorted(bodies | set(marks), key=lambda s: (len(s), s))[:40]
    befores = ["", *marks[:4], *sorted(starts, key=len)[:8]]
    found = {(b, p, "", a) for b in befores for p in single for a in ("", "\x01", "z7")}
    found |= {("", a + b, "", c) for a in marks for b in marks for c in ("", "\x01")}
    found |= {(b, p, q, "\x01") for b in befores[:3] for p in single[:12] for q in single[:8]}
    return found | {("", p, q, "7") for p in single[:8] for q in single[:8]}


def _walk(
    tree: list, before: list[str], bodies: set[str], starts: set[str], letters: set[str]
) -> list[str]:
    """Give some texts that a part of a pattern takes, and gather what it repeats."""
    texts = [""]
    for op, given in tree:
        found = _samples(
            op, given, [b + t for b in before[:3] for t in texts[:2]], bodies, starts, letters
        )
        texts = [t + f for t in texts[:4] for f in found[:4]][:12]
    return texts


def _samples(op, given, before, bodies, starts, letters) -> list[str]:  # type: ignore[no-untyped-def]
    if op is ops.LITERAL:
        letters.add(chr(given))
        return [chr(given)]
    if op is ops.NOT_LITERAL:
        letters.update({"z", chr(given)})
        return ["z" if given != ord("z") else "y"]
    if op is ops.ANY:
        letters.add("z")
        return ["z", "1"]
    if op is ops.IN:
        found = _of_class(given)
        letters.update(found)
        return found
    if op is ops.BRANCH:
        return [
            s for part in given[1] for s in _walk(list(part), before, bodies, starts, letters)[:2]
        ][:12]
    if op is ops.SUBPATTERN:
        return _walk(list(given[3]), before, bodies, starts, letters)
    if op is ops.ATOMIC_GROUP:
        return _walk(list(given), before, bodies, starts, letters)
    if op in (ops.ASSERT, ops.ASSERT_NOT):
        _walk(list(given[1]), before, bodies, starts, letters)
        return [""]
    if op in (ops.MAX_REPEAT, ops.MIN_REPEAT, ops.POSSESSIVE_REPEAT):
        least, most, body = given
        inner = _walk(list(body), before, bodies, starts, letters)
        if most > 1:
            bodies.update(s for s in inner if s)
            starts.update(before)
        return ([""] if least == 0 else []) + [s * max(1, least) for s in inner[:4]]
    return [""]


_CATEGORIES = {
    ops.CATEGORY_DIGIT: "7",
    ops.CATEGORY_NOT_DIGIT: "z",
    ops.CATEGORY_SPACE: " ",
    ops.CATEGORY_NOT_SPACE: "z",
    ops.CATEGORY_WORD: "z7_",
    ops.CATEGORY_NOT_WORD: ".",
}


def _of_class(given) -> list[str]:  # type: ignore[no-untyped-def]
    negated = given[0][0] is ops.NEGATE
    if negated:
        banned = set(_of_class(given[1:])) if len(given) > 1 else set()
        return [c for c in 'z7 .,-"' if c not in banned] or ["\u00e9"]
    found: list[str] = []
    for op, value in given:
        if op is ops.LITERAL:
            found.append(chr(value))
        elif op is ops.RANGE:
            found += [chr(value[0]), chr(min(value[1], 0x2FFFF))]
        elif op is ops.CATEGORY:
            found += _CATEGORIES[value]
    return found
