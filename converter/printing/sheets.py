"""The templates on their pages: packed sheets for a set, a strip for one character, parts of large ones."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from converter.drawing.labels import tag
from converter.drawing.template import MARGIN, Template, section_templates
from converter.measures import Units, is_metric
from converter.model import Glyph, Pattern
from converter.printing.nesting import fits, nest, sheets_by_area, strip_height
from converter.printing.paper import BODY, PEN_ROOM
from converter.printing.placing import TURNS, Placed, Turn
from converter.printing.selection import Selection, group_number
from converter.printing.tiles import Split, split
from converter.printing.typesetting import PAGE_FONT

GAP = 0.4  # mm between the cutting lines of two templates
SHEET = (BODY[0], BODY[1] - PEN_ROOM)
STRIP_TITLE = 10.0  # mm above the templates on a character's page
STRIP_GAP = 2.0  # mm between templates there, where nothing is saved by packing them close
PART_CAPTION = 27.0  # mm above a part of a large template: its name and the map
PART = (BODY[0], BODY[1] - PART_CAPTION)


@dataclass(frozen=True, slots=True)
class Drawn:
    """One template and the character that it belongs to."""

    glyph: Glyph
    template: Template

    @property
    def name(self) -> str:
        """Such as ``A section B``."""
        return f"{tag(self.glyph)} section {self.template.section}"

    @property
    def figure(self) -> str:
        """The id of its drawing."""
        return f"{self.glyph.key}/template-{self.template.section}"


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a template's drawing lies on a page: its turned bounding box's corner in mm from the body's."""

    drawn: Drawn
    x: float
    y: float
    turn: int


@dataclass(frozen=True, slots=True)
class SplitTemplate:
    """A template that no page holds, in parts; each part takes a page."""

    drawn: Drawn
    parts: Split


@dataclass(frozen=True, slots=True)
class Sheets:
    """All pages of a set: packed ones first, then the parts of large templates."""

    packed: tuple[tuple[Spot, ...], ...]
    splits: tuple[SplitTemplate, ...]
    by_area: float  # packed sheets that would do if nothing were lost between templates

    @property
    def pages(self) -> int:
        """How many pages it takes."""
        return len(self.packed) + sum(len(s.parts.tiles) for s in self.splits)

    def pages_of(self, glyph: Glyph) -> tuple[int, ...]:
        """The pages that hold templates of a character, from 1."""
        found = {
            n for n, spots in enumerate(self.packed, 1) if any(s.drawn.glyph.key == glyph.key for s in spots)
        }
        page = len(self.packed)
        for one in self.splits:
            if one.drawn.glyph.key == glyph.key:
                found.update(range(page + 1, page + 1 + len(one.parts.tiles)))
            page += len(one.parts.tiles)
        return tuple(sorted(found))


def draw_templates(pattern: Pattern, glyph: Glyph, units: Units = "in") -> tuple[Drawn, ...]:
    """Every template of a character, in the order of its sections."""
    templates = section_templates(pattern, glyph, PAGE_FONT, is_metric(units))
    return tuple(Drawn(glyph, template) for template in templates)


def pack_sheets(selection: Selection, templates: Mapping[str, Sequence[Drawn]]) -> Sheets:
    """All templates of the selection, as often as wanted, on the fewest pages, each letter's on as few as can be."""
    letters = [glyph for glyph in selection.glyphs for _ in range(selection.copies[glyph.key])]
    wanted = [(n, drawn) for n, glyph in enumerate(letters) for drawn in templates[glyph.key]]
    fitting = [(n, d) for n, d in wanted if fits(d.template.cut_line, *SHEET)]
    small = [d for _, d in fitting]
    large = [d for _, d in wanted if not fits(d.template.cut_line, *SHEET)]
    rings = [d.template.cut_line for d in small]
    kinds = [group_number(d.glyph) for d in small]
    placed = nest(rings, *SHEET, GAP, kinds, families=[n for n, _ in fitting])
    count = 1 + max((p.sheet for p in placed), default=-1)
    packed = tuple(_spots(small, placed, sheet) for sheet in range(count))
    return Sheets(packed, tuple(_split(d) for d in large), sheets_by_area(rings, *SHEET))


@dataclass(frozen=True, slots=True)
class Strip:
    """Templates side by side, on a part of a page as wide as the body and ``height`` mm high."""

    height: float
    spots: tuple[Spot, ...]


@dataclass(frozen=True, slots=True)
class Strips:
    """One character's templates in as little height as can be, or none of them turned; and large ones."""

    strips: tuple[Strip, ...]
    upright: tuple[Strip, ...]
    splits: tuple[SplitTemplate, ...]


def character_strips(templates: Sequence[Drawn]) -> Strips:
    """The templates of one character side by side."""
    height = SHEET[1] - STRIP_TITLE
    small = [d for d in templates if fits(d.template.cut_line, SHEET[0], height)]
    large = [d for d in templates if not fits(d.template.cut_line, SHEET[0], height)]
    return Strips(
        _strips(small, height, TURNS),
        _strips(small, height, (0,)) if all(_stands(d, height) for d in small) else (),
        tuple(_split(d) for d in large),
    )


def _stands(drawn: Drawn, height: float) -> bool:
    return drawn.template.width <= SHEET[0] and drawn.template.height <= height


def _strips(drawn: Sequence[Drawn], height: float, turns: Sequence[Turn]) -> tuple[Strip, ...]:
    rings = [d.template.cut_line for d in drawn]
    placed = nest(rings, SHEET[0], height, STRIP_GAP, turns=turns)
    count = 1 + max((p.sheet for p in placed), default=-1)
    return tuple(
        Strip(strip_height(rings, placed, sheet) + PEN_ROOM, _spots(drawn, placed, sheet))
        for sheet in range(count)
    )


def _spots(drawn: Sequence[Drawn], placed: Sequence[Placed], sheet: int) -> tuple[Spot, ...]:
    """The drawings have a small margin round the cutting line, which the packing does not know."""
    down = PEN_ROOM / 2 - MARGIN
    return tuple(Spot(drawn[p.item], p.x - MARGIN, p.y + down, p.turn) for p in placed if p.sheet == sheet)


def _split(drawn: Drawn) -> SplitTemplate:
    template = drawn.template
    return SplitTemplate(
        drawn, split(template.svg, (template.width, template.height), template.cut_line, PART)
    )
