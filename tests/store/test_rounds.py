"""First look, then care: who gets more effort, and what a run that is stopped keeps."""

from dataclasses import replace

import pytest

from converter import Settings, pipeline
from converter.model import Finding
from converter.store import BlockStore
from converter.triage import obstacle, triage
from tests.samples import sample_pattern
from tests.store.made import conversion

PROMISING = Settings(effort_for="promising")
TEXT = "LS"


def finding(name, measured=None, limit=None, severity="redesign"):
    return Finding(name, severity, "Said.", measured, limit)


def glyph(status, *reasons):
    return replace(sample_pattern().glyphs[0], status=status, reasons=reasons)


@pytest.mark.parametrize(
    ("draft", "expected"),
    [
        (glyph("ready"), None),
        (glyph("blank", finding("no-ink", severity="note")), None),
        (glyph("redesign", finding("narrow-piece", 3.0, 3.175)), ""),
        (glyph("redesign", finding("narrow-piece", 1.0, 3.175), finding("thin-strokes", 0.3, 0.1)), "thin-strokes"),
        (glyph("redesign", finding("too-intricate", 400, 160)), "too-intricate"),
        # It stays one to look at, but it need not stay one to redesign.
        (glyph("redesign", finding("narrow-piece", 3.0, 3.175), finding("narrowed", 0.5, 0.6, "review")), ""),
        (glyph("review", finding("narrowed", 0.5, 0.6, "review")), "narrowed"),
        (glyph("redesign", finding("narrow-piece", 3, 3.2), finding("many-pieces", 80, 26, "review")), "many-pieces"),
        (glyph("review", finding("many-pieces", 28, 26, "review")), ""),
    ],
)  # fmt: skip
def test_a_draft_says_by_itself_whether_it_is_worth_more(draft, expected):
    assert obstacle(draft) == expected


def test_drafts_are_counted_by_what_stands_against_them():
    hopeless, near = (
        glyph("redesign", finding("too-intricate", 400, 160)),
        glyph("review", finding("sharp-corner", 9, 14, "review")),
    )
    found = triage([near, glyph("ready"), hopeless, near, hopeless])
    assert (found.ready, found.promising, found.hopeless) == (1, (0, 3), {"too-intricate": 2})


@pytest.fixture
def s_is_near(monkeypatch):
    """An S whose draft has a sharp corner; all else is ready."""
    make = pipeline.bare_block

    def made(job):
        block = make(job)
        if job.chosen.text == "S" and job.settings.effort == "draft":
            near = replace(block.glyph, status="review", reasons=(finding("sharp-corner", 9, 14, "review"),))
            return replace(block, glyph=near)
        return block

    monkeypatch.setattr(pipeline, "bare_block", made)


def test_the_promising_get_the_effort_and_the_others_keep_their_drafts(s_is_near):
    begun = []
    done = conversion(TEXT, PROMISING, on_round=begun.append)
    drafts, full = (conversion(TEXT, Settings(effort=effort)) for effort in ("draft", "normal"))
    assert done.made == (drafts.made[0], full.made[1])
    assert [(one.effort, one.blocks) for one in begun] == [("draft", 2), ("normal", 1)]
    assert begun[1].triage.ready == 1
    assert done.pattern.settings["effort_for"] == "promising"


def test_a_block_that_more_effort_made_worse_keeps_its_draft(monkeypatch, s_is_near):
    make = pipeline.bare_block

    def worse(job):
        block = make(job)
        if job.settings.effort == "draft":
            return block
        return replace(
            block, glyph=replace(block.glyph, status="redesign", reasons=(finding("narrow-piece", 3, 3.2),))
        )

    monkeypatch.setattr(pipeline, "bare_block", worse)
    assert conversion(TEXT, PROMISING).pattern.glyphs[1].status == "review"


def _stopping(monkeypatch, after: int):
    make, left = pipeline.bare_block, [after]

    def made(job):
        if not left[0]:
            raise KeyboardInterrupt
        left[0] -= 1
        return make(job)

    monkeypatch.setattr(pipeline, "bare_block", made)


@pytest.mark.parametrize(("after", "found"), [(1, 1), (2, 2)])
def test_a_run_that_is_stopped_gives_the_best_so_far_and_the_next_one_goes_on(
    tmp_path, monkeypatch, s_is_near, after, found
):
    store, begun = BlockStore(tmp_path), []
    with monkeypatch.context() as patched:
        _stopping(patched, after)
        stopped = conversion(TEXT, PROMISING, store=store)
    assert stopped.stopped_by is not None
    unmade = [g.text for g in stopped.pattern.glyphs if g.reasons and g.reasons[0].id == "not-made"]
    assert len(unmade) == 2 - found
    assert len(stopped.pattern.glyphs) == 2
    done = conversion(TEXT, PROMISING, store=store, on_round=begun.append)
    assert begun[0].found == found
    assert done == conversion(TEXT, PROMISING)


@pytest.mark.parametrize(("settings", "after"), [(Settings(), 1), (PROMISING, 0)])
def test_a_run_of_one_round_and_one_that_has_nothing_yet_are_only_stopped(monkeypatch, settings, after):
    _stopping(monkeypatch, after)
    with pytest.raises(KeyboardInterrupt):
        conversion(TEXT, settings)
