"""``cutting-list.pdf``: what to buy, and for each fabric the strips, the patches and how they lie."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from typing import Any

from converter.drawing.labels import tag
from converter.fabric.buying import FabricPlan
from converter.fabric.cutting import Cutting
from converter.fabric.cutting_list import CAUTION, FabricSheet
from converter.fabric.plan_drawing import MOST_STRIPS, cutting_plan_parts
from converter.measures import Units, allowance_text, length_text
from converter.model import Fabric, Pattern
from converter.printing.page import Imprint, page_data
from converter.printing.paper import BODY, PaperName
from converter.printing.typesetting import PAGE_FONT, typeset

STRIP_STEP: Mapping[Units, str] = {"in": "1/16 in", "mm": "1 mm", "cm": "0.1 cm", "both": "1/16 in (1 mm)"}
PLAN = (BODY[0], 150.0)  # mm that one drawing of a plan may take


def cutting_pages(
    imprint: Imprint,
    made_for: str,
    found: Iterable[FabricSheet],
    plans: Iterable[FabricPlan],
    cutting: Cutting,
    remarks: Iterable[str] = (),
    paper: PaperName = "a4",
    by_letter: Sequence[Mapping[str, Any]] = (),
) -> bytes:
    """The cutting list as PDF.

    ``made_for``: what all of it is for, in a few words; ``remarks``: lines that stand under what to buy;
    ``by_letter``: the patches once more, as :func:`letters` has them. Each plan belongs to the sheet of its fabric;
    a sheet without a plan (wadding) is only bought.
    """
    by_fabric = {plan.fabric: plan for plan in plans}
    figures: dict[str, str] = {}
    sheets = []
    for sheet in found:
        plan = by_fabric.get(sheet.fabric)
        sheets.append(_sheet(sheet, plan, cutting, figures) if plan else asdict(sheet) | {"plan": None})
    content = {
        "made-for": made_for,
        "sheets": sheets,
        "remarks": list(remarks),
        "letters": list(by_letter),
        "rounded": length_text(cutting.step, cutting.units),
        "allowance": allowance_text(cutting.allowance, cutting.inner_allowance, cutting.units),
        "patch-margin": length_text(cutting.margin, cutting.units),
        "strip-step": STRIP_STEP[cutting.units],
        "squaring": length_text(cutting.squaring, cutting.units),
        "width": length_text(cutting.fabric_width, cutting.units),
        "caution": CAUTION,
        "figures": figures,
    }
    return typeset("cutting-list", page_data("cutting list", imprint, paper, content))


def letters(pattern: Pattern, found: Iterable[FabricSheet]) -> list[dict[str, Any]]:
    """For each character the patches of one block: how many, their size, fabric, number in its list, pieces."""
    by_name: dict[str, list[dict[str, str]]] = {glyph.name: [] for glyph in pattern.glyphs if glyph.pieces}
    for sheet in found:
        for row in sheet.patches:
            pieces: dict[str, list[str]] = {}
            for use in row.where:
                name, _, piece = use.rpartition(" ")
                pieces.setdefault(name, []).append(piece)
            for name in pieces.keys() & by_name.keys():
                by_name[name].append(
                    {
                        "count": str(len(pieces[name])),
                        "size": row.size,
                        "fabric": sheet.label,
                        "colour": sheet.colour,
                        "number": str(row.number),
                        "pieces": " ".join(pieces[name]),
                    }
                )
    tags = {glyph.name: tag(glyph) for glyph in pattern.glyphs}
    return [{"tag": tags[name], "rows": rows} for name, rows in by_name.items()]


def _sheet(
    sheet: FabricSheet, plan: FabricPlan, cutting: Cutting, figures: dict[str, str]
) -> Mapping[str, Any]:
    drawn = []
    fabric = Fabric(sheet.label, sheet.colour)
    for number, part in enumerate(cutting_plan_parts(plan, fabric, cutting, PLAN, PAGE_FONT), 1):
        name = f"{sheet.fabric}/plan-{number}"
        figures[name] = part.svg
        drawn.append({"figure": name, "width": part.width, "height": part.height})
    strips = [{"count": s.count, "width": s.width, "into": s.into_text} for s in sheet.strips]
    left_out = max(0, len(plan.alike) - MOST_STRIPS)
    widths: Counter[str] = Counter()
    for strip in sheet.strips:
        widths[strip.width] += strip.count
    in_all = ", ".join(f"{count} × {width}" for width, count in widths.items())
    return asdict(sheet) | {
        "strips": strips,
        "in-all": in_all,
        "plan": {"drawn": drawn, "left-out": left_out},
    }
