"""How good the blocks of the samples are, beside a record: ``python -m tests.benchmarks.quality``.

The tests fail where a mean has become worse than its record by more than :data:`TOLERANCE`. After a change that is
meant, look at the blocks, and write the record anew with ``--record``.
"""

import argparse
import json
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from string import ascii_lowercase, ascii_uppercase

from rich.console import Console
from rich.table import Table

from converter.fonts.choosing import choose_glyphs
from converter.fonts.licence import judge_licence
from converter.fonts.loading import load_font
from converter.pipeline import Made, convert
from converter.settings import Settings
from tests.benchmarks.columns import mean
from tests.benchmarks.crests import SPIKE, crests, height_of, is_kept, stands_out
from tests.benchmarks.like_parts import LikeParts, like_parts
from tests.fonts.makers import SYMBOL_FONT, TEXT_FONTS

RECORD = Path(__file__).with_name("quality.json")
TOLERANCE = 0.02  # of the record
SYMBOLS = "leaf,sprout,sun,drop,shell,wave,moon,seed,boat,fish,starfish,lighthouse"
SAMPLES: Mapping[str, tuple[Path, Mapping[str, str], Settings]] = {
    "Archivo Black, A–Z": (TEXT_FONTS[0], {"text": ascii_uppercase}, Settings()),
    "Archivo Black, a–z": (TEXT_FONTS[0], {"text": ascii_lowercase}, Settings()),
    "Jost 800, A–Z": (TEXT_FONTS[1], {"text": ascii_uppercase}, Settings()),
    "Jost 800, a–z": (TEXT_FONTS[1], {"text": ascii_lowercase}, Settings()),
    "village symbols": (SYMBOL_FONT, {"glyphs": SYMBOLS}, Settings(fit="each")),
}


@dataclass(frozen=True, slots=True)
class Measure:
    """A mean over a sample's blocks, and whether more of it is worse."""

    of: Callable[[Sequence[Made]], float]
    more_is_worse: bool = False


def _crests(blocks: Sequence[Made]) -> float:
    return mean(
        is_kept(crest, made.glyph.figure, height_of(made.guide))
        for made in blocks
        for crest in crests(made.guide)
    )


def _like_parts(blocks: Sequence[Made]) -> LikeParts:
    return like_parts([(made.guide, made.glyph.pieces) for made in blocks])


MEASURES: Mapping[str, Measure] = {
    "pieces": Measure(lambda blocks: mean(made.glyph.metrics.pieces for made in blocks), True),
    "sections": Measure(lambda blocks: mean(made.glyph.metrics.sections for made in blocks), True),
    "overlap": Measure(lambda blocks: mean(made.glyph.metrics.iou or 0.0 for made in blocks)),
    "crests kept": Measure(_crests),
    "like parts alike": Measure(lambda blocks: _like_parts(blocks).share),
    "like letters alike": Measure(lambda blocks: _like_parts(blocks).share_of_letters),
    "without a spike": Measure(
        lambda blocks: mean(stands_out(made.glyph.figure, made.guide) <= SPIKE for made in blocks)
    ),
}


@cache
def measured() -> Mapping[str, Mapping[str, float]]:
    """Every measure of every sample, converted once."""
    with ProcessPoolExecutor(2) as executor:
        return {name: _measured(sample, executor) for name, sample in SAMPLES.items()}


def _measured(
    sample: tuple[Path, Mapping[str, str], Settings], executor: ProcessPoolExecutor
) -> Mapping[str, float]:
    path, asked, settings = sample
    font = load_font(path)
    chosen = choose_glyphs(font, **asked)
    done = convert(font, chosen.glyphs, judge_licence(font, path.parent), settings, executor)
    blocks = [made for made in done.made if made.glyph.pieces]
    # A block that is not there has no figures that could be worse.
    assert len(blocks) == len(chosen.glyphs)
    return {name: round(measure.of(blocks), 4) for name, measure in MEASURES.items()}


def recorded() -> Mapping[str, Mapping[str, float]]:
    """What was measured when the record was written."""
    record: dict[str, dict[str, float]] = json.loads(RECORD.read_text(encoding="utf-8"))
    return record


def worse_by(name: str, now: float, before: float) -> float:
    """By what share of the record a measure has become worse; below 0 where it is better."""
    worse = now - before if MEASURES[name].more_is_worse else before - now
    return worse / before


def main(arguments: list[str] | None = None) -> None:
    """Measures, and shows or writes the record."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--record", action="store_true", help="write what is measured now")
    given = parser.parse_args(arguments)
    before = recorded() if RECORD.exists() else {}
    table = Table(box=None, pad_edge=False)
    for title in ("sample", *MEASURES):
        table.add_column(title, justify="left" if title == "sample" else "right")
    for sample, values in measured().items():
        table.add_row(sample, *(_cell(name, now, before.get(sample, {})) for name, now in values.items()))
    Console(width=200).print(table)
    if given.record:
        RECORD.write_text(json.dumps(measured(), ensure_ascii=False, indent=1) + "\n", encoding="utf-8")


def _cell(name: str, now: float, before: Mapping[str, float]) -> str:
    change = worse_by(name, now, before[name]) if name in before else 0.0
    return f"{now:.3f}" + (f" ({'worse' if change > 0 else 'better'} {abs(change):.1%})" if change else "")


if __name__ == "__main__":
    main()
