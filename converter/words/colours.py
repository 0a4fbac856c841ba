"""Which fabric goes where in a layout, and whether the words will read."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from converter.budgets.words import FABRIC
from converter.errors import InputError
from converter.model import BACKGROUND, FIGURE, Fabric, Glyph
from converter.words.contrast import LARGE_TEXT, contrast, grey, ratio_text
from converter.words.parts import Layout, PlacedBlock

By = Literal["set", "letter", "word"]
ALIKE_IN_GREY = 1.25  # contrast ratio; own judgement: below it two fabrics cannot be told apart in grey

# A ladder of luminances, each step above ALIKE_IN_GREY, so that any two can be told apart in grey.
PALETTE: Mapping[str, str] = {
    "harbour": "#225568",
    "kelp": "#5c762c",
    "rust": "#d55628",
    "heather": "#804c7e",
    "gorse": "#cf9a1a",
    "shell": "#ecc4b6",
    "mist": "#a8bbbc",
    "sand": "#ece4d5",
    "slate": "#38424b",
    "foam": "#ffffff",
}
_COLOUR = re.compile(r"#(?:[0-9a-f]{3}|[0-9a-f]{6})", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class ColourPlan:
    """What is asked for. None and empty: as the set has it.

    ``letters`` are used in turn: one for the whole ("set"), the next for each letter or for each word.
    ``only`` gives a character (as written or by name) a fabric of its own, ``groups`` one or more pieces of a
    character, by (name, piece id); both win over ``letters``.
    """

    letters: tuple[Fabric, ...] = ()
    by: By = "set"
    background: Fabric | None = None
    strips: Fabric | None = None  # spacing, word spaces, lines, fillers; else the background
    frame: Fabric | None = None  # else as the strips
    border: Fabric | None = None  # else as the strips
    binding: Fabric | None = None  # of the finished piece; else one of its own
    backing: Fabric | None = None
    only: Mapping[str, Fabric] = field(default_factory=dict)
    groups: Mapping[tuple[str, str], Fabric] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ColourRow:
    """One fabric in the colour table; ``number`` stands for it where colour cannot."""

    number: int
    id: str
    label: str
    colour: str
    grey: str


@dataclass(frozen=True, slots=True)
class Contrast:
    """The worst pair of fabrics in one block: of the letter, and of what is behind it."""

    block: str
    word: int
    label: str
    figure: str
    background: str
    ratio: float


@dataclass(frozen=True, slots=True)
class Colouring:
    """Every piece and strip of a layout with its fabric."""

    fabrics: Mapping[str, Fabric]
    pieces: Mapping[tuple[str, str], str]  # (block id, piece id) to fabric id
    strips: Mapping[str, str]  # strip id to fabric id
    finishing: Mapping[str, str]  # "binding" and "backing" to fabric id, where they were chosen
    table: tuple[ColourRow, ...]
    contrasts: tuple[Contrast, ...]
    warnings: tuple[str, ...]


def colour(layout: Layout, plan: ColourPlan | None = None) -> Colouring:
    """The layout in colour.

    Raises :class:`InputError` for a character or piece that the layout lacks, or two colours of one name.
    """
    asked = plan or ColourPlan()
    if asked.by not in ("set", "letter", "word"):
        raise InputError(f"colours by {asked.by!r} are unknown; choose set, letter or word.")
    _check(layout, asked)
    known = layout.pattern.fabrics
    background = asked.background or known[BACKGROUND]
    letters = asked.letters or (known[FIGURE],)
    book = _Book()
    pieces: dict[tuple[str, str], str] = {}
    figures: dict[str, set[str]] = {}
    grounds: dict[str, set[str]] = {}
    for index, block in enumerate(layout.blocks):
        turn = {"set": 0, "letter": index, "word": block.word}[asked.by]
        glyph = layout.glyph(block)
        own = next(
            (asked.only[name] for name in _called(glyph) if name in asked.only), letters[turn % len(letters)]
        )
        for piece in glyph.pieces:
            usual = {FIGURE: own, BACKGROUND: background}.get(piece.fabric) or known[piece.fabric]
            fabric = book.id_of(asked.groups.get((glyph.name, piece.id)) or usual)
            pieces[block.id, piece.id] = fabric
            if piece.fabric in (FIGURE, BACKGROUND):
                side = figures if piece.fabric == FIGURE else grounds
                side.setdefault(block.id, set()).add(fabric)
    strip_fabric = asked.strips or background
    kinds = {"border": asked.border or strip_fabric, "frame": asked.frame or strip_fabric}
    strips = {strip.id: book.id_of(kinds.get(strip.kind, strip_fabric)) for strip in layout.strips}
    chosen = {"binding": asked.binding, "backing": asked.backing}
    finishing = {what: book.id_of(fabric) for what, fabric in chosen.items() if fabric}
    table = tuple(
        ColourRow(number, fabric_id, fabric.label, fabric.colour, grey(fabric.colour))
        for number, (fabric_id, fabric) in enumerate(book.fabrics.items(), 1)
    )
    contrasts = tuple(
        _worst(block, figures.get(block.id, set()), grounds[block.id], book.fabrics)
        for block in layout.blocks
        if block.id in figures and block.id in grounds
    )
    warnings = (*_unreadable(layout, contrasts), *_alike(table))
    return Colouring(book.fabrics, pieces, strips, finishing, table, contrasts, warnings)


@dataclass(frozen=True, slots=True)
class ContrastPair:
    """A letter's fabric on its ground, and the words in which that is the hardest to read."""

    figure: str
    background: str
    ratio: float
    words: tuple[str, ...]


def contrast_pairs(layout: Layout, colouring: Colouring) -> tuple[ContrastPair, ...]:
    """The worst pairs of all blocks, each pair once."""
    pairs: dict[tuple[str, str], tuple[float, dict[str, None]]] = {}
    for found in colouring.contrasts:
        _, words = pairs.setdefault((found.figure, found.background), (found.ratio, {}))
        words[layout.words[found.word]] = None
    return tuple(ContrastPair(*pair, ratio, tuple(words)) for pair, (ratio, words) in pairs.items())


def parse_fabric(text: str) -> Fabric:
    """A fabric from ``rust``, ``#9c3f1d`` or ``my rust=#9c3f1d``. Raises :class:`InputError` otherwise."""
    label, _, value = text.strip().rpartition("=")
    label, value = label.strip(), value.strip()
    if len(label) > FABRIC.most or not label.isprintable():
        raise InputError(
            f"{label[: FABRIC.most]!r} is no fabric's name: at most {FABRIC.most} printable characters."
        )
    value = PALETTE.get(value.casefold(), value) if label else value
    if not label and value.casefold() in PALETTE:
        return Fabric(value.casefold(), PALETTE[value.casefold()])
    if not _COLOUR.fullmatch(value):
        raise InputError(
            f"{text!r} is not a fabric; write #rrggbb, name=#rrggbb or one of {', '.join(PALETTE)}."
        )
    value = value.lower()
    if len(value) == 4:
        value = "#" + "".join(digit * 2 for digit in value[1:])
    return Fabric(label or value, value)


def parse_group(text: str) -> dict[tuple[str, str], Fabric]:
    """Pieces of one character in a fabric of their own, from ``leaf:A1,A3=rust``."""
    where, _, rest = text.partition("=")
    name, _, ids = where.rpartition(":")
    found = [piece.strip() for piece in ids.split(",")]
    if not name.strip() or not all(found) or not rest:
        raise InputError(f"{text!r} is not a piece group; write it like leaf:A1,A3=rust.")
    fabric = parse_fabric(rest)
    return {(name.strip(), piece): fabric for piece in found}


class _Book:
    """Gives each fabric an id made from its label, in the order in which they are met."""

    def __init__(self) -> None:
        self.fabrics: dict[str, Fabric] = {}

    def id_of(self, fabric: Fabric) -> str:
        if not _COLOUR.fullmatch(fabric.colour) or len(fabric.colour) != 7:
            raise InputError(f"fabric {fabric.label!r}: colour {fabric.colour!r} is not #rrggbb.")
        name = re.sub(r"[^\w]+", "-", fabric.label.casefold()).strip("-") or "fabric"
        there = self.fabrics.setdefault(name, fabric)
        if there.colour.lower() != fabric.colour.lower():
            raise InputError(
                f"fabric {fabric.label!r} has two colours ({there.colour}, {fabric.colour}); use two names."
            )
        return name


def _check(layout: Layout, asked: ColourPlan) -> None:
    called = {name for glyph in layout.pattern.glyphs for name in _called(glyph)}
    for wanted in asked.only:
        if wanted not in called:
            raise InputError(f"there is a colour for {wanted!r}, which is not in the words.")
    pieces = {(glyph.name, piece.id) for glyph in layout.pattern.glyphs for piece in glyph.pieces}
    for name, piece in asked.groups:
        if (name, piece) not in pieces:
            raise InputError(f"there is a colour for piece {piece} of {name!r}, which is not in the words.")


def _called(glyph: Glyph) -> tuple[str, ...]:
    """What users may call it: as it is written, or by its name."""
    return glyph.text, *(map(chr, glyph.codepoints) if len(glyph.codepoints) == 1 else ()), glyph.name


def _worst(
    block: PlacedBlock, figures: set[str], grounds: set[str], fabrics: Mapping[str, Fabric]
) -> Contrast:
    ratio, figure, ground = min(
        (contrast(fabrics[f].colour, fabrics[g].colour), f, g) for f in figures for g in grounds
    )
    return Contrast(block.id, block.word, block.label, fabrics[figure].label, fabrics[ground].label, ratio)


def _unreadable(layout: Layout, contrasts: tuple[Contrast, ...]) -> Iterator[str]:
    """A warning for each pair of fabrics that is the worst of some words, with the words and their letters."""
    found: dict[tuple[str, str, float], tuple[list[str], dict[str, None]]] = {}
    for index, word in enumerate(layout.words):
        weak = [c for c in contrasts if c.word == index and c.ratio < LARGE_TEXT]
        if weak:
            worst = min(weak, key=lambda c: c.ratio)
            words, letters = found.setdefault((worst.figure, worst.background, worst.ratio), ([], {}))
            words.append(word)
            letters.update(dict.fromkeys(c.label for c in weak))
    for (figure, background, ratio), (words, letters) in found.items():
        yield (
            f"{', '.join(dict.fromkeys(words))} will be hard to read: {', '.join(letters)}, at worst {figure} on "
            f"{background}, contrast {ratio_text(ratio)}:1; WCAG 2 asks for {LARGE_TEXT:g}:1 for large text."
        )


def _alike(table: tuple[ColourRow, ...]) -> Iterator[str]:
    pairs = [
        f"{row.label} ({row.number}) and {other.label} ({other.number})"
        for index, row in enumerate(table)
        for other in table[index + 1 :]
        if row.colour != other.colour and contrast(row.colour, other.colour) < ALIKE_IN_GREY
    ]
    if pairs:
        yield f"In grey print these look alike; go by their numbers: {'; '.join(pairs)}."
