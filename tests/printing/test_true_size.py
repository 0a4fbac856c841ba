"""What is printed, measured in the PDF. The limit of 0.05 mm is a quarter of the width of a cutting line."""

from collections import Counter
from itertools import pairwise

import numpy as np
import pytest
import shapely
from shapely import LineString, Polygon

from converter.model import Glyph, Pattern
from converter.printing import prepare, set_pages
from tests.printing.reading import Page, letter_sizes, place, read
from tests.samples import sample_pattern

LIMIT = 0.05  # mm


def mirrored_pieces(pattern: Pattern, glyph: Glyph, section_id: str) -> list[Polygon]:
    """The section as it must lie on paper: its pieces seen from behind."""
    width = glyph.metrics.block_width or pattern.block.width
    section = next(s for s in glyph.sections if s.id == section_id)
    return [Polygon([(width - x, y) for x, y in glyph.piece(i).polygon]) for i in section.pieces]


def outline_of(pieces: list[Polygon]) -> Polygon:
    joined = shapely.union_all([p.buffer(1e-3, join_style="mitre") for p in pieces])
    return joined.buffer(-1e-3, join_style="mitre").simplify(0.01)


def sections_of(job) -> list[tuple[Glyph, str]]:
    return [(g, s.id) for g in job.selection.glyphs for s in g.sections]


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize(
    ("units", "sides"), [("in", (25.4, 50.8)), ("mm", (20.0, 50.0)), ("both", (25.4, 50.0))]
)
def test_test_squares_are_as_large_as_they_say(paper, units, sides):
    files = set_pages(prepare(sample_pattern(), paper=paper, units=units))
    pages = read(files["instructions.pdf"])
    # 1 in = 25.4 mm exactly: international yard and pound agreement, 1959
    for side in (20.0, 25.4, 50.0, 50.8):
        assert sum(len(page.squares(side)) for page in pages) == (side in sides), side


@pytest.mark.parametrize("document", ["sheets.pdf", "characters.pdf", "proof.pdf"])
def test_scale_bars_stand_on_the_pages(printed, document):
    for page in printed("capitals_3x4in").pages(document)[::3]:
        lengths = [s.length for s in page.segments]
        assert any(abs(length - 25.4) <= LIMIT for length in lengths)
    for page in read(set_pages(prepare(sample_pattern(), units="cm"))[document]):
        assert any(abs(s.length - 20.0) <= LIMIT for s in page.segments)


def test_templates_carry_a_scale_bar_of_the_length_that_it_says(printed):
    """Two short strokes of 2 mm on either side of the words, square to the way between them."""
    measured = 0
    for page in printed("capitals_3x4in").pages("sheets.pdf"):
        strokes = [s for s in page.segments if abs(s.length - 2.0) <= 0.01]
        for run in page.runs:
            length = {"1 in": 25.4, "1/2 in": 12.7}.get(run.text)
            middle = shapely.Point(run.middle)
            if length is None or middle.y > page.height - 20:  # the bars at the foot are checked above
                continue
            near = sorted(strokes, key=lambda s: abs(s.centroid.distance(middle) - length / 2))[:2]
            assert near[0].centroid.distance(near[1].centroid) == pytest.approx(length, abs=LIMIT)
            assert LineString([near[0].centroid, near[1].centroid]).distance(middle) < 0.5
            measured += 1
    assert measured > 30


def test_nothing_on_the_pages_is_smaller_than_six_points(printed):
    """But the example page in the instructions, which is shown smaller."""
    made = printed("capitals_3x4in")
    for document in ("characters.pdf", "sheets.pdf", "proof.pdf"):
        found = list(letter_sizes(made.files[document]))
        assert len(found) > 1000
        assert min(size for _, _, size in found) >= 6.0


@pytest.mark.parametrize(
    ("name", "document"),
    [
        ("capitals_3x4in", "sheets.pdf"),
        ("capitals_3x4in", "characters.pdf"),
        ("thirty_three_1.5x2in", "sheets.pdf"),
    ],
)
def test_every_template_is_the_mirror_image_of_its_section(printed, name, document):
    """Outline, allowance, seams and numbers, found by geometry alone: only turned, never mirrored."""
    made = printed(name, include_redesign=name != "capitals_3x4in")
    allowance = made.pattern.block.seam_allowance
    pages = made.pages(document)
    taken: dict[int, set[int]] = {n: set() for n in range(len(pages))}
    for glyph, section in sections_of(made.job):
        pieces = mirrored_pieces(made.pattern, glyph, section)
        outline = outline_of(pieces)
        places = [
            (n, index, at)
            for n, page in enumerate(pages)
            if any(_is_tag(run.text, glyph, section) for run in page.runs)
            for index, at in place(outline, page.polygons, LIMIT)
            if index not in taken[n]
            and _is_template(page=page, at=at, pieces=pieces, glyph=glyph, section=section)
        ]
        assert places, f"no template of {glyph.name} {section} in {document}"
        # A rectangle lies alike when it is turned by half: its seams tell which way.
        n, index, at = min(places, key=lambda found: _missing(pages[found[0]], pieces, found[2]))
        taken[n].add(index)
        assert _missing(pages[n], pieces, at) < 4 * LIMIT
        _check_cutting_line(pages[n], shapely.affinity.affine_transform(outline, at), allowance)


def _is_template(page: Page, at: np.ndarray, pieces: list[Polygon], glyph: Glyph, section: str) -> bool:
    """Whether this place carries the section's tag and each number once: sections of one shape differ there."""
    outline = shapely.affinity.affine_transform(outline_of(pieces), at)
    around = outline.buffer(6.35, join_style="mitre", mitre_limit=1.75)
    inside = [run.text for run in page.runs if around.contains(shapely.Point(run.middle))]
    numbers = Counter(text for text in inside if text.isdigit())
    tagged = any(_is_tag(text, glyph, section) for text in inside)
    return tagged and numbers == Counter(str(n) for n in range(1, len(pieces) + 1))


def _is_tag(text: str, glyph: Glyph, section: str) -> bool:
    return text.startswith(glyph.text or glyph.name) and text.endswith(f"section {section}")


def _check_cutting_line(page: Page, outline: Polygon, allowance: float) -> None:
    """The cutting line keeps the allowance on every side, and no more where no tip is cut."""
    around = [p for p in page.polygons if p.buffer(LIMIT).contains(outline) and p.area > outline.area + 1]
    cut = min(around, key=lambda p: p.area)
    ring = list(outline.exterior.coords)
    for a, b in pairwise(ring):
        middle = shapely.Point((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        assert abs(cut.exterior.distance(middle) - allowance) <= LIMIT
    assert cut.exterior.distance(outline.exterior) >= allowance - LIMIT


def _missing(page: Page, pieces: list[Polygon], at: np.ndarray) -> float:
    """How much of the pieces' sides is not drawn, mm: the most of any piece."""
    drawn = page.drawn
    return max(shapely.affinity.affine_transform(p, at).exterior.difference(drawn).length for p in pieces)


def test_a_mirrored_section_would_be_noticed(printed):
    """The search for templates takes turned shapes and no mirrored ones."""
    made = printed("capitals_3x4in")
    glyph = next(g for g in made.pattern.glyphs if len(g.sections) > 1)
    outline = outline_of(mirrored_pieces(made.pattern, glyph, "B"))
    wrong = shapely.affinity.scale(outline, -1, 1, origin=(0, 0))
    assert list(place(outline, [outline]))
    assert not list(place(wrong, [outline]))


def test_proofs_have_the_blocks_true_size_and_are_not_mirrored(printed):
    made = printed("capitals_3x4in")
    block = made.pattern.block
    pages = made.pages("proof.pdf")
    edges = [
        (page, p)
        for page in pages
        for p in page.polygons
        if abs(p.bounds[2] - p.bounds[0] - block.width) <= LIMIT
        and abs(p.bounds[3] - p.bounds[1] - block.height) <= LIMIT
    ]
    assert len(edges) == len(made.job.selection.glyphs)
    for glyph, (page, edge) in zip(made.job.selection.glyphs, edges, strict=True):
        for piece in glyph.pieces:
            moved = shapely.affinity.translate(Polygon(piece.polygon), edge.bounds[0], edge.bounds[1])
            assert moved.exterior.difference(page.drawn).length < 4 * LIMIT


def test_numbers_stand_on_no_seam(printed):
    """By the real shapes of the digits, as a PDF reader measures them."""
    import pypdfium2

    from tests.printing.reading import MM

    made = printed("thirty_three_1.5x2in", include_redesign=True)
    checked = 0
    with pypdfium2.PdfDocument(made.files["sheets.pdf"]) as document:
        for page, lines in zip(document, made.pages("sheets.pdf"), strict=True):
            # 0.25 mm and more: seams, outlines, marks; the hatch and the scale bars are thinner
            sewn = shapely.STRtree([s for s in lines.segments if s.length > 3.2])
            text = page.get_textpage()
            height = page.get_height()
            for n in range(text.count_chars()):
                if not text.get_text_range(n, 1).isdigit():
                    continue
                left, bottom, right, top = text.get_charbox(n)
                box = shapely.box(left * MM, (height - top) * MM, right * MM, (height - bottom) * MM)
                if box.bounds[1] < lines.height - 15 and box.area > 0.1:
                    checked += 1
                    hits = [
                        sewn.geometries[k]
                        for k in sewn.query(box.buffer(-0.02), predicate="intersects")
                        if not _is_hatch(sewn.geometries[k])
                    ]
                    assert not hits, (text.get_text_range(n, 1), box.bounds, hits[0].wkt)
    assert checked > 200


def _is_hatch(line: LineString) -> bool:
    """Hatching runs at 45° on a template; no seam of this set does so exactly at this length."""
    (ax, ay), (bx, by) = line.coords
    return abs(abs(ax - bx) - abs(ay - by)) < 1e-3
