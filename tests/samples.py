"""Small blocks worked out by hand, for tests of everything that only draws. Block 60 × 80 mm."""

from converter.model import (
    BACKGROUND,
    FIGURE,
    Block,
    Fabric,
    Finding,
    Glyph,
    Join,
    Licence,
    Metrics,
    Pattern,
    Piece,
    Ring,
    Section,
    Source,
)


def box(left: float, top: float, right: float, bottom: float) -> Ring:
    return ((left, top), (right, top), (right, bottom), (left, bottom))


def _glyph(
    text: str,
    figure: tuple[Ring, ...],
    sections: list[list[tuple[str, Ring]]],
    joins: list[str],
    **more: object,
) -> Glyph:
    pieces, parts = [], []
    for letter, content in zip("ABCDEFGH", sections, strict=False):
        ids = [f"{letter}{n}" for n in range(1, len(content) + 1)]
        parts.append(Section(letter, tuple(ids)))
        pieces += [
            Piece(i, FIGURE if fabric == "f" else BACKGROUND, ring)
            for i, (fabric, ring) in zip(ids, content, strict=True)
        ]
    steps = []
    for step, pair in enumerate(joins, 1):
        first, second = pair.split("|")
        steps.append(Join(step, (first, second), f"{first}+{second}"))
    metrics = Metrics(
        pieces=len(pieces),
        sections=len(parts),
        joins=len(steps),
        iou=0.98,
        hausdorff=0.8,
        min_piece_width=10.0,
        min_corner_degrees=60.0,
        lower_bound=len(pieces),
        proved_minimal=True,
        difficulty=2.0,
        level="beginner",
        block_width=60.0,
    )
    return Glyph(
        key=f"{text}_",
        name=text,
        codepoints=(ord(text),),
        text=text,
        status="ready",
        placement=(0.1, 0.0, 0.0, -0.1, 10.0, 70.0),
        figure=tuple((ring,) for ring in figure),
        pieces=tuple(pieces),
        sections=tuple(parts),
        joins=tuple(steps),
        metrics=metrics,
        **more,
    )


def letter_i() -> Glyph:
    """Five pieces, one section."""
    stem = box(24, 10, 36, 70)
    return _glyph(
        "I",
        (stem,),
        [
            [
                ("f", stem),
                ("b", box(0, 10, 24, 70)),
                ("b", box(36, 10, 60, 70)),
                ("b", box(0, 0, 60, 10)),
                ("b", box(0, 70, 60, 80)),
            ]
        ],
        [],
    )


def letter_t() -> Glyph:
    """Eight pieces, one section."""
    figure = (
        (10.0, 10.0),
        (50.0, 10.0),
        (50.0, 22.0),
        (36.0, 22.0),
        (36.0, 70.0),
        (24.0, 70.0),
        (24.0, 22.0),
        (10.0, 22.0),
    )
    return _glyph(
        "T",
        (figure,),
        [
            [
                ("f", box(24, 22, 36, 70)),
                ("b", box(10, 22, 24, 70)),
                ("b", box(36, 22, 50, 70)),
                ("f", box(10, 10, 50, 22)),
                ("b", box(0, 10, 10, 70)),
                ("b", box(50, 10, 60, 70)),
                ("b", box(0, 0, 60, 10)),
                ("b", box(0, 70, 60, 80)),
            ]
        ],
        [],
    )


def triangle() -> Glyph:
    """Five pieces, two of them slanted, one section."""
    figure = ((30.0, 10.0), (50.0, 70.0), (10.0, 70.0))
    return _glyph(
        "A",
        (figure,),
        [
            [
                ("f", figure),
                ("b", ((0.0, 10.0), (30.0, 10.0), (10.0, 70.0), (0.0, 70.0))),
                ("b", ((30.0, 10.0), (60.0, 10.0), (60.0, 70.0), (50.0, 70.0))),
                ("b", box(0, 0, 60, 10)),
                ("b", box(0, 70, 60, 80)),
            ]
        ],
        [],
    )


def plus() -> Glyph:
    """Six sections: two with the cross, four strips of background that are sections of their own."""
    figure = (
        (24.0, 20.0),
        (36.0, 20.0),
        (36.0, 34.0),
        (50.0, 34.0),
        (50.0, 46.0),
        (36.0, 46.0),
        (36.0, 60.0),
        (24.0, 60.0),
        (24.0, 46.0),
        (10.0, 46.0),
        (10.0, 34.0),
        (24.0, 34.0),
    )
    reason = Finding(
        "many-sections",
        "review",
        "6 sections are many for this size.",
        6,
        4,
        None,
        None,
        "Look for one line that runs through.",
    )
    return _glyph(
        "+",
        (figure,),
        [
            [
                ("f", box(24, 20, 36, 34)),
                ("b", box(10, 20, 24, 34)),
                ("b", box(36, 20, 50, 34)),
                ("f", box(10, 34, 50, 46)),
            ],
            [("f", box(24, 46, 36, 60)), ("b", box(10, 46, 24, 60)), ("b", box(36, 46, 50, 60))],
            [("b", box(0, 20, 10, 60))],
            [("b", box(50, 20, 60, 60))],
            [("b", box(0, 0, 60, 20))],
            [("b", box(0, 60, 60, 80))],
        ],
        ["A|B", "A+B|C", "A+B+C|D", "A+B+C+D|E", "A+B+C+D+E|F"],
        reasons=(reason,),
    )


def sample_pattern(*glyphs: Glyph) -> Pattern:
    """A pattern of the given glyphs, or of all four."""
    return Pattern(
        source=Source(
            "handmade.ttf",
            "0" * 64,
            "Handmade",
            "Bold",
            Licence("SIL Open Font License 1.1", "https://openfontlicense.org", 0, "open", "OFL-1.1"),
        ),
        block=Block(60.0, 80.0, 6.35),
        settings={"min_piece_width": 3.175},
        fabrics={FIGURE: Fabric("letter", "#1f4e5f"), BACKGROUND: Fabric("background", "#f4efe6")},
        glyphs=glyphs or (letter_i(), letter_t(), triangle(), plus()),
    )
