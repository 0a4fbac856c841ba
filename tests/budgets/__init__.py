"""The table of budgets in DEVELOPERS.md, which ``python -m tests.budgets`` prints."""

from converter.budgets import KINDS


def table() -> str:
    """All budgets as a table in Markdown."""
    rows = ["| of | at most | because |", "| --- | --- | --- |"]
    for kind, budgets in KINDS.items():
        rows += [f"| {kind}: `{name}` | {b.most:,} {b.of} | {b.reason} |" for name, b in budgets.items()]
    return "\n".join(rows)
