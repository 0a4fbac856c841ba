"""Random sewable blocks: straight cuts take one piece after the other off a rectangle."""

from hypothesis import strategies as st

from converter.geometry import convex_width, line_through, split_convex
from converter.model import Block, Fabric, Glyph, Licence, Metrics, Pattern, Piece, Section, Source

WIDTH, HEIGHT = 80.0, 100.0
_NARROWEST = 2.0
_edge = st.floats(0.02, 0.98)


@st.composite
def one_section_blocks(draw, most_cuts=7):
    rest = ((0.0, 0.0), (WIDTH, 0.0), (WIDTH, HEIGHT), (0.0, HEIGHT))
    taken = []
    for _ in range(draw(st.integers(0, most_cuts))):
        sides = len(rest)
        first = draw(st.integers(0, sides - 1))
        second = (first + draw(st.integers(1, sides - 1))) % sides
        line = line_through(_on(rest, first, draw(_edge)), _on(rest, second, draw(_edge)))
        parts = split_convex(rest, line, 1e-9)
        if all(part and convex_width(part) > _NARROWEST for part in parts):
            keep = draw(st.integers(0, 1))
            taken.append(parts[1 - keep])
            rest = parts[keep]
    rings = [rest, *reversed(taken)]
    ids = tuple(f"A{n}" for n in range(1, len(rings) + 1))
    pieces = tuple(
        Piece(i, draw(st.sampled_from(["figure", "background"])), ring)
        for i, ring in zip(ids, rings, strict=True)
    )
    return glyph("X", pieces)


def glyph(name, pieces):
    return Glyph(
        key=f"{name}_",
        name=name,
        codepoints=(ord(name),) if len(name) == 1 else (),
        text=name if len(name) == 1 else "",
        status="ready",
        pieces=pieces,
        sections=(Section("A", tuple(piece.id for piece in pieces)),),
        metrics=Metrics(pieces=len(pieces), sections=1, block_width=None),
    )


def pattern(glyphs, width=60.0, height=80.0):
    return Pattern(
        Source("handmade.ttf", "0" * 64, "Handmade", "Bold", Licence("", "", 0, "open")),
        Block(width, height, 6.35),
        {"min_piece_width": 3.175},
        {"figure": Fabric("letter", "#1f4e5f"), "background": Fabric("background", "#f4efe6")},
        tuple(glyphs),
    )


def _on(ring, index, share):
    (x0, y0), (x1, y1) = ring[index], ring[(index + 1) % len(ring)]
    return x0 + share * (x1 - x0), y0 + share * (y1 - y0)
