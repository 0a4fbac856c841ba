"""A finished conversion written into its folder, where a designer may have changed blocks by hand."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from converter.folder.content import FAULTS, TEMPLATES, Files, Map
from converter.folder.keeping import BLOCKS, Kept, discard, edits_among
from converter.folder.reading import read_backups, read_blocks, read_pattern, read_record
from converter.output import one_run_at_a_time, write_folder
from converter.pipeline import Conversion
from converter.redesign.folder import Folder, new_folder
from converter.report.alternatives import Alternatives

LOG = "problems.log"
OUTDATED = (BLOCKS, FAULTS, LOG, TEMPLATES)  # of an earlier run, where this one has nothing of the kind


def write_set(folder: Path, conversion: Conversion, discarded: Sequence[str] = ()) -> Folder:
    """Writes everything that ``convert`` writes: pattern, drawings, templates, report, record.

    Blocks that were changed by hand in the folder stay byte for byte, and are planned and judged anew, except those
    of the keys in ``discarded``, which go to ``backups/``. The folder is replaced as a whole or, if anything fails,
    left as it was. Gives what was written; ``checked`` in it has the blocks changed by hand.

    Raises :class:`InputError` where the folder cannot be written, another run is at work in it, or a key has no edit.

    >>> from tempfile import TemporaryDirectory
    >>> from converter import Settings, choose_glyphs, convert, judge_licence, load_font
    >>> path = Path("sample_fonts/jost/jost-latin-800-normal.woff2")
    >>> font = load_font(path)
    >>> licence = judge_licence(font, path.parent)
    >>> conversion = convert(font, choose_glyphs(font, text="I").glyphs, licence, Settings())
    >>> with TemporaryDirectory() as out:
    ...     written = write_set(Path(out) / "village", conversion)
    ...     sorted(path.name for path in (Path(out) / "village").iterdir())  # doctest: +NORMALIZE_WHITESPACE
    ['alternatives.json', 'blocks', 'pattern.json', 'record.json', 'report.csv', 'report.html', 'templates']
    """
    with one_run_at_a_time(folder):
        done = new_set(folder, conversion, discarded)
        write_folder(folder, done.files, outdated=OUTDATED)
    return done


def new_set(folder: Path, conversion: Conversion, discarded: Sequence[str] = (), each: Map = map) -> Folder:
    """What :func:`write_set` writes into a folder as it stands. ``each`` draws blocks, several at once if it can."""
    edits, backups = edits_and_backups(folder, discarded)
    kept = {made.glyph.key: Kept(size=made.size, outline=made.guide) for made in conversion.made}
    former = read_pattern(folder) if edits and (folder / "pattern.json").exists() else None
    alternatives = {made.glyph.key: Alternatives(made.number, made.figures) for made in conversion.made}
    done = new_folder(conversion.pattern, kept, edits, former, read_record(folder), alternatives, each)
    logs = {**{made.glyph.key: made.log for made in conversion.made if made.log}, **done.logs}
    return replace(done, files=done.files | backups | log_files(logs), logs=logs)


def log_files(logs: Mapping[str, str]) -> Files:
    """The file that tells what went wrong where the program failed on blocks (by key); none where it did not."""
    return {LOG: "\n".join(f"{key}\n{log}" for key, log in logs.items())} if logs else {}


def edits_and_backups(folder: Path, discarded: Sequence[str]) -> tuple[dict[str, bytes], dict[str, bytes]]:
    """The drawings changed by hand that stay, by key; and the backups of those that do not, by path.

    Raises :class:`InputError` for a key that has no edit.
    """
    edits = edits_among(read_blocks(folder), read_record(folder))
    return discard(edits, discarded, read_backups(folder) if discarded else {})
