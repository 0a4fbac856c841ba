"""Words from text to everything a maker takes to the table: one function, and its result as files."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from itertools import groupby

from fontTools.misc.filenames import userNameToFileName

from converter.errors import InputError
from converter.fabric.buying import FabricPlan, buy
from converter.fabric.cutting import Cutting, cutting_for
from converter.fabric.cutting_list import CAUTION, FabricSheet, sheets, to_csv, wadding_sheet
from converter.fabric.finishing import Finishing, finish
from converter.fabric.patches import set_cuts
from converter.fabric.plan_drawing import cutting_plan_svg
from converter.fabric_codes import fabric_codes
from converter.measures import Units, length_text, size_text
from converter.model import Fabric, Pattern
from converter.words.assembly_drawing import assembly_svg
from converter.words.colours import Colouring, ColourPlan, colour, contrast_pairs
from converter.words.contrast import LARGE_TEXT, ratio_text
from converter.words.drawing import colour_table_svg, layout_svg
from converter.words.fabric_needed import (
    FINISHING_FABRICS,
    fabric_labels,
    finishing_of,
    frame_cuts,
    layout_cuts,
)
from converter.words.frames import FRAME, Frame
from converter.words.layout import lay_out
from converter.words.parts import Layout, LayoutSettings
from converter.words.sampler import LEGENDS_ARE
from converter.words.text import label

_NAME_LENGTH = 60  # characters, up to four bytes each: 255 bytes is what disks take
PLANS = "cutting-plans"  # a folder of its own, so that a new run leaves no plan of a former fabric


@dataclass(frozen=True, slots=True)
class WordsJob:
    """What is asked for."""

    text: str
    layout: LayoutSettings = field(default_factory=LayoutSettings)
    colours: ColourPlan = field(default_factory=ColourPlan)
    units: Units = "in"
    copies: int = 1
    fabric_width: float | None = None  # usual in the units
    patch_margin: float | None = None
    finished: bool = False  # binding, backing and wadding too
    remarks: tuple[str, ...] = ()  # of what was done to the set before
    round_to: float | None = None  # of patches
    legends: tuple[str, ...] = ()  # below each block, in their order


@dataclass(frozen=True, slots=True)
class MadeWords:
    """What came of it; ``layout.pattern`` holds the blocks to print, ``layout.counts()`` how often."""

    job: WordsJob
    layout: Layout
    colouring: Colouring
    cutting: Cutting
    plans: tuple[FabricPlan, ...]
    sheets: tuple[FabricSheet, ...]
    finishing: Finishing | None


def make_words(pattern: Pattern, job: WordsJob) -> MadeWords:
    """Lays the words out, colours them, and works out the fabric. Raises :class:`InputError`."""
    layout = lay_out(pattern, job.text, job.layout, job.units)
    if job.legends and len(job.legends) != len(layout.blocks):
        raise InputError("a symbol of the sampler has no ink, so there is nothing to sew; leave it out.")
    notes = (*job.remarks, *layout.notes, *((LEGENDS_ARE,) if job.legends else ()))
    layout = replace(layout, notes=notes, legends=job.legends)
    colouring = colour(layout, job.colours)
    cutting = cutting_for(pattern, job.units, job.fabric_width, job.patch_margin, job.round_to)
    plans = buy(layout_cuts(layout, colouring, cutting, job.copies, finished=job.finished), cutting)
    finishing = finishing_of(layout, colouring, cutting) if job.finished else None
    found = sheets(plans, fabric_labels(colouring), cutting)
    if finishing:
        found += (wadding_sheet(finishing, job.units, job.copies),)
    return MadeWords(job, layout, colouring, cutting, plans, found, finishing)


def words_files(made: MadeWords) -> dict[str, str]:
    """Drawings, colour table, assembly and cutting list, by file name."""
    units = made.job.units
    return {
        "layout.svg": layout_svg(made.layout, made.colouring, units),
        "layout-blank.svg": layout_svg(made.layout, None, units),
        "layout-numbers.svg": layout_svg(made.layout, made.colouring, units, numbers=True),
        "assembly.svg": assembly_svg(made.layout, units),
        "assembly.txt": assembly_text(made),
        "colours.svg": colour_table_svg(made.colouring),
        "cutting-list.csv": to_csv(made.sheets),
        **_plan_drawings(made.plans, fabric_labels(made.colouring), made.cutting),
    }


@dataclass(frozen=True, slots=True)
class MadeSet:
    """Fabric for a whole set; the files by name."""

    made_for: str
    cutting: Cutting
    plans: tuple[FabricPlan, ...]
    sheets: tuple[FabricSheet, ...]
    finishing: Finishing | None
    files: Mapping[str, str]


def make_set(
    pattern: Pattern,
    units: Units = "in",
    copies: int = 1,
    fabric_width: float | None = None,
    patch_margin: float | None = None,
    finished: tuple[float, float] | None = None,
    frame: Frame | None = None,
    round_to: float | None = None,
) -> MadeSet:
    """Cutting list and cutting plans for one of each block of the set, times ``copies``.

    ``finished``: width and height, mm, of one finished piece whose binding and backing are to be in it too.
    ``frame``: round every block, of strips cut to measure. ``round_to``: what patches are rounded up to.
    Raises :class:`InputError` where that cannot be.
    """
    cutting = cutting_for(pattern, units, fabric_width, patch_margin, round_to)
    done = finish(*finished, cutting) if finished else None
    cuts = set_cuts(pattern, cutting, copies)
    if not cuts:
        raise InputError("the set has no block with pieces, so there is nothing to cut; see its report.")
    fabrics = {**FINISHING_FABRICS, **pattern.fabrics}
    if frame:
        cuts += frame_cuts(pattern, frame, cutting, copies)
        fabrics |= {FRAME: frame.fabric} if frame.fabric else {}
    plans = buy((*cuts, *((done.binding, done.backing) if done else ())), cutting)
    found = sheets(plans, fabrics, cutting, fabric_codes(pattern.fabrics))
    if done:
        found += (wadding_sheet(done, units),)
    files = {"cutting-list.csv": to_csv(found), **_plan_drawings(plans, fabrics, cutting)}
    return MadeSet(_made_for(pattern, copies, frame, finished, units), cutting, plans, found, done, files)


def assembly_lines(layout: Layout) -> tuple[str, ...]:
    """The order of assembly in sentences; framing several blocks of one row is one of them."""
    lines: list[str] = []
    for framing, steps in groupby(layout.steps, key=lambda step: bool(step.frames)):
        found = list(steps)
        blocks = list(dict.fromkeys(step.frames for step in found))
        if framing and len(blocks) > 1:
            order = "left and right first, then top and bottom"
            lines.append(f"Frame blocks {blocks[0]} to {blocks[-1]}, each with the strips round it: {order}.")
        else:
            lines += [step.text for step in found]
    return tuple(lines)


def _made_for(
    pattern: Pattern, copies: int, frame: Frame | None, finished: tuple[float, float] | None, units: Units
) -> str:
    blocks = [glyph for glyph in pattern.glyphs if glyph.pieces]
    each = f"{copies} of each" if copies > 1 else "one of each"
    text = f"{each} of {len(blocks)} blocks" if len(blocks) > 1 else f"{copies} × {label(blocks[0])}"
    if frame:
        text += ", framed"
    return text + (f", and a finished piece of {size_text(*finished, units)}" if finished else "")


def finishing_text(done: Finishing, units: Units) -> tuple[str, str]:
    """The binding, and the backing with the wadding, one line each."""
    binding = length_text(done.binding_length, units, "up")
    strips = f"{done.binding.count} strips {length_text(done.binding.width, units)} wide"
    return (
        f"binding: {binding}, from {strips}",
        f"backing and wadding: {size_text(*done.backing_size, units, 'up')}",
    )


def assembly_text(made: MadeWords) -> str:
    """Sizes, templates to print, order of assembly, notes and warnings, as plain text."""
    layout, units = made.layout, made.job.units
    names = {glyph.key: label(glyph) for glyph in layout.pattern.glyphs}
    out = [
        "\n".join(layout.lines),
        "",
        f"Finished: {size_text(layout.width, layout.height, units)}.",
        f"With seam allowance: {size_text(*layout.unfinished, units)}.",
        f"Made {made.job.copies} times." if made.job.copies > 1 else "Made once.",
        "",
        "Templates to print",
        *(f"  {names[key]}: {n * made.job.copies}" for key, n in layout.counts().items()),
        "",
        "Strips, finished size (add the seam allowance all round when you cut)",
        *(f"  {s.id}: {s.kind}, {size_text(s.width, s.height, units)}" for s in layout.strips),
        "",
        "Order of assembly (parts as in assembly.svg; press each seam before the next)",
        *(f"  {number}. {line}" for number, line in enumerate(assembly_lines(layout), 1)),
    ]
    if made.finishing:
        done = finishing_text(made.finishing, units)
        out += ["", "Finishing", *(f"  {line}" for line in done)]
    out += [
        "",
        f"Contrast (WCAG 2; {LARGE_TEXT:g}:1 or more is legible as large text)",
        *(
            f"  {pair.figure} on {pair.background}: {ratio_text(pair.ratio)}:1, in {', '.join(pair.words)}"
            for pair in contrast_pairs(layout, made.colouring)
        ),
    ]
    remarks = (*layout.notes, *made.colouring.warnings)
    if remarks:
        out += ["", "Notes", *(f"  {remark}" for remark in remarks)]
    return "\n".join([*out, "", CAUTION, ""])


def _plan_drawings(
    plans: Iterable[FabricPlan], fabrics: Mapping[str, Fabric], cutting: Cutting
) -> dict[str, str]:
    drawings: dict[str, str] = {}
    for plan in plans:
        # A fabric's name may come from a pattern file: whatever it is, it is no path.
        name = userNameToFileName(
            plan.fabric[:_NAME_LENGTH],
            existing={made.lower() for made in drawings},
            prefix=f"{PLANS}/",
            suffix=".svg",
        )
        drawings[name] = cutting_plan_svg(plan, fabrics.get(plan.fabric, Fabric(plan.fabric, "")), cutting)
    return drawings
