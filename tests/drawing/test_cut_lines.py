"""Cut ends of joined sections lie on each other; nothing of an allowance is lost.

Everything is worked out with shapely from the printed templates, the pieces and the joins; nothing of what made the
cutting lines is used but the names.
"""

from dataclasses import replace
from functools import cache
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box, union_all
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from converter.fonts.choosing import choose_glyphs
from converter.fonts.licence import judge_licence
from converter.fonts.loading import load_font
from converter.model import Glyph, Join, Pattern, Piece, Section
from converter.pipeline import convert
from converter.seams import assemblies
from converter.settings import Settings
from converter.words.scaling import scale_pattern
from tests.drawing import reading
from tests.drawing.blocks import random_pattern
from tests.drawing.placed import sections
from tests.fonts.makers import TEXT_FONTS
from tests.samples import plus, sample_pattern

MEET = 0.3  # mm, as far apart as cut ends may lie when two sections are laid right sides together
FAR = 2000.0  # mm, beyond any block
fixed = settings(derandomize=True, deadline=None, max_examples=40)
SIZES = [(76.2, 101.6), (38.1, 50.8), (300.0, 400.0)]


class Assembled:
    """A block sewn from its templates: for every name in the joins, the cloth that lies flat once it is joined."""

    def __init__(self, pattern: Pattern) -> None:
        self.glyph: Glyph = pattern.glyphs[0]
        self.cloth: dict[str, BaseGeometry] = {}
        self.seam: dict[int, LineString] = {}
        self.body = {
            name: union_all([Polygon(self.glyph.piece(i).polygon).buffer(1e-3) for i in part.pieces])
            for name, part in assemblies(self.glyph).items()
        }
        for section, group, _, _, back in sections(pattern):
            self.cloth[section.id] = back(reading.polygon(reading.of_class(group, "cut-line")[0]))
        for join in self.glyph.joins:
            first, second = join.parts
            self.seam[join.step] = seam = shared_side(self.body[first], self.body[second])
            self.cloth[join.makes] = union_all(
                [
                    self.cloth[part].intersection(half(seam, self.body[part])).buffer(1e-4)
                    for part in join.parts
                ]
            )

    def flaps(self, step: int) -> tuple[BaseGeometry, BaseGeometry]:
        """What lies beyond the seam when the two parts of a join are laid right sides together."""
        join = next(j for j in self.glyph.joins if j.step == step)
        seam, (first, second) = self.seam[step], join.parts
        beyond = half(seam, self.body[second])
        return self.cloth[first].intersection(beyond), mirrored(self.cloth[second], seam).intersection(beyond)


def shared_side(one: BaseGeometry, other: BaseGeometry) -> LineString:
    """The middle line of where two bodies touch."""
    corners = list(
        one.buffer(0.01).intersection(other.buffer(0.01)).minimum_rotated_rectangle.exterior.coords
    )
    sides = sorted((LineString([a, b]) for a, b in pairwise(corners)), key=lambda side: side.length)
    ends = sorted(side.interpolate(0.5, normalized=True).coords[0] for side in sides[:2])
    return LineString(ends)


def half(seam: LineString, body: BaseGeometry) -> BaseGeometry:
    """The half plane on the body's side of a seam."""
    (ax, ay), (bx, by) = seam.coords
    ux, uy = (bx - ax) / seam.length, (by - ay) / seam.length
    side = 1 if ux * (body.centroid.y - ay) - uy * (body.centroid.x - ax) > 0 else -1
    return affine_transform(box(-FAR, 0, FAR, FAR), [ux, -uy * side, uy, ux * side, ax, ay])


def mirrored(shape: BaseGeometry, seam: LineString) -> BaseGeometry:
    (ax, ay), (bx, by) = seam.coords
    ux, uy = (bx - ax) / seam.length, (by - ay) / seam.length
    a, b = ux * ux - uy * uy, 2 * ux * uy
    return affine_transform(shape, [a, b, b, -a, ax - a * ax - b * ay, ay - b * ax + a * ay])


def ends_at(flap: BaseGeometry, seam: LineString, allowance: float, away_from: BaseGeometry) -> list[Point]:
    """Where the allowance line of a join, a hair within it, leaves a flap."""
    for sign in (1, -1):
        line = seam.offset_curve(sign * (allowance - 0.02))
        if line.distance(away_from) > allowance / 2:
            (ax, ay), (bx, by) = line.coords
            dx, dy = (bx - ax) * FAR / line.length, (by - ay) * FAR / line.length
            met = flap.intersection(LineString([(ax - dx, ay - dy), (bx + dx, by + dy)]))
            return [Point(c) for c in sorted(met.coords)]
    raise AssertionError("no allowance line")


def assert_sections_meet(pattern: Pattern) -> int:
    block, made = pattern.block, Assembled(pattern)
    edge, inner = block.seam_allowance, block.inner_allowance
    width = made.glyph.metrics.block_width
    for name, body in made.body.items():
        assert made.cloth[name].buffer(5e-3).covers(body.buffer(min(edge, inner) - 2e-3)), name
    for join in made.glyph.joins:
        seam, (one, other) = made.seam[join.step], made.flaps(join.step)
        body = made.body[join.parts[0]]
        found = [ends_at(flap, seam, inner, body) for flap in (one, other)]
        assert all(a.distance(b) < MEET / 10 for a, b in zip(*found, strict=True)), (join.step, found)
        assert one.hausdorff_distance(other) < MEET / 2, join.step
    whole = made.glyph.joins[-1].makes if made.glyph.joins else made.glyph.sections[0].id
    square = box(-edge, -edge, width + edge, block.height + edge)
    assert made.cloth[whole].symmetric_difference(square).area < 0.02 * square.length
    return len(made.glyph.joins)


@fixed
@given(
    st.integers(0, 10_000),
    st.sampled_from(SIZES),
    st.integers(2, 7),
    st.sampled_from([(6.35, None), (6.35, 3.175), (7.0, 4.0), (12.7, None)]),
)
def test_the_cut_ends_of_every_join_lie_on_each_other(seed, size, count, allowances):
    pattern = random_pattern(seed, *size, sections=count)
    edge, inner = allowances
    block = replace(pattern.block, seam_allowance=edge, piece_allowance=inner)
    assert assert_sections_meet(replace(pattern, block=block)) > 0


@cache
def letters() -> Pattern:
    """Letters of a font that take several sections each, converted quickly."""
    font = load_font(TEXT_FONTS[1])
    chosen = choose_glyphs(font, text="BKMNRXYZ25").glyphs
    return convert(font, chosen, judge_licence(font, TEXT_FONTS[1].parent), Settings(effort="draft")).pattern


@pytest.mark.parametrize("factor", [1.0, 0.5])
def test_the_cut_ends_of_the_letters_of_a_font_lie_on_each_other(factor):
    pattern = scale_pattern(letters(), factor)
    assert sum(assert_sections_meet(replace(pattern, glyphs=(glyph,))) for glyph in pattern.glyphs) > 3


def test_where_three_joins_end_in_one_corner_the_ends_still_meet():
    # A seam through a corner of the block: neither side lies on one line with the other's.
    corners = [(0, 0), (60, 0), (60, 80), (0, 80)]
    pieces = [
        ("A1", "figure", (corners[0], corners[1], (60.0, 50.0))),
        ("B1", "background", (corners[0], (60.0, 50.0), corners[2], (20.0, 80.0))),
        ("C1", "figure", (corners[0], (20.0, 80.0), corners[3])),
    ]
    glyph = replace(
        plus(),
        pieces=tuple(
            Piece(i, fabric, tuple((float(x), float(y)) for x, y in ring)) for i, fabric, ring in pieces
        ),
        sections=tuple(Section(name, (f"{name}1",)) for name in "ABC"),
        joins=(Join(1, ("A", "B"), "A+B"), Join(2, ("A+B", "C"), "A+B+C")),
    )
    assert assert_sections_meet(sample_pattern(glyph)) == 2


def test_square_sections_have_square_corners_and_slanted_ends_are_trimmed():
    for section, group, drawn, _, _ in sections(sample_pattern(plus())):
        cut = reading.polygon(reading.of_class(group, "cut-line")[0])
        assert cut.symmetric_difference(drawn.buffer(6.35, join_style="mitre")).area < 0.01, section.id
    trimmed = 0
    for seed in range(10):
        for _, group, drawn, _, _ in sections(random_pattern(seed)):
            cut = reading.polygon(reading.of_class(group, "cut-line")[0])
            trimmed += not cut.buffer(0.01).covers(drawn.buffer(6.35, join_style="mitre", mitre_limit=9))
    assert trimmed > 10
