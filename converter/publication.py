"""What makes a set its designer's own pattern: title, names, terms, introduction, pictures.

It comes from the table ``[pattern]`` in ``alphabet.toml``, is kept in the settings of the pattern file, and stands
on the pages and in the PDFs' metadata. All of it is what the designer says: no clock, no guess.
"""

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields, replace
from typing import Any

from converter.budgets import files as budgets
from converter.errors import InputError
from converter.model import Pattern

KEY = "pattern"  # of the table in alphabet.toml, and in the settings of the pattern file
FOLDER = "publication"  # in a converted folder, where the pictures are kept
PICTURES = ("cover", "logo")

_LINES = {
    "title": 120,
    "designer": 120,
    "copyright": 200,
    "contact": 200,
    "version": 40,
    "date": 40,
}  # characters
_TEXTS = {"terms": budgets.TERMS.most, "introduction": budgets.INTRODUCTION.most}
_LANGUAGE = re.compile(r"([a-z]{2,3})(-([A-Z]{2}))?")  # ISO 639 and ISO 3166, as BCP 47 joins them
_UNPRINTABLE = {"Cc", "Cf", "Cs", "Co", "Cn"}  # Unicode general categories
_JOINERS = "\u200c\u200d"  # words of some languages need them


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture made safe: its file's name in the folder of pictures, its hash and its proportions."""

    file: str
    sha256: str
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Publication:
    """What the designer says of her pattern; empty where she says nothing. ``terms`` and ``introduction`` are
    CommonMark."""

    title: str = ""
    designer: str = ""
    copyright: str = ""
    contact: str = ""
    version: str = ""
    date: str = ""
    terms: str = ""
    introduction: str = ""
    keywords: tuple[str, ...] = ()
    language: str = "en"
    cover: Picture | None = None
    logo: Picture | None = None

    def echo(self) -> dict[str, object]:
        """What is said, for the pattern file."""
        usual = Publication()
        values = asdict(self)
        return {name: value for name, value in values.items() if value != getattr(usual, name)}


def read_publication(table: Any, place: str) -> tuple[Publication, dict[str, str]]:
    """What a table ``[pattern]`` says, and the paths of its pictures by ``cover`` and ``logo``.

    ``place`` begins the messages. Raises :class:`InputError` for anything else than short texts.
    """
    if not isinstance(table, Mapping):
        raise InputError(f"{place} must be a table.")
    known = [field.name for field in fields(Publication)]
    for name in table:
        if name not in known:
            raise InputError(f"{place}: unknown setting {name!r}; there is {', '.join(known)}.")
    paths = {name: _line(table[name], f"{place}.{name}", 1_000) for name in PICTURES if name in table}
    return _texts(table, place), paths


def publication_of(pattern: Pattern) -> Publication:
    """What a set's pattern file says. Raises :class:`InputError` where it is damaged."""
    table = pattern.settings.get(KEY)
    place = f"settings: {KEY}"
    if table is None:
        return Publication()
    if not isinstance(table, Mapping):
        raise InputError(f"{place} must be a table; run convert again.")
    texts = asdict(_texts(table, place)) | {name: _picture(table.get(name), place) for name in PICTURES}
    return Publication(**texts)


def published(pattern: Pattern, publication: Publication) -> Pattern:
    """The pattern with what is said of it as a publication, in place of what was."""
    settings = {name: value for name, value in pattern.settings.items() if name != KEY}
    said = publication.echo()
    return replace(pattern, settings=settings | ({KEY: said} if said else {}))


def _texts(table: Mapping[str, Any], place: str) -> Publication:
    values: dict[str, Any] = {}
    for name, most in _LINES.items():
        values[name] = _line(table.get(name, ""), f"{place}.{name}", most)
    for name, most in _TEXTS.items():
        values[name] = _text(table.get(name, ""), f"{place}.{name}", most)
    words = table.get("keywords", ())
    if not isinstance(words, list | tuple) or len(words) > budgets.KEYWORDS.most:
        raise InputError(
            f'{place}.keywords must be a list of at most {budgets.KEYWORDS.most} words, like ["kelp"].'
        )
    values["keywords"] = tuple(_line(word, f"{place}.keywords", 60) for word in words)
    values["language"] = language = table.get("language", "en")
    if not isinstance(language, str) or not _LANGUAGE.fullmatch(language):
        raise InputError(f'{place}.language must be a code such as "en" or "en-GB".')
    return Publication(**values)


def _text(value: Any, place: str, most: int) -> str:
    if not isinstance(value, str):
        raise InputError(f"{place} must be a text in quotes.")
    if len(value) > most:
        raise InputError(f"{place} has {len(value)} characters; it may have {most}.")
    kept = [c for c in value if c in _JOINERS or c in "\n\t" or unicodedata.category(c) not in _UNPRINTABLE]
    return "".join(kept).strip()


def _line(value: Any, place: str, most: int) -> str:
    text = _text(value, place, most)
    if "\n" in text:
        raise InputError(f"{place} must be one line.")
    return " ".join(text.split())


def _picture(value: Any, place: str) -> Picture | None:
    if value is None:
        return None
    try:
        picture = Picture(
            str(value["file"]), str(value["sha256"]), float(value["width"]), float(value["height"])
        )
    except (KeyError, TypeError, ValueError):
        raise InputError(f"{place}: a picture is damaged; run convert again.") from None
    if not re.fullmatch(r"(cover|logo)\.(png|jpg|svg)", picture.file) or not (
        0 < picture.width < 1e6 and 0 < picture.height < 1e6
    ):
        raise InputError(f"{place}: a picture is damaged; run convert again.")
    return picture
