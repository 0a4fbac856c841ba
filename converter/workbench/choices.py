"""What a designer chooses for letters: written into ``alphabet.toml``, and made anew at once."""

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, field, replace

from converter.drawing.block import block_size
from converter.errors import InputError
from converter.findings.waivers import with_accepted
from converter.folder.content import FAULTS, TEMPLATES, Files, drawn, summary, templates
from converter.folder.keeping import BLOCKS, RECORD, Kept, discard, record_json
from converter.folder.reading import adopted, read_backups, read_faults
from converter.jobs import Made
from converter.model import Glyph, Pattern
from converter.output import digest, replace_file, write_folder
from converter.pattern import settled
from converter.pipeline import convert_some
from converter.redesign.check import check_block, with_checked
from converter.redesign.folder import faults_of
from converter.report.alternatives import ALTERNATIVES, Alternatives, alternatives_json
from converter.settings import GlyphSettings, Settings
from converter.workbench.alphabet import Changes, changed_text, first_text
from converter.workbench.opened import OpenSet, State

CONVERTED = ("detail", "width", "margin", "min_piece_width")  # what a block has to be converted anew for


@dataclass(slots=True)
class _Next:
    """The set as it is to be."""

    pattern: Pattern
    kept: dict[str, Kept]
    alternatives: dict[str, Alternatives]
    drawn: set[str] = field(default_factory=set)  # keys of blocks that are drawn anew
    judged: set[str] = field(default_factory=set)  # keys of blocks whose drawings are checked anew

    def put(self, glyph: Glyph) -> None:
        """A glyph in place of the one of its key."""
        glyphs = tuple(glyph if g.key == glyph.key else g for g in self.pattern.glyphs)
        self.pattern = replace(self.pattern, glyphs=glyphs)


def choose(
    opened: OpenSet,
    changes: Changes,
    given_up: Sequence[str] = (),
    executor: Executor | None = None,
    on_done: Callable[[Made], None] = lambda made: None,
) -> tuple[str, ...]:
    """Writes changes (by glyphs' names, see :func:`changed_text`), makes anew what they concern, and gives its keys.

    ``given_up``: keys of blocks that were changed by hand, whose drawings go to ``backups/``; all other such blocks
    stay as they were drawn. Raises :class:`InputError` for what cannot be set, or needs a font that was not found.
    """
    with opened.held() as state:
        names = {glyph.name for glyph in state.pattern.glyphs}
        if unknown := sorted(set(changes) - names):
            raise InputError(f"This set has no character {unknown[0]!r}.")
        old = opened.settings_text()
        text = changed_text(old or first_text(Settings.from_echo(state.pattern.settings)), changes)
        before, after = Settings.from_echo(state.pattern.settings), opened.settings(text, changes)
        edits = opened.edits()
        left, backups = discard(edits, given_up, read_backups(opened.folder) if given_up else {})
        new = _Next(state.pattern, dict(state.kept), dict(state.alternatives))
        again = set()
        for glyph in state.pattern.glyphs:
            own, former = after.of(glyph.name), before.of(glyph.name)
            if any(getattr(own, name) != getattr(former, name) for name in CONVERTED):
                again.add(glyph.name)
            elif _is_other(own, former) or glyph.key in given_up:
                is_there = _swap(new, state, glyph.key, own, glyph.key in left)
                again |= set() if is_there else {glyph.name}
            if own.accept != former.accept:
                new.judged.add(glyph.key)
        if after.parts != before.parts:
            again = {chosen.name for chosen in opened.chosen()}
        if again:
            font = opened.needed_font()
            for made in convert_some(font, opened.chosen(), after, again, executor, on_done, opened.store):
                _take(new, made, made.glyph.key in left)
        echo = {**new.pattern.settings, **{key: after.echo()[key] for key in ("glyphs", "treatments")}}
        widest = max((block_size(new.pattern, g)[0] for g in new.pattern.glyphs), default=0.0)
        new.pattern = replace(
            new.pattern,
            settings=echo,
            block=replace(new.pattern.block, width=widest or new.pattern.block.width),
        )
        files, outdated = _files(opened, new, left)
        if text != old:
            replace_file(opened.settings_file, text, digest(old) if old else "")
        known = adopted(opened.folder) | {f"{BLOCKS}/{key}.svg": digest(edits[key]) for key in given_up}
        write_folder(opened.folder, {**files, **backups}, outdated, known=known)
        return tuple(sorted(new.drawn | new.judged))


def _is_other(own: GlyphSettings, former: GlyphSettings) -> bool:
    return (own.alternative or 1) != (former.alternative or 1)


def _swap(new: _Next, state: State, key: str, own: GlyphSettings, is_edit: bool) -> bool:
    """Takes another of the figures that are there; False where the one that is wanted has to be made."""
    there, number = state.alternatives.get(key), own.alternative or 1
    if there is None or not number <= len(there.figures):
        return False
    new.alternatives[key] = replace(there, chosen=number)
    if is_edit:
        new.judged.add(key)
    else:
        new.put(with_accepted(there.figures[number - 1], own.accept))
        new.drawn.add(key)
    return True


def _take(new: _Next, made: Made, is_edit: bool) -> None:
    """Takes what was made; a block changed by hand stays, and is judged by the new outline."""
    key = made.glyph.key
    new.kept[key] = replace(new.kept.get(key, Kept()), size=made.size, outline=made.guide)
    new.alternatives[key] = Alternatives(made.number, made.figures)
    if is_edit:
        new.judged.add(key)
    else:
        new.put(made.glyph)
        new.drawn.add(key)
        new.judged.discard(key)


def _files(opened: OpenSet, new: _Next, edits: Mapping[str, bytes]) -> tuple[Files, list[str]]:
    """What is to be written, and what of what stands there goes."""
    some = replace(new.pattern, glyphs=tuple(g for g in new.pattern.glyphs if g.key in new.drawn))
    files, record = drawn(some, new.kept)
    new.kept.update(record)
    there: Files = {key: data for key, data in opened.drawings().items() if key not in new.drawn}
    there.update((glyph.key, files[f"{BLOCKS}/{glyph.key}.svg"]) for glyph in some.glyphs if glyph.pieces)
    drawings = {
        key: data if isinstance(data, bytes) else data.encode("utf-8")
        for key, data in there.items()
        if key in new.judged
    }
    checked = tuple(
        check_block(new.pattern, key, data, new.kept.get(key), by_hand=key in edits)
        for key, data in sorted(drawings.items())
    )
    pattern = settled(with_checked(new.pattern, checked))
    changed = new.drawn | new.judged
    files.update(templates(replace(pattern, glyphs=tuple(g for g in pattern.glyphs if g.key in changed))))
    files.update(faults_of(pattern, checked))
    faulty: Files = {
        f"{FAULTS}/{key}.svg": data for key, data in read_faults(opened.folder).items() if key not in changed
    }
    files[ALTERNATIVES], files[RECORD] = alternatives_json(new.alternatives), record_json(new.kept)
    files.update(summary(pattern, new.kept, {**faulty, **files}, new.alternatives))
    outdated = [f"{part}/{key}.svg" for part in (FAULTS, TEMPLATES) for key in sorted(changed)]
    return files, outdated
