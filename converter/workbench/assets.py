"""The page's own files, which the package carries with it; nothing else on the disk is served as a page."""

from importlib.resources import files

_KINDS = {
    "html": "text/html; charset=utf-8",
    "css": "text/css; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "svg": "image/svg+xml",
}
_SHARED = {"report.css"}  # so that the page looks like the report


def asset(name: str) -> tuple[bytes, str] | None:
    """The content of a file of the page and its media type; None where there is none of that name."""
    stem, _, ending = name.partition(".")
    if not (stem.isidentifier() and stem.isascii() and ending in _KINDS):
        return None
    home = files("converter.report" if name in _SHARED else "converter.workbench.page")
    file = home.joinpath(name)
    return (file.read_bytes(), _KINDS[ending]) if file.is_file() else None
