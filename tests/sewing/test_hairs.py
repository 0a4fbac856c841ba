"""Pieces as thin as a hair are merged: what is left is a block that can be sewn, with the same picture but for hairs.

That pieces tile the block and are convex is held against shapely.
"""

import random

import pytest
import shapely

from converter.geometry import convex_width
from converter.model import FIGURE
from converter.sewing.hairs import THINNEST, without_hairs
from converter.sewing.plan import plan_block
from converter.sewing.search import Prices
from converter.verify import NotSewableError, verify_block
from tests.samples import box

WIDTH, HEIGHT = 60.0, 80.0
PRICES = Prices.of(0.9)
HAIRY = {
    "two boxes a hair apart": ((box(10, 10, 30, 70),), (box(30.02, 10, 50, 70),)),
    "two boxes a hair apart, one lower": ((box(10, 10, 30, 70),), (box(30.02, 20, 50, 60),)),
    "a step as high as a hair": (((*box(10, 10, 30, 70)[:2], (30, 40), (50, 40), (50, 40.03), (10, 40.03)),),),
    "a hair along the edge": ((box(0.01, 10, 30, 70),),),
    "a hair alone": ((box(30, 10, 30.02, 70),),),
    "hairs across": ((box(0, 39.99, 60, 40.01),), (box(29.99, 0, 30.01, 39),)),
    "a wedge": ((((10, 10), (50, 10.04), (10, 10.04)),),),
    "three hairs side by side": tuple((box(10 + k, 10, 10.03 + k, 70),) for k in (0, 0.06, 0.12)),
}  # fmt: skip


def plan(figure):
    return plan_block(figure, WIDTH, HEIGHT, PRICES, 4000)


def cloth(pieces):
    return shapely.union_all([shapely.Polygon(p.polygon).buffer(1e-6) for p in pieces if p.fabric == FIGURE])


@pytest.mark.parametrize("name", HAIRY)
def test_hairs_are_merged(name):
    hairy = plan(HAIRY[name])
    assert min(convex_width(piece.polygon) for piece in hairy.pieces) < THINNEST
    merged = without_hairs(hairy, WIDTH, HEIGHT)
    assert min(convex_width(piece.polygon) for piece in merged.pieces) >= THINNEST
    assert len(merged.pieces) < len(hairy.pieces)
    assert not merged.proved_minimal or len(merged.pieces) == 1
    verify_block(merged.pieces, merged.sections, merged.joins, WIDTH, HEIGHT)
    shapes = [shapely.Polygon(piece.polygon) for piece in merged.pieces]
    assert sum(shape.area for shape in shapes) == pytest.approx(WIDTH * HEIGHT)
    assert shapely.union_all([shape.buffer(1e-6) for shape in shapes]).area == pytest.approx(
        WIDTH * HEIGHT, abs=0.01
    )
    # What is of another fabric now is no wider than the hairs were.
    changed = cloth(merged.pieces).symmetric_difference(cloth(hairy.pieces))
    assert changed.buffer(-THINNEST).is_empty


@pytest.mark.parametrize("seed", range(30))
def test_random_boxes_with_hairs_between_them(seed):
    dice = random.Random(seed)
    left, figure = 3.0, []
    for _ in range(dice.randint(2, 4)):
        wide = dice.choice((0.01, 0.03, 6, 11))
        top = dice.choice((10, 10.02, 20))
        figure.append((box(left, top, left + wide, dice.choice((60, 60.01, 70))),))
        left += wide + dice.choice((0.01, 0.04, 2.5))
    try:
        merged = without_hairs(plan(tuple(figure)), WIDTH, HEIGHT)
    except NotSewableError:
        return  # no pieces are given then
    assert min(convex_width(piece.polygon) for piece in merged.pieces) >= THINNEST
    verify_block(merged.pieces, merged.sections, merged.joins, WIDTH, HEIGHT)


def test_a_plan_without_hairs_is_left_as_it_is():
    sound = plan(((box(10, 10, 30, 70),),))
    assert without_hairs(sound, WIDTH, HEIGHT) is sound


def test_a_block_that_is_all_hairs_is_refused():
    with pytest.raises(NotSewableError, match="every piece is thinner"):
        without_hairs(plan_block(((box(0, 0, 0.05, 80),),), 0.09, 80.0, PRICES, 4000), 0.09, 80.0)
