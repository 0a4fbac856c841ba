"""The processes that a run's glyphs are shared out to."""

import signal
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing import active_children
from typing import ParamSpec, TypeVar

from converter.errors import InputError

P = ParamSpec("P")
T = TypeVar("T")
FEW_GLYPHS = 4  # below this, starting processes takes longer than the work


@contextmanager
def workers(jobs: int, glyphs: int) -> Iterator[Executor | None]:
    """At most ``jobs`` processes for so many glyphs; None where one process, this one, is as fast.

    Raises :class:`InputError` when a process was ended from outside.
    """
    if jobs == 1 or glyphs < FEW_GLYPHS:
        yield None
        return
    ignoring = (signal.SIGINT, signal.SIG_IGN)
    with _Workers(min(jobs, glyphs), initializer=signal.signal, initargs=ignoring) as executor:
        try:
            yield executor
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


class _Workers(ProcessPoolExecutor):
    """Processes that leave Ctrl-C, which reaches them too, to the process that began them.

    A submission may begin a process. Ctrl-C waits until that is known, so that none is left behind; and a process
    begun while signals wait lets them wait for good, even before its initializer runs. Where there are no signal
    masks (Windows), the initializer alone has to do.
    """

    def submit(self, call: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Future[T]:
        if not hasattr(signal, "pthread_sigmask"):
            return super().submit(call, *args, **kwargs)
        before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
        try:
            return super().submit(call, *args, **kwargs)
        finally:
            signal.pthread_sigmask(signal.SIG_SETMASK, before)
