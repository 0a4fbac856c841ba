"""Every budget of a drawing at its edge: what uses it up is read, one more is one line; both soon, in little memory."""

import sys
from collections.abc import Callable

import pytest

from converter.budgets import drawings as b
from converter.budgets.budget import Budget
from converter.redesign.check import check_block
from tests.fuzz.running import Case, Outcome, try_case
from tests.redesign.corpus import cut_up, drawing, pieces, random_corners, seams, star
from tests.samples import letter_t, sample_pattern

SECONDS, MEGABYTES = 5.0, 300.0

Made = Callable[[int], bytes]


def zigzag(count: int) -> str:
    """So many corners of a shape that does not cross itself: up and down along a line, and back along the edge."""
    return " ".join(f"{60 * k / (count - 2):.4f},{10 + k % 2}" for k in range(count - 2)) + " 60,0 0,0"


def of_shape(points: str) -> bytes:
    """A drawing that has a shape with these corners, and no seams."""
    return drawing(f'<g id="shape" fill="#1f4e5f"><polygon points="{points}"/></g>', seams=seams())


def nested(count: int) -> bytes:
    """So many elements in each other, counted with the drawing itself."""
    return drawing("<g>" * (count - 1) + "</g>" * (count - 1))


def chain(count: int) -> bytes:
    """Copies of copies, so that an element lies so many deep: drawing, layer, then a copy each."""
    copies = "".join(f'<use id="c{k}" href="#c{k - 1}"/>' for k in range(1, count - 2))
    return drawing(
        f'<defs><g id="c0"/>{copies}</defs>', seams=seams("M0 40H60", f'<use href="#c{count - 3}"/>')
    )


def tangle(count: int) -> str:
    """A shape with about so many corners more than were drawn, by crossings: bars one way and then across."""
    bars = round((count / 2) ** 0.5 / 2)
    d = "".join(f"M{1 + 50 * k / bars:.3f} 1v78h.1v-78z" for k in range(bars))
    return d + "".join(f"M1 {1 + 70 * k / bars:.3f}h58v.1h-58z" for k in range(bars))


EDGES: dict[str, tuple[Budget, Made, str]] = {
    "BYTES": (
        b.BYTES,
        lambda n: drawing("<!---->").replace(b"<!--", b"<!--" + b"x" * (n - len(drawing("<!---->")))), "too large",
    ),
    "ELEMENTS": (b.ELEMENTS, lambda n: drawing("<a/>" * (n - 6)), "more than 20000 elements"),
    "DEPTH": (b.DEPTH, nested, "nested more than 100 deep"),
    "NESTING": (b.NESTING, chain, "more than 200 groups and copies"),
    "VISITS": (
        b.VISITS,
        lambda n: drawing(f'<g id="k">{"<a/>" * 9_990}</g><use href="#k"/><use href="#k"/>{"<a/>" * (n - 29_981)}'),
        "copies of copies",
    ),
    "ENTITIES": (
        b.ENTITIES,
        lambda n: drawing("", "<!DOCTYPE svg [" + "".join(f'<!ENTITY e{k} "x">' for k in range(n)) + "]>"), "too many",
    ),
    "ENTITY": (b.ENTITY, lambda n: drawing("", f'<!DOCTYPE svg [<!ENTITY e "{"x" * n}">]>'), "'e' is not allowed"),
    "GROWTH": (
        b.GROWTH,
        lambda n: drawing(
            f"<text>{'&e;' * (n // 200 + n % 200)}</text>", f'<!DOCTYPE svg [<!ENTITY e "{"x" * 200}">]>'
        ),
        "too many",
    ),
    "ATTRIBUTE": (b.ATTRIBUTE, lambda n: drawing(f'<g id="{"x" * n}"/>'), "is too long"),
    "PATH": (b.PATH, lambda n: drawing(seams=seams("M0 40H60" + " " * (n - 8))), "is too long"),
    "PATHS": (
        b.PATHS,
        lambda n: drawing(seams=seams("M0 40H60", "".join(
            f'<path d="M0 40H60{" " * (k - 8)}"/>' for k in (499_000, 499_000, 400_000, n - 1_398_008)))),
        "characters in all paths",
    ),
    "LENGTH": (
        b.LENGTH,
        lambda n: drawing(seams=seams("M0 40H60", f'<line id="x" x1="0" y1="{"9".rjust(n, "0")}" x2="9" y2="9"/>')),
        "not a length",
    ),
    "POINTS": (
        b.POINTS,
        lambda n: drawing(pieces=pieces(f'<polygon points="{zigzag(n)}" fill="#1f4e5f"/>')), "20000 points",
    ),
    "STYLES": (b.STYLES, lambda n: drawing("<style>" + "x" * (n - 4) + "{}  " + "</style>"), "characters of styles"),
    "BRACKETS": (b.BRACKETS, lambda n: drawing(seams=seams("M0 40H60", style=f"x:{'(' * n}{')' * n}")), "30 brackets"),
    "SEAMS": (b.SEAMS, lambda n: drawing(seams=seams("M0 40H60" + f"M0 {40.1}H60" * (n - 1))), "more than the 600"),
    "SHAPES": (
        b.SHAPES,
        lambda n: drawing(pieces=pieces('<rect width="60" height="40" fill="#1f4e5f"/>' * (n - 2))),
        "3000 coloured shapes",
    ),
    "CORNERS": (
        b.CORNERS,
        lambda n: drawing(pieces=pieces("".join(
            f'<polygon points="{zigzag(k)}" fill="#1f4e5f"/>' for k in (20_000, 20_000, n - 40_008)))),
        "50000 corners",
    ),
    "SHAPE_EDGES": (
        b.SHAPE_EDGES,
        lambda n: of_shape(zigzag(n)), "more than the 200 that can be worked out",
    ),
    "PIECES": (b.PIECES, lambda n: drawing(seams=seams(cut_up(n))), "more than the 400"),
}  # fmt: skip


@pytest.fixture(scope="module", autouse=True)
def _loaded():
    """What is compiled when it is first used is loaded before a process is copied."""
    check_block(sample_pattern(letter_t()), "T_", drawing())
    check_block(sample_pattern(letter_t()), "T_", of_shape("10,10 50,10 50,70 10,70"))


def check(data: bytes, folder) -> Outcome:
    case = Case("budget", ("check", "--quiet", "drawing.svg"), {"drawing.svg": data}, most_lines=1)
    outcome, faults = try_case(case, folder)
    assert faults == []
    assert outcome.seconds < SECONDS
    assert outcome.megabytes < MEGABYTES
    return outcome


def test_every_budget_is_tried():
    there = {name for name, value in vars(b).items() if isinstance(value, Budget)}
    assert there - set(EDGES) == {"TANGLES", "OVERLAP"}, "they are reckoned; tried below"
    assert all(value.reason for value in vars(b).values() if isinstance(value, Budget))


@pytest.mark.skipif(sys.platform == "win32", reason="cases run in copies of a process")
@pytest.mark.parametrize("name", EDGES)
def test_at_the_edge(name, tmp_path):
    budget, made, words = EDGES[name]
    for count, is_over in ((budget.most, False), (budget.most + 1, True)):
        folder = tmp_path / str(count)
        folder.mkdir()
        said = check(made(count), folder)
        assert (words in said.out + said.err) == is_over, (count, said.out + said.err)


@pytest.mark.skipif(sys.platform == "win32", reason="cases run in copies of a process")
@pytest.mark.parametrize(
    ("few", "many", "words"),
    [
        (pieces(f'<path d="{tangle(4_000)}"/>'), pieces(f'<path d="{tangle(12_000)}"/>'), "corners more"),
        (
            pieces(f'<polygon points="{random_corners(60)}"/>'), pieces(f'<polygon points="{random_corners(2_000)}"/>'),
            "too often",
        ),
        (
            pieces('<path fill="#1f4e5f" d="M0 0L60 79L60 80z"/>' * 100),
            pieces("".join(f'<path fill="#1f4e5f" d="M0 {k % 80}L60 {k * 7 % 80}v.1z"/>' for k in range(1_000))),
            "lie over each other",
        ),
    ],
)  # fmt: skip
def test_what_is_reckoned(few, many, words, tmp_path):
    for number, (made, is_over) in enumerate(((few, False), (many, True))):
        folder = tmp_path / str(number)
        folder.mkdir()
        said = check(drawing(pieces=made), folder)
        assert (words in said.out + said.err) == is_over, said.out + said.err


def test_all_at_once(tmp_path):
    """A block of nearly 400 pieces, 590 strokes, 2,000 shapes of 25 corners and as much else as there may be."""
    shapes = "".join(
        f'<polygon fill="#{"1f4e5f" if k % 2 else "f4efe6"}" points="'
        + " ".join(
            f"{k % 60 + x},{k * 7 % 80 + x * x / 9}" for x in (0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8)
        )
        + '"/>'
        for k in range(2_000)
    )
    data = drawing(
        "<a/>" * 10_000 + f"<style>{'.a{fill:red}' * 20_000}</style>",
        seams=seams(cut_up(395) + "M0 40H60" * 190),
        pieces=pieces(shapes),
    )
    check(data, tmp_path)
    (tmp_path / "more").mkdir()
    check(drawing(seams=seams(star(590))), tmp_path / "more")
