"""Whether a font may be turned into patterns, as far as a program can tell. No legal advice.

What is read: the embedding rights (OS/2 fsType), the licence text and address in the font (name ids 13 and
14), and a licence file beside it. The font's own words win over a file, and an open licence wins over the
embedding rights, which many open fonts set by mistake. (Source of the fields: OpenType, OS/2 and name
tables.)
"""

import os
import re
from dataclasses import dataclass
from pathlib import Path

from converter.budgets import fonts as budgets
from converter.errors import InputError
from converter.fonts.known_licences import KnownLicence, is_proprietary, limits_use, recognise
from converter.fonts.loading import Font
from converter.fonts.plain import plain_text
from converter.model import Licence, LicenceVerdict

_FILE_NAME = re.compile(
    r"(ofl|ufl|(un)?licen[cs]es?|copying|copyright|gust-font-license)([-_. ][\w.-]*)?|.*\.licen[cs]e",
    re.IGNORECASE,
)
_NOT_TEXT = {".ttf", ".otf", ".woff", ".woff2", ".ttc", ".otc", ".pdf", ".html", ".htm", ".png", ".py", ".js"}
_ABOUT_FONTS = re.compile(r"\b(font|fonts|typeface|typefaces|glyphs)\b", re.IGNORECASE)
_POINTS_TO_FILE = re.compile(
    r"\b(see|read|refer to|accompan\w+|enclosed|included|bundled)\b.{0,60}(licen[cs]e|OFL|COPYING)"
    r"|\b(licen[cs]e|OFL|COPYING)\b.{0,20}(\.txt|\.md|file)",
    re.IGNORECASE,
)
_KEPT_TEXT = 600  # characters of licence text that go into the pattern file
_SCANNED_ENTRIES = 4096  # of the font's folder
_NO_ADVICE = "This is not legal advice."

_USAGE_MASK, _RESTRICTED, _PREVIEW, _EDITABLE, _BITMAP_ONLY = 0x000F, 0x0002, 0x0004, 0x0008, 0x0200


def judge_licence(font: Font, folder: Path, checked: str = "", *, of_drawings: bool = False) -> Licence:
    """Judge from the font's own words, a licence file in ``folder`` (the font's), and the embedding rights.

    ``of_drawings``: the font is a folder of drawings, so a licence file in it need not speak of fonts.

    ``checked`` is the user's own word, kept as it is but made safe to print; it does not change the verdict.

    >>> from converter.fonts.loading import load_font
    >>> path = Path("sample_fonts/jost/jost-latin-800-normal.woff2")
    >>> licence = judge_licence(load_font(path), path.parent)
    >>> licence.verdict, licence.name
    ('open', 'OFL-1.1')
    """
    name, verdict, evidence = _judge_drawings(font, folder) if of_drawings else _judge(font, folder)
    return Licence(
        text=plain_text(font.licence_text, _KEPT_TEXT),
        url=font.licence_url,
        fs_type=font.fs_type,
        verdict=verdict,
        name=name,
        evidence="; ".join(evidence),
        checked=plain_text(checked, _KEPT_TEXT),
    )


def refuse_restricted(font: Font, licence: Licence) -> None:
    """Raises :class:`InputError` where the licence is restricted and the user has not given a word of his own."""
    if licence.verdict == "restricted" and not licence.checked:
        raise InputError(licence_message(font, licence))


def licence_message(font: Font, licence: Licence) -> str:
    """One line for the user: why the run stops or is doubtful and what to do. Empty for an open licence."""
    if licence.verdict == "open":
        return ""
    doubt = (
        "its licence does not allow this"
        if licence.verdict == "restricted"
        else "it is not clear whether its licence allows this"
    )
    if licence.checked:
        word = f"used on your authority: {licence.checked}"
        return f"{font.file}: {doubt} ({licence.evidence}); {word}. {_NO_ADVICE}"
    remedy = "give an open-licensed font, or" if licence.verdict == "restricted" else "read the licence, then"
    return (
        f"{font.file}: {doubt} ({licence.evidence}); {remedy} record who allowed it with "
        f'--licence-checked "who, when, why". {_NO_ADVICE}'
    )


def describe_embedding(fs_type: int) -> str:
    """The embedding rights in words (OpenType, OS/2 fsType)."""
    usage = fs_type & _USAGE_MASK
    if usage & _EDITABLE:
        words = "editable embedding"
    elif usage & _PREVIEW:
        words = "preview and print embedding"
    elif usage & _RESTRICTED:
        words = "restricted licence embedding"
    else:
        words = "installable embedding"
    return words + (", bitmaps only" if fs_type & _BITMAP_ONLY else "")


def _judge_drawings(font: Font, folder: Path) -> tuple[str, LicenceVerdict, list[str]]:
    found = _licence_file(font, folder)
    if found is None:
        return "", "unknown", ["no licence file beside the drawings"]
    return (
        found.licence.name,
        found.licence.verdict,
        [f"{found.file} beside the drawings: {found.licence.name}"],
    )


def _judge(font: Font, folder: Path) -> tuple[str, LicenceVerdict, list[str]]:
    """Name, verdict, evidence: from the font's own words, else a file beside it, else its embedding rights."""
    words, url = font.licence_text, font.licence_url
    embedding = describe_embedding(font.fs_type)
    rights = [f"fsType {font.fs_type}: {embedding}"]
    forbids = "restricted" in embedding or "bitmaps only" in embedding
    own = recognise(words, url)
    found = _licence_file(font, folder)
    beside = [found.words] if found else []
    overruled = [*beside, "the font's own text decides"] if found else []
    if own is not None:
        evidence = [f"name id {14 if recognise('', url) is own else 13}: {own.name}"]
        if found and found.licence.name != own.name:
            evidence += overruled
        if limits_use(words) and own.verdict == "open":
            return own.name, "unknown", [*evidence, "but name id 13 also limits the use"]
        return _with_rights(own, evidence, rights if forbids else [])
    if limits_use(words) or is_proprietary(words):
        return "", "restricted", ["name id 13 reserves the rights or limits the use", *overruled]
    if found and found.about_this_font and (not words or _POINTS_TO_FILE.search(words)):
        return _with_rights(found.licence, beside, rights if forbids else [])
    if forbids:
        return "", "restricted", [*rights, "and no open licence found", *beside]
    said = "name ids 13 and 14 name no known licence" if words or url else "the font names no licence"
    return (
        "",
        "unknown",
        [said, *((overruled if words else beside) or ["no licence file beside it"]), *rights],
    )


def _with_rights(
    licence: KnownLicence, evidence: list[str], forbidding: list[str]
) -> tuple[str, LicenceVerdict, list[str]]:
    """Where the embedding rights forbid use, an open licence wins, but a doubtful one does not."""
    if not forbidding:
        return licence.name, licence.verdict, evidence
    if licence.verdict == "open":
        return licence.name, "open", [*evidence, *forbidding, "the open licence counts"]
    return licence.name, "restricted", [*evidence, *forbidding]


@dataclass(frozen=True, slots=True)
class _Found:
    """A licence file beside the font, and whether it can be about this font."""

    licence: KnownLicence
    about_this_font: bool
    words: str
    file: str


def _licence_file(font: Font, folder: Path) -> _Found | None:
    """The licence file that speaks of this font, else one that does not, else None."""
    stem = Path(font.file).stem.lower()
    other = None
    for path in _candidates(folder, stem):
        try:
            with path.open("rb") as stream:
                words = stream.read(budgets.LICENCE_BYTES.most).decode("utf-8", errors="replace")
        except OSError:
            continue
        licence = recognise(words)
        if licence is None:
            continue
        file = plain_text(path.name, budgets.NAME.most)
        told = f"{file} beside the font: {licence.name}"
        mine = path.name.lower().startswith(f"{stem}.")
        if mine or licence.about_fonts or _ABOUT_FONTS.search(words) or _speaks_of(words, font.family):
            return _Found(licence, True, told, file)
        other = other or _Found(licence, False, f"{told}, which does not speak of fonts", file)
    return other


def _speaks_of(words: str, family: str) -> bool:
    return len(family) > 2 and family.lower() in words.lower()


def _candidates(folder: Path, stem: str) -> list[Path]:
    """Licence files, the one named after the font first, then those named after a font licence."""
    names = []
    try:
        with os.scandir(folder) as entries:
            for _, entry in zip(range(_SCANNED_ENTRIES), entries, strict=False):
                name = entry.name
                text_file = _FILE_NAME.fullmatch(name) and Path(name).suffix.lower() not in _NOT_TEXT
                if text_file and entry.is_file():
                    names.append(name)
    except OSError:
        return []
    names.sort(key=lambda n: (not n.lower().startswith(f"{stem}."), n.lower()[:3] not in ("ofl", "ufl"), n))
    return [folder / name for name in names[: budgets.LICENCE_FILES.most]]
