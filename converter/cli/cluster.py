"""A crew on other machines: the workers of a Dask cluster, each of which has this same program.

Nothing else imports Dask. Security is Dask's own: a scheduler at ``tls://`` is spoken to with the certificates that
Dask's configuration names.
"""

import logging
from collections.abc import Callable, Iterator
from concurrent.futures import CancelledError, Executor, Future
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

from converter.crew import Crew
from converter.errors import InputError
from converter.store import engine_version

P = ParamSpec("P")
T = TypeVar("T")
BATCH = 16  # blocks; DEVELOPERS.md has what a batch costs
BATCHES_AHEAD = 4  # for each thread of the cluster
WAIT = "20s"  # for the scheduler to answer


@contextmanager
def far_crew(where: str, say: Callable[[str], None]) -> Iterator[Crew]:
    """The workers of the cluster whose scheduler has that address, or wrote that file.

    Raises :class:`InputError` where Dask is not installed, nobody answers, there are no workers, or a worker has
    another engine than this process, whenever it joins.
    """
    try:
        import distributed
    except ImportError:
        raise InputError(
            "--cluster needs Dask; install it here and on the workers: pip install 'font2foundation[cluster]'."
        ) from None
    logging.getLogger("distributed").setLevel(
        logging.CRITICAL
    )  # what happens to workers is told in our words
    client = _client(distributed, where)
    try:
        threads = _asked(client, where)
        say(f"{where}: {len(threads):,} workers, {sum(threads.values()):,} threads")
        yield Crew(
            _Checking(client.get_executor(pure=False), engine_version()),
            batch=BATCH,
            ahead=BATCHES_AHEAD * sum(threads.values()),
            is_far=True,
            losses=(distributed.KilledWorker,),
        )
    except _OtherEngineError as error:
        raise _another(where, *error.args) from None
    except ImportError as error:
        raise InputError(
            f"--cluster {where}: a worker lacks {error.name}; install the same everywhere."
        ) from None
    except CancelledError:  # of futures, which nobody but a scheduler that is gone cancels
        raise InputError(
            f"--cluster {where}: the scheduler is gone; what came back is kept: start it, and give the same command."
        ) from None
    finally:
        client.close()


def _client(distributed: Any, where: str) -> Any:
    try:
        if "://" in where:
            return distributed.Client(where, timeout=WAIT, set_as_default=False)
        if not Path(where).is_file():
            raise InputError(
                f"--cluster {where}: no such scheduler file; give one, or an address like tcp://HOST:8786."
            )
        return distributed.Client(scheduler_file=where, timeout=WAIT, set_as_default=False)
    except (OSError, ValueError, TypeError, KeyError, RuntimeError) as error:
        reason = str(error).partition("\n")[0] or type(error).__name__
        raise InputError(f"--cluster {where}: the scheduler cannot be reached ({reason}).") from None


def _asked(client: Any, where: str) -> dict[str, int]:
    """The threads of each worker by its address, once each was found to have this engine."""
    threads = dict(client.nthreads())
    if not threads:
        raise InputError(f"--cluster {where}: the scheduler has no workers; start some: dask worker {where}.")
    try:
        versions = client.run(engine_version)
    except Exception as error:  # whatever a worker without this program raises
        raise InputError(
            f"--cluster {where}: a worker does not have this program ({type(error).__name__}); install it there."
        ) from None
    own = engine_version()
    for worker, version in sorted(versions.items()):
        if version != own:
            raise _another(where, version, worker)
    return threads


class _OtherEngineError(Exception):
    """A worker's engine is another than this process's: its version, and which worker."""


class _Checking(Executor):
    """Sends work to workers that look first whether they have the same engine: one may have joined since."""

    def __init__(self, executor: Executor, engine: str) -> None:
        self._executor, self.engine = executor, engine

    def submit(self, call: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Future[T]:
        checked: Callable[..., T] = partial(_checked_call, self.engine, call)
        return self._executor.submit(checked, *args, **kwargs)


def _checked_call(engine: str, call: Callable[..., T], *args: Any, **kwargs: Any) -> T:
    """What a worker does."""
    if engine_version() != engine:
        raise _OtherEngineError(engine_version(), "a worker that joined later")
    return call(*args, **kwargs)


def _another(where: str, version: str, worker: str) -> InputError:
    return InputError(
        f"--cluster {where}: {worker} has another version of the program or its libraries "
        f"({version[:12]} there, {engine_version()[:12]} here); install the same everywhere."
    )
