"""The processes that a run's glyphs are shared out to."""

import os
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing import active_children, connection, get_context, parent_process
from typing import ParamSpec, TypeVar

from converter.cli.stopping import STOPPING
from converter.crew import Crew
from converter.errors import InputError

P = ParamSpec("P")
T = TypeVar("T")
FEW_GLYPHS = 4  # below this, starting processes takes longer than the work


@contextmanager
def workers(jobs: int, glyphs: int) -> Iterator[Crew]:
    """At most ``jobs`` processes for so many glyphs; this one alone where that is as fast.

    They end when this process does, in whatever way. Raises :class:`InputError` when one was ended from outside.
    """
    if jobs == 1 or glyphs < FEW_GLYPHS:
        yield Crew()
        return
    with _Workers(min(jobs, glyphs), initializer=_begin) as executor:
        try:
            yield Crew(executor)
        except BrokenProcessPool:
            raise InputError(
                "a process was ended from outside, perhaps because memory ran out; try again with fewer --jobs."
            ) from None
        except BaseException:
            # Nobody waits for what is under way. No future is cancelled one by one: the pool, finding its processes
            # gone, would give those a result all the same, and fail.
            for process in active_children():
                process.terminate()
            raise


class LastingWorkers:
    """Processes that are begun when they are first asked for, and begun anew where they were ended.

    They are no copies of this process (which may have threads and run compiled code), and end when it does.
    """

    def __init__(self, jobs: int) -> None:
        self._jobs = jobs
        self._there: _Workers | None = None

    def executor(self) -> Executor:
        """The processes, ready for work."""
        if self._there is None or self._there.is_over:
            self._there = _Workers(self._jobs, get_context("spawn"), initializer=_begin)
        return self._there

    def stop(self) -> None:
        """Ends what is under way at once; what waits for it gets an error."""
        if self._there is not None:
            self._there.end()
            self._there = None


def _begin() -> None:
    """What a worker does first: signals that reach a whole terminal are for the process that began it."""
    for number in STOPPING:
        signal.signal(number, signal.SIG_DFL if number == signal.SIGTERM else signal.SIG_IGN)
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGTERM})
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    """Ends the worker when the process that began it is gone, for nothing else tells it that."""
    parent = parent_process()
    if parent is not None:
        connection.wait([parent.sentinel])
        os._exit(1)


class _Workers(ProcessPoolExecutor):
    """Processes that leave what stops a run to the process that began them.

    A submission may begin a process. A signal waits until that is known, so that none is left behind; and a process
    begun while signals wait lets them wait, too, even before its initializer runs. Where there are no signal
    masks (Windows), the initializer alone has to do.
    """

    @property
    def is_over(self) -> bool:
        """Whether it takes no more work."""
        return bool(self._broken or self._shutdown_thread)

    def end(self) -> None:
        """Ends its processes at once."""
        processes = list((self._processes or {}).values())
        self.shutdown(wait=False, cancel_futures=True)
        for process in processes:
            process.terminate()

    def submit(self, call: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Future[T]:
        if not hasattr(signal, "pthread_sigmask"):
            return super().submit(call, *args, **kwargs)
        before = signal.pthread_sigmask(signal.SIG_BLOCK, STOPPING)
        try:
            return super().submit(call, *args, **kwargs)
        finally:
            signal.pthread_sigmask(signal.SIG_SETMASK, before)
