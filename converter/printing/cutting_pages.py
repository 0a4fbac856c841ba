"""``cutting-list.pdf``: what to buy, and for each fabric the strips, the patches and how they lie."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict
from typing import Any

from converter.fabric.buying import FabricPlan
from converter.fabric.cutting import Cutting
from converter.fabric.cutting_list import CAUTION, FabricSheet
from converter.fabric.plan_drawing import MOST_STRIPS, cutting_plan_parts
from converter.measures import Units, length_text
from converter.model import Fabric
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
) -> bytes:
    """The cutting list as PDF.

    ``made_for``: what all of it is for, in a few words; ``remarks``: lines that stand under what to buy. Each
    plan belongs to the sheet of its fabric; a sheet without a plan (wadding) is only bought.
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
        "allowance": length_text(cutting.allowance, cutting.units),
        "patch-margin": length_text(cutting.margin, cutting.units),
        "patch-step": length_text(cutting.step, cutting.units),
        "strip-step": STRIP_STEP[cutting.units],
        "squaring": length_text(cutting.squaring, cutting.units),
        "width": length_text(cutting.fabric_width, cutting.units),
        "caution": CAUTION,
        "figures": figures,
    }
    return typeset("cutting-list", page_data("cutting list", imprint, paper, content))


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
    return asdict(sheet) | {"strips": strips, "plan": {"drawn": drawn, "left-out": left_out}}
