"""A set as the workbench has it open: what stands in its folder now, and the font that it was made from."""

from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from threading import RLock

from converter.drawing.labels import tag
from converter.errors import InputError
from converter.findings.making import is_edited
from converter.folder.keeping import RECORD, Kept, edits_among
from converter.folder.reading import read_alternatives, read_blocks, read_pattern, read_record
from converter.fonts.choosing import ChosenGlyph
from converter.fonts.loading import Font
from converter.model import Glyph, Pattern
from converter.output import one_run_at_a_time
from converter.pipeline import convert_some
from converter.report.alternatives import ALTERNATIVES, Alternatives
from converter.settings import Settings, own_of_text, read_settings_text
from converter.store import BlockStore
from converter.workbench.alphabet import ALPHABET
from converter.workbench.figure import Figure, figure_of_glyph
from converter.workbench.stamps import Stamps, stamps_of

PARTS = ("pattern.json", RECORD, ALTERNATIVES)


@dataclass(frozen=True, slots=True)
class State:
    """What stands in a set's folder. ``by_key``: the glyphs of the pattern by their keys."""

    pattern: Pattern
    kept: Mapping[str, Kept]
    alternatives: Mapping[str, Alternatives]
    by_key: Mapping[str, Glyph]

    def glyph(self, key: str) -> Glyph:
        """The glyph of a key. Raises :class:`InputError` where there is none."""
        if key not in self.by_key:
            raise InputError("This set has no such character.")
        return self.by_key[key]

    @property
    def edited(self) -> set[str]:
        """The keys of the blocks that were changed by hand."""
        return {glyph.key for glyph in self.pattern.glyphs if is_edited(glyph)}


@dataclass(slots=True)
class OpenSet:
    """One set. ``settings_file`` is where choices are written; ``font`` is None until it is found."""

    id: str
    folder: Path
    settings_file: Path
    font: Font | None = None
    store: BlockStore | None = None  # of blocks that were made before
    lock: RLock = field(default_factory=RLock)  # of this process; the folder's own holds against others
    _stamps: Stamps | None = None
    _state: State | None = None

    @property
    def title(self) -> str:
        """What the set is called: by its font, like its report."""
        source = self.state().pattern.source
        return f"{source.family} {source.style}".strip() or source.file

    def state(self) -> State:
        """What stands in the folder now, or stood there last, while another run is at work in it.

        Raises :class:`InputError` where it cannot be read.
        """
        with self.lock:
            stamps = stamps_of(self.folder / part for part in PARTS)
            if self._state is None or stamps != self._stamps:
                try:
                    pattern = read_pattern(self.folder)
                except InputError:
                    if self._state is None:
                        raise
                    return self._state
                self._state = State(
                    pattern,
                    read_record(self.folder),
                    read_alternatives(self.folder),
                    {glyph.key: glyph for glyph in pattern.glyphs},
                )
                self._stamps = stamps
            return self._state

    @contextmanager
    def held(self) -> Iterator[State]:
        """The folder held for a change, by the lock that all commands use."""
        with self.lock, one_run_at_a_time(self.folder):
            yield self.state()

    def drawings(self) -> Mapping[str, bytes]:
        """All drawings that can be read, by key."""
        return read_blocks(self.folder, {})

    def edits(self) -> dict[str, bytes]:
        """The drawings that were changed by hand, by key."""
        return edits_among(self.drawings(), self.state().kept)

    def settings_text(self) -> str:
        """The text of ``alphabet.toml``; empty where there is none."""
        return read_settings_text(self.settings_file) if self.settings_file.exists() else ""

    def settings(self, text: str, changed: Collection[str] = ()) -> Settings:
        """The set's settings with those for single glyphs that the text of its settings file has.

        Glyphs of which it does not speak are as the set was made, except those whose names are in ``changed``.
        """
        made = Settings.from_echo(self.state().pattern.settings)
        former = {name: own for name, own in made.glyphs.items() if name not in changed}
        own, parts = own_of_text(text, ALPHABET) if text else ({}, {})
        return replace(made, glyphs={**former, **own}, parts={**made.parts, **parts})

    def chosen(self) -> tuple[ChosenGlyph, ...]:
        """The glyphs of the set that are in the font, as they were chosen. Raises :class:`InputError` without it."""
        font = self.needed_font()
        known = set(font.glyph_names)
        return tuple(
            ChosenGlyph(g.name, g.codepoints, g.text) for g in self.state().pattern.glyphs if g.name in known
        )

    def needed_font(self) -> Font:
        """The font. Raises :class:`InputError` where it was not found."""
        if self.font is None:
            file = self.state().pattern.source.file
            raise InputError(f"The font {file} was not found; start again with --font and where it is.")
        return self.font

    def tag(self, key: str) -> str:
        """What a glyph is called."""
        return tag(self.state().glyph(key))

    def converters_figure(self, key: str) -> Figure:
        """The figure that the converter drew, whatever was made of it since.

        Raises :class:`InputError` where it would have to be made again, and the font was not found.
        """
        state = self.state()
        glyph, there = state.glyph(key), state.alternatives.get(key)
        settings = self.settings(self.settings_text())
        if key not in state.edited:
            return figure_of_glyph(glyph)
        if there is not None:
            return figure_of_glyph(
                there.figures[min(settings.of(glyph.name).alternative or 1, len(there.figures)) - 1]
            )
        made = convert_some(self.needed_font(), self.chosen(), settings, {glyph.name}, store=self.store)
        if not made:
            raise InputError("The font has no such character: this block is yours alone.")
        return figure_of_glyph(made[0].glyph)
