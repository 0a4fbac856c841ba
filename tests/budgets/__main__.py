"""``python -m tests.budgets``: see the package."""

from tests.budgets import table

print(table())
