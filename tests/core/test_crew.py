"""Work shared out: whole, in order, and again where somebody was lost with it."""

from concurrent.futures import Executor, Future, ThreadPoolExecutor

import pytest

from converter.crew import Crew, each, work


def double(number: int) -> int:
    return 2 * number


def lost(number: int) -> int:
    return -number


def results(crew: Crew, things: list[int], do=double) -> dict[int, int]:
    found: dict[int, int] = {}
    work(crew, do, things, found.__setitem__, lost)
    return found


@pytest.mark.parametrize("batch", [1, 3, 100])
@pytest.mark.parametrize("ahead", [1, 2, 100])
def test_each_thing_is_done_once_whoever_does_it(batch, ahead):
    things = [*range(10, 31)]
    with ThreadPoolExecutor(3) as executor:
        assert results(Crew(executor, batch, ahead), things) == dict(enumerate(map(double, things)))
    assert results(Crew(), things) == dict(enumerate(map(double, things)))
    assert results(Crew(), []) == {}


class LostError(Exception):
    pass


class _Perilous(Executor):
    """Whoever is at a thing of a bad kind dies, and all that was sent with it is lost; keeps what was sent."""

    def __init__(self, bad: int):
        self.bad, self.sent, self.under_way = bad, [], 0

    def submit(self, fn, /, *args, **kwargs):
        assert fn is each
        self.sent.append(args[1])
        future = Future()
        if self.bad in args[1]:
            future.set_exception(LostError())
        else:
            future.set_result(fn(*args))
        return future


def test_what_was_lost_is_done_again_one_by_one_and_only_what_kills_is_given_up():
    executor = _Perilous(5)
    found = results(Crew(executor, 4, 2, losses=(LostError,)), [*range(9)])
    assert found == {k: -5 if k == 5 else 2 * k for k in range(9)}
    assert sorted(executor.sent, key=str) == sorted(
        [[0, 1, 2, 3], [4, 5, 6, 7], [4], [5], [6], [7], [8]], key=str
    )


def test_any_other_error_ends_the_work():
    with pytest.raises(LostError):
        results(Crew(_Perilous(5), 4, 2), [*range(9)])


def test_no_more_is_on_its_way_than_was_said():
    class Counting(ThreadPoolExecutor):
        futures: list[Future]

        def submit(self, fn, /, *args, **kwargs):
            future = super().submit(fn, *args, **kwargs)
            self.futures = [f for f in getattr(self, "futures", []) if not f.done()] + [future]
            assert len(self.futures) <= 4
            return future

    with Counting(2) as executor:
        assert len(results(Crew(executor, 2, 4), [*range(200)])) == 200
