"""A few blocks made once, for the tests of the store."""

from functools import cache

from converter import Settings, choose_glyphs, judge_licence, load_font, pipeline
from converter.jobs import Job, Made
from tests.fonts.makers import TEXT_FONTS

FONT = TEXT_FONTS[1]


def jobs(text: str = "LSÄ", settings: Settings | None = None) -> list[Job]:
    font = load_font(FONT)
    return pipeline._jobs(font, choose_glyphs(font, text=text).glyphs, settings or Settings())[0]


@cache
def bare(text: str = "LSÄ") -> tuple[tuple[Job, Made], ...]:
    return tuple((job, pipeline.bare_block(job)) for job in jobs(text))


def conversion(text="LS", settings=None, **more):
    font = load_font(FONT)
    chosen = choose_glyphs(font, text=text).glyphs
    return pipeline.convert(font, chosen, judge_licence(font, FONT.parent), settings or Settings(), **more)
