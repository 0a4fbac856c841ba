"""Characters added to a set: the blocks that it has, their files and their lines stay byte for byte."""

from dataclasses import replace
from pathlib import Path

from converter.errors import InputError
from converter.folder.content import FAULTS, TEMPLATES, Files, Map, summary
from converter.folder.keeping import BLOCKS, RECORD, Kept, parse_record, record_json
from converter.folder.reading import read_alternatives, read_blocks, read_faults, read_lines, read_record
from converter.fonts.choosing import ChosenGlyph
from converter.fonts.loading import Font
from converter.fonts.spacing import read_spacing
from converter.model import Pattern
from converter.pattern import to_json
from converter.pipeline import Conversion
from converter.redesign.folder import Folder, new_folder
from converter.report.alternatives import (
    ALTERNATIVES,
    Alternatives,
    alternatives_json,
    parse_alternatives,
)
from converter.sets import log_files


def check_font(font: Font, pattern: Pattern, folder: Path) -> None:
    """Raises :class:`InputError` where a set was made from another font."""
    source = pattern.source
    if (font.sha256, font.family, font.style) != (source.sha256, source.family, source.style):
        what = "is another version of it" if font.file == source.file else f"is not {source.file}"
        raise InputError(
            f"{font.file}: {what}, from which the set in {folder} was made; give that font, or convert all anew."
        )


def is_there(pattern: Pattern, chosen: ChosenGlyph) -> bool:
    """Whether a set has a block for the glyph, or for one of its characters."""
    codes = set(chosen.codepoints)
    return any(glyph.name == chosen.name or codes & set(glyph.codepoints) for glyph in pattern.glyphs)


def added_set(folder: Path, pattern: Pattern, conversion: Conversion, font: Font, each: Map = map) -> Folder:
    """What is to be written into a set's folder where the blocks of a conversion are added to it, behind the others.

    ``each`` draws the blocks, several at once if it can. Raises :class:`InputError` where a drawing stands already
    where one of them is to go.
    """
    in_the_way = sorted(set(read_blocks(folder)) & {made.glyph.key for made in conversion.made})
    if in_the_way:
        path = folder / BLOCKS / f"{in_the_way[0]}.svg"
        raise InputError(f"{path}: is a drawing of yours; check takes it into the set, or move it away.")
    new = new_folder(
        replace(conversion.pattern, settings=pattern.settings, fabrics=pattern.fabrics),
        {made.glyph.key: Kept(size=made.size, outline=made.guide) for made in conversion.made},
        alternatives={made.glyph.key: Alternatives(made.number, made.figures) for made in conversion.made},
        each=each,
    )
    whole = replace(pattern, glyphs=(*pattern.glyphs, *new.pattern.glyphs))
    known = set(font.glyph_names)
    widths = [pattern.block.width, *(glyph.metrics.block_width or 0.0 for glyph in new.pattern.glyphs)]
    whole = replace(
        whole,
        block=replace(pattern.block, width=max(widths)),
        spacing=read_spacing(font, {g.key: (g.name, g.codepoints) for g in whole.glyphs if g.name in known}),
    )
    kept = {**read_record(folder), **parse_record(new.files[RECORD])}
    figures = {**read_alternatives(folder), **parse_alternatives(new.files[ALTERNATIVES])}
    files: Files = {p: new.files[p] for p in new.files if p.startswith((f"{BLOCKS}/", f"{TEMPLATES}/"))}
    faulty: Files = {f"{FAULTS}/{key}.svg": data for key, data in read_faults(folder).items()}
    files.update(summary(whole, kept, faulty, figures))
    glyph_lines, record_lines = read_lines(folder)
    files["pattern.json"] = to_json(whole, glyph_lines)
    files[RECORD] = record_json(kept, record_lines)
    files[ALTERNATIVES] = alternatives_json(figures)
    logs = {**{made.glyph.key: made.log for made in conversion.made if made.log}, **new.logs}
    files.update(log_files(logs))
    return Folder(whole, files, logs=logs)
