"""A cluster of one process, for tests of what is done and not of where."""

from __future__ import annotations

from concurrent.futures import Future
from typing import Any


class Here:
    """The two calls of a distributed client that the check makes, done in this process."""

    def submit(self, function: Any, *args: Any, key: str, pure: bool) -> Future[Any]:
        done: Future[Any] = Future()
        done.set_result(function(*(a.result() if isinstance(a, Future) else a for a in args)))
        return done

    def gather(self, futures: list[Future[Any]]) -> list[Any]:
        return [future.result() for future in futures]
