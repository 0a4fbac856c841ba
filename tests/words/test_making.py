import xml.etree.ElementTree as ET

import pytest

from converter.errors import InputError
from converter.words.colours import ColourPlan, parse_fabric
from converter.words.making import WordsJob, assembly_text, make_set, make_words, words_files
from converter.words.parts import LayoutSettings
from tests.samples import sample_pattern

JOB = WordsJob(
    "TA IT\n+I",
    LayoutSettings(spacing=12.7, target_width=609.6),
    ColourPlan((parse_fabric("rust"), parse_fabric("gorse")), "word", border=parse_fabric("slate")),
    copies=3,
    finished=True,
)


def test_words_make_a_complete_set_of_files_that_can_be_read():
    files = words_files(make_words(sample_pattern(), JOB))
    fixed = {"layout.svg", "layout-blank.svg", "layout-numbers.svg", "assembly.svg", "assembly.txt"}
    assert fixed | {"colours.svg", "cutting-list.csv", "cutting-plans/slate.svg"} <= set(files)
    for name, text in files.items():
        assert "/" not in name.removeprefix("cutting-plans/")
        if name.endswith(".svg"):
            ET.fromstring(text)


def test_the_assembly_tells_size_copies_order_and_warnings():
    text = assembly_text(make_words(sample_pattern(), JOB))
    assert "Finished: 24 × " in text
    assert "  I: 6" in text  # two in the words, three times
    assert "Made 3 times." in text
    assert "Join row 2 from left to right" in text
    assert "gorse on background, contrast 2.21:1" in text
    assert "binding: " in text
    assert " mm" not in text


def test_a_fabric_with_a_strange_name_makes_a_safe_file_name():
    job = WordsJob("T", colours=ColourPlan((parse_fabric("../../Blå & grün/ =#123456"),)))
    names = list(words_files(make_words(sample_pattern(), job)))
    assert "cutting-plans/blå-grün.svg" in names


def test_the_same_job_makes_the_same_bytes():
    assert words_files(make_words(sample_pattern(), JOB)) == words_files(make_words(sample_pattern(), JOB))


def test_the_set_has_its_own_cutting_list():
    files = make_set(sample_pattern(), "mm", 2).files
    assert set(files) == {"cutting-list.csv", "cutting-plans/background.svg", "cutting-plans/figure.svg"}
    assert " in" not in files["cutting-list.csv"].replace(" in,", "")


@pytest.mark.parametrize("job", [WordsJob(""), WordsJob("T", copies=0), WordsJob("T", fabric_width=1.0)])
def test_a_job_that_cannot_be_is_refused(job):
    with pytest.raises(InputError):
        make_words(sample_pattern(), job)
