"""The printed pattern: instructions, characters, sheets of templates and proof pages, as PDF at true size."""

from converter.printing.documents import Job, prepare, set_pages

__all__ = ["Job", "prepare", "set_pages"]
