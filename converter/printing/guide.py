"""The page guide: which pages of which file to print for a kind of character, a word, one character."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from converter.drawing.labels import tag
from converter.model import Glyph
from converter.printing.selection import Selection, groups
from converter.printing.sheets import Sheets
from converter.printing.wording import character_list, page_ranges

# Tried one after the other for the example of a word; the first characters of the set if none can be written.
EXAMPLE_WORDS = ("KELP", "BEANS", "SHELL", "kelp", "beans", "shell")


@dataclass(frozen=True, slots=True)
class GuideRow:
    """What to print for ``what``: page numbers as text."""

    what: str
    detail: str
    characters: str  # pages of characters.pdf
    sheets: str  # pages of sheets.pdf


def guide(
    selection: Selection, pages: Mapping[str, Sequence[int]], sheets: Sheets
) -> tuple[list[GuideRow], list[GuideRow]]:
    """Rows for kinds of characters and for a word, and a row a character.

    ``pages``: the pages of ``characters.pdf`` that each glyph's key takes.
    """

    def row(what: str, detail: str, glyphs: Iterable[Glyph]) -> GuideRow:
        members = list(glyphs)
        return GuideRow(
            what,
            detail,
            page_ranges(page for glyph in members for page in pages[glyph.key]),
            page_ranges(page for glyph in members for page in sheets.pages_of(glyph)),
        )

    rows = [row(group.name, character_list(group.glyphs), group.glyphs) for group in groups(selection.glyphs)]
    word, letters = _word(selection)
    if letters:
        rows.append(row(word, "the word" if selection.only else "a word, for example", letters))
    rows.append(row("everything", "", selection.glyphs))
    return rows, [row(tag(glyph), "", [glyph]) for glyph in selection.glyphs]


def _word(selection: Selection) -> tuple[str, list[Glyph]]:
    if selection.only:
        return selection.only, list(selection.glyphs)
    by_text = {glyph.text: glyph for glyph in selection.glyphs if len(glyph.text) == 1}
    for word in EXAMPLE_WORDS:
        if all(letter in by_text for letter in word):
            return word, [by_text[letter] for letter in word]
    letters = [glyph for glyph in selection.glyphs if glyph.text.isalpha()][:3]
    return "".join(glyph.text for glyph in letters), letters
