import csv
import xml.etree.ElementTree as ET
from collections import Counter
from io import StringIO

from converter.fabric.buying import buy
from converter.fabric.cutting import Cutting, times
from converter.fabric.cutting_list import HEADER, sheets, to_csv, wadding_sheet
from converter.fabric.finishing import finish
from converter.fabric.patches import patch_cuts
from converter.fabric.plan_drawing import cutting_plan_parts, cutting_plan_svg
from converter.model import Fabric
from tests.samples import letter_i, plus, sample_pattern

SVG = "{http://www.w3.org/2000/svg}"


def rows(text):
    return list(csv.DictReader(StringIO(text, newline="")))


def made(units="in", copies=1, **labels):
    cutting = Cutting(units=units)
    plans = buy(times(patch_cuts([letter_i(), plus()], cutting), copies), cutting)
    fabrics = {**sample_pattern().fabrics, **labels}
    return plans, sheets(plans, fabrics, cutting), cutting


def test_the_list_counts_every_patch_and_every_strip():
    plans, found, _ = made(copies=40)
    table = rows(to_csv(found))
    assert tuple(table[0]) == HEADER
    patches = [row for row in table if row["what"] in ("patch", "strip")]
    assert sum(int(row["count"]) for row in patches) == 40 * (5 + 11)  # pieces in I and in the plus
    strips = [row for row in table if row["what"] == "strip across the fabric"]
    assert any(int(row["count"]) > 1 for row in strips)
    assert sum(int(row["count"]) for row in strips) == sum(len(plan.strips) for plan in plans)
    for sheet in found:  # what the strips are cut into is what is to be cut
        cut = {patch.number: 0 for patch in sheet.patches}
        for strip in sheet.strips:
            for count, number in strip.into:
                cut[number] += strip.count * count
        assert cut == {patch.number: patch.count for patch in sheet.patches}


def test_lines_end_as_rfc_4180_has_it():
    text = to_csv(made()[1])
    assert text.count("\r\n") == text.count("\n")  # RFC 4180, section 2


def test_sizes_carry_one_unit_only():
    inches, metric = to_csv(made("in")[1]), to_csv(made("mm")[1])
    assert " mm" not in inches
    assert "3 3/8 × 1 1/2 in" in inches
    assert " in," not in metric
    assert "90 × 40 mm" in metric


def test_a_label_cannot_become_a_formula():
    table = rows(to_csv(made(figure=Fabric('=HYPERLINK("x")', "#000000"))[1]))
    assert not [row for row in table for cell in row.values() if cell.startswith(("=", "+", "-", "@"))]


def drawn(svg):
    """The patches that a plan's drawing shows, by number."""
    root = ET.fromstring(svg)
    patches, numbers = (next(g for g in root.iter(f"{SVG}g") if test(g)) for test in (
        lambda g: g.get("id") == "patches", lambda g: g.get("text-anchor") == "middle",
    ))  # fmt: skip
    assert len(patches.findall(f"{SVG}rect")) == len(numbers.findall(f"{SVG}text"))
    return Counter(int(text.text) for text in numbers)


def test_the_plan_drawing_shows_the_patches_of_each_different_strip_and_says_what_it_leaves_out():
    plans, found, cutting = made(copies=30)
    for plan, sheet in zip(plans, found, strict=True):
        fabric = Fabric(sheet.label, sheet.colour)
        svg = cutting_plan_svg(plan, fabric, cutting)
        assert drawn(svg) == Counter(placed.cut + 1 for strip, _ in plan.alike for placed in strip.placed)
        heights = [
            text.text for text in ET.fromstring(svg).iter(f"{SVG}text") if text.get("text-anchor") == "end"
        ]
        times = [int(text.split(" × ")[0]) if " × " in text else 1 for text in heights[1:]]
        assert sum(times) == len(plan.strips)
        short = cutting_plan_svg(plan, fabric, cutting, most_strips=1)
        assert f"{len(plan.alike) - 1} more strips" in short


def test_a_plan_for_pages_is_whole_and_fits_them():
    plans, found, cutting = made(copies=30)
    for plan, sheet in zip(plans, found, strict=True):
        parts = cutting_plan_parts(plan, Fabric(sheet.label, sheet.colour), cutting, (190.0, 40.0), "Sans")
        assert sum((drawn(part.svg) for part in parts), Counter()) == drawn(
            cutting_plan_svg(plan, Fabric(sheet.label, sheet.colour), cutting)
        )
        assert all(part.width <= 190.0 and part.height <= 40.0 for part in parts)


def test_wadding_is_bought_by_its_size():
    done = finish(25.4 * 40, 25.4 * 50, Cutting())
    (buy, cut) = rows(to_csv([wadding_sheet(done, "in", 3)]))
    assert (buy["what"], buy["size"]) == ("buy", "3 pieces of 48 × 58 in")
    assert (cut["what"], cut["count"], cut["size"]) == ("wadding", "3", "48 × 58 in")
