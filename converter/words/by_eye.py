"""Words spaced as their font sets them: blocks trimmed or widened until kerning and side bearings are the font's.

Each letter's background is made narrower or wider (see :mod:`.resizing`) so that its block ends where the next
begins, on a mark of the rule. Blocks cannot overlap: where the font lets one letter reach over the other, they
come as near as their pieces allow. A strip is put between only where a background cannot be widened.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from converter.errors import InputError
from converter.measures import Units, length_text, round_down, round_nearest, round_up
from converter.model import BACKGROUND, Glyph, Pattern, Spacing
from converter.verify import NotSewableError, verify_glyph
from converter.words.frames import block_width
from converter.words.resizing import Change, Side, reach, resize
from converter.words.text import Line, label

_SAME = 1e-3  # mm
_MOST_NAMED = 8


@dataclass(frozen=True, slots=True)
class SetByEye:
    """Lines in blocks of their own widths, and what was done.

    ``strips``: widths of the strips between two blocks, where one is needed. ``apart``: pairs that
    stand farther apart than in the font, and by how much (mm).
    """

    pattern: Pattern
    lines: tuple[Line, ...]
    word_space: float
    strips: Mapping[tuple[str, str], float]  # by the keys of two neighbours
    apart: Mapping[str, float]


def set_by_eye(pattern: Pattern, lines: Sequence[Line], step: float, extra: float, least: float) -> SetByEye:
    """The lines in trimmed and widened blocks.

    ``step``: mm that widths are rounded to. ``extra``: mm added between any two letters, also negative.
    ``least``: no piece is made narrower. Each way in which a character is needed is a glyph of its own in
    the pattern. Raises :class:`InputError` where the set does not know its font's spacing.
    """
    if pattern.spacing is None:
        raise InputError(
            "this set does not say how its font spaces letters: it was converted by an earlier version; "
            "convert it again, or leave --spacing eye out."
        )
    work = _Work(pattern, pattern.spacing, step, extra, least)
    sized = {glyph.key: glyph for glyph in pattern.glyphs}
    words = [[tuple(sized[g.key] for g in word) for word in line.words] for line in lines]
    done = tuple(Line(tuple(map(work.word, own)), line.gaps) for own, line in zip(words, lines, strict=True))
    widest = max(block_width(glyph, pattern) for glyph in work.made.values())
    block = replace(pattern.block, width=widest)
    space = round_nearest(pattern.spacing.space * work.scale + extra, step)
    made = replace(pattern, block=block, glyphs=tuple(work.made.values()))
    return SetByEye(made, done, max(space, step), work.strips, work.apart)


def notes_on(made: SetByEye, units: Units) -> tuple[str, ...]:
    """What a maker should know of it."""
    found = []
    several = [
        label(glyph) for glyph in made.pattern.glyphs if glyph.text.endswith(")") and " (" in glyph.text
    ]
    if several:
        found.append(
            f"Letters spaced by eye come in several widths: {', '.join(several[:_MOST_NAMED])}"
            f"{' …' if len(several) > _MOST_NAMED else ''}. Each template says which one it is, as the layout does."
        )
    if made.apart:
        named = sorted(made.apart, key=lambda pair: -made.apart[pair])
        shown = ", ".join(f"{pair} by {length_text(made.apart[pair], units)}" for pair in named[:_MOST_NAMED])
        more = " …" if len(named) > _MOST_NAMED else ""
        found.append(
            f"Blocks cannot overlap, so these pairs stand farther apart than in the font: {shown}{more}."
        )
    return tuple(found)


@dataclass
class _Work:
    pattern: Pattern
    spacing: Spacing
    step: float
    extra: float
    least: float
    made: dict[tuple[str, float, float], Glyph] = field(default_factory=dict)
    strips: dict[tuple[str, str], float] = field(default_factory=dict)
    apart: dict[str, float] = field(default_factory=dict)
    reached: dict[tuple[str, Side, float], float] = field(default_factory=dict)

    @property
    def scale(self) -> float:
        """mm per font unit, of the first glyph that has one; letters of a run share it."""
        return next((-g.placement[3] for g in self.pattern.glyphs if g.pieces), 1.0)

    def reach(self, glyph: Glyph, side: Side, wanted: float) -> float:
        wanted = round(wanted, 4)
        if (glyph.key, side, wanted) not in self.reached:
            size = block_width(glyph, self.pattern), self.pattern.block.height
            self.reached[glyph.key, side, wanted] = reach(glyph, size, side, wanted, self.least)
        return self.reached[glyph.key, side, wanted]

    def word(self, word: tuple[Glyph, ...]) -> tuple[Glyph, ...]:
        first, last = word[0], word[-1]
        lefts = [self._half(self._end(first, "left"))]
        rights, strips = [], []
        for one, two in pairwise(word):
            right, left, strip = self._pair(one, two)
            rights.append(right)
            strips.append(strip)
            lefts.append(left)
        rights.append(self._end(last, "right"))
        made = tuple(map(self._block, word, lefts, rights))
        for one, two, strip in zip(made, made[1:], strips, strict=False):
            if strip:
                self.strips[one.key, two.key] = strip
        for index, strip in enumerate(strips):
            self._compare(word[index : index + 2], made[index : index + 2], strip)
        return made

    def _compare(self, asked: Sequence[Glyph], made: Sequence[Glyph], strip: float) -> None:
        """Notes a pair that stands farther apart than rounding explains."""
        one, two = made
        width = block_width(one, self.pattern)
        farther = width - one.placement[4] + strip + two.placement[4] - self._wanted(*asked)
        if farther > self.step + _SAME:
            pair = f"{label(asked[0])}{label(asked[1])}"
            self.apart[pair] = max(farther, self.apart.get(pair, 0.0))

    def _wanted(self, one: Glyph, two: Glyph) -> float:
        """From the one letter's pen to the other's, as the font has it, mm."""
        kern = self.spacing.kerning.get(one.key, {}).get(two.key, 0.0) * -one.placement[3] + self.extra
        right = self.own(one, "right") + block_width(one, self.pattern) - one.placement[4]
        return right + kern + self.own(two, "left") + two.placement[4]

    def own(self, glyph: Glyph, side: Side) -> float:
        """By how much the block would have to grow to end where the font's letter does, bearings and all."""
        advance = self.spacing.advances.get(glyph.key)
        if advance is None:  # nothing is known of it: it stays as it is
            return 0.0
        a, _, _, _, origin, _ = glyph.placement
        return -origin if side == "left" else origin + a * advance - block_width(glyph, self.pattern)

    def _end(self, glyph: Glyph, side: Side) -> float:
        """The side of a word: as in the font, but the letter keeps a piece's width from what comes there."""
        xs = [x for p in glyph.pieces if p.fabric != BACKGROUND for x, _ in p.polygon]
        width = block_width(glyph, self.pattern)
        beside = (min(xs) if side == "left" else width - max(xs)) if xs else 0.0
        return self.reach(glyph, side, max(self.own(glyph, side), min(self.least - beside, 0.0)))

    def _pair(self, one: Glyph, two: Glyph) -> tuple[float, float, float]:
        """By how much the two grow towards each other, and the strip between them."""
        right, left = self.own(one, "right"), self.own(two, "left")
        wanted = self._wanted(one, two) - block_width(one, self.pattern) + one.placement[4] - two.placement[4]
        kern = wanted - right - left
        half = self._half(self.reach(two, "left", self._half(left + kern / 2)))
        right = self.reach(one, "right", wanted - half)
        half = self._half(self.reach(two, "left", self._half(wanted - right)))
        missing = wanted - right - half
        if missing > self.step / 2:
            strip = round_up(max(missing, self.least), self.step)
            return self.reach(one, "right", right - (strip - missing)), half, strip
        return right, half, 0.0

    def _half(self, left: float) -> float:
        """The left side on a half mark, so that a letter does not come in ways that differ by hairs."""
        return (round_up if left < 0 else round_down)(left, self.step / 2)

    def _block(self, glyph: Glyph, left: float, right: float) -> Glyph:
        width = block_width(glyph, self.pattern)
        rounded = round_nearest(width + left + right, self.step)
        right_wanted = rounded - width - left
        found = self.reach(glyph, "right", right_wanted)
        if (
            abs(found - right_wanted) > 1e-3 and rounded < width + left + right
        ):  # it cannot be trimmed that far
            found = self.reach(glyph, "right", right_wanted + self.step)
        change = Change(round(left, 4), round(found, 4))
        key = glyph.key, change.left, change.right
        if key not in self.made:
            self.made[key] = self._resized(glyph, change)
        return self.made[key]

    def _resized(self, glyph: Glyph, change: Change) -> Glyph:
        width, height = block_width(glyph, self.pattern), self.pattern.block.height
        changed = resize(glyph, width, height, change)
        try:
            verify_glyph(changed, block_width(changed, self.pattern), height)
        except NotSewableError:
            if change == Change():
                raise
            return self._resized(glyph, Change())
        taken = {made.key for made in self.made.values()}
        number = sum(known == glyph.key for known, _, _ in self.made) + 1
        if number == 1 and glyph.key not in taken:
            return changed
        named = label(glyph) == f"{{{glyph.name}}}"
        text = f"{glyph.name if named else glyph.text} ({number})"
        return replace(changed, key=f"{glyph.key}-{number}", text=text)
