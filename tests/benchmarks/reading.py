"""Whether a reading program still reads the letters once they are pieced.

Each character stands three times in a line of five drawn at random (the same lines on every run), set with
the font's own widths and side bearings, black on white. Tesseract reads each line twice: once with the font's own
outlines, once with the figures of the blocks. A letter counts if its outline is read in most of its three lines, and
is lost if its figure is not. It is told to expect one line, of which kinds of characters (capitals, small
letters, digits) the run has, and to use no word list. What it mixes up in the font itself, as O and 0, is not counted.

Lines are shared, so that five letters are tried by one run; what was read is laid beside what was set by the
longest common runs of characters.
"""

import random
import shutil
import subprocess
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from difflib import SequenceMatcher
from string import ascii_lowercase, ascii_uppercase, digits

import resvg_py

from converter.fonts.loading import Font
from converter.fonts.outlines import read_outline
from converter.model import Glyph, Polygons

TESSERACT = shutil.which("tesseract")  # Debian's package tesseract-ocr
KINDS = (ascii_uppercase, ascii_lowercase, digits)
LINES = 3  # that each letter stands in
LINE_LENGTH = 5
CAP_PIXELS = 100
BORDER = 0.8  # white round the line, in cap heights


@dataclass(frozen=True, slots=True)
class Letter:
    """What is set: polygons with the baseline at 0 (y down) and the pen at 0, and how far the pen moves on."""

    polygons: Polygons
    advance: float


Found = Mapping[str, Sequence[str]]  # for each letter what was read in its place, line by line


@dataclass(frozen=True, slots=True)
class Reading:
    """What was read of the font's outlines, and of the blocks."""

    outlines: Found
    blocks: Found

    @property
    def counted(self) -> str:
        """The letters whose untouched outline is read."""
        return "".join(letter for letter in self.outlines if _is_read(letter, self.outlines))

    @property
    def lost(self) -> Found:
        """Those of them that are not read from the blocks."""
        return {letter: self.blocks[letter] for letter in self.counted if not _is_read(letter, self.blocks)}


def read_letters(font: Font, glyphs: Sequence[Glyph]) -> Reading:
    """Tries the letters and digits among the glyphs. Needs :data:`TESSERACT`."""
    tried = [glyph for glyph in glyphs if glyph.text and any(glyph.text in kind for kind in KINDS)]
    lines = list(trial_lines("".join(glyph.text for glyph in tried)))
    outlines = {glyph.text: outline_letter(font, glyph.name) for glyph in tried}
    figures = {glyph.text: figure_letter(font, glyph) for glyph in tried}
    return Reading(*(_read_lines(lines, kind, font.cap_height) for kind in (outlines, figures)))


def trial_lines(letters: str) -> Iterator[tuple[str, int]]:
    """Lines, and how many of a line's letters are tried by it: the rest of a last line is filled up."""
    for seed in range(LINES):
        chance = random.Random(seed)
        order = chance.sample(letters, len(letters))
        for start in range(0, len(order), LINE_LENGTH):
            line = order[start : start + LINE_LENGTH]
            others = [letter for letter in order if letter not in line]
            missing = min(LINE_LENGTH - len(line), len(others))
            yield "".join(line + chance.sample(others, missing)), len(line)


def outline_letter(font: Font, name: str) -> Letter:
    """The font's own letter."""
    outline = read_outline(font, name, font.cap_height / 1000)
    polygons = tuple(tuple(tuple((x, -y) for x, y in ring) for ring in p) for p in outline.polygons)
    return Letter(polygons, outline.advance)


def figure_letter(font: Font, glyph: Glyph) -> Letter:
    """The letter as it is pieced, in the font's units; one that was narrowed to fit its block stays so."""
    a, _, _, d, e, f = glyph.placement
    scale = abs(d)
    polygons = tuple(
        tuple(tuple(((x - e) / scale, (y - f) / scale) for x, y in ring) for ring in p) for p in glyph.figure
    )
    return Letter(polygons, font.advance(glyph.name) * a / scale)


def picture(line: str, letters: Mapping[str, Letter], cap_height: float) -> bytes:
    """The line as a PNG."""
    scale, border = CAP_PIXELS / cap_height, BORDER * CAP_PIXELS
    pen, paths = border, []
    for letter in line:
        for polygon in letters[letter].polygons:
            rings = (" ".join(f"{pen + scale * x:.3f},{scale * y:.3f}" for x, y in ring) for ring in polygon)
            paths.append("".join(f"M{ring}Z" for ring in rings))
        pen += scale * letters[letter].advance
    width, height = pen + border, CAP_PIXELS + 2 * border
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.3f} {height:.3f}" '
        f'width="{width:.3f}" height="{height:.3f}">'
        f'<rect width="100%" height="100%" fill="#fff"/>'
        f'<path transform="translate(0 {CAP_PIXELS + border})" fill-rule="evenodd" d="{"".join(paths)}"/></svg>'
    )
    return bytes(resvg_py.svg_to_bytes(svg_string=svg))


def read(png: bytes, characters: str = ascii_uppercase) -> str:
    """What Tesseract reads in a picture of one line, which has none but these characters."""
    command = [TESSERACT or "tesseract", "-", "-", "--psm", "7", "--dpi", "300"]
    for setting in (
        f"tessedit_char_whitelist={characters}", "load_system_dawg=0", "load_freq_dawg=0",
    ):  # fmt: skip
        command += ["-c", setting]
    done = subprocess.run(
        command, input=png, capture_output=True, check=True, env={"OMP_THREAD_LIMIT": "1"}, timeout=60
    )
    return "".join(done.stdout.decode().split())


def in_place(line: str, text: str) -> list[str]:
    """What was read in place of each letter of the line; where letters ran together, each gets all of it."""
    found = [""] * len(line)
    for _, start, end, first, last in SequenceMatcher(None, line, text, autojunk=False).get_opcodes():
        for k in range(start, end):
            even = last - first == end - start
            found[k] = text[first + k - start] if even else text[first:last]
    return found


def _read_lines(lines: Sequence[tuple[str, int]], letters: Mapping[str, Letter], cap_height: float) -> Found:
    found: dict[str, list[str]] = {letter: [] for letter in letters}
    characters = "".join(kind for kind in KINDS if not found.keys().isdisjoint(kind))
    with ThreadPoolExecutor(2) as threads:
        texts = threads.map(lambda line: read(picture(line[0], letters, cap_height), characters), lines)
        for (line, tried), text in zip(lines, texts, strict=True):
            for letter, instead in list(zip(line, in_place(line, text), strict=True))[:tried]:
                found[letter].append(instead)
    return found


def _is_read(letter: str, found: Found) -> bool:
    return found[letter].count(letter) > LINES / 2
