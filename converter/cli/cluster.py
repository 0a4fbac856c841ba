"""A crew on other machines: the workers of a Dask cluster, each of which has this same program.

Nothing else imports Dask. Security is Dask's own: a scheduler at ``tls://`` is spoken to with the certificates that
Dask's configuration names.
"""

import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from converter.crew import Crew
from converter.errors import InputError
from converter.store import engine_version

BATCH = 16  # blocks; DEVELOPERS.md has what a batch costs
BATCHES_AHEAD = 4  # for each thread of the cluster
WAIT = "20s"  # for the scheduler to answer


@contextmanager
def far_crew(where: str, say: Callable[[str], None]) -> Iterator[Crew]:
    """The workers of the cluster whose scheduler has that address, or wrote that file.

    Raises :class:`InputError` where Dask is not installed, nobody answers, there are no workers, or a worker has
    another engine than this process.
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
        threads = _checked(client, where)
        say(f"{where}: {len(threads):,} workers, {sum(threads.values()):,} threads")
        yield Crew(
            client.get_executor(pure=False),
            batch=BATCH,
            ahead=BATCHES_AHEAD * sum(threads.values()),
            is_far=True,
            losses=(distributed.KilledWorker,),
        )
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
    except (OSError, ValueError, TypeError, RuntimeError) as error:
        reason = str(error).partition("\n")[0] or type(error).__name__
        raise InputError(f"--cluster {where}: the scheduler cannot be reached ({reason}).") from None


def _checked(client: Any, where: str) -> dict[str, int]:
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
            raise InputError(
                f"--cluster {where}: worker {worker} has another version of the program or its libraries "
                f"({version[:12]} there, {own[:12]} here); install the same."
            )
    return threads
