import csv
import io
from dataclasses import fields, replace

import pytest

from converter.model import Finding, Metrics
from converter.report.csv_report import report_csv
from tests.report.samples import small_pattern
from tests.samples import letter_i, sample_pattern


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def test_one_row_a_glyph_with_every_metric():
    pattern = small_pattern()
    table = rows(report_csv(pattern))
    assert [row["key"] for row in table] == ["I_", "T_", "A_", "'+_", "space"]
    assert {field.name for field in fields(Metrics)} <= set(table[0])
    assert table[0]["codepoints"] == "U+0049"
    assert (table[0]["pieces"], table[0]["iou"], table[0]["proved_minimal"]) == ("5", "0.98", "yes")
    assert table[1]["findings"] == "narrow-piece sharp-corner"
    assert table[1]["status"] == "redesign"
    assert table[4]["iou"] == ""


def test_line_ends_are_the_same_on_every_machine():
    assert "\r" not in report_csv(small_pattern())


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1"])
def test_no_cell_is_a_formula(text):
    # OWASP, "CSV Injection": cells must not begin with = + - @ tab or carriage return.
    reason = Finding("odd-name", "review", text)
    glyph = replace(letter_i(), name=text, text=text, reasons=(reason,))
    (row,) = rows(report_csv(sample_pattern(glyph)))
    for name in ("text", "name", "messages"):
        assert row[name].startswith("'")
        assert text.strip() in row[name]


def test_quotes_commas_and_line_breaks_stay_in_their_cell():
    glyph = replace(letter_i(), name='a,"b"\nc')
    (row,) = rows(report_csv(sample_pattern(glyph)))
    assert row["name"] == 'a,"b" c'
    assert row["status"] == "ready"
