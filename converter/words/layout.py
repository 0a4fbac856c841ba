"""Lays words out: reads the text, chooses the size, arranges blocks and strips, tells what was rounded."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from converter.errors import InputError
from converter.measures import (
    Units,
    fine_step,
    length_text,
    mark_step,
    round_down,
    round_nearest,
    round_up,
    size_text,
)
from converter.model import Pattern
from converter.words.arrange import Cell, Spaces, arrange, natural_size
from converter.words.by_eye import notes_on, set_by_eye
from converter.words.foot import without_room_below
from converter.words.frames import Sides, block_sides, block_width
from converter.words.parts import Layout, LayoutSettings, Strip
from converter.words.scaling import scale_pattern
from converter.words.text import Line, read_text

SMALLEST_BLOCK = 12.7  # mm high, finished; no letter can be pieced below it
NARROW_STRIP = 6.35  # mm finished; common practice, no source: narrower strips vanish in their allowances
_DEFAULT_LIMIT = 3.175
_SAME = 1e-3  # mm


def lay_out(
    pattern: Pattern, text: str, settings: LayoutSettings | None = None, units: Units = "in"
) -> Layout:
    """The text laid out in the pattern's blocks.

    Lines end at a line break; ``{leaf}`` is a symbol by its name. Where the settings leave them open, a word
    space is half a block wide, line strips and border are a quarter of a block's height, all rounded to
    1/8 in or 1 mm. A target is met exactly. Scaled: the blocks' height is rounded down to 1/8 in or 1 mm,
    and what is then left over widens the border. Padded: all of it does. The notes tell both.

    Raises :class:`InputError` for text that cannot be laid out (see :func:`~.text.read_text`) and for a
    target that is too small.
    """
    asked = settings or LayoutSettings()
    lines = read_text(pattern, text)
    needed = {glyph.key for line in lines for word in line.words for glyph in word}
    just = replace(pattern, glyphs=tuple(g for g in pattern.glyphs if g.key in needed))
    spaces = _spaces(just, asked, units)
    whole, just = just, without_room_below(just, mark_step(units), _least_width(just))
    factor = _factor(just, lines, spaces, asked, units)
    sized = _at(just, lines, spaces, asked, factor, units)
    notes: list[str] = []
    spaces = _pad(sized, asked, units, notes)
    made = arrange(sized.lines, sized.cells, spaces)
    if factor != 1:
        block = size_text(sized.pattern.block.width, sized.pattern.block.height, units)
        notes.insert(0, f"Blocks are scaled to {factor * 100:.1f} % and are now {block} finished.")
    if just is not whole:
        left_out = (whole.block.height - just.block.height) * factor
        notes.append(
            f"Nothing reaches below the baseline, so {length_text(left_out, units)} of background is left out at the "
            f"foot: blocks are {length_text(sized.pattern.block.height, units)} high."
        )
    notes += sized.notes
    notes += _cautions(sized.pattern, pattern, made.strips, units)
    words = tuple(_word(line, index) for line in lines for index in range(len(line.words)))
    return Layout(
        pattern=sized.pattern,
        words=words,
        lines=tuple(line.text for line in lines),
        blocks=tuple(made.blocks),
        strips=tuple(made.strips),
        steps=tuple(made.steps),
        width=made.width,
        height=made.height,
        scale=factor,
        notes=tuple(notes),
        block_height=pattern.block.height * factor,
    )


def _word(line: Line, index: int) -> str:
    return Line((line.words[index],), ()).text


def _spaces(pattern: Pattern, asked: LayoutSettings, units: Units) -> Spaces:
    step = fine_step(units)
    quarter = round_nearest(pattern.block.height / 4, step)
    word_space = asked.word_space
    if word_space is None:
        word_space = round_nearest(pattern.block.width / 2, step)
    return Spaces(
        spacing=asked.spacing,
        word_space=word_space,
        line_strip=quarter if asked.line_strip is None else asked.line_strip,
        border=Sides.all(quarter) if asked.border is None else asked.border,
        align=asked.align,
        step=step,
    )


@dataclass(frozen=True, slots=True)
class _Sized:
    """Everything that is arranged, at one scale."""

    pattern: Pattern
    lines: tuple[Line, ...]
    cells: Mapping[str, Cell]
    spaces: Spaces
    notes: tuple[str, ...] = ()

    @property
    def size(self) -> tuple[float, float]:
        return natural_size(self.lines, self.cells, self.spaces)


def _at(
    pattern: Pattern,
    lines: tuple[Line, ...],
    spaces: Spaces,
    asked: LayoutSettings,
    factor: float,
    units: Units,
) -> _Sized:
    """Pattern, cells and spaces at a scale; the strips rounded again, where they were any."""
    if factor != 1:
        border = spaces.border
        spaces = replace(
            spaces,
            spacing=_scaled(spaces.spacing, factor, spaces.step),
            word_space=_scaled(spaces.word_space, factor, spaces.step),
            line_strip=_scaled(spaces.line_strip, factor, spaces.step),
            border=Sides(
                *(
                    _scaled(s, factor, spaces.step)
                    for s in (border.top, border.right, border.bottom, border.left)
                )
            ),
        )
    if asked.by_eye:
        return _by_eye(scale_pattern(pattern, factor), lines, spaces, asked, factor, units)
    cells = {}
    sides = block_sides(pattern, pattern.glyphs, asked.frame, units) if asked.frame else {}
    widest = max(pattern.block.width, *(block_width(glyph, pattern) for glyph in pattern.glyphs))
    for glyph in pattern.glyphs:
        own, height = block_width(glyph, pattern), pattern.block.height
        frame = sides.get(glyph.key, Sides())
        fill = widest - own if asked.widths == "fixed" and not asked.frame else 0.0
        frame = Sides(*(s * factor for s in (frame.top, frame.right, frame.bottom, frame.left)))
        cells[glyph.key] = Cell(own * factor, height * factor, frame, fill * factor)
    return _Sized(scale_pattern(pattern, factor), lines, cells, spaces)


def _by_eye(
    pattern: Pattern,
    lines: tuple[Line, ...],
    spaces: Spaces,
    asked: LayoutSettings,
    factor: float,
    units: Units,
) -> _Sized:
    made = set_by_eye(pattern, lines, mark_step(units), asked.spacing * factor, _least_width(pattern))
    word_space = spaces.word_space if asked.word_space is not None else made.word_space
    cells = {
        glyph.key: Cell(
            block_width(glyph, made.pattern),
            made.pattern.block.height,
            after={two: strip for (one, two), strip in made.strips.items() if one == glyph.key},
        )
        for glyph in made.pattern.glyphs
    }
    spaces = replace(spaces, spacing=0.0, word_space=word_space)
    return _Sized(made.pattern, made.lines, cells, spaces, notes_on(made, units))


def _scaled(width: float, factor: float, step: float) -> float:
    return max(round_nearest(width * factor, step), step) if width else 0.0


def _factor(
    pattern: Pattern, lines: tuple[Line, ...], spaces: Spaces, asked: LayoutSettings, units: Units
) -> float:
    """The largest scale, the blocks' height on a mark, at which the layout stays within its targets."""
    if asked.scale is not None:
        return asked.scale
    targets = (asked.target_width, asked.target_height)
    if asked.fit == "pad" or targets == (None, None):
        return 1.0
    natural = _at(pattern, lines, spaces, asked, 1.0, units).size
    rough = min(target / size for target, size in zip(targets, natural, strict=True) if target)
    height = pattern.block.height
    if abs(rough - 1) < 1e-9:
        return 1.0
    # Rounded strips may take a little more or less than their share, so the first guess is a mark too large.
    tried = round_down(height * rough, spaces.step) + 2 * spaces.step
    while tried >= SMALLEST_BLOCK - _SAME:
        made = _at(pattern, lines, spaces, asked, tried / height, units).size
        if all(t is None or size <= t + _SAME for t, size in zip(targets, made, strict=True)):
            return tried / height
        tried = round_down(tried - spaces.step, spaces.step)
    smallest = round_up(SMALLEST_BLOCK, spaces.step)
    width, high = _at(pattern, lines, spaces, asked, smallest / height, units).size
    raise InputError(
        f"the target is too small: even with blocks {length_text(smallest, units)} high the layout is "
        f"{size_text(width, high, units, 'up')}; make it larger, or use fewer letters or narrower strips."
    )


def _pad(sized: _Sized, asked: LayoutSettings, units: Units, notes: list[str]) -> Spaces:
    """The border widened so that the targets are met, with a note of each."""
    size, spaces = sized.size, sized.spaces
    more = []
    for what, target, made in zip(
        ("width", "height"), (asked.target_width, asked.target_height), size, strict=True
    ):
        over = 0.0 if target is None else target - made
        if target is not None and over < -_SAME:
            raise InputError(
                f"the target {what} of {length_text(target, units)} is too small: the layout needs "
                f"{length_text(made, units, 'up')}; make it larger, scale to it, or use narrower strips."
            )
        more.append(max(over, 0.0))
        if target is not None and over > _SAME:
            sides = "on the left and on the right" if what == "width" else "at the top and at the bottom"
            notes.append(
                f"The {what} asked for is {length_text(target, units)}; blocks and strips make "
                f"{length_text(made, units)}, so {length_text(over / 2, units)} of border is added "
                f"{sides}."
            )
        elif target is not None:
            notes.append(f"The {what} asked for, {length_text(target, units)}, is met exactly.")
    border = spaces.border
    wide, high = more[0] / 2, more[1] / 2
    return replace(
        spaces,
        border=Sides(border.top + high, border.right + wide, border.bottom + high, border.left + wide),
    )


def _cautions(sized: Pattern, pattern: Pattern, strips: Sequence[Strip], units: Units) -> list[str]:
    """What a maker should know before cutting."""
    found = []
    limit = _least_width(pattern)
    narrow = [
        glyph.name
        for glyph in sized.glyphs
        if glyph.metrics.min_piece_width is not None and glyph.metrics.min_piece_width < limit - _SAME
    ]
    if narrow:
        found.append(
            f"At this size, pieces are narrower than {length_text(limit, units)} in: {', '.join(narrow)}."
        )
    redesign = [glyph.name for glyph in sized.glyphs if glyph.status == "redesign"]
    if redesign:
        found.append(f"The set's report marks these for redesign: {', '.join(redesign)}.")
    thin = [s for s in strips if min(s.width, s.height) < NARROW_STRIP - _SAME]
    if thin:
        found.append(
            f"{len(thin)} strips are narrower than {length_text(NARROW_STRIP, units)} finished, and hard to "
            "sew; change spacing, alignment or target to avoid them."
        )
    return found


def _least_width(pattern: Pattern) -> float:
    """The least width of a piece that the set was made for, mm."""
    limit = pattern.settings.get("min_piece_width", _DEFAULT_LIMIT)
    return float(limit) if isinstance(limit, int | float) else _DEFAULT_LIMIT
