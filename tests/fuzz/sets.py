"""A converted set as it lies on the disk, made once: what commands of the families are given to read."""

import tempfile
from functools import cache
from pathlib import Path

from converter.folder.keeping import Kept
from converter.model import Glyph
from converter.output import write_folder
from converter.redesign.folder import new_folder
from converter.report.alternatives import Alternatives
from tests.samples import letter_i, letter_t, plus, sample_pattern

GLYPHS: tuple[Glyph, ...] = (letter_i(), letter_t(), plus())


@cache
def sound_set() -> dict[str, bytes]:
    """Its files by path: blocks I, T and +, with somebody's own notes."""
    kept = {glyph.key: Kept(size=60.0, outline=glyph.figure) for glyph in GLYPHS}
    figures = {glyph.key: Alternatives(1, ()) for glyph in GLYPHS}
    done = new_folder(sample_pattern(*GLYPHS), kept, alternatives=figures)
    with tempfile.TemporaryDirectory() as top:
        folder = Path(top) / "set"
        write_folder(folder, done.files)
        (folder / "notes.txt").write_text("sow in May", encoding="utf-8")
        return {
            str(path.relative_to(top)): path.read_bytes()
            for path in sorted(folder.rglob("*"))
            if path.is_file()
        }


OWN = (*(f"set/blocks/{glyph.key}.svg" for glyph in GLYPHS), "set/notes.txt")  # what no command may change
