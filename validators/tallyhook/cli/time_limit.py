"""A limit of time for a command: what is not done by then is given up, and nothing half-written."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Event, Timer, get_ident

from tallyhook.errors import TallyhookError
from tallyhook.messages import say

__all__ = ["time_limit"]


@contextmanager
def time_limit(minutes: float | None) -> Iterator[None]:
    """Give up what is not done within some minutes; None is no limit.

    Raises
    ------
    TallyhookError
        It was not done, or the limit is not above 0.
    """
    if minutes is None:
        yield
        return
    if not minutes > 0:
        raise TallyhookError(
            say("a limit of {minutes} minutes leaves no time", minutes=f"{minutes:g}"),
            next_step=say("give more, or leave --minutes out"),
        )
    ended, main = Event(), get_ident()

    def end() -> None:
        ended.set()
        if hasattr(signal, "pthread_kill"):
            signal.pthread_kill(main, signal.SIGINT)  # also while it waits for another process
        else:  # Windows has none
            signal.raise_signal(signal.SIGINT)

    timer = Timer(min(minutes * 60, 1e6), end)
    timer.daemon = True
    timer.start()
    try:
        yield
    except KeyboardInterrupt:
        if not ended.is_set():
            raise
        raise TallyhookError(
            say("not done within {minutes} minutes", minutes=f"{minutes:g}"),
            next_step=say("give more time with --minutes, or split the list"),
        ) from None
    finally:
        timer.cancel()
