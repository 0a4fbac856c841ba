"""Judging licences. The phrases are short quotations of how fonts name their licence; no legal advice."""

import pytest

from converter.fonts.licence import describe_embedding, judge_licence, licence_message
from tests.fonts.makers import TEXT_FONTS, builder, square

OFL = "This Font Software is licensed under the SIL Open Font License, Version 1.1."
OFL_FILE = (TEXT_FONTS[0].parent / "LICENSE").read_text()
MIT_FILE = (
    "MIT License\n\n"
    "Permission is hereby granted, free of charge, to any person obtaining a copy of this software"
)
GPL = "GNU General Public License version 3"

# name: (licence text, licence URL, fsType, files beside the font) -> (verdict, name, word in the evidence)
CASES = {
    "OFL by text": ((OFL, "", 0, {}), ("open", "OFL-1.1", "name id 13")),
    "OFL by address": (("", "https://openfontlicense.org", 0, {}), ("open", "OFL-1.1", "name id 14")),
    "OFL by the old address": (("", "http://scripts.sil.org/OFL", 0, {}), ("open", "OFL-1.1", "name id 14")),
    "OFL by the older address": (
        ("", "http://scripts.sil.org/cms/scripts/page.php?site_id=nrsi&id=OFL", 0, {}),
        ("open", "OFL-1.1", "name id 14"),
    ),
    "OFL in a file": (("", "", 0, {"OFL.txt": OFL_FILE}), ("open", "OFL-1.1", "OFL.txt beside the font")),
    "OFL in a file that the font points to": (
        ("See the enclosed file OFL.txt.", "", 0, {"OFL.txt": OFL_FILE}),
        ("open", "OFL-1.1", "OFL.txt"),
    ),
    "OFL with a sloppy fsType": ((OFL, "", 2, {}), ("open", "OFL-1.1", "fsType 2")),
    "OFL file with a sloppy fsType": (("", "", 2, {"OFL.txt": OFL_FILE}), ("open", "OFL-1.1", "fsType 2")),
    "OFL and all rights reserved": (("All rights reserved. " + OFL, "", 0, {}), ("open", "OFL-1.1", "")),
    "OFL denied": (
        ("This font is not licensed under the SIL Open Font License.", "", 0, {}),
        ("unknown", "", ""),
    ),
    "OFL and personal use": (
        (OFL + " Free for personal use only.", "", 0, {}),
        ("unknown", "OFL-1.1", "limits the use"),
    ),
    "Apache": (
        ("Licensed under the Apache License, Version 2.0", "", 0, {}),
        ("open", "Apache-2.0", "name id 13"),
    ),
    "Apache by address": (
        ("", "http://www.apache.org/licenses/LICENSE-2.0", 0, {}),
        ("open", "Apache-2.0", "name id 14"),
    ),
    "MIT": (("Released under the MIT License.", "", 0, {}), ("open", "MIT", "")),
    "MIT by address": (("", "https://opensource.org/licenses/MIT", 0, {}), ("open", "MIT", "")),
    "CC0": (("CC0 1.0 Universal", "", 0, {}), ("open", "CC0-1.0", "")),
    "CC0 by address": (
        ("", "https://creativecommons.org/publicdomain/zero/1.0/", 0, {}),
        ("open", "CC0-1.0", ""),
    ),
    "Ubuntu": (
        ("Licensed under the Ubuntu Font Licence 1.0", "http://font.ubuntu.com/licence", 0, {}),
        ("open", "Ubuntu-font-1.0", ""),
    ),
    "GUST": (("GUST Font License", "", 0, {}), ("open", "GUST-Font-License", "")),
    "DejaVu": (
        ("Fonts are (c) Bitstream (see below). DejaVu changes are in public domain.", "", 0, {}),
        ("open", "Bitstream-Vera", ""),
    ),
    "DejaVu by address": (
        ("", "http://dejavu.sourceforge.net/wiki/index.php/License", 0, {}),
        ("open", "Bitstream-Vera", ""),
    ),
    "public domain": (("This font is in the public domain.", "", 0, {}), ("open", "public domain", "")),
    "CC-BY": (("", "https://creativecommons.org/licenses/by/4.0/", 0, {}), ("open", "CC-BY", "")),
    "GPL with font exception": (
        (GPL + " with font exception", "", 0, {}),
        ("open", "GPL with font exception", ""),
    ),
    "GPL by address with font exception": (
        ("GPL with font exception", "http://www.gnu.org/copyleft/gpl.html", 0, {}),
        ("open", "GPL with font exception", ""),
    ),
    "GPL": ((GPL, "", 0, {}), ("unknown", "GPL without font exception", "")),
    "GPL by address": (
        ("", "https://www.gnu.org/licenses/gpl-3.0.html", 0, {}),
        ("unknown", "GPL without font exception", ""),
    ),
    "CC-BY-SA": (("", "https://creativecommons.org/licenses/by-sa/4.0/", 0, {}), ("unknown", "CC-BY-SA", "")),
    "CC-BY-NC": (
        ("", "https://creativecommons.org/licenses/by-nc/4.0/", 0, {}),
        ("restricted", "CC-BY-NC", ""),
    ),
    "CC-BY-NC-SA in words": (("CC BY-NC-SA 4.0", "", 0, {}), ("restricted", "CC-BY-NC", "")),
    "CC-BY-ND": (("CC-BY-ND", "", 0, {}), ("restricted", "CC-BY-ND", "")),
    "nothing": (("", "", 0, {}), ("unknown", "", "names no licence")),
    "nothing, restricted embedding": (("", "", 2, {}), ("restricted", "", "restricted licence embedding")),
    "nothing, bitmaps only": (("", "", 0x0200, {}), ("restricted", "", "bitmaps only")),
    "nothing, preview and print": (("", "", 4, {}), ("unknown", "", "preview and print")),
    "nothing, editable besides restricted": (("", "", 2 | 8, {}), ("unknown", "", "editable")),
    "all rights reserved": (("All rights reserved.", "", 0, {}), ("restricted", "", "reserves the rights")),
    "a EULA": (
        ("Your use is governed by the end-user license agreement.", "", 0, {}),
        ("restricted", "", ""),
    ),
    "personal use": (("Free for personal use.", "", 0, {}), ("restricted", "", "")),
    "an unknown address": (("", "https://example.org/licence", 0, {}), ("unknown", "", "no known licence")),
    "an address inside another": (
        ("", "https://example.org/?scripts.sil.org/OFL", 0, {}),
        ("unknown", "", "no known licence"),
    ),
    "a host that looks alike": (("", "https://openfontlicense.org.example.org/", 0, {}), ("unknown", "", "")),
    "the code's MIT licence beside a font that says otherwise": (
        ("All rights reserved by the foundry.", "", 0, {"LICENSE": MIT_FILE}),
        ("restricted", "", "the font's own text decides"),
    ),
    "the code's MIT licence beside a font with other words": (
        ("Ask the foundry.", "", 0, {"LICENSE": MIT_FILE + " fonts"}),
        ("unknown", "", "the font's own text decides"),
    ),
    "the code's MIT licence beside a silent font": (
        ("", "", 0, {"LICENSE": MIT_FILE}),
        ("unknown", "", "does not speak of fonts"),
    ),
    "an MIT licence that speaks of the fonts": (
        ("", "", 0, {"LICENSE": "The fonts in this folder: " + MIT_FILE}),
        ("open", "MIT", "LICENSE beside the font"),
    ),
    "an MIT licence named after the font": (
        ("", "", 0, {"test.license": MIT_FILE}),
        ("open", "MIT", "test.license"),
    ),
    "GPL file beside an OFL font": (
        (OFL, "", 0, {"COPYING": GPL + " for fonts"}),
        ("open", "OFL-1.1", "COPYING"),
    ),
    "OFL file beside an NC font": (
        ("CC BY-NC 4.0", "", 0, {"OFL.txt": OFL_FILE}),
        ("restricted", "CC-BY-NC", "the font's own text decides"),
    ),
    "a licence file that is no text": (("", "", 0, {"LICENSE": "\0\1\2" * 1000}), ("unknown", "", "")),
    "other files do not count": (
        ("", "", 0, {"README.txt": OFL_FILE, "licence.py": OFL_FILE}),
        ("unknown", "", ""),
    ),
}


@pytest.fixture
def judge(load, tmp_path):
    def make_and_judge(text, url, fs_type, files, checked=""):
        for name, content in files.items():
            (tmp_path / name).write_text(content)
        names = {"licenseDescription": text} if text else {}
        names |= {"licenseInfoURL": url} if url else {}
        font = load(builder({"A": square(0, 0, 1)}, names=names, fsType=fs_type))
        return font, judge_licence(font, tmp_path, checked)

    return make_and_judge


@pytest.mark.parametrize("case", CASES)
def test_verdict(judge, case):
    given, (verdict, name, evidence) = CASES[case]
    font, licence = judge(*given)
    assert (licence.verdict, licence.name) == (verdict, name)
    assert evidence in licence.evidence
    assert licence.evidence
    message = licence_message(font, licence)
    assert message.isprintable() or not message
    assert bool(message) == (verdict != "open")


def test_messages_say_what_to_do_and_that_they_are_no_advice(judge):
    for given in (("All rights reserved.", "", 0, {}), ("", "", 0, {})):
        message = licence_message(*judge(*given))
        assert message.startswith("test.ttf: ")
        assert '--licence-checked "who, when, why"' in message
        assert message.endswith("This is not legal advice.")


def test_the_users_own_word_is_kept_and_leaves_the_verdict(judge):
    font, licence = judge("All rights reserved.", "", 2, {}, checked="Ann\x1b[2J, May 2024,\nbought it")
    assert licence.checked == "Ann, May 2024, bought it"
    assert licence.verdict == "restricted"
    assert "used on your authority: Ann, May 2024, bought it" in licence_message(font, licence)


def test_a_licence_file_is_read_only_so_far(judge, tmp_path):
    with (tmp_path / "LICENSE").open("wb") as stream:
        stream.truncate(2**31)  # sparse
    (tmp_path / "COPYING").mkdir()
    assert judge("", "", 0, {})[1].verdict == "unknown"


def test_a_folder_that_is_not_there_holds_no_licence(load, tmp_path):
    font = load(builder({"A": square(0, 0, 1)}))
    assert judge_licence(font, tmp_path / "nowhere").verdict == "unknown"


@pytest.mark.parametrize(
    ("fs_type", "words"),
    [
        # OpenType, OS/2 fsType: bits 0-3 of usage, 0x0100 no subsetting, 0x0200 bitmaps only
        (0, "installable embedding"),
        (2, "restricted licence embedding"),
        (4, "preview and print embedding"),
        (8, "editable embedding"),
        (0x0200 | 8, "editable embedding, bitmaps only"),
        (0x0100, "installable embedding"),
    ],
)
def test_embedding_rights_in_words(fs_type, words):
    assert describe_embedding(fs_type) == words
