"""A copy of an edited block with what is wrong drawn on it; the edited file itself stays as it is."""

from collections.abc import Iterable, Sequence
from xml.sax.saxutils import escape

from converter.drawing.svg import harmless, number
from converter.model import Point
from converter.redesign.rebuild import Rebuilt
from converter.redesign.xml import end_of_root

INK, HALO, WASH = "#d0021b", "#ffffff", "#d0021b"


def faults_svg(data: bytes, rebuilt: Rebuilt, width: float) -> bytes | None:
    """The drawing with a layer ``faults`` over it; None where it cannot be added (such as text in UTF-16).

    ``width`` of the block in mm decides how large the marks are. The layer is left out when the copy is read.
    """
    end = end_of_root(data)
    if end is None:
        return None
    pen = width / 150
    matrix = " ".join(f"{v:.6g}" for v in rebuilt.drawing.to_page)
    parts = [
        f'<g xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
        f'id="faults" inkscape:groupmode="layer" inkscape:label="faults" transform="matrix({matrix})" '
        f'fill="none" stroke-linecap="round" stroke-linejoin="round">'
    ]
    for finding, mark in zip(rebuilt.faults, rebuilt.marks, strict=True):
        parts.append(f"<g><title>{escape(harmless(finding.message))}</title>")
        parts += [f'<path d="{_path(ring)}Z" fill="{WASH}" fill-opacity="0.18"/>' for ring in mark.rings]
        for ink, wide in ((HALO, 2.6), (INK, 1.2)):
            stroke = f'stroke="{ink}" stroke-width="{number(pen * wide)}"'
            parts += [f'<path d="{_path(line)}" {stroke}/>' for line in mark.lines]
            parts += [
                f'<circle cx="{number(x)}" cy="{number(y)}" r="{number(pen * 5)}" {stroke}/>'
                for x, y in mark.points
            ]
        parts.append("</g>")
    parts.append("</g>\n")
    layer = "".join(parts).encode("ascii", "xmlcharrefreplace")
    return data[:end] + layer + data[end:]


def _path(points: Iterable[Point] | Sequence[Point]) -> str:
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)
