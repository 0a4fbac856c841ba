"""A block without its letter is never called ready; what is not seen in an editor has no say in its fabrics.

Whether a shape is seen is held against resvg, which draws by the SVG standard.
"""

import io

import pytest
import resvg_py
from PIL import Image

from converter.folder.content import drawn_from
from converter.folder.keeping import Kept
from converter.redesign.check import check_block
from tests.redesign.corpus import HIDING, PIECES, cut_up, drawing, hidden_shapes, pieces, seams
from tests.redesign.hands import Hand, rebuilt
from tests.samples import letter_t, sample_pattern

KEPT = drawn_from(Kept("written", 60.0, letter_t().figure), letter_t())
HIDDEN = dict(hidden_shapes())


def check(data: bytes, kept: Kept | None = KEPT):
    return check_block(sample_pattern(letter_t()), "T_", data, kept).after


def ids(glyph) -> set[str]:
    return {reason.id for reason in glyph.reasons}


def hand(change) -> bytes:
    opened = Hand()
    change(opened)
    return opened.save()


def red_in_the_figure(data: bytes) -> int:
    """How much red resvg paints in the middle of the figure: 0x1f where it is seen, 0xf4 where ground covers it."""
    shown = Image.open(io.BytesIO(bytes(resvg_py.svg_to_bytes(svg_string=data.decode(), dpi=96)))).convert(
        "RGB"
    )
    return shown.getpixel((shown.width // 2, shown.height // 4))[0]


@pytest.mark.parametrize("name", HIDDEN)
def test_what_is_not_seen_does_not_vote(name):
    data = drawing(HIDING, pieces=pieces(HIDDEN[name]))
    assert red_in_the_figure(data) < (0x1F + 0xF4) / 2
    result = rebuilt(data)
    assert result.faults == ()
    assert {p.fabric for p in result.plan.pieces} == {"figure", "background"}


@pytest.mark.parametrize(
    "said", ['opacity="0.9"', 'fill-opacity="60%"', 'style="opacity:.8"', "", 'clip-path="url(#whole)"',
             'clip-path="url(#lost)"', 'visibility="visible"', 'class="nothing"'],
)  # fmt: skip
def test_what_is_seen_votes(said):
    whole = '<clipPath id="whole"><rect width="60" height="80"/></clipPath>'
    data = drawing(whole, pieces=pieces(f'<rect width="60" height="80" fill="#f4efe6" {said}/>'))
    assert red_in_the_figure(data) > (0x1F + 0xF4) / 2
    assert {p.fabric for p in rebuilt(data).plan.pieces} == {"background"}


def test_a_shape_seen_within_a_hidden_group():
    over = '<g visibility="hidden"><rect width="60" height="80" fill="#f4efe6" visibility="visible"/></g>'
    assert {p.fabric for p in rebuilt(drawing(pieces=pieces(over))).plan.pieces} == {"background"}


@pytest.mark.parametrize("said", ['mask="url(#m)"', 'filter="url(#f)"', 'style="mix-blend-mode:multiply"',
                                  'clip-path="circle(5px)"'])  # fmt: skip
def test_what_cannot_be_told_is_said(said):
    over = f'<rect width="60" height="80" fill="#f4efe6" {said}/>'
    result = rebuilt(drawing('<mask id="m"/><filter id="f"/>', pieces=pieces(over)))
    assert {fault.id for fault in result.faults} == {"fabric-missing"}
    assert "cannot be told" in result.faults[0].message


def test_a_layer_hidden_as_a_whole_counts_and_is_told():
    hidden = PIECES.replace('id="pieces"', 'id="pieces" display="none"')
    result = rebuilt(drawing(pieces=hidden))
    assert {p.fabric for p in result.plan.pieces} == {"figure", "background"}
    assert result.drawing.notes == ("the layer 'pieces' is hidden; what is in it counts all the same",)


def test_a_hidden_ground_over_the_letter_leaves_it_ready():
    said = {"x": "0", "y": "0", "width": "60", "height": "80", "fill": "#f4efe6", "display": "none"}
    after = check(hand(lambda h: h.add("pieces", "rect", **said)))
    assert after.status == "ready"
    assert {p.fabric for p in after.pieces} == {"figure", "background"}


def test_a_letter_recoloured_to_background_is_gone():
    after = check(hand(lambda h: [h.piece(k).set("fill", "#f4efe6") for k in range(1, 9)]))
    assert after.status == "redesign"
    assert "figure-gone" in ids(after)
    assert after.metrics.iou == 0.0


def test_400_pieces_are_many_whatever_their_colour():
    ground = '<g id="pieces"><rect width="60" height="80" fill="#f4efe6"/></g>'
    after = check(drawing(seams=seams(cut_up(400)), pieces=ground))
    assert len(after.pieces) == 400
    assert {"many-pieces", "figure-gone"} <= ids(after)
    assert after.status == "redesign"


def test_a_letter_of_the_font_without_its_outline_is_looked_at():
    after = check(Hand().save(), None)
    assert "not-compared" in ids(after)
    assert after.status == "review"


def test_a_block_by_hand_says_that_nothing_was_compared():
    after = check_block(sample_pattern(), "schwa", Hand().save()).after
    said = next(reason for reason in after.reasons if reason.id == "not-compared")
    assert said.severity == "note"
    assert after.status == "ready"


def test_a_drawing_on_which_the_program_fails_is_one_finding(monkeypatch):
    def fail(*args, **named):
        raise ZeroDivisionError("float division by zero")

    monkeypatch.setattr("converter.redesign.check.rebuild", fail)
    checked = check_block(sample_pattern(letter_t()), "T_", Hand().save(), KEPT)
    assert not checked.is_sewable
    assert "unexpected-error" in ids(checked.after)
    assert checked.after.pieces == letter_t().pieces
    assert "ZeroDivisionError" in checked.log
