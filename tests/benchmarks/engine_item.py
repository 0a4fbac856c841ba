"""One item of the engine's benchmark, by whatever ``converter`` is found first: run by :mod:`tests.benchmarks.engine`.

Reads the item as JSON from its argument and prints what it took as JSON. It uses only what both trees have.
"""

import time

BEGUN = time.perf_counter()  # before anything is loaded

import json  # noqa: E402
import resource  # noqa: E402
import sys  # noqa: E402
from collections.abc import Callable, Iterator  # noqa: E402
from concurrent.futures import ProcessPoolExecutor  # noqa: E402
from pathlib import Path  # noqa: E402
from typing import Any  # noqa: E402

PROCESSES = 2
# Functions of the two trees, and how many candidates (moves estimated, figures judged) a call looks at.
COUNTS: dict[str, Callable[..., int]] = {
    "search.explore.explored": lambda *_: 0,
    "search.explore.outcomes": lambda moves, *_: len(moves),
    "cost.evaluate.evaluated": lambda *_: 1,
    "improve._best_move": lambda *_: 0,
    "improve._bounds": lambda *_: 1,
    "judging.judged": lambda *_: 1,
}
# Steps of the search, with all that they do for candidates: these are timed.
STEPS = ("search.explore.explored", "cost.evaluate.evaluated", "improve._best_move", "judging.judged")


def main(item: dict[str, Any]) -> dict[str, Any]:
    """Converts an item: ``font``, ``chosen`` (as for ``choose_glyphs``), ``settings``, and whether to ``profile``."""
    from converter.fonts.choosing import choose_glyphs
    from converter.fonts.licence import judge_licence
    from converter.fonts.loading import load_font
    from converter.pipeline import convert
    from converter.settings import resolve_settings

    start, work = time.perf_counter(), _work()
    font = load_font(Path(item["font"]))
    chosen = choose_glyphs(font, **item["chosen"]).glyphs
    licence, settings = (
        judge_licence(font, Path(item["font"]).parent),
        resolve_settings(None, item["settings"]),
    )
    if item.get("profile"):
        counted = _count_candidates()
        done = convert(font, chosen, licence, settings)
    else:
        counted = {}
        with ProcessPoolExecutor(PROCESSES) as executor:
            done = convert(font, chosen, licence, settings, executor)
    seconds = time.perf_counter() - start
    glyphs = done.pattern.glyphs
    planned = [glyph.metrics for glyph in glyphs if glyph.pieces]
    return counted | {
        "seconds": seconds,
        "cpu": _work() - work,
        "megabytes": max(resource.getrusage(who).ru_maxrss for who in _USERS) / 1024,
        "from_import": time.perf_counter() - BEGUN,
        "statuses": [sum(g.status == s for g in glyphs) for s in ("ready", "review", "redesign")],
        "pieces": _mean(m.pieces for m in planned),
        "sections": _mean(m.sections for m in planned),
        "overlap": _mean(m.iou or 0.0 for m in planned),
    }


_USERS = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)


def _work() -> float:
    """Seconds of work of this process and of those that it has ended."""
    return sum(usage.ru_utime + usage.ru_stime for usage in map(resource.getrusage, _USERS))


def _mean(values: Iterator[float]) -> float | None:
    listed = list(values)
    return sum(listed) / len(listed) if listed else None


def _count_candidates() -> dict[str, float]:
    """Seconds within the steps of the search, and how many candidates they look at, from now on."""
    found: dict[str, float] = {"search_seconds": 0.0, "candidates": 0}
    depth = 0  # a step within another is not counted twice

    def wrapped(function: Callable[..., Any], count: Callable[..., int], is_step: bool) -> Callable[..., Any]:
        def run(*given: Any, **named: Any) -> Any:
            nonlocal depth
            found["candidates"] += count(*given)
            depth += is_step
            start = time.perf_counter()
            try:
                return function(*given, **named)
            finally:
                depth -= is_step
                if is_step and not depth:
                    found["search_seconds"] += time.perf_counter() - start

        return run

    for place, count in COUNTS.items():
        home, _, name = f"converter.straighten.{place}".rpartition(".")
        function = getattr(sys.modules.get(home), name, None)
        users = [module for key, module in sys.modules.items() if key.startswith("converter.")]
        for module in users:  # its home, and where it was imported to
            if function is not None and getattr(module, name, None) is function:
                setattr(module, name, wrapped(function, count, place in STEPS))
    return found


if __name__ == "__main__":
    print(json.dumps(main(json.loads(sys.argv[1]))))
