"""Whatever is drawn: a check says what is wrong, or gives a block that can be sewn and shows what was coloured.

Properties, tried by Hypothesis on drawings out of its dice. Tiles and colours are held against shapely.
"""

import math
import re
from itertools import pairwise

import pytest
import shapely
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from converter.folder.keeping import Kept
from converter.model import BACKGROUND
from converter.redesign.check import check_block
from converter.verify import verify_glyph
from tests.redesign.corpus import cut_up, drawing, pieces, seams
from tests.redesign.hands import rebuilt
from tests.samples import letter_t, sample_pattern

WIDTH, HEIGHT = 60.0, 80.0
KEPT = Kept("", 60.0, letter_t().figure)
PATIENT = settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))

# Places that matter: corners, the edge, near misses of it, a grid that makes lines meet, and anything.
across, down = (
    st.one_of(
        st.sampled_from([0.0, side, side / 2, 0.3, -0.3, side + 0.5, 1e-6, side / 3]),
        st.integers(0, 8).map(lambda k, s=side: k * s / 8),
        st.floats(-2, side + 2, allow_nan=False),
    )
    for side in (WIDTH, HEIGHT)
)
place = st.tuples(across, down)
near = st.tuples(st.floats(-0.9, 0.9), st.floats(-0.9, 0.9))


def line(a, b) -> str:
    return f'<line x1="{a[0]}" y1="{a[1]}" x2="{b[0]}" y2="{b[1]}"/>'


def polygon(points, colour) -> str:
    return f'<polygon fill="{colour}" points="{" ".join(f"{x},{y}" for x, y in points)}"/>'


lines = st.builds(line, place, place)
ticks = st.builds(lambda p, d: line(p, (p[0] + d[0], p[1] + d[1])), place, near)
strokes = st.lists(st.one_of(lines, lines, ticks), max_size=10).map("".join)
shapes = st.lists(
    st.builds(polygon, st.lists(place, max_size=7), st.sampled_from(["#1f4e5f", "#f4efe6", "#ff0000", "none"])),
    max_size=6,
).map("".join)  # fmt: skip
transforms = st.sampled_from(
    [
        "",
        "scale(1)",
        "scale(-1,1)translate(-60)",
        "rotate(180 30 40)",
        "translate(1e-9)",
        "scale(1.01)",
        "skewX(1)",
    ]
)


def check(data: bytes):
    checked = check_block(sample_pattern(letter_t()), "T_", data, KEPT)
    assert checked.log == ""
    after = checked.after
    if not checked.is_sewable:
        assert after.status == "redesign"
        assert [r for r in after.reasons if r.severity == "redesign"]
        assert after.pieces == letter_t().pieces
        return after
    verify_glyph(after, WIDTH, HEIGHT)
    tiles = [shapely.Polygon(piece.polygon) for piece in after.pieces]
    assert sum(tile.area for tile in tiles) == pytest.approx(WIDTH * HEIGHT, abs=0.5)
    assert all(tile.convex_hull.area - tile.area < 0.5 for tile in tiles)
    figure = [piece for piece in after.pieces if piece.fabric != BACKGROUND]
    assert (after.status != "ready") or figure
    return after


@PATIENT
@given(strokes, shapes, transforms)
def test_anything(drawn, coloured, transform):
    check(drawing(seams=seams(inside=drawn, transform=transform), pieces=pieces(coloured)))


@PATIENT
@given(strokes)
def test_a_few_more_strokes_on_a_block_that_was_sound(drawn):
    check(drawing(seams=seams(cut_up(9), drawn)))


@PATIENT
@given(st.integers(2, 16), st.integers(0, 1000), st.lists(st.floats(-0.2, 0.2), min_size=64, max_size=64))
def test_an_unsteady_hand_draws_the_same_block(count, seed, off):
    """Each end up to 0.2 mm off: as many pieces as were meant."""
    cuts = [
        (float(x), float(y), *((float(to), float(y)) if way == "H" else (float(x), float(to))))
        for x, y, way, to in re.findall(r"M(\S+) (\S+)([HV])([\d.]+)", cut_up(count, seed, least=0))
    ]
    for upright in (True, False):  # where two cuts nearly meet, a hand may mean either
        at = sorted({cut[0] if upright else cut[1] for cut in cuts if (cut[0] == cut[2]) == upright})
        assume(all(b - a > 2 for a, b in pairwise(at)))
    drawn = "".join(
        line((x + off[4 * k], y + off[4 * k + 1]), (u + off[4 * k + 2], v + off[4 * k + 3]))
        for k, (x, y, u, v) in enumerate(cuts)
    )
    ground = '<g id="pieces"><rect width="60" height="80" fill="#f4efe6"/></g>'
    result = rebuilt(drawing(seams=seams(inside=drawn), pieces=ground))
    assert result.faults == ()
    assert len(result.plan.pieces) == count


@PATIENT
@given(st.lists(st.tuples(place, st.floats(0.5, 30), st.booleans()), min_size=1, max_size=8))
def test_pieces_have_the_fabric_that_is_seen_most(discs):
    """Shapes over each other, the last on top: a piece is of the fabric that most of its colour is of."""
    inside = "".join(
        polygon(
            [(x + r * math.cos(k), y + r * math.sin(k)) for k in range(6)], "#1f4e5f" if dark else "#f4efe6"
        )
        for (x, y), r, dark in discs
    )
    result = rebuilt(drawing(pieces=pieces(inside)))
    seen = shapely.box(0, 0, 60, 40)
    for (x, y), r, dark in discs:
        disc = shapely.Polygon([(x + r * math.cos(k), y + r * math.sin(k)) for k in range(6)])
        seen = seen.union(disc) if dark else seen.difference(disc)
    if result.plan is None:
        assert {fault.id for fault in result.faults} == {"fabric-unclear"}
        return
    for piece in result.plan.pieces:
        half = shapely.Polygon(piece.polygon)
        share = seen.intersection(half).area / half.area
        assert (piece.fabric != BACKGROUND) == (share > 0.5) or 1 / 3 < share < 2 / 3
