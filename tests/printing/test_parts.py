"""Templates larger than a page: the printed parts go together again, by their marks alone."""

from collections import defaultdict
from itertools import pairwise

import numpy as np
import pytest
import shapely
from shapely import LineString, Polygon

from tests.printing.reading import Page, direction
from tests.printing.test_true_size import mirrored_pieces, outline_of

CROSS = 6.0  # mm


def part_pages(made, name: str) -> list[Page]:
    return [
        page
        for page in made.pages("characters.pdf")
        if any(r.text.startswith(f"{name}, part") for r in page.runs)
    ]


def marks(page: Page) -> dict[str, np.ndarray]:
    """The crosses of a page by the letter that stands beside each."""
    arms = [s for s in page.segments if abs(s.length - CROSS) < 0.01]
    flat = [s for s in arms if abs(s.coords[0][1] - s.coords[1][1]) < 1e-3]
    tall = [s for s in arms if abs(s.coords[0][0] - s.coords[1][0]) < 1e-3]
    middles = [a.intersection(b) for a in flat for b in tall if a.centroid.distance(b.centroid) < 1e-2]
    letters = [run for run in page.runs if len(run.text) <= 2 and run.text.isalpha() and run.text.islower()]
    found = {}
    for middle in middles:
        run = min(letters, key=lambda r: middle.distance(shapely.Point(r.middle)))
        assert middle.distance(shapely.Point(run.middle)) < 4
        found[run.text] = np.array([middle.x, middle.y])
    assert len(found) == len(middles) > 0
    return found


@pytest.mark.parametrize("name", ["I", "B"])
def test_split_templates_go_together_again(printed, name):
    made = printed("large_12x16in", "letter")
    glyph = next(g for g in made.pattern.glyphs if g.text == name)
    for section in glyph.sections:
        pages = part_pages(made, f"{name} section {section.id}")
        assert len(pages) > 1
        found = [marks(page) for page in pages]
        shifts = {0: np.zeros(2)}
        while len(shifts) < len(pages):  # each part is laid on one that lies already
            for n, own in enumerate(found):
                for there in list(shifts):
                    shared = sorted(set(own) & set(found[there]))
                    if n not in shifts and len(shared) >= 2:
                        moves = [found[there][m] + shifts[there] - own[m] for m in shared]
                        assert np.ptp(moves, axis=0).max() < 0.05  # all marks agree
                        shifts[n] = moves[0]
        lines = defaultdict(list)
        for n, page in enumerate(pages):
            for segment in page.segments:
                lines[n].append(shapely.affinity.translate(segment, *shifts[n]))
        drawn = shapely.union_all([s for part in lines.values() for s in part])
        _check(drawn, mirrored_pieces(made.pattern, glyph, section.id), made.pattern.block.seam_allowance)


def _check(drawn, pieces: list[Polygon], allowance: float) -> None:
    """All seams and the cutting line are there, where they belong, once the place of the whole is known."""
    outline = outline_of(pieces)
    cut = outline.buffer(allowance, join_style="mitre", mitre_limit=1.75)
    ink = drawn.buffer(0.05)
    # The whole may lie anywhere: its cutting line's left and upper ends are those of long upright and level lines.
    long = [g for g in drawn.geoms if isinstance(g, LineString) and g.length > 40]
    xs = {round(g.bounds[0], 2) for g in long if g.bounds[2] - g.bounds[0] < 0.01}
    ys = {round(g.bounds[1], 2) for g in long if g.bounds[3] - g.bounds[1] < 0.01}
    left, top = cut.bounds[:2]
    moves = [(x - left, y - top) for x in sorted(xs) for y in sorted(ys)]
    best = next((move for move in moves if outside(outline, ink, move) < 0.2), None)
    assert best is not None
    for shape in (*pieces, cut):
        assert outside(shape, ink, best) < 0.2


def outside(shape: Polygon, ink, move: tuple[float, float]) -> float:
    """How much of a moved polygon's edge is not drawn, mm."""
    return shapely.affinity.translate(shape, *move).exterior.difference(ink).length


def test_numbers_of_split_templates_are_printed_once(printed):
    made = printed("large_12x16in", "letter")
    for glyph in made.pattern.glyphs:
        for section in glyph.sections:
            runs = [
                run for page in part_pages(made, f"{glyph.text} section {section.id}") for run in page.runs
            ]
            numbers = sorted(int(run.text) for run in runs if run.text.isdigit() and run.size > 3.5)
            assert numbers == list(range(1, len(section.pieces) + 1))


def test_parts_are_as_few_as_can_be():
    from converter.printing.tiles import OVERLAP, split

    ring = ((0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0))
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg"><line x1="0" y1="0" x2="400" y2="300" stroke="#000"/></svg>'
    )
    parts = split(svg, (400.0, 300.0), ring, (200.0, 220.0))
    assert (parts.columns, parts.rows) == (3, 2)  # 2 × 200 mm without their overlap do not reach 400 mm
    for a, b in pairwise(t for t in parts.tiles if t.row == 0):
        assert a.left + a.width - b.left == pytest.approx(OVERLAP)
    assert max(t.left + t.width for t in parts.tiles) == pytest.approx(400.0)


def test_marks_keep_off_texts_and_bars_are_whole_or_not_there(printed):
    made = printed("large_12x16in", "letter")
    bars = 0
    for name in ("I", "B"):
        for glyph in made.pattern.glyphs:
            if glyph.text != name:
                continue
            for section in glyph.sections:
                for page in part_pages(made, f"{name} section {section.id}"):
                    places = [shapely.Point(at) for at in marks(page).values()]
                    for run in page.runs:
                        if run.text.isdigit() and run.size > 3.5:
                            assert (
                                min(place.distance(shapely.Point(run.middle)) for place in places) > CROSS / 2
                            )
                    strokes = [
                        s for s in page.segments if abs(s.length - 2) <= 0.01 and direction(s) % 90 < 1
                    ]
                    words = [
                        run for run in page.runs if run.text == "1 in" and run.middle[1] < page.height - 20
                    ]
                    assert len(strokes) == 2 * len(words)
                    bars += len(words)
    assert bars > 0


def test_a_bar_on_the_border_of_two_parts_is_left_out():
    from converter.printing.tiles import split

    def bar(left: float, right: float, y: float) -> str:
        ends = "".join(f"M{x} {y - 1}L{x} {y + 1}" for x in (left, right))
        return (
            f'<g class="scale-bar"><path stroke="#000" d="{ends}M{left} {y}L{right} {y}"/>'
            f'<text x="{(left + right) / 2}" y="{y + 0.7}" font-size="2">1 in</text></g>'
        )

    svg = f'<svg xmlns="http://www.w3.org/2000/svg">{bar(20, 45.4, 100)}{bar(180, 205.4, 100)}</svg>'
    ring = ((0.0, 0.0), (390.0, 0.0), (390.0, 200.0), (0.0, 200.0))
    parts = split(svg, (390.0, 200.0), ring, (205.0, 220.0))
    assert len(parts.tiles) == 2
    assert [tile.svg.count("scale-bar") for tile in parts.tiles] == [1, 0]
    assert [tile.svg.count("1 in") for tile in parts.tiles] == [1, 0]
