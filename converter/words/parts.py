"""The types of a layout. All lengths mm, finished, y down, origin at the top left of the whole."""

from dataclasses import dataclass
from typing import Literal

from converter.budgets.words import LAID_OUT
from converter.errors import InputError
from converter.model import Glyph, Pattern
from converter.words.frames import Frame, Sides

Align = Literal["left", "centre", "right"]
Widths = Literal["proportional", "fixed"]
Fit = Literal["scale", "pad"]
StripKind = Literal["frame", "spacing", "word space", "filler", "line", "border"]
_MOST_EXTRA = 100.0  # mm; letters farther apart are read one by one


def _said(name: str, value: float) -> str:
    return f"{name.replace('_', ' ')} of {value:g} mm"


@dataclass(frozen=True, slots=True)
class LayoutSettings:
    """How words are laid out, mm. None: worked out from the block (see :func:`~.layout.lay_out`)."""

    align: Align = "centre"
    spacing: float = (
        0.0  # strip between two blocks of a word; by eye: added to what the font has, also negative
    )
    word_space: float | None = None  # strip for one space; half a block, by eye as wide as the font's space
    line_strip: float | None = None  # strip between two lines; a quarter of a block's height
    border: Sides | None = None  # round the whole; a quarter of a block's height on all sides
    widths: Widths = "proportional"  # fixed: narrower blocks are filled up to the set's block
    target_width: float | None = None
    target_height: float | None = None
    fit: Fit = "scale"
    frame: Frame | None = None  # round every block, of cut strips
    by_eye: bool = False  # blocks trimmed and widened until letters stand as in the font
    scale: float | None = None  # of the blocks, where another layout decides it; targets are then padded to

    def __post_init__(self) -> None:
        if self.by_eye and (self.frame or self.widths == "fixed"):
            other = "frames round every block" if self.frame else "blocks of one width"
            raise InputError(f"letters spaced by eye and {other} do not go together; choose one of them.")
        if self.scale is not None and not 0 < self.scale < 1000:
            raise InputError(f"the scale must be more than 0 and less than 1000, not {self.scale:g}.")
        if self.by_eye and abs(self.spacing) > _MOST_EXTRA:
            raise InputError(f"{_said('spacing', self.spacing)}: by eye, give up to {_MOST_EXTRA:g} mm.")
        for name in ("spacing", "word_space", "line_strip"):
            value = abs(self.spacing) if self.by_eye and name == "spacing" else getattr(self, name)
            if value is not None and not 0 <= value <= LAID_OUT.most:
                raise InputError(f"{_said(name, value)}: give 0 or more, up to 20 m.")
        for name in ("target_width", "target_height"):
            value = getattr(self, name)
            if value is not None and not 0 < value <= LAID_OUT.most:
                raise InputError(f"{_said(name, value)}: give more than 0, up to 20 m.")
        for name, allowed in (
            ("align", ("left", "centre", "right")),
            ("widths", ("proportional", "fixed")),
            ("fit", ("scale", "pad")),
        ):
            if getattr(self, name) not in allowed:
                raise InputError(f"{name} {getattr(self, name)!r} is unknown; choose {' or '.join(allowed)}.")


@dataclass(frozen=True, slots=True)
class PlacedBlock:
    """One block in its place; ``id`` such as ``2.3``, the third block of row 2."""

    id: str
    key: str  # of the glyph in the layout's pattern
    label: str
    word: int  # index into the layout's words
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Strip:
    """One strip of fabric in its place."""

    id: str
    kind: StripKind
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Step:
    """One step of assembly: parts (ids of blocks, strips or earlier makes) sewn together in this order."""

    makes: str
    parts: tuple[str, ...]
    direction: Literal["across", "down"]  # left to right, or top to bottom
    text: str
    frames: str = ""  # id of the block that it frames


@dataclass(frozen=True, slots=True)
class Layout:
    """Words laid out: every block and strip in its place, and how they are sewn together."""

    pattern: Pattern  # just the glyphs that are needed, at the size in which they are sewn
    words: tuple[str, ...]
    lines: tuple[str, ...]
    blocks: tuple[PlacedBlock, ...]
    strips: tuple[Strip, ...]
    steps: tuple[Step, ...]
    width: float
    height: float
    scale: float
    notes: tuple[str, ...]
    block_height: float  # of a whole block at that scale, with what is left out below it
    legends: tuple[str, ...] = ()  # of a sampler: what is written below each block, in their order

    @property
    def unfinished(self) -> tuple[float, float]:
        """Width and height with the seam allowance all round."""
        more = 2 * self.pattern.block.seam_allowance
        return self.width + more, self.height + more

    @property
    def parts(self) -> tuple[PlacedBlock | Strip, ...]:
        """All that is sewn together: strips and blocks."""
        return (*self.strips, *self.blocks)

    def glyph(self, block: PlacedBlock) -> Glyph:
        """The glyph that is sewn there."""
        return next(glyph for glyph in self.pattern.glyphs if glyph.key == block.key)

    def counts(self) -> dict[str, int]:
        """How many templates of each glyph are to be printed, by key, in the set's order."""
        keys = [block.key for block in self.blocks]
        return {glyph.key: keys.count(glyph.key) for glyph in self.pattern.glyphs}
