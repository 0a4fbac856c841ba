"""One letter under a designer's hand: what a change of its figure comes to, and the block saved as her edit."""

from dataclasses import dataclass

from converter.drawing.block import block_svg
from converter.errors import InputError
from converter.folder.content import FAULTS, TEMPLATES, drawn_from
from converter.folder.keeping import BLOCKS, RECORD, Kept, discard, record_json
from converter.folder.reading import adopted, read_backups, read_faults
from converter.model import Glyph
from converter.output import digest, write_folder
from converter.redesign.check import check_block
from converter.redesign.figure.cutting import cut_figure
from converter.redesign.folder import checked_folder
from converter.redesign.ground import Ground
from converter.workbench.figure import Act, Figure, Part, acted, figure_of_glyph
from converter.workbench.opened import OpenSet, State
from converter.workbench.snapping import Magnets, Rest, rested

UNSEWABLE = "This figure cannot be sewn as it is: there is no block to save. The page keeps it until you close its tab."
DECIMALS = 4  # of a mm, as in the pattern file


@dataclass(frozen=True, slots=True)
class Letter:
    """A letter with what stays while its figure changes. ``drawn`` is its figure as it stands in the set."""

    ground: Ground
    magnets: Magnets
    drawn: Figure


@dataclass(frozen=True, slots=True)
class Answer:
    """What an act comes to: the figure, the block cut from it, and what a corner or an edge came to rest on."""

    figure: Figure
    glyph: Glyph
    rests: tuple[Rest, ...]


@dataclass(frozen=True, slots=True)
class Saved:
    """A block that was saved, or that was not since its drawing is another by now: then ``theirs`` is that."""

    mine: Glyph
    theirs: Glyph | None
    known: str  # the hash of the drawing that stands there
    kept_as: str = ""  # where the version that gave way is, in the set's folder


def open_letter(state: State, key: str) -> Letter:
    """A letter of a set. Raises :class:`InputError` where there is none."""
    glyph = state.glyph(key)
    ground = Ground.of(state.pattern, key, state.kept.get(key))
    magnets = Magnets.of(state.pattern.settings, ground.width, ground.height, ground.outline, ground.symmetry)
    return Letter(ground, magnets, figure_of_glyph(glyph))


def answer(letter: Letter, figure: Figure, act: Act, reach: float = 0.0) -> Answer:
    """What an act on a figure comes to. ``reach`` (mm): from how far away it snaps; at 0 it does not.

    Raises :class:`InputError` for an act that cannot be done, or a figure that is too large.
    """
    act, rests = rested(figure, act, letter.magnets, reach)
    figure = _rounded(acted(figure, act, letter.magnets.symmetry))
    return Answer(figure, cut(letter, figure), rests)


def cut(letter: Letter, figure: Figure) -> Glyph:
    """The block cut anew from a figure."""
    return cut_figure([(part.fabric, (part.rings,)) for part in figure], letter.ground)


def _rounded(figure: Figure) -> Figure:
    return tuple(
        Part(
            part.fabric,
            tuple(
                tuple((round(x, DECIMALS) + 0.0, round(y, DECIMALS) + 0.0) for x, y in ring)
                for ring in part.rings
            ),
        )
        for part in figure
    )


def save(opened: OpenSet, key: str, figure: Figure, known: str, instead: bool = False) -> Saved:
    """Writes a block with that figure as an edit, cut anew, and brings the set up to date.

    ``known``: the hash of the drawing that the change began from. Where another stands there by now, nothing takes its
    place, and this one goes to ``backups/``; with ``instead``, it is the other one that goes there.
    Raises :class:`InputError` for a figure that cannot be sewn, and where the folder is at work or cannot be written.
    """
    path = f"{BLOCKS}/{key}.svg"
    with opened.held() as state:
        there = opened.drawings().get(key, b"")
        letter = open_letter(state, key)
        glyph = cut(letter, figure)
        if not glyph.pieces:
            raise InputError(UNSEWABLE)
        kept = state.kept.get(key, Kept())
        drawing = block_svg(state.pattern, glyph, kept.outline).encode("utf-8")
        backups: dict[str, bytes] = {}
        if there != drawing and (instead or digest(there) != known):
            older = read_backups(opened.folder)
            version = {key: there if instead else drawing}
            backups = {
                path: data for path, data in discard(version, (key,), older)[1].items() if path not in older
            }
            if not instead:
                write_folder(opened.folder, backups, known=adopted(opened.folder))
                theirs = check_block(state.pattern, key, there, kept).after
                return Saved(glyph, theirs, digest(there), next(iter(backups)))
        kept = drawn_from(kept, glyph)  # so that an editor's change of either layer can be told from this
        checked = check_block(state.pattern, key, drawing, kept)
        faulty = {other: data for other, data in read_faults(opened.folder).items() if other != key}
        done = checked_folder(state.pattern, (checked,), state.kept, faulty, state.alternatives)
        record = record_json({**state.kept, key: kept})
        files = {**done.files, **backups, path: drawing, RECORD: record}
        outdated = [f"{part}/{key}.svg" for part in (FAULTS, TEMPLATES)]
        write_folder(opened.folder, files, outdated, known={**adopted(opened.folder), path: digest(there)})
        return Saved(checked.after, None, digest(drawing), next(iter(backups), ""))
