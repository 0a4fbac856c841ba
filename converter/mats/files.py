"""Mats as files: SVG in mm, DXF in mm with y up, and a list of what lies where."""

import csv
import re
from collections.abc import Iterable, Mapping, Sequence
from io import StringIO
from itertools import pairwise
from typing import Literal

import ezdxf
from ezdxf import units as dxf_units

from converter.drawing.svg import Sheet, xml_id
from converter.mats.laying import Laid, Mat
from converter.measures import Units, size_text

Names = Literal["score", "layer"]
CUT, SCORE = "CUT", "SCORE"
_CUT_COLOUR, _SCORE_COLOUR = "#c8102e", "#0057b8"
_RED, _BLUE = 1, 5  # AutoCAD colour index
_LINE = 0.1  # mm
_NOT_IN_LAYER = re.compile(r"[<>/\\\":;?*|=`,]")  # DXF reference, naming conventions


def mat_files(mats: Sequence[Mat], names: Names, units: Units, labels: Mapping[str, str]) -> dict[str, str]:
    """An SVG and a DXF of each mat, and ``list.csv``, by file name; ``labels``: of fabrics, by id."""
    found: dict[str, str] = {}
    rows: list[tuple[object, ...]] = []
    called = {
        fabric: _file_name(labels.get(fabric, fabric)) for fabric in dict.fromkeys(m.fabric for m in mats)
    }
    for mat in mats:
        own = called[mat.fabric]
        if list(called.values()).count(own) > 1:  # two fabrics of one name
            own = f"{own}-{_file_name(mat.fabric)}"
        file = f"{own}-{mat.number}"
        found[f"{file}.svg"] = mat_svg(mat, names, f"{labels.get(mat.fabric, mat.fabric)}, mat {mat.number}")
        found[f"{file}.dxf"] = mat_dxf(mat, names)
        rows += [
            (file, one.shape.name, labels.get(mat.fabric, mat.fabric), _size(one, units)) for one in mat.laid
        ]
    text = StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(("mat", "shape", "fabric", "width × height"))
    writer.writerows(rows)
    return {**found, "list.csv": text.getvalue()}


def mat_svg(mat: Mat, names: Names, title: str) -> str:
    """The mat at true size: the page is the mat. Cuts are red, score lines blue."""
    sheet = Sheet(mat.width, mat.height, title)
    style = {"fill": "none", "stroke": _CUT_COLOUR, "stroke_width": _LINE}
    if names == "layer":
        for number, one in enumerate(mat.laid, 1):
            layer = sheet.layer(f"shape-{number}", f"{number} {one.shape.name}", **style)
            sheet.polygon(layer, one.ring)
        return sheet.tostring()
    cut = sheet.layer("cut", "cut", **style)
    score = sheet.layer("score", "score", **{**style, "stroke": _SCORE_COLOUR})
    for number, one in enumerate(mat.laid, 1):
        sheet.polygon(cut, one.ring, id=f"shape-{number}-{xml_id(one.shape.name)}")
        lines = [line for stroke in one.name for line in pairwise(stroke)]
        if lines:
            sheet.strokes(score, lines)
    return sheet.tostring()


def mat_dxf(mat: Mat, names: Names) -> str:
    """The mat in DXF R2000, in mm: closed polylines on the layer CUT, names on the layer SCORE.

    Where names are layers, each shape lies on a layer of its own that is called after it.
    """
    ezdxf.options.write_fixed_meta_data_for_testing = (
        True  # no clock, no chance: the same mat is the same bytes
    )
    document = ezdxf.new("R2000", units=dxf_units.MM)
    document.header["$EXTMAX"] = (mat.width, mat.height, 0)
    document.header["$LIMMAX"] = (mat.width, mat.height)
    space = document.modelspace()
    if names == "score":
        document.layers.add(CUT, color=_RED)
        document.layers.add(SCORE, color=_BLUE)
    for number, one in enumerate(mat.laid, 1):
        layer = CUT if names == "score" else f"{number:03} {one.shape.name}"
        if names == "layer":
            layer = _NOT_IN_LAYER.sub("_", layer)
            document.layers.add(layer, color=_RED)
        space.add_lwpolyline(_up(mat, one.ring), close=True, dxfattribs={"layer": layer})
        if names == "score":
            for stroke in one.name:
                space.add_lwpolyline(_up(mat, stroke), dxfattribs={"layer": SCORE})
    text = StringIO()
    document.write(text)
    return text.getvalue()


def _up(mat: Mat, points: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    return [(round(x, 4), round(mat.height - y, 4)) for x, y in points]


def _size(one: Laid, units: Units) -> str:
    xs, ys = [x for x, _ in one.ring], [y for _, y in one.ring]
    return size_text(max(xs) - min(xs), max(ys) - min(ys), units, "up")


def _file_name(fabric: str) -> str:
    return re.sub(r"[^\w]+", "-", fabric.casefold()).strip("-") or "fabric"
