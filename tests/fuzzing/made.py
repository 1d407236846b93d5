"""The files that are made as input, and what a command line has answered to them."""

from __future__ import annotations

import contextlib
import io
import sys
from pathlib import Path

from fuzzing import inputs, packages

__all__ = ["MADE", "list_in", "made", "no_crash", "package_in", "readable_in", "run_command"]

MADE: set[Path] = set()
"""The files that were made as input; any other outside the output folder is a stray."""


def made(path: Path, data: bytes) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data)
    MADE.add(path)
    return path


def list_in(folder: Path, seed: int) -> Path:
    name, data = inputs.stock_list(seed)
    return made(folder / name, data)


def readable_in(folder: Path, seed: int, name: str = "list.csv") -> Path:
    return made(folder / name, inputs.readable_list(seed))


def package_in(folder: Path, seed: int) -> Path:
    made(folder / "secret.csv", b"secret\n")
    package = folder / "maker"
    for path, data in packages.package(seed).items():
        made(package / path, data)
    (package / "link.csv").symlink_to("../secret.csv")
    MADE.add(package / "link.csv")
    return package


def no_crash(crashed: object) -> None:
    if crashed:
        raise RuntimeError(f"rules crashed: {crashed}")


def run_command(asked: list[str]) -> tuple[int, bytes]:
    """Run the command line; give its exit code and what it printed.

    Raises
    ------
    RuntimeError
        It ended otherwise than with 0 or 1, or with 2 and one sentence.
    """
    from tallyhook.cli import main as cli

    told, errors = io.TextIOWrapper(io.BytesIO(), encoding="utf-8"), io.StringIO()
    before, sys.argv, code = sys.argv, ["tallyhook", *asked], None
    try:
        with contextlib.redirect_stdout(told), contextlib.redirect_stderr(errors):
            cli.main()
    except SystemExit as ended:
        code = ended.code
    finally:
        sys.argv = before
    said = errors.getvalue()
    told.flush()
    if code not in (0, 1, 2) or "Traceback" in said or "crashed" in said:
        raise RuntimeError(f"{asked}: exit {code}: {said[-300:]}")
    if code == 2 and not (said.startswith("tallyhook: ") and said.count("\ntallyhook: ") == 0):
        answer = told.buffer.getvalue().decode(errors="replace")
        raise RuntimeError(f"{asked}: no sentence: {said[-300:]} {answer[-600:]}")
    assert isinstance(code, int)
    return code, told.buffer.getvalue()
