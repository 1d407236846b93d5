"""Standard output and error as a command needs them: what cannot be written is refused, not lost.

A stream that is closed is None in Python, and a write that fails may fail late, when the program
has ended and nobody is told.
"""

from __future__ import annotations

import io
import os
import sys
from typing import Any, TextIO

from tallyhook.controls import without_controls
from tallyhook.errors import TallyhookError
from tallyhook.messages import say

__all__ = ["OutputError", "ReaderHasGone", "abandon_output", "guard_streams"]


class ReaderHasGone(Exception):  # noqa: N818 - no error: it has seen enough
    """What standard output goes to was closed at its other end."""


class OutputError(TallyhookError):
    """Standard output takes no more."""


class _Output(io.FileIO):
    """Standard output whose faults are no `OSError`: typer would end with a code of its own."""

    def write(self, data: Any, /) -> int:
        try:
            return super().write(data)
        except BrokenPipeError:
            raise ReaderHasGone from None
        except OSError as error:
            raise _refusal(error.strerror or str(error)) from None


class _Errors(io.FileIO):
    """Standard error that loses what cannot be written: there is nowhere left to say so."""

    def write(self, data: Any, /) -> int:
        try:
            return super().write(data)
        except OSError:
            return len(data)


class _Text(io.TextIOWrapper):
    """A stream of text that no control character leaves by."""

    coloured = False

    def write(self, text: str, /) -> int:
        super().write(without_controls(text, coloured=self.coloured))
        return len(text)


def guard_streams() -> None:
    """Make every fault of standard output a refusal; where standard error is closed, stay silent.

    Neither of the two lets a control character through.

    Raises
    ------
    TallyhookError
        Standard output is closed.
    """
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: PTH123, SIM115 - to the end
    sys.stderr = _guarded(sys.stderr, _Errors)
    if sys.stdout is None:
        raise _refusal(say("it is closed"))
    sys.stdout = _guarded(sys.stdout, _Output)


def _guarded(stream: TextIO, kind: type[io.FileIO]) -> TextIO:
    """Put the handle of a stream into one of our kind; a test's own stream stays."""
    if not isinstance(stream, io.TextIOWrapper):
        return stream
    try:
        handle, terminal = stream.fileno(), stream.isatty()
    except (OSError, ValueError):
        stream.reconfigure(errors="replace")
        return stream
    # an argument may hold half a character
    errors = "replace" if kind is _Output else "backslashreplace"
    encoding, lines = stream.encoding, terminal or kind is _Errors
    # a terminal keeps its own handle: on Windows it is no file
    raw = stream.detach() if terminal else io.BufferedWriter(kind(handle, "w", closefd=False))
    guarded = _Text(raw, encoding=encoding, errors=errors, line_buffering=lines)
    guarded.coloured = terminal
    return guarded


def abandon_output() -> None:
    """Let what is still held back for standard output go nowhere, so that ending is quiet."""
    with open(os.devnull, "wb") as nowhere:  # noqa: PTH123 - a device, and its handle is wanted
        os.dup2(nowhere.fileno(), 1)


def _refusal(reason: str) -> TallyhookError:
    return OutputError(
        say("the answer cannot be written ({reason})", reason=reason),
        where=say("standard output"),
        next_step=say("give it a file or a pipe that takes it"),
    )
