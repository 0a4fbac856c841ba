"""The cutting list: rows for paper, and the same as CSV text."""

import csv
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from io import StringIO

from converter.fabric.buying import FabricPlan
from converter.fabric.cutting import Cutting
from converter.fabric.finishing import Finishing
from converter.measures import Units, fabric_text, length_text, size_text
from converter.model import Fabric

CAUTION = (
    "Rotary cutters and needles injure: close the blade whenever you put it down, cut away from "
    "body along a ruler that does not slip, and keep blades, pins and hot irons away from children."
)
HEADER = ("fabric", "colour", "what", "number", "count", "size", "details")


@dataclass(frozen=True, slots=True)
class PatchRow:
    """One size to cut; ``number`` is its name within its fabric."""

    number: int
    what: str
    count: int
    size: str
    where: tuple[str, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class StripRow:
    """So many equal strips across the fabric, and what each is cut into, as (count, patch number)."""

    count: int
    width: str
    into: tuple[tuple[int, int], ...]

    @property
    def into_text(self) -> str:
        """Such as ``8 of no. 1, 2 of no. 4``."""
        return ", ".join(f"{count} of no. {number}" for count, number in self.into)


@dataclass(frozen=True, slots=True)
class FabricSheet:
    """All that is to be known of one fabric, ready to print."""

    fabric: str  # id
    label: str
    colour: str
    buy: str
    fabric_width: str
    squaring: str  # included in what to buy
    fat_quarters: str  # empty where they do not fit
    strips: tuple[StripRow, ...]
    patches: tuple[PatchRow, ...]


def sheets(
    plans: Iterable[FabricPlan],
    fabrics: Mapping[str, Fabric],
    cutting: Cutting,
    codes: Mapping[str, str] | None = None,
) -> tuple[FabricSheet, ...]:
    """One sheet a fabric; a fabric that ``fabrics`` lacks is called by its id.

    ``codes``: the letters that stand for fabrics on templates, by id.
    """
    found = []
    for plan in plans:
        fabric = fabrics.get(plan.fabric, Fabric(plan.fabric, ""))
        code = (codes or {}).get(plan.fabric)
        label = f"{fabric.label} ({code})" if code else fabric.label
        found.append(_sheet(plan, replace(fabric, label=label), cutting))
    return tuple(found)


def wadding_sheet(done: Finishing, units: Units, copies: int = 1) -> FabricSheet:
    """Wadding is bought by its size, not by the width of a fabric."""
    size = size_text(*done.backing_size, units, "up")
    buy = f"1 piece of {size}" if copies == 1 else f"{copies} pieces of {size}"
    row = PatchRow(1, "wadding", copies, size, ())
    return FabricSheet("wadding", "wadding", "", buy, "", "", "", (), (row,))


def to_csv(found: Iterable[FabricSheet]) -> str:
    """The sheets as one table, lines ended by CR LF (RFC 4180).

    Sizes are text with their unit, so that no spreadsheet takes 5/8 for the fifth of August.
    """
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEADER)
    for sheet in found:
        width = f"usable width {sheet.fabric_width}, {sheet.squaring} for squaring up"
        rows: list[tuple[str, str, str, str, str]] = [
            ("buy", "", "", sheet.buy, width if sheet.fabric_width else "")
        ]
        if sheet.fat_quarters:
            rows.append(("or buy", "", sheet.fat_quarters.split()[0], "fat quarter", ""))
        rows += [("strip across the fabric", "", str(s.count), s.width, s.into_text) for s in sheet.strips]
        rows += [
            (p.what, str(p.number), str(p.count), p.size, "; ".join((*filter(None, (p.note,)), *p.where)))
            for p in sheet.patches
        ]
        writer.writerows([_plain(cell) for cell in (sheet.label, sheet.colour, *row)] for row in rows)
    return out.getvalue()


def _sheet(plan: FabricPlan, fabric: Fabric, cutting: Cutting) -> FabricSheet:
    patches = []
    for number, cut in enumerate(plan.cuts, 1):
        how = "side by side" if cut.kind == "backing" else "end to end"
        note = f"{cut.joined_from} sewn {how} make one" if cut.joined_from > 1 else ""
        size = size_text(*cut.sides, cutting.units, "up")
        patches.append(PatchRow(number, cut.kind, cut.count, size, cut.uses, note))
    return FabricSheet(
        plan.fabric,
        fabric.label,
        fabric.colour,
        fabric_text(plan.length, cutting.units),
        length_text(plan.width, cutting.units),
        length_text(cutting.squaring, cutting.units),
        _quarters(plan.fat_quarters),
        _strip_rows(plan, cutting.units),
        tuple(patches),
    )


def _strip_rows(plan: FabricPlan, units: Units) -> tuple[StripRow, ...]:
    alike: Counter[tuple[float, tuple[tuple[int, int], ...]]] = Counter()
    for strip, of_them in plan.alike:
        inside = Counter(placed.cut + 1 for placed in strip.placed)
        alike[strip.height, tuple((count, number) for number, count in sorted(inside.items()))] += of_them
    return tuple(StripRow(n, length_text(height, units, "up"), into) for (height, into), n in alike.items())


def _quarters(count: int | None) -> str:
    if count is None:
        return ""
    return "1 fat quarter" if count == 1 else f"{count} fat quarters"


def _plain(cell: str) -> str:
    """A spreadsheet runs cells that begin like a formula, and a fabric's label is anyone's text."""
    return f"'{cell}" if cell.startswith(("=", "+", "-", "@", "\t", "\r")) else cell
