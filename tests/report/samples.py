"""Patterns for the report's tests."""

from dataclasses import replace

from converter.model import Finding, Glyph, Metrics, Pattern
from converter.report.alternatives import Alternatives
from tests.samples import letter_i, letter_t, plus, sample_pattern, triangle

NARROW = Finding(
    "narrow-piece", "redesign", "Piece A2 is 2.1 mm wide.", 2.1, 3.175, (17.0, 40.0), "A2", "Widen the notch."
)
SHARP = Finding("sharp-corner", "review", "A corner of 14° is hard to sew.", 14.0, 20.0, (50.0, 22.0))


def small_pattern() -> Pattern:
    """I (ready), T (redesign: narrow and sharp), A (review: sharp), + (ready), a space."""
    return sample_pattern(
        letter_i(),
        replace(letter_t(), status="redesign", reasons=(NARROW, SHARP)),
        replace(triangle(), status="review", reasons=(SHARP,)),
        replace(plus(), metrics=replace(plus().metrics, iou=0.91)),
        Glyph("space", "space", (32,), " ", "blank"),
    )


def large_pattern(count: int) -> Pattern:
    """As many glyphs as asked for, with names of their own and falling overlap."""
    makers = (letter_i(), letter_t(), triangle(), plus())
    glyphs = []
    for n in range(count):
        one = makers[n % 4]
        metrics: Metrics = replace(one.metrics, iou=1 - n / (2 * count))
        name = {"key": f"g{n}", "name": f"g{n}", "codepoints": (0xE000 + n,), "text": chr(0xE000 + n)}
        glyphs.append(replace(one, **name, metrics=metrics))
    return sample_pattern(*glyphs)


def two_more(glyph: Glyph, chosen: int = 1) -> Alternatives:
    """A choice of three: the glyph itself has number ``chosen``, the others are the blocks of I and of A."""
    others = [
        replace(maker, key=glyph.key, name=glyph.name, codepoints=glyph.codepoints, text=glyph.text)
        for maker in (letter_i(), triangle())
    ]
    others[1] = replace(others[1], status="review", reasons=(SHARP,))
    return Alternatives(chosen, (*others[: chosen - 1], glyph, *others[chosen - 1 :]))
