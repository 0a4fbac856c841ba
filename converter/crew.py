"""Work shared out: to this process, to processes on this machine, or to other machines."""

from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, wait
from dataclasses import dataclass
from typing import TypeVar

A = TypeVar("A")
B = TypeVar("B")


@dataclass(frozen=True, slots=True)
class Crew:
    """Who does the work. ``executor``: None for this process alone.

    ``batch``: how many things are sent at once; ``ahead``: how many batches are on their way at a time, so that none
    of the crew waits, and a million things never wait in one place. ``is_far``: whether on other machines, with disks
    of their own. ``losses``: what is raised where a batch was lost with whoever was at it.
    """

    executor: Executor | None = None
    batch: int = 1
    ahead: int = 256
    is_far: bool = False
    losses: tuple[type[Exception], ...] = ()


def work(
    crew: Crew,
    do: Callable[[A], B],
    things: Sequence[A],
    on_done: Callable[[int, B], None],
    lost: Callable[[A], B],
) -> None:
    """Does something with each of the things, begun in their order; ``on_done`` is told the number and the result of
    each as it is done, in this thread.

    A batch that is lost (``crew.losses``) is done again one by one; one thing that is lost by itself becomes what
    ``lost`` makes of it.
    """
    if crew.executor is None:
        for k, thing in enumerate(things):
            on_done(k, do(thing))
        return
    waiting = [
        range(k, min(k + crew.batch, len(things))) for k in reversed(range(0, len(things), crew.batch))
    ]
    running: dict[Future[list[B]], range] = {}
    while waiting or running:
        while waiting and len(running) < crew.ahead:
            batch = waiting.pop()
            running[crew.executor.submit(each, do, [things[k] for k in batch])] = batch
        done, _ = wait(running, return_when=FIRST_COMPLETED)
        for future in done:
            batch = running.pop(future)
            try:
                results = future.result()
            except crew.losses:
                if len(batch) > 1:
                    waiting += [range(k, k + 1) for k in reversed(batch)]
                    continue
                results = [lost(things[batch[0]])]
            for k, result in zip(batch, results, strict=True):
                on_done(k, result)


def each(do: Callable[[A], B], things: Sequence[A]) -> list[B]:
    """The result for each of the things, in their order."""
    return [do(thing) for thing in things]
