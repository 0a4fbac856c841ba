"""What a run decides: the frozen types behind ``pattern.json``.

Everything before these types decides, everything after them only draws. All lengths are millimetres;
coordinates are on the finished face of the block (seen from the front, not mirrored), origin at the top
left corner, x to the right, y down.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

Point = tuple[float, float]
Ring = tuple[Point, ...]  # a closed polygon without a repeated last corner
Polygons = tuple[tuple[Ring, ...], ...]  # of each polygon its outer ring, then its holes
Affine = tuple[float, float, float, float, float, float]  # x' = a·x + c·y + e, y' = b·x + d·y + f

Status = Literal["ready", "review", "redesign", "blank"]
Severity = Literal["note", "review", "redesign"]
LicenceVerdict = Literal["open", "unknown", "restricted"]
STATUSES: tuple[Status, ...] = ("redesign", "review", "ready", "blank")  # the worst first

FIGURE = "figure"
BACKGROUND = "background"


@dataclass(frozen=True, slots=True)
class Licence:
    """What the font says of its own licence, and how that was judged. No legal advice."""

    text: str
    url: str
    fs_type: int
    verdict: LicenceVerdict
    name: str = ""  # the licence's short name where it was recognised, such as "OFL-1.1"
    evidence: str = ""  # what the verdict rests on
    checked: str = ""  # the user's own word, from --licence-checked


@dataclass(frozen=True, slots=True)
class Source:
    """The font file that the pattern was made from."""

    file: str
    sha256: str
    family: str
    style: str
    licence: Licence


@dataclass(frozen=True, slots=True)
class Block:
    """The finished block (without seam allowance) and the allowances, in mm."""

    width: float
    height: float
    seam_allowance: float  # round the block
    piece_allowance: float | None = None  # of all seams within the block; None: as round it

    @property
    def inner_allowance(self) -> float:
        """The allowance of the seams within the block, between pieces and between sections."""
        return self.seam_allowance if self.piece_allowance is None else self.piece_allowance


@dataclass(frozen=True, slots=True)
class Fabric:
    """One fabric of the set: what it is called and the colour it is drawn in (``#rrggbb``)."""

    label: str
    colour: str


@dataclass(frozen=True, slots=True)
class Piece:
    """One convex piece of fabric, such as ``A1``."""

    id: str
    fabric: str
    polygon: Ring


@dataclass(frozen=True, slots=True)
class Section:
    """What is sewn on one foundation; the pieces' ids are in sewing order."""

    id: str
    pieces: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Join:
    """One straight seam that joins two assemblies (a section's id, or what an earlier join makes)."""

    step: int
    parts: tuple[str, str]
    makes: str


@dataclass(frozen=True, slots=True)
class Finding:
    """Something a person should know about a glyph. ``id`` is permanent; ``message`` may be reworded."""

    id: str
    severity: Severity
    message: str
    measured: float | None = None
    limit: float | None = None
    where: Point | None = None
    piece: str | None = None
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Metrics:
    """Figures of one block. Lengths are mm, angles degrees; None where there is nothing to measure."""

    pieces: int = 0
    sections: int = 0
    joins: int = 0
    iou: float | None = None  # area in both figure and outline ÷ area in either
    hausdorff: float | None = None  # mm, both ways, boundaries densified
    min_piece_width: float | None = None
    min_corner_degrees: float | None = None
    lower_bound: int = 0  # no way of cutting this figure by straight seams has fewer pieces
    proved_minimal: bool = False  # pieces == lower_bound
    difficulty: float = 0.0
    level: str = ""
    match_points: int = 0  # seams that must meet across a join
    distinct_lines: int = 0  # straight lines that edges of the figure lie on
    width_factor: float = 1.0  # 0.8: the letter was narrowed to 80 % of its width
    block_width: float | None = None  # finished; differs from glyph to glyph only in proportional blocks
    asymmetry: float | None = (
        None  # share share of the figure that its mirror image does not cover, if the font is symmetric
    )


@dataclass(frozen=True, slots=True)
class Glyph:
    """One character's block with all that was decided about it."""

    key: str  # file name without ending, safe on any file system
    name: str
    codepoints: tuple[int, ...]
    text: str
    status: Status
    reasons: tuple[Finding, ...] = ()
    placement: Affine = (1.0, 0.0, 0.0, -1.0, 0.0, 0.0)
    figure: Polygons = ()
    pieces: tuple[Piece, ...] = ()
    sections: tuple[Section, ...] = ()
    joins: tuple[Join, ...] = ()
    metrics: Metrics = field(default_factory=Metrics)

    def piece(self, piece_id: str) -> Piece:
        """The piece of that id; KeyError when there is none."""
        for piece in self.pieces:
            if piece.id == piece_id:
                return piece
        raise KeyError(piece_id)


@dataclass(frozen=True, slots=True)
class Spacing:
    """How far apart the font sets its glyphs, by their keys. In font units: ``placement`` turns these into mm."""

    space: float  # how far the pen moves on for a space
    advances: Mapping[str, float]  # and for each glyph
    kerning: Mapping[str, Mapping[str, float]]  # what is added between two glyphs, left then right, if not 0


@dataclass(frozen=True, slots=True)
class Pattern:
    """A whole run: the content of ``pattern.json``."""

    source: Source
    block: Block
    settings: Mapping[str, object]
    fabrics: Mapping[str, Fabric]
    glyphs: tuple[Glyph, ...]
    spacing: Spacing | None = None  # not in files of earlier versions

    def counts(self) -> dict[Status, int]:
        """How many glyphs have each status, the worst first."""
        return {status: sum(g.status == status for g in self.glyphs) for status in STATUSES}


def section_name(index: int) -> str:
    """A, B, … Z, AA, AB, … for 0, 1, …"""
    name = ""
    index += 1
    while index:
        index, letter = divmod(index - 1, 26)
        name = chr(ord("A") + letter) + name
    return name
