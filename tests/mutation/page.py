"""The page of the measure: docs/test-measure.md."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import Any

from mutation.rooms import CODE, ROOMS

__all__ = ["Tried", "share_killed", "write_page"]

PAGE = Path("docs/test-measure.md")

_HEAD = """# Would a test notice?

<!-- written by scripts/measure-tests -->

The code of the rules, the match and the causes is changed in one place at a time, and the tests of
that room are run until one fails. A change that no test notices has **survived**. An **equivalent**
one makes no difference that any list could show; each is named below with its reason, and is left
out of the shares.

The changes are those of cosmic-ray: operators, comparisons, conditions, numbers (one more, one
less), loops, decorators, each with one or two partners. Four are our own: a text or code is
altered, a field of a finding is left out, a function becomes its opposite (`min`, `max`), `in`
becomes `not in`. Names of columns are not altered (the code would only stop), nor are promises to
the machine such as `strict=` and `maintain_order=`.

{changes:,} changes took {minutes:.0f} minutes of a processor core; two are tried at a time.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """A mutant and what became of it: ``killed``, ``survived`` or ``untested`` (no test calls it)."""

    room: str
    mutant: dict[str, Any]
    outcome: str
    reason: str | None
    seconds: float

    @property
    def module(self) -> str:
        """The module's path below the code, for people."""
        return Path(self.mutant["path"]).relative_to(CODE / "tallyhook").as_posix()


def share_killed(tried: Sequence[Tried]) -> float:
    """Share of the mutants that are not equivalent that a test noticed [%]."""
    real = [t for t in tried if not t.reason]
    return 100 * sum(t.outcome == "killed" for t in real) / max(len(real), 1)


def write_page(tried: Sequence[Tried]) -> None:
    """Write what became of every mutant."""
    minutes = sum(t.seconds for t in tried) / 60
    parts = [_HEAD.format(changes=len(tried), minutes=minutes), _rooms(tried)]
    for room in ROOMS:
        own = sorted((t for t in tried if t.room == room), key=lambda t: t.module)
        parts.append(f"## {room.capitalize()}\n\n{_modules(own)}")
    parts.append("## Survivors\n\n" + _survivors(tried))
    parts.append("## Equivalent\n\n" + _equivalent(tried))
    PAGE.write_text("\n".join(parts), encoding="utf-8")


def _row(name: str, tried: Sequence[Tried], *more: str) -> str:
    outcome = Counter("equivalent" if t.reason else t.outcome for t in tried)
    survived = outcome["survived"] + outcome["untested"]
    numbers = (len(tried), outcome["killed"], survived, outcome["equivalent"])
    cells = [name, *map(str, numbers), f"{share_killed(tried):.1f} %", *more]
    return f"| {' | '.join(cells)} |\n"


def _rooms(tried: Sequence[Tried]) -> str:
    rows = "".join(
        _row(name, [t for t in tried if t.room == name], f"{100 * room.goal:g} %")
        for name, room in ROOMS.items()
    )
    return (
        "| room | changes | killed | survived | equivalent | share killed | goal |\n"
        "| --- | --: | --: | --: | --: | --: | --: |\n" + rows + _row("all three", tried, "85 %")
    )


def _modules(tried: Sequence[Tried]) -> str:
    rows = "".join(
        _row(f"`{name}`", list(own)) for name, own in groupby(tried, key=lambda t: t.module)
    )
    return (
        "| module | changes | killed | survived | equivalent | share killed |\n"
        "| --- | --: | --: | --: | --: | --: |\n" + rows
    )


def _survivors(tried: Sequence[Tried]) -> str:
    left = [t for t in tried if t.outcome != "killed" and not t.reason]
    left.sort(key=lambda t: (t.module, t.mutant["line"]))
    return "".join(
        f"- `{t.module}:{t.mutant['line']}`{' (no test calls it)' * (t.outcome == 'untested')}"
        f" {_code(t.mutant['code'])} became {_code(t.mutant['mutant'])}\n"
        for t in left
    )


def _equivalent(tried: Sequence[Tried]) -> str:
    same = [t for t in tried if t.reason]
    same.sort(key=lambda t: (t.module, t.mutant["line"]))
    return "".join(
        f"- `{t.module}:{t.mutant['line']}` {_code(t.mutant['code'])} became"
        f" {_code(t.mutant['mutant'])}: {t.reason}\n"
        for t in same
    )


def _code(text: str) -> str:
    fence = "``" if "`" in text else "`"
    return f"{fence}{text}{fence}"
