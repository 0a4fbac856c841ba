"""Blocks made for a command: it says what was made before, and a run that is stopped keeps what it has."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from converter.cli.lines import visible
from converter.cli.terminal import Steps, console, steps
from converter.cli.workers import workers
from converter.crew import Crew
from converter.pipeline import Conversion
from converter.rounds import Round
from converter.store import BlockStore


class _LeftOffError(Exception):
    """Nobody waits for what is under way."""


def made_blocks(
    convert: Callable[..., Conversion], glyphs: int, jobs: int, cluster: str | None, store: BlockStore | None,
    quiet: bool,
) -> Conversion:  # fmt: skip
    """What :func:`converter.pipeline.convert` gives, told of all but the crew, the store and who is told.

    Raises :class:`InputError` where the crew cannot work, and KeyboardInterrupt where the run was stopped before there
    was anything to write.
    """
    stopped: Conversion | None = None
    try:
        with steps(glyphs, quiet) as shown, _crew(jobs, glyphs, cluster, shown) as crew:
            conversion = convert(
                crew=crew,
                store=store,
                on_done=lambda made: shown.done(made.glyph.name),
                on_round=lambda begun: _tell(shown, begun),
            )
            if conversion.stopped_by is not None:
                stopped = conversion
                raise _LeftOffError
            return conversion
    except _LeftOffError:
        assert stopped is not None
        if not quiet:
            left = sum(
                reason.id == "not-made" for glyph in stopped.pattern.glyphs for reason in glyph.reasons
            )
            without = f", {left:,} of {glyphs:,} blocks not made yet" if left else ""
            console(stderr=True).say(
                f"stopped: writing the best so far{without}; the same command goes on from there"
            )
        return stopped
    finally:
        if store is not None:
            store.trim()


@contextmanager
def _crew(jobs: int, glyphs: int, cluster: str | None, shown: Steps) -> Iterator[Crew]:
    if cluster is None:
        with workers(jobs, glyphs) as crew:
            yield crew
        return
    from converter.cli.cluster import far_crew  # needs the extra `cluster`

    with far_crew(cluster, shown.say) as crew:
        yield crew


def _tell(shown: Steps, begun: Round) -> None:
    what = "blocks" if begun.triage is None else f"blocks at {begun.effort} effort"
    if begun.triage is not None:
        sorted_out = begun.triage
        left = sum(sorted_out.hopeless.values())
        reasons = ", ".join(f"{reason} {count:,}" for reason, count in sorted_out.hopeless.items())
        shown.say(
            f"drafts: {sorted_out.ready:,} ready; {len(sorted_out.promising):,} to be made at {begun.effort} effort"
            + (f"; {left:,} that it would not make better ({visible(reasons)})" if left else "")
        )
    shown.stage("", 0, begun.blocks)
    if begun.found:
        shown.say(f"{begun.found:,} of {begun.blocks:,} {what} were already made")
