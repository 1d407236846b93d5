"""The members of a cluster: who answers at an address, what they have, what they do not finish.

Nothing of a list goes to an address before a dask scheduler has answered there, its workers have
the tallyhook of this machine, and see the files of the feed.
"""

from __future__ import annotations

import asyncio
import logging
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import polars as pl

from tallyhook import __version__
from tallyhook.errors import StockListError
from tallyhook.extras import need
from tallyhook.messages import say

__all__ = [
    "ClusterClient",
    "cluster_at",
    "cluster_here",
    "different_files",
    "versions_here",
]

ANSWER = 10.0
"""Seconds in which a scheduler has to answer."""
PATIENCE = 60.0
"""Seconds that a check waits for a worker when all are gone: a nanny starts its own again."""
INTERVAL = 2.0
"""Seconds after which the state of the cluster is asked for again while results are waited for."""


def versions_here() -> dict[str, str]:
    """Give the versions that must be the same everywhere: findings and hashes depend on them."""
    return {"tallyhook": __version__, "polars": pl.__version__}


def different_files(sizes: Mapping[str, int]) -> list[str]:
    """Give the files that are not there, or not with that size."""
    different = []
    for path, size in sizes.items():
        try:
            same = Path(path).stat().st_size == size
        except OSError:
            same = False
        if not same:
            different.append(path)
    return different


@dataclass(frozen=True, slots=True, kw_only=True)
class ClusterClient:
    """A client of a cluster that says in a sentence why a result does not come."""

    client: Any
    where: str

    def submit(self, function: Any, *args: Any, key: str, pure: bool) -> Any:
        """Hand a task to the cluster."""
        return self.client.submit(function, *args, key=key, pure=pure)

    def gather(self, futures: Sequence[Any]) -> list[Any]:
        """Wait for results.

        Raises
        ------
        StockListError
            The scheduler is lost, all workers are, or a task cannot be done.
        """
        from distributed import CancelledError, KilledWorker
        from distributed.comm import CommClosedError

        try:
            self._wait(futures)
            return list(self.client.gather(futures))
        except StockListError as error:
            # the way from a worker keeps its parts, not its sentence
            raise StockListError(error.what, where=error.where, next_step=error.next_step) from None
        except KilledWorker:
            raise StockListError(
                say("workers died at the same part of the feed again and again"),
                where=self.where,
                next_step=say("give each worker more memory; its log says why it died"),
            ) from None
        except (CommClosedError, CancelledError):
            raise StockListError(
                say("the scheduler was lost during the check"),
                where=self.where,
                next_step=say("start it and the check again; nothing was written"),
            ) from None
        except (OSError, pl.exceptions.PolarsError) as error:
            reason = (str(error).splitlines() or [type(error).__name__])[0]
            raise StockListError(
                say("a worker could not read its part of the feed ({reason})", reason=reason),
                where=self.where,
                next_step=say("let every worker see the same files under the same paths"),
            ) from None

    def _wait(self, futures: Sequence[Any]) -> None:
        from distributed import wait
        from distributed.comm import CommClosedError

        alone = None
        while True:
            try:
                wait(futures, timeout=INTERVAL)
                return
            except TimeoutError:
                pass
            if any(future.status == "error" for future in futures):
                return
            if self.client.status == "closed":
                raise CommClosedError
            # nothing while the client tries to reach its scheduler again
            there = self.client.scheduler_info().get("workers")
            if there or there is None:
                alone = None
            elif alone is None:
                alone = time.monotonic()
            elif time.monotonic() - alone > PATIENCE:
                raise StockListError(
                    say(
                        "all workers are gone, and none came back in {patience:.0f} s",
                        patience=PATIENCE,
                    ),
                    where=self.where,
                    next_step=say("start workers and the check again; nothing was written"),
                )


@contextmanager
def cluster_here(where: str) -> Iterator[ClusterClient]:
    """Start a cluster of this machine's cores; `where` names the feed in what it says.

    Raises
    ------
    MissingExtra
        dask.distributed is not installed.
    """
    need("cluster")
    from distributed import Client, LocalCluster

    with (
        LocalCluster(threads_per_worker=1, dashboard_address=None) as cluster,
        Client(cluster) as client,
    ):
        yield ClusterClient(client=client, where=where)


@contextmanager
def cluster_at(address: str, paths: Sequence[str]) -> Iterator[ClusterClient]:
    """Connect to a cluster whose workers are fit to check the files of a feed.

    Raises
    ------
    StockListError
        No scheduler answers at the address, it has no workers, or one of them has another
        version or other files.
    """
    from distributed import Client

    # what goes wrong is said in one sentence here; dask's log has pages of it
    logging.getLogger("distributed").setLevel(logging.CRITICAL)
    _identify(address)
    try:
        client = Client(address, timeout=ANSWER)
    except OSError as error:
        raise _no_scheduler(address, str(error)) from None
    with client:
        _same_versions(client, address)
        _same_files(client, paths)
        yield ClusterClient(client=client, where=address)


def _no_scheduler(address: str, reason: str) -> StockListError:
    return StockListError(
        say("no dask scheduler answers there ({reason})", reason=reason),
        where=address or "--scheduler",
        next_step=say("give the address that 'dask scheduler' shows, such as tcp://host:8786"),
    )


def _identify(address: str) -> None:
    """Ask who answers; the client of distributed waits without end for one that says nothing."""
    from distributed.comm import connect
    from distributed.security import Security

    async def ask() -> Any:
        how = Security().get_connection_args("client")
        comm = await connect(address, timeout=ANSWER, **how)
        try:
            await comm.write({"op": "identity", "reply": True})
            return await comm.read()
        finally:
            comm.abort()

    try:
        answer = asyncio.run(asyncio.wait_for(ask(), ANSWER + 1))
    except OSError as error:
        raise _no_scheduler(
            address, str(error) or say("silent for {seconds:.0f} s", seconds=ANSWER)
        ) from None
    except Exception as error:
        if "ssl_context" in str(error):
            raise StockListError(
                say("no certificates are set for TLS"),
                where=address,
                next_step=say("set distributed.comm.tls in dask's configuration"),
            ) from None
        # an address that is none, or another service: what that says can raise anything
        reason = str(error) if isinstance(error, ValueError) else "another service does"
        raise _no_scheduler(address, reason) from None
    if not isinstance(answer, dict) or answer.get("type") != "Scheduler":
        raise _no_scheduler(address, "another service does")
    if not answer["workers"]:
        raise StockListError(
            say("the scheduler has no workers"),
            where=address,
            next_step=say("start some: dask worker {address}", address=address),
        )


def _same_versions(client: Any, address: str) -> None:
    here = versions_here()
    for worker, there in client.run(versions_here, on_error="return").items():
        if isinstance(there, Exception):
            raise StockListError(
                say(
                    "the worker has no tallyhook {tallyhook} ({there})",
                    tallyhook=here["tallyhook"],
                    there=there,
                ),
                where=worker,
                next_step=say("install tallyhook[cluster] of the same version there"),
            )
        for name, version in here.items():
            if there[name] != version:
                raise StockListError(
                    say(
                        "the worker has {name} {there}, this machine {version}",
                        name=name,
                        there=there[name],
                        version=version,
                    ),
                    where=worker,
                    next_step=say("install the same version on both"),
                )


def _same_files(client: Any, paths: Sequence[str]) -> None:
    sizes = {path: Path(path).stat().st_size for path in paths}
    for worker, unlike in client.run(different_files, sizes).items():
        if unlike:
            raise StockListError(
                say("the worker does not see the same file {file}", file=unlike[0])
                if len(unlike) == 1
                else say(
                    "the worker does not see the same file {file} ({n} such files)",
                    file=unlike[0],
                    n=len(unlike),
                ),
                where=worker,
                next_step=say("let every worker see the same files under the same paths"),
            )
