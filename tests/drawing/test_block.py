from xml.etree import ElementTree

import pytest
import resvg_py
from shapely import LineString, Point, Polygon

from converter.drawing import block_svg
from converter.drawing.block import ink_on
from converter.model import Glyph
from converter.seams import seams
from tests.drawing import reading
from tests.drawing.blocks import random_pattern
from tests.samples import letter_t, plus, sample_pattern

GUIDE = [[[(10.0, 10.0), (50.0, 10.0), (30.0, 70.0)], [(25.0, 20.0), (35.0, 20.0), (30.0, 30.0)]]]


def block(glyph: Glyph, guide=None) -> ElementTree.Element:
    return reading.parse(block_svg(sample_pattern(glyph), glyph, guide))


def test_the_layers_of_the_contract_have_names_that_editors_show():
    layers = [g for g in block(letter_t()) if g.tag == f"{reading.SVG}g"]
    assert {g.get("id") for g in layers} == {"guide", "pieces", "shape", "seams", "labels"}
    for g in layers:
        assert g.get(reading.LABEL, "").startswith(g.get("id", "?"))
        assert g.get("{http://www.inkscape.org/namespaces/inkscape}groupmode") == "layer"


def test_pieces_carry_id_fabric_and_shape():
    glyph = plus()
    drawn = reading.group(block(glyph), "pieces")
    assert len(drawn) == len(glyph.pieces)
    for element, piece in zip(drawn, glyph.pieces, strict=True):
        assert element.get("id") == f"piece-{piece.id}"
        assert element.get("data-fabric") == piece.fabric
        assert element.get("fill") == sample_pattern().fabrics[piece.fabric].colour
        assert reading.polygon(element).equals(Polygon(piece.polygon))


def test_each_seam_is_one_straight_line():
    glyph = plus()
    drawn = [reading.line(e) for e in reading.group(block(glyph), "seams")]
    assert drawn == [LineString([seam.start, seam.end]) for seam in seams(glyph)]


def test_the_guide_is_drawn_with_its_holes():
    (path,) = reading.group(block(letter_t(), GUIDE), "guide")
    assert path.get("d") == "M10 10L50 10L30 70ZM25 20L35 20L30 30Z"
    assert path.get("fill-rule") == "evenodd"
    assert len(reading.group(block(letter_t()), "guide")) == 0


def test_the_drawing_is_as_large_as_the_block_in_true_size():
    glyph = letter_t()
    assert reading.size(block(glyph)) == (60, 80)
    image = resvg_py.svg_to_bytes(svg_string=block_svg(sample_pattern(glyph), glyph), dpi=96)
    width = int.from_bytes(bytes(image)[16:20], "big")  # PNG, IHDR
    assert width == pytest.approx(60 * 96 / 25.4, abs=1)  # CSS Values and Units: 1 mm = 96/25.4 px


@pytest.mark.parametrize("seed", range(10))
def test_every_label_keeps_off_the_seams_and_says_which_piece_it_means(seed):
    pattern = random_pattern(seed)
    glyph = pattern.glyphs[0]
    group = reading.group(reading.parse(block_svg(pattern, glyph)), "labels")
    lines = [LineString([s.start, s.end]) for s in seams(glyph)]
    dots = [Point(float(e.get("cx")), float(e.get("cy"))) for e in reading.of_class(group, "leader-dot")]
    for text in group.iter(f"{reading.SVG}text"):
        piece = Polygon(glyph.piece(reading.words(text)).polygon)
        assert text.get("id") == f"label-{reading.words(text)}"
        box = reading.text_box(text)
        assert all(box.distance(line) > 0.2 for line in lines)
        assert piece.covers(box) or any(piece.covers(dot) for dot in dots)
    assert len(list(group.iter(f"{reading.SVG}text"))) == len(glyph.pieces)


def test_ink_is_dark_on_light_and_light_on_dark():
    assert ink_on("#f4efe6") == "#1b1b1b"
    assert ink_on("#1f4e5f") == "#ffffff"
    # The contrast of WCAG 2 (relative luminance, 4.5 to 1) on the colours of the samples.
    for colour in ("#f4efe6", "#1f4e5f"):
        assert _contrast(colour, ink_on(colour)) > 4.5


def _contrast(one: str, other: str) -> float:
    def luminance(colour: str) -> float:
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)
