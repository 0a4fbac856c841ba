"""What is taken from the store is what would be made; anything else is not taken."""

import json
import random
import zlib
from dataclasses import fields, replace

import pytest

from converter import GlyphSettings, Settings, pipeline
from converter.placement import Zones
from converter.store import BlockStore, engine, engine_version, key
from converter.store.entry import _HEAD, _digest, from_entry, to_entry
from tests.store.made import bare, conversion, jobs
from tests.test_imports import MODULES, inner_imports

KEY = "ab" * 32


def block_key(job):
    return key.block_key(job, "engine")


@pytest.fixture
def store(tmp_path) -> BlockStore:
    return BlockStore(tmp_path / "blocks")


def refuse(*_):
    raise AssertionError("made anew")


# --- entries


def test_a_block_comes_back_as_it_was_made_number_for_number():
    for job, made in bare():
        back = from_entry(KEY, job, to_entry(KEY, made))
        assert back is not None
        assert pipeline.dressed(back, job) == pipeline.dressed(made, job) == pipeline.make_block(job)
        assert len(back.figures) == len(made.figures)


def test_a_block_without_a_plan_comes_back_too(monkeypatch):
    monkeypatch.setattr(pipeline, "alternatives", lambda *_: ((), None))
    (job,) = jobs("L")
    made = pipeline.bare_block(job)
    assert [r.id for r in made.glyph.reasons] == ["not-sewable"]
    assert pipeline.dressed(from_entry(KEY, job, to_entry(KEY, made)), job) == pipeline.dressed(made, job)


def test_an_entry_of_which_any_byte_was_changed_is_not_taken():
    job, made = bare()[0]
    entry = to_entry(KEY, made)
    dice = random.Random(1)
    for place in [*range(60), *dice.sample(range(60, len(entry)), 200)]:
        damaged = bytearray(entry)
        damaged[place] ^= 1 << dice.randrange(8)
        assert from_entry(KEY, job, bytes(damaged)) is None, place
    for length in (0, 10, 40, 60, len(entry) - 1):
        assert from_entry(KEY, job, entry[:length]) is None
    assert from_entry(KEY, job, entry + b"\0") is None


def test_an_entry_under_another_key_is_not_taken():
    job, made = bare()[0]
    assert from_entry("cd" * 32, job, to_entry(KEY, made)) is None


def _forged(made, change) -> bytes:
    """An entry whose digest is right, with other content."""
    data = json.loads(zlib.decompress(to_entry(KEY, made)[len(_HEAD) + 32 :]))
    change(data)
    packed = zlib.compress(json.dumps(data).encode())
    return _HEAD + _digest(KEY, packed) + packed


def test_a_block_that_cannot_be_sewn_is_not_taken_though_its_digest_is_right():
    job, made = bare()[0]
    assert from_entry(KEY, job, _forged(made, lambda data: None)) is not None

    def moved(data):
        data["figures"][0]["pieces"][0]["polygon"][0][0] += 0.5

    def out_of_order(data):
        data["figures"][0]["sections"][0]["pieces"].reverse()

    def of_no_format(data):
        data["figures"][0]["status"] = "fine"

    for change in (
        moved,
        out_of_order,
        of_no_format,
        lambda data: data.pop("guide"),
        lambda data: data.clear(),
    ):
        assert from_entry(KEY, job, _forged(made, change)) is None


def test_an_entry_that_unpacks_to_far_too_much_is_not_taken():
    job, _ = bare()[0]
    packed = zlib.compress(bytes(100_000_000))
    assert from_entry(KEY, job, _HEAD + _digest(KEY, packed) + packed) is None


# --- keys


def test_the_engine_is_all_that_the_pipeline_imports_but_what_reads_fonts_and_files():
    todo, found = ["pipeline"], set()
    while todo:
        module = todo.pop()
        if module not in found:
            found.add(module)
            todo += inner_imports(module)
    before_or_beside = {
        "errors",
        "files",
        "fonts",
        "publication",
        "output",
        "pattern",
    }  # read, checked, written
    before_or_beside |= {"crew", "rounds", "store", "triage"}  # who makes blocks, not what they are
    before_or_beside |= {"composed"}  # what figure is asked for, which is in the job
    assert {module.split(".")[0] for module in found} - before_or_beside <= set(engine.ENGINE)
    assert all(any(module.split(".")[0] == name for module in MODULES) for name in engine.ENGINE)


def test_a_line_more_in_any_file_of_the_engine_is_another_engine(tmp_path, monkeypatch):
    for name in ("verify.py", "sewing/search.py", "straighten/cost/aim.py"):
        place = tmp_path / "converter" / name
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text("x = 1\n")
    monkeypatch.setattr(engine, "__file__", str(tmp_path / "converter/store/engine.py"))
    before = engine_version.__wrapped__()
    assert engine_version.__wrapped__() == before
    for name in ("verify.py", "sewing/search.py", "straighten/cost/aim.py"):
        (tmp_path / "converter" / name).write_text("x = 2\n")
        after = engine_version.__wrapped__()
        assert after != before
        before = after
    monkeypatch.setattr(engine.shapely, "geos_version_string", "another")
    assert engine_version.__wrapped__() != before


OTHER = {
    "block": (75, 100), "margin": 10.0, "fit": "each", "width": "proportional", "units": "mm", "grid": 2.0,
    "min_piece_width": 5.0, "detail": "fine", "section_price": 2.0, "effort": "draft", "budget": 10,
    "limits": {"sections": 5.0}, "glyphs": {"S": GlyphSettings(detail="coarse")},
}  # fmt: skip
NO_MATTER = {
    "effort_for": "promising", "seam_allowance": 10.0, "piece_allowance": 5.0, "figure_colour": "#000000",
    "background_colour": "#ffffff", "parts": {"curve-1": 2},
}  # fmt: skip


def test_every_setting_that_a_block_depends_on_is_in_its_key():
    assert {
        f.name for f in fields(Settings)
    } == OTHER.keys() | NO_MATTER.keys()  # a new one says where it belongs
    (job,) = jobs("S")
    keys = [block_key(replace(job, settings=replace(job.settings, **{k: v}))) for k, v in OTHER.items()]
    assert len({block_key(job), *keys}) == len(OTHER) + 1


def test_what_no_block_depends_on_is_not_in_its_key():
    (job,) = jobs("S")
    own = {
        "S": GlyphSettings(alternative=2, accept={"sharp-corner": "sewn"}),
        "L": GlyphSettings(detail="fine"),
    }
    for other in (
        *(replace(job, settings=replace(job.settings, **{name: value})) for name, value in NO_MATTER.items()),
        replace(job, settings=replace(job.settings, glyphs=own)),
        replace(job, key="other", chosen=replace(job.chosen, name="S", codepoints=(1, 2), text="x")),
    ):
        assert block_key(other) == block_key(job)


def test_outline_zones_and_all_of_the_hand_are_in_the_key():
    (job,) = jobs("S")
    outline, hand = job.outline, job.hand
    moved = tuple(
        tuple(tuple((x + 1, y) for x, y in ring) for ring in polygon) for polygon in outline.polygons
    )
    others = [
        replace(job, outline=replace(outline, polygons=moved)),
        replace(job, outline=replace(outline, repairs=("1 speck too small to see removed",))),
        replace(job, outline=replace(outline, colours=2)),
        replace(job, zones=replace(job.zones, top=job.zones.top + 1)),
        *(replace(job, hand=replace(hand, **{f.name: (*getattr(hand, f.name), 12.5)})) for f in fields(hand)),
    ]
    assert len({block_key(job), *map(block_key, others)}) == len(others) + 1


def test_a_glyph_that_fills_its_block_does_not_care_what_is_converted_with_it():
    (job,) = jobs("S", Settings(fit="each"))
    other = replace(job, zones=Zones(2000.0, -300.0, 650.0))
    assert block_key(other) == block_key(job)
    assert pipeline.make_block(other) == pipeline.make_block(job)


# --- runs


def test_a_run_with_the_store_makes_what_one_without_makes_and_the_next_makes_nothing(store, monkeypatch):
    begun = []
    plain = conversion()
    assert conversion(store=store, on_round=begun.append) == plain
    monkeypatch.setattr(pipeline, "alternatives", refuse)
    told = []
    assert conversion(store=store, on_round=begun.append, on_done=told.append) == plain
    assert [(one.blocks, one.found) for one in begun] == [(2, 0), (2, 2)]
    assert len(told) == 2  # the bar counts what was taken out, too


def test_what_a_designer_chooses_and_accepts_needs_nothing_to_be_made(store, monkeypatch):
    own = {
        "S": GlyphSettings(alternative=2, accept={"sharp-corner": "sewn by two testers"}),
        "L": GlyphSettings(alternative=9),
    }
    wanted = conversion(settings=Settings(glyphs=own))
    conversion(store=store)
    monkeypatch.setattr(pipeline, "alternatives", refuse)
    assert conversion(settings=Settings(glyphs=own), store=store) == wanted


def test_what_a_changed_engine_made_is_not_taken(store):
    conversion("L", store=store)
    begun = []
    conversion("L", store=BlockStore(store.folder, "another"), on_round=begun.append)
    assert begun[0].found == 0


def test_damaged_entries_are_made_anew_and_mended(store):
    plain = conversion("LS", store=store)
    for path in store.folder.rglob("*"):
        if path.is_file():
            path.write_bytes(path.read_bytes()[:-7])
    begun = []
    assert conversion("LS", store=store, on_round=begun.append) == plain
    assert conversion("LS", store=store, on_round=begun.append) == plain
    assert [one.found for one in begun] == [0, 2]


def test_a_block_on_which_the_program_failed_is_not_kept(store, monkeypatch):
    def fail(*_):
        raise MemoryError

    with monkeypatch.context() as patched:
        patched.setattr(pipeline, "alternatives", fail)
        assert conversion("L", store=store).pattern.glyphs[0].reasons[0].id == "unexpected-error"
    assert store.entries.usage() == (0, 0)
    assert conversion("L", store=store).pattern.glyphs[0].status == "ready"


def test_a_store_that_cannot_be_written_costs_only_time(tmp_path):
    (tmp_path / "file").write_text("in the way")
    assert conversion("L", store=BlockStore(tmp_path / "file")) == conversion("L")
