"""A finished conversion written into its folder, where a designer may have changed blocks by hand."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from converter.folder.content import FAULTS, TEMPLATES, Files, Map
from converter.folder.keeping import BLOCKS, Kept, discard, edits_among
from converter.folder.reading import adopted, read_backups, read_blocks, read_pattern, read_record
from converter.output import digest, one_run_at_a_time, write_folder
from converter.packed import Packed
from converter.pipeline import Conversion
from converter.publication import FOLDER
from converter.redesign.folder import Folder, new_folder
from converter.report.alternatives import Alternatives

LOG = "problems.log"
OUTDATED = (
    BLOCKS,
    FAULTS,
    FOLDER,
    LOG,
    TEMPLATES,
)  # of an earlier run, where this one has nothing of the kind


def write_set(folder: Path, conversion: Conversion, discarded: Sequence[str] = ()) -> Folder:
    """Writes everything that ``convert`` writes: pattern, drawings, templates, report, record.

    Blocks that were changed by hand in the folder stay byte for byte, and are planned and judged anew, except those
    of the keys in ``discarded``, which go to ``backups/``. Only what the program wrote gives way, all of it or, if
    anything fails, nothing. Gives what was written; ``checked`` in it has the blocks changed by hand.

    Raises :class:`InputError` where the folder cannot be written, another run is at work in it, or a key has no edit.

    >>> from tempfile import TemporaryDirectory
    >>> from converter import Settings, choose_glyphs, convert, judge_licence, load_font
    >>> path = Path("sample_fonts/jost/jost-latin-800-normal.woff2")
    >>> font = load_font(path)
    >>> licence = judge_licence(font, path.parent)
    >>> conversion = convert(font, choose_glyphs(font, text="I").glyphs, licence, Settings())
    >>> with TemporaryDirectory() as out:
    ...     written = write_set(Path(out) / "village", conversion)
    ...     [path.name for path in sorted((Path(out) / "village/blocks").iterdir())]
    ['I_.svg']
    >>> written.checked
    ()
    """
    with one_run_at_a_time(folder):
        old, found = adopted(folder), standing(folder, discarded)
        done = new_set(folder, conversion, found)
        write_folder(folder, done.files, OUTDATED, by_hand=BLOCKS, known=old | found.known)
    return done


@dataclass(frozen=True, slots=True)
class Standing:
    """What stands in ``blocks/`` before a set is written.

    ``edits``: drawings changed by hand that stay, by key. ``backups``: of those that do not, by path. ``known``: the
    hash of what may give way to a new drawing, by path; empty where nothing may.
    """

    edits: dict[str, bytes]
    backups: dict[str, bytes]
    known: dict[str, str]


def standing(folder: Path, discarded: Sequence[str]) -> Standing:
    """Looks into a folder. Raises :class:`InputError` for a key in ``discarded`` that has no edit."""
    drawings = read_blocks(folder)
    edits, backups = discard(
        edits_among(drawings, read_record(folder)), discarded, read_backups(folder) if discarded else {}
    )
    known = {f"{BLOCKS}/{key}.svg": "" if key in edits else digest(data) for key, data in drawings.items()}
    return Standing(edits, backups, known)


def new_set(folder: Path, conversion: Conversion, found: Standing, each: Map = map) -> Folder:
    """What :func:`write_set` writes where it ``found`` that. ``each`` draws blocks, several at once if it can."""
    kept = Packed((made.glyph.key, Kept(size=made.size, outline=made.guide)) for made in conversion.made)
    former = read_pattern(folder) if found.edits and (folder / "pattern.json").exists() else None
    alternatives = Packed(
        (made.glyph.key, Alternatives(made.number, made.figures)) for made in conversion.made
    )
    done = new_folder(conversion.pattern, kept, found.edits, former, read_record(folder), alternatives, each)
    logs = {**{made.glyph.key: made.log for made in conversion.made if made.log}, **done.logs}
    done.files.update({**found.backups, **log_files(logs)})
    return replace(done, logs=logs)


def log_files(logs: Mapping[str, str]) -> Files:
    """The file that tells what went wrong where the program failed on blocks (by key); none where it did not."""
    return {LOG: "\n".join(f"{key}\n{log}" for key, log in logs.items())} if logs else {}
