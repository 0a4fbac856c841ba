"""For each budget, whether so much of it is too much: what ``test_edges`` asks at the budget and one above it."""

import io
import struct
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import click
from fontTools.misc.psCharStrings import T2CharString
from PIL import Image

from converter.artwork import read_pictures, safe_picture
from converter.cli.fabric_command import fabric_command
from converter.cli.layout_file import read_layout
from converter.cli.reading import read_names, read_toml
from converter.cli.types import LINE
from converter.cli.words_command import words_command
from converter.errors import InputError
from converter.files import parse_json
from converter.folder.keeping import is_key, record_json
from converter.folder.reading import read_alternatives, read_papers, read_pattern, read_record
from converter.folder.soundness import mended, sound_pattern
from converter.fonts.characters import _check_size
from converter.fonts.choosing import choose_glyphs
from converter.fonts.errors import GlyphError
from converter.fonts.flatten import flatten_contour
from converter.fonts.glyphs import GlyphReader
from converter.fonts.licence import judge_licence
from converter.fonts.loading import load_font
from converter.fonts.names import plain_glyph_names
from converter.mats.laying import lay_on_mats
from converter.model import Fabric
from converter.output import LEDGER, one_run_at_a_time
from converter.output.ledger import read_ledger
from converter.papers import PAPERS
from converter.pattern import to_json
from converter.publication import read_publication
from converter.report.alternatives import ALTERNATIVES, Alternatives, alternatives_json
from converter.settings import resolve_settings
from converter.units import parse_length
from converter.words.colours import parse_fabric
from converter.words.frames import Frame
from converter.words.framing import frame_pattern
from converter.words.parts import LayoutSettings
from converter.words.text import read_text
from tests.fonts.makers import builder, cubic_disc, saved, square
from tests.samples import letter_i, letter_t, sample_pattern

IsOver = Callable[[int, Path], bool]
OFL = "This Font Software is licensed under the SIL Open Font License, Version 1.1."


def told(words: str, call: Callable[[], object]) -> bool:
    """Whether a call ends with these words; it may end with others, or well."""
    try:
        call()
    except (InputError, GlyphError, click.UsageError) as error:
        return words in str(error)
    return False


def put(folder: Path, data: bytes, name: str = "font.ttf") -> Path:
    (folder / name).write_bytes(data)
    return folder / name


def sparse(folder: Path, size: int, name: str) -> Path:
    with (folder / name).open("wb") as file:
        file.truncate(size)
    return folder / name


def padded(folder: Path, name: str, text: str, size: int) -> Path:
    """A JSON file made longer by spaces, which mean nothing in it."""
    return put(folder, text.encode().ljust(size), name)


def glyph(path: Path, name: str = "A") -> None:
    font = load_font(path)
    GlyphReader(font._reader._font, {}).contours(name)


def woff(count: int) -> bytes:
    head = struct.pack(">4s4sLHHLHHLLLLL", b"wOFF", b"\0\1\0\0", 64, 1, 0, 99, 1, 0, *[0] * 5)
    return head + struct.pack(">4sLLLL", b"head", 64, 10, count, 0)


def sfnt(count: int) -> bytes:
    return b"\0\1\0\0" + struct.pack(">HHHH", count, 0, 0, 0) + bytes(16 * 2_000)


def faces(count: int) -> bytes:
    return b"ttcf" + struct.pack(">LL", 0x00010000, count) + bytes(4 * count)


def cmap(count: int) -> bytes:
    parts = (0x10FFFF, count - 0x10FFFF)
    groups = b"".join(struct.pack(">LLL", 0, part - 1, 1) for part in parts)
    return struct.pack(">HHHHL", 0, 1, 3, 10, 12) + struct.pack(">HHLLL", 12, 0, 40, 0, len(parts)) + groups


def chain(count: int) -> bytes:
    """Composites of composites, so many in each other."""
    names = [f"g{k}" for k in range(count)]
    glyphs = {"A": lambda pen: pen.addComponent(names[0], (1, 0, 0, 1, 0, 0)), names[-1]: square(0, 0, 100)}
    for above, below in pairwise(names):
        glyphs[above] = lambda pen, below=below: pen.addComponent(below, (1, 0, 0, 1, 0, 0))
    return saved(builder(glyphs, cmap={65: "A"}))


def components(count: int) -> bytes:
    def draw(pen: object) -> None:
        for k in range(count):
            pen.addComponent("B", (1, 0, 0, 1, k, 0))  # type: ignore[attr-defined]

    return saved(builder({"A": draw, "B": square(0, 0, 10)}))


def cff(program: bytes, subroutines: int = 0) -> bytes:
    """A glyph of that program; a chain of so many subroutines, each of which calls the next."""
    font = builder({"A": cubic_disc}, kind="CFF")
    top = font.font["CFF "].cff.topDictIndex[0]
    for k in range(subroutines):
        call = [k + 1 - 107, "callgsubr"] if k + 1 < subroutines else []
        top.GlobalSubrs.append(T2CharString(program=[*call, "return"]))
    top.CharStrings["A"].bytecode, top.CharStrings["A"].program = program, None
    return saved(font)


def there_and_back(count: int) -> bytes:
    """A CFF program through so many points: a move, and lines by a unit to the right and to the left."""
    return b"\x8b\x8b\x15" + (b"\x8c\x06\x8a\x06" * count)[: 2 * (count - 1)] + b"\x0e"


def licence_beside(folder: Path, place: int) -> bool:
    """Whether the licence is not found in the file that stands at that place among those that could be it."""
    font = load_font(put(folder, saved(builder({"A": square(0, 0, 10)}))))
    for k in range(1, place):
        put(folder, b"nothing", f"LICENSE-{k:03}.txt")
    put(folder, OFL.encode(), f"LICENSE-{place:03}.txt")
    return judge_licence(font, folder).verdict != "open"


def licence_at_the_end(folder: Path, size: int) -> bool:
    font = load_font(put(folder, saved(builder({"A": square(0, 0, 10)}))))
    put(folder, b"SIL Open Font License".rjust(size, b"-"), "LICENSE.txt")
    return judge_licence(font, folder).verdict != "open"


def named(count: int, name: str, folder: Path) -> str:
    font = load_font(put(folder, saved(builder({"A": square(0, 0, 10)}, names={name: "n" * count}))))
    return font.licence_text if name == "licenseDescription" else font.family


def png(pixels: int) -> bytes:
    out = io.BytesIO()
    Image.new("1", (pixels, 1)).save(out, "PNG")
    return out.getvalue()


def uses(count: int) -> bytes:
    inside = '<g id="a"/>' + '<use href="#a"/>' * count
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 4 2">{inside}</svg>'.encode()


def crooked(count: int) -> bool:
    """Whether a damaged polygon of so many corners is left out."""
    comb = [(float(k), float(k % 2)) for k in range(count - 2)]
    return not mended((((*comb, (0.0, -1.0), (float(count), 2.0)),),))


def labelled(count: int) -> bool:
    pattern = sample_pattern(letter_i())
    fabrics = {key: Fabric("x" * count, fabric.colour) for key, fabric in pattern.fabrics.items()}
    sound = sound_pattern(
        type(pattern)(**{f: getattr(pattern, f) for f in pattern.__slots__} | {"fabrics": fabrics})
    )
    return any(len(fabric.label) < count for fabric in sound.fabrics.values())


def copies(count: int) -> object:
    option = next(p for p in fabric_command.params if p.name == "copies")
    return option.type.convert(str(count), option, None)


def framed(side: int) -> object:
    pattern = sample_pattern(letter_i())
    return frame_pattern(pattern, Frame(width=float(side), height=200.0))


def begun(folder: Path, size: int) -> bool:
    work = folder / ".font2foundation"
    work.mkdir()
    plan = padded(work, "plan.json", '{"steps": [], "by_hand": ""}', size)
    assert plan.is_file()

    def finish() -> None:
        with one_run_at_a_time(folder):
            pass

    return told("too large", finish)


ALONE = alternatives_json({"T_": Alternatives(1, (letter_t(), letter_t()))})
EDGES: dict[str, IsOver] = {
    "fonts.BYTES": lambda n, d: told("larger than", lambda: load_font(sparse(d, n, "font.ttf"))),
    "fonts.UNPACKED": lambda n, d: told("unpacks to more", lambda: load_font(put(d, woff(n)))),
    "fonts.TABLES": lambda n, d: told("tables, so it is damaged", lambda: load_font(put(d, sfnt(n)))),
    "fonts.FACES": lambda n, d: not told(f"holds {n} faces", lambda: load_font(put(d, faces(n)), face=9_999)),
    "fonts.CHARACTERS": lambda n, d: told("more characters", lambda: _check_size(cmap(n), "font")),
    "fonts.CHOSEN": lambda n, d: told(
        "asks for more", lambda: choose_glyphs(load_font(put(d, cff(b"\x0e"))), unicodes=f"0-{n - 1:X}")
    ),
    "fonts.STEPS": lambda n, d: told(
        "far too long", lambda: glyph(put(d, cff((b"\x8b\x8b\x01" * ((n - 2) // 3)).ljust(n - 2, b"\x01") + b"\x0e")))
    ),
    "fonts.CALLS": lambda n, d: told("calls itself", lambda: glyph(put(d, cff(b"\x8b\x8b\x15\x20\x1d\x0e", n)))),
    "fonts.NESTING": lambda n, d: told("nested too deeply", lambda: glyph(put(d, chain(n)))),
    "fonts.COMPONENTS": lambda n, d: told("components", lambda: glyph(put(d, components(n)))),
    "fonts.POINTS": lambda n, d: told("more than", lambda: glyph(put(d, cff(there_and_back(n))))),
    "fonts.CORNERS": lambda n, d: told(
        "corners after flattening",
        lambda: flatten_contour([((k % n, k % 2), ((k + 1) % n, (k + 1) % n % 2)) for k in range(n)], 1.0),
    ),
    "fonts.REACH": lambda n, d: told(
        "far from the letter", lambda: glyph(put(d, saved(builder({"A": square(n * 16 - 1, 0, 1)}, upem=16))))
    ),
    "fonts.NAME": lambda n, d: len(named(n, "familyName", d)) < n,
    "fonts.LICENCE": lambda n, d: len(named(n, "licenseDescription", d)) < n,
    "fonts.GLYPH_NAME": lambda n, d: "x" * n not in plain_glyph_names(["x" * n]),
    "fonts.LICENCE_BYTES": lambda n, d: licence_at_the_end(d, n),
    "fonts.LICENCE_FILES": lambda n, d: licence_beside(d, n),
    "files.SETTINGS_BYTES": lambda n, d: told("too large", lambda: resolve_settings(put(d, b"#" * n, "a.toml"), {})),
    "files.INTRODUCTION": lambda n, d: told("may have", lambda: read_publication({"introduction": "x" * n}, "p")),
    "files.TERMS": lambda n, d: told("may have", lambda: read_publication({"terms": "x" * n}, "p")),
    "files.KEYWORDS": lambda n, d: told("at most", lambda: read_publication({"keywords": ["x"] * n}, "p")),
    "files.PICTURE_BYTES": lambda n, d: told(
        "too large", lambda: read_pictures({"logo": sparse(d, n, "a.png").name}, d)
    ),
    "files.PIXELS": lambda n, d: told("million pixels", lambda: safe_picture(png(n), "logo", "a.png")),
    "files.COPIES_IN_PICTURE": lambda n, d: told("draw too much", lambda: safe_picture(uses(n), "logo", "a.svg")),
    "files.LAYOUT_BYTES": lambda n, d: told("too large", lambda: read_toml(put(d, b"#" * n, "a.toml"))),
    "files.NAMES_BYTES": lambda n, d: told("too large", lambda: read_names(put(d, b"#" * n, "names.txt"))),
    "files.ITEMS": lambda n, d: told(
        "items; at most", lambda: read_layout(put(d, b"[[item]]\n" * n, "a.toml"), words_command, str)
    ),
    "files.PATTERN_BYTES": lambda n, d: told(
        "too large", lambda: read_pattern(padded(d, "pattern.json", to_json(sample_pattern(letter_i())), n).parent)
    ),
    "files.RECORD_BYTES": lambda n, d: told(
        "too large", lambda: read_record(padded(d, "record.json", record_json({}), n).parent)
    ),
    "files.ALTERNATIVES_BYTES": lambda n, d: not read_alternatives(padded(d, ALTERNATIVES, ALONE, n).parent),
    "files.PAPERS_BYTES": lambda n, d: told("too large", lambda: read_papers(padded(d, PAPERS, "{}", n).parent)),
    "files.WRITTEN_BYTES": lambda n, d: told("too large", lambda: read_ledger(padded(d, LEDGER, "{}", n).parent)),
    "files.PLAN_BYTES": lambda n, d: begun(d, n),
    "files.DIGITS": lambda n, d: _is_refused(lambda: parse_json("1" * n)),
    "files.MENDED": lambda n, d: crooked(n),
    "words.KEY": lambda n, d: not is_key("x" * n),
    "words.LABEL": lambda n, d: labelled(n),
    "words.FABRIC": lambda n, d: told("at most", lambda: parse_fabric("x" * n + "=#ffffff")),
    "words.LINE": lambda n, d: told("at most", lambda: LINE.read("x" * n)),
    "words.LENGTH": lambda n, d: told("too long", lambda: parse_length("1in".rjust(n, "0"))),
    "words.TEXT": lambda n, d: told("at most", lambda: read_text(sample_pattern(letter_i()), "I" * n)),
    "words.COPIES": lambda n, d: told("is not in the range", lambda: copies(n)),
    "words.MAT": lambda n, d: told("give sides of up to", lambda: lay_on_mats([], (n, n), 1.0, 1.0)),
    "words.FRAMED": lambda n, d: told("too large to print", lambda: framed(n)),
    "words.LAID_OUT": lambda n, d: told("target", lambda: LayoutSettings(target_width=float(n))),
}  # fmt: skip


def _is_refused(call: Callable[[], object]) -> bool:
    try:
        call()
    except ValueError:
        return True
    return False
