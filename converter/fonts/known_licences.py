"""Licences that can be told by their words or their web address, and what each means for a pattern.

The names are SPDX identifiers where SPDX has one. "open": making and selling things from the outlines is
allowed; "unknown": a person has to think (share-alike terms may reach the pattern); "restricted": forbidden
without permission. No legal advice.
"""

import re
from dataclasses import dataclass
from urllib.parse import urlsplit

from converter.model import LicenceVerdict


@dataclass(frozen=True, slots=True)
class KnownLicence:
    """One licence: how it is recognised (host and path of its address; its words) and what it means."""

    name: str
    verdict: LicenceVerdict
    addresses: tuple[str, ...]
    words: str
    about_fonts: bool = False  # written for fonts, so that beside a font it can hardly mean anything else


# The first that fits counts, so what narrows a licence stands before the licence itself.
KNOWN = (
    KnownLicence(
        "GPL with font exception",
        "open",
        (),
        r"font exception|GNU (General Public|GPL).{0,4000}?embed(s|ding|ded)? (this|the) font",
        True,
    ),
    KnownLicence(
        "CC-BY-NC",
        "restricted",
        (r"creativecommons\.org/licenses/by-nc",),
        r"CC[ -]BY[ -]NC|Attribution[ -]+Non-?Commercial",
    ),
    KnownLicence(
        "CC-BY-ND",
        "restricted",
        (r"creativecommons\.org/licenses/by-nd",),
        r"CC[ -]BY[ -]ND|Attribution[ -]+No[ -]?Deriv",
    ),
    KnownLicence(
        "CC-BY-SA",
        "unknown",
        (r"creativecommons\.org/licenses/by-sa",),
        r"CC[ -]BY[ -]SA|Attribution[ -]+Share[ -]?Alike",
    ),
    KnownLicence(
        "OFL-1.1",
        "open",
        (
            r"scripts\.sil\.org/(cms/scripts/page\.php\?.*id=)?ofl",
            r"openfontlicense\.org/",
            r"opensource\.org/licenses?/ofl",
        ),
        r"SIL Open Font Licen[cs]e|Open Font Licen[cs]e,? (version|v\.?) ?1|\bOFL[ -]?(version |v)?1\.[01]\b",
        True,
    ),
    KnownLicence(
        "Ubuntu-font-1.0",
        "open",
        (r"ubuntu\.com/legal/font-licen[cs]e", r"font\.ubuntu\.com/(ufl|licen[cs]e)"),
        r"Ubuntu Font Licen[cs]e",
        True,
    ),
    KnownLicence(
        "GUST-Font-License",
        "open",
        (r"gust\.org\.pl/fonts/licenses", r"tug\.org/fonts/licenses/GUST-FONT-LICENSE"),
        r"GUST Font (Nosource )?Licen[cs]e",
        True,
    ),
    KnownLicence(
        "Bitstream-Vera",
        "open",
        (r"dejavu(-fonts\.org|\.sourceforge\.net)/wiki/(index\.php/)?licen[cs]e", r"gnome\.org/fonts"),
        r"Bitstream Vera.{0,400}?Permission is hereby granted|DejaVu (fonts )?licen[cs]e"
        r"|Fonts are \(c\) Bitstream",
        True,
    ),
    KnownLicence(
        "Apache-2.0",
        "open",
        (r"apache\.org/licenses/license-2\.0", r"opensource\.org/licenses?/apache-2\.0"),
        r"Apache Licen[cs]e,? (version|v\.?)? ?2(\.0)?",
    ),
    KnownLicence(
        "CC0-1.0",
        "open",
        (r"creativecommons\.org/publicdomain/(zero|mark)",),
        r"\bCC0\b|Creative Commons Zero",
    ),
    KnownLicence(
        "CC-BY",
        "open",
        (r"creativecommons\.org/licenses/by/",),
        r"CC[ -]BY([ -]\d|\b(?![ -][A-Z]))|Creative Commons Attribution (\d|International|licen[cs]e)",
    ),
    KnownLicence(
        "MIT",
        "open",
        (r"opensource\.org/licenses?/mit",),
        r"\bMIT Licen[cs]e|Expat Licen[cs]e"
        r"|Permission is hereby granted, free of charge, to any person obtaining a copy of this software",
    ),
    KnownLicence(
        "BSD",
        "open",
        (r"opensource\.org/licenses?/bsd",),
        r"\bBSD[ -](\d-clause )?licen[cs]e|Redistribution and use in source and binary forms",
    ),
    KnownLicence(
        "public domain",
        "open",
        (r"unlicense\.org/",),
        r"released into the public domain|(is|are) in the public domain|dedicated to the public domain"
        r"|public[ -]domain (font|typeface|dedication)|^public domain",
    ),
    KnownLicence(
        "GPL without font exception",
        "unknown",
        (r"gnu\.org/(licenses|copyleft)/(a|l)?gpl", r"opensource\.org/licenses?/(a|l)?gpl"),
        r"GNU (Affero |Lesser )?General Public Licen[cs]e|\b[AL]?GPL(v| ?\d|\b)",
    ),
)

_DENIED = re.compile(
    r"\b(not|neither|no longer|never)\b[^.;]{0,30}"
    r"\b(licen[cs]ed|released|available|covered|distributed|subject)\b|\bunder no licen[cs]e",
    re.IGNORECASE,
)
_LIMITED_USE = re.compile(
    r"personal(,? (and )?non-?commercial)? use|non-?commercial (use|purposes)|not? (be used )?for commercial"
    r"|(trial|demo|evaluation|test) (version|licen[cs]e|font|copy|use|purposes)",
    re.IGNORECASE,
)
_PROPRIETARY = re.compile(
    r"all rights reserved|proprietary|confidential|\bEULA\b|end[ -]user licen[cs]e|unauthori[sz]ed"
    r"|without (the )?(prior |express |written |explicit )+(permission|consent)"
    r"|licen[cs]e (must be|is to be) purchased"
    r"|may not be (used|copied|reproduced|distributed|modified|converted)",
    re.IGNORECASE,
)


def recognise(words: str, url: str = "") -> KnownLicence | None:
    """The licence that an address (from its start) or words (anywhere in them) name, or None."""
    if words and _DENIED.search(words[:600]):
        return None
    for licence in KNOWN:
        if any(re.match(address, _host_and_path(url), re.IGNORECASE) for address in licence.addresses):
            return _with_exception(licence, words)
    for licence in KNOWN:
        if re.search(licence.words, words, re.IGNORECASE | re.DOTALL):
            return licence
    for address in re.findall(r"https?://[^\s<>\"']+", words)[:20]:
        for licence in KNOWN:
            if any(re.match(known, _host_and_path(address), re.IGNORECASE) for known in licence.addresses):
                return licence
    return None


def limits_use(words: str) -> bool:
    """True for words such as "free for personal use" and "trial version"."""
    return _LIMITED_USE.search(words) is not None


def is_proprietary(words: str) -> bool:
    """True for words such as "all rights reserved"; they count only without a permission beside them."""
    return _PROPRIETARY.search(words) is not None


def _with_exception(licence: KnownLicence, words: str) -> KnownLicence:
    """The address of the GPL does not tell whether the words beside it add the exception for fonts."""
    exception = KNOWN[0]
    if licence.name.startswith("GPL") and re.search(exception.words, words, re.IGNORECASE | re.DOTALL):
        return exception
    return licence


def _host_and_path(url: str) -> str:
    """Host without "www." and path, so that an address inside another one's query does not count."""
    try:
        parts = urlsplit(url.strip() if "//" in url else f"//{url.strip()}")
        host = (parts.hostname or "").removeprefix("www.")
    except ValueError:
        return ""
    query = f"?{parts.query}" if host == "scripts.sil.org" and parts.query else ""
    return f"{host}{parts.path or '/'}{query}"
