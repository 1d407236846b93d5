"""A list that comes through a pipe, read once and whole before anything looks at it.

A pipe, standard input or a device can be read a single time. What is read of it goes to a file of
its own, which every reader then opens as often as it likes, and which is removed at the end.
"""

from __future__ import annotations

import os
import select
import stat
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tallyhook.bounds import refuse_beyond
from tallyhook.errors import MissingExtra, StockListError
from tallyhook.messages import say
from tallyhook.reading.text import decode

__all__ = ["STANDARD_INPUT", "is_stream", "on_disk"]

STANDARD_INPUT = "-"
"""The name of a list that comes through standard input."""

_BLOCK = 1024 * 1024
_SILENT_S = 60.0  # a named pipe into which nobody writes
_NO_TEXT = (b"PAR1", b"PK\x03\x04", b"\xd0\xcf\x11\xe0")  # as Parquet and workbooks begin


def is_stream(stock: str | Path) -> bool:
    """Whether a list is standard input, a pipe, a socket or a device: it can be read once."""
    if str(stock) == STANDARD_INPUT:
        return True
    try:
        mode = os.stat(stock).st_mode  # noqa: PTH116 - a name with a zero byte is no stream
    except (OSError, ValueError):
        return False
    return not (stat.S_ISREG(mode) or stat.S_ISDIR(mode))


@contextmanager
def on_disk(stock: str | Path) -> Iterator[Path]:
    """Give a path that can be opened again and again: the list's own, or that of a copy.

    A refusal that names the copy is raised anew with the name that the user gave.

    Raises
    ------
    StockListError
        The stream cannot be read, is empty, holds no list, does not end, or nobody writes to it.
    """
    if not is_stream(stock):
        yield Path(stock)
        return
    with tempfile.TemporaryDirectory(prefix="tallyhook-") as folder:
        copy = Path(folder) / "list"
        _copy(str(stock), copy)
        try:
            yield copy
        except (StockListError, MissingExtra) as error:
            where = (error.where or "").replace(str(copy), str(stock))
            raise type(error)(error.what, where=where, next_step=error.next_step) from None


def _copy(name: str, copy: Path) -> None:
    written = 0
    try:
        with copy.open("wb") as file:
            for block in _blocks(name):
                if not written:
                    _refuse_noise(block, name)
                written += len(block)
                mib = -(-written // 2**20)
                refuse_beyond("mib", say("{n:,} MiB or more", n=mib), mib, where=name)
                file.write(block)
    except (OSError, ValueError) as error:  # a standard input that is closed is a ValueError
        reason = getattr(error, "strerror", None) or str(error)
        raise StockListError(
            say("the stream cannot be read ({reason})", reason=reason),
            where=name,
            next_step=say("save the list as a file and check that"),
        ) from None
    if not written:
        raise StockListError(
            say("it is empty"), where=name, next_step=say("check that it is the list")
        )


def _refuse_noise(head: bytes, name: str) -> None:
    """Refuse at its beginning what is no text and no file of a known kind: it may never end."""
    if not head.startswith(_NO_TEXT):
        decode(head, name)


def _blocks(name: str) -> Iterator[bytes]:
    if name == STANDARD_INPUT:
        if sys.stdin is None:
            raise ValueError(say("there is no standard input"))
        handle = os.dup(sys.stdin.fileno())
    else:
        # a named pipe without a writer would keep the usual way of opening it waiting for ever
        handle = os.open(name, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0))
    try:
        if stat.S_ISFIFO(os.fstat(handle).st_mode) and name != STANDARD_INPUT:
            _await_writer(handle, name)
        if hasattr(os, "O_NONBLOCK"):
            os.set_blocking(handle, True)
        while block := os.read(handle, _BLOCK):
            yield block
    finally:
        os.close(handle)


def _await_writer(handle: int, name: str) -> None:
    """Wait until something can be read of a pipe, or its writer has come and gone."""
    poll = select.poll()
    poll.register(handle, select.POLLIN | select.POLLHUP)
    end = time.monotonic() + _SILENT_S
    while time.monotonic() < end:
        if poll.poll(1000):
            return
    raise StockListError(
        say("nobody has written to the pipe for {seconds} seconds", seconds=int(_SILENT_S)),
        where=name,
        next_step=say("start what writes the list, or save it as a file"),
    )
