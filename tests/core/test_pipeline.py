"""One bad glyph is a finding, never the end of a run; the run's own settings reach each glyph."""

import math
from concurrent.futures import Executor, Future
from dataclasses import replace

import pytest

from converter import pipeline
from converter.crew import each
from converter.errors import InputError
from converter.fonts.choosing import choose_glyphs
from converter.fonts.licence import judge_licence
from converter.fonts.loading import load_font
from converter.pipeline import convert
from converter.settings import GlyphSettings, Settings
from converter.verify import verify_glyph
from tests.fonts.makers import builder, polygon, saved

ELL = polygon((50, 0), (50, 700), (250, 700), (250, 180), (500, 180), (500, 0))
STEM = polygon((100, 0), (100, 700), (300, 700), (300, 0))


@pytest.fixture
def made(tmp_path):
    """Converts glyphs, by name, of a font made for the test."""

    def run(
        glyphs, names="*", settings=None, executor=None, change=lambda font: None, on_done=lambda _: None
    ):
        font = builder(glyphs, sCapHeight=700)
        change(font.font)
        path = tmp_path / "test.ttf"
        path.write_bytes(saved(font))
        opened = load_font(path)
        chosen = choose_glyphs(opened, glyphs=names).glyphs
        return convert(
            opened, chosen, judge_licence(opened, tmp_path), settings or Settings(), executor, on_done
        )

    return run


def reasons(conversion) -> dict[str, list[str]]:
    return {g.name: [r.id for r in g.reasons] for g in conversion.pattern.glyphs}


def test_a_blank_glyph_is_blank_and_has_no_pieces(made):
    (glyph,) = made({"space": lambda pen: None}).pattern.glyphs
    assert (glyph.status, glyph.pieces, [r.id for r in glyph.reasons]) == ("blank", (), ["no-ink"])


def test_a_damaged_glyph_does_not_end_the_run(made):
    def nest(font):
        # A composite that contains itself.
        from fontTools.ttLib.tables._g_l_y_f import Glyph, GlyphComponent

        part = GlyphComponent()
        part.glyphName, part.x, part.y, part.flags = "B", 0, 0, 0x4
        whole = Glyph()
        whole.numberOfContours, whole.components = -1, [part]
        whole.xMin = whole.yMin = whole.xMax = whole.yMax = 0
        font["glyf"]["B"] = whole
        font.recalcBBoxes = False

    conversion = made({"A": STEM, "B": STEM, "L": ELL}, change=nest)
    assert reasons(conversion)["B"] == ["outline-damaged"]
    assert [g.status for g in conversion.pattern.glyphs] == ["ready", "redesign", "ready"]


def test_an_unexpected_error_is_recorded_on_its_glyph_with_a_traceback_in_the_log(made, monkeypatch):
    place = pipeline.place

    def failing(outline, *rest):
        if outline.name == "B":
            raise RuntimeError("the sea")
        return place(outline, *rest)

    conversion = made({"A": STEM, "L": ELL})
    monkeypatch.setattr(pipeline, "find_hand", lambda placed: conversion.hand)
    monkeypatch.setattr(pipeline, "place", failing)
    conversion = made({"A": STEM, "B": STEM, "L": ELL})
    assert reasons(conversion)["B"] == ["unexpected-error"]
    assert "the sea" in conversion.made[1].log
    assert [bool(m.log) for m in conversion.made] == [False, True, False]
    assert conversion.pattern.glyphs[1].status == "redesign"


def test_a_plan_that_does_not_pass_the_replay_is_never_given_out(made, monkeypatch):
    def refuse(*_):
        raise pipeline.NotSewableError("piece A1 is not convex")

    monkeypatch.setattr("converter.sewing.hairs.verify_block", refuse)
    (glyph,) = made({"L": ELL}).pattern.glyphs
    assert (glyph.status, glyph.pieces, [r.id for r in glyph.reasons]) == ("redesign", (), ["not-sewable"])
    assert "A1" in glyph.reasons[0].message


def test_keys_are_safe_and_differ_even_where_case_is_ignored(made):
    conversion = made({"a": STEM, "A": STEM, "con": STEM})
    keys = [glyph.key for glyph in conversion.pattern.glyphs]
    # UFO 3, user name to file name: A_ for A; names that some systems keep for devices are changed.
    assert len({key.lower() for key in keys}) == 3
    assert "A_" in keys
    assert "con" not in keys


def test_proportional_blocks_are_as_wide_as_their_glyphs(made):
    conversion = made({"I": STEM, "L": ELL}, settings=Settings(width="proportional"))
    narrow, wide = (glyph.metrics.block_width for glyph in conversion.pattern.glyphs)
    assert narrow < wide == conversion.pattern.block.width
    for glyph in conversion.pattern.glyphs:
        verify_glyph(glyph, glyph.metrics.block_width, conversion.pattern.block.height)


def test_a_glyph_s_own_settings_reach_it(made):
    own = GlyphSettings(margin=30.0, min_piece_width=19.0)
    plain, changed = (
        made({"I": STEM}, settings=Settings(glyphs=glyphs)).pattern.glyphs[0] for glyphs in ({}, {"I": own})
    )
    assert changed.placement[0] < plain.placement[0]  # narrower, and as high as the others of its run
    assert (changed.placement[3], changed.placement[5]) == (plain.placement[3], plain.placement[5])
    assert "narrow-piece" in [r.id for r in changed.reasons]
    assert "narrow-piece" not in [r.id for r in plain.reasons]


@pytest.mark.parametrize(("name", "near"), [("LL", "L"), ("Elll", ""), ("l", "")])
def test_settings_for_a_glyph_that_the_font_lacks_are_refused_with_names_like_it(made, name, near):
    with pytest.raises(InputError, match=rf"glyph '{name}', which is not in the font") as caught:
        made({"I": STEM, "L": ELL}, settings=Settings(glyphs={name: GlyphSettings(detail="fine")}))
    assert ("(did you mean L?)" in str(caught.value)) == bool(near)
    assert "\n" not in str(caught.value)


def test_who_writes_a_character_for_a_glyph_s_name_is_told_the_name(made):
    def maps_e_acute(font):
        for table in font["cmap"].tables:
            table.cmap[ord("é")] = "eacute"

    own = {"é": GlyphSettings(detail="fine")}
    with pytest.raises(InputError, match=r"'é', which the font calls 'eacute'; use that name\."):
        made({"eacute": STEM}, settings=Settings(glyphs=own), change=maps_e_acute)


def test_settings_for_a_glyph_of_the_font_that_is_not_in_this_run_are_no_fault(made):
    own = {"L": GlyphSettings(alternative=3)}
    assert [g.name for g in made({"I": STEM, "L": ELL}, "I", Settings(glyphs=own)).pattern.glyphs] == ["I"]


def test_an_alternative_that_there_is_not_is_told_and_the_last_one_is_taken(made):
    own = {"L": GlyphSettings(alternative=7)}
    (plain,), (many,) = (made({"L": ELL}, settings=Settings(glyphs=g)).made for g in ({}, own))
    count = len(plain.figures)
    (finding,) = (f for f in many.glyph.reasons if f.id == "alternative-missing")
    assert (finding.severity, finding.measured, finding.limit) == ("review", 7, count)
    assert f"number {count} is used" in finding.message
    assert many.number == count
    assert many.glyph.status == "review"
    assert not any(f.id == "alternative-missing" for other in many.others for f in other.reasons)
    accepted = {"L": replace(own["L"], accept={"alternative-missing": "one file, two fonts"})}
    assert made({"L": ELL}, settings=Settings(glyphs=accepted)).pattern.glyphs[0].status == "ready"
    last = {"L": GlyphSettings(alternative=count)}
    (right,) = made({"L": ELL}, settings=Settings(glyphs=last)).made
    assert not any(f.id == "alternative-missing" for f in right.glyph.reasons)


class _Backwards(Executor):
    """Makes the last of so many blocks first, as any engine may."""

    def __init__(self, count: int):
        self._count, self._waiting = count, []
        self.asked = []
        self.made = []

    def submit(self, fn, /, *args, **kwargs):
        future = Future()
        if fn is not each:  # what all blocks need, done before any is begun
            future.set_result(fn(*args, **kwargs))
            return future
        (job,) = args[1]
        self.asked.append(job.chosen.name)
        self._waiting.append((future, fn, args))
        if len(self.asked) == self._count:
            while self._waiting:
                future_, fn_, args_ = self._waiting.pop()
                self.made.append(args_[1][0].chosen.name)
                future_.set_result(fn_(*args_))
        return future


def test_the_result_does_not_depend_on_the_engine_that_does_the_work(made):
    glyphs = {"A": STEM, "L": ELL, "space": lambda pen: None}
    assert made(glyphs, executor=_Backwards(3)).pattern == made(glyphs).pattern


def test_what_turns_most_is_begun_first(made):
    """An L turns by a quarter more, there and back, than a disc, however many corners that is drawn with."""
    turns = [math.tau * k / 48 for k in range(48)]
    disc = polygon(*((round(300 - 300 * math.cos(t)), round(350 + 350 * math.sin(t))) for t in turns))
    engine = _Backwards(3)
    conversion = made({"space": lambda pen: None, "O": disc, "L": ELL}, executor=engine)
    assert engine.asked == ["L", "O", "space"]
    assert [glyph.name for glyph in conversion.pattern.glyphs] == ["space", "O", "L"]


def test_whoever_watches_is_told_of_each_block_once(made):
    told: list[str] = []
    engine = _Backwards(3)
    made(
        {"A": STEM, "L": ELL, "I": STEM}, executor=engine, on_done=lambda block: told.append(block.glyph.name)
    )
    assert sorted(told) == ["A", "I", "L"]
    assert engine.made == [*reversed(engine.asked)]


def test_the_order_is_the_one_asked_for(made):
    assert [g.name for g in made({"A": STEM, "L": ELL}, names="L A").pattern.glyphs] == ["L", "A"]


def test_one_baseline_and_one_scale_for_all(made):
    conversion = made({"A": STEM, "g": polygon((50, -200), (50, 500), (250, 500), (250, -200)), "L": ELL})
    assert len({glyph.placement[3] for glyph in conversion.pattern.glyphs}) == 1
    assert len({glyph.placement[5] for glyph in conversion.pattern.glyphs}) == 1


def test_heights_that_letters_share_are_told(made):
    conversion = made({"A": STEM, "L": ELL})
    assert list(conversion.hand.heights) == conversion.pattern.settings["heights"]
    assert conversion.hand.heights == pytest.approx((6.35, 95.25))
