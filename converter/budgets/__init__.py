"""How much of anything whatever is read may ask for: far more than real work needs, little enough to stop what would
take a machine. One table of all kinds of input, each row with its reason; what is over it ends in one line.

The ranges of settings are no budgets: they say what makes sense (``settings.definitions``).
"""

from collections.abc import Mapping
from types import MappingProxyType

from converter.budgets import drawings, files, fonts, words
from converter.budgets.budget import Budget

KINDS: Mapping[str, Mapping[str, Budget]] = MappingProxyType(
    {
        module.__name__.rpartition(".")[2]: {
            name: value for name, value in vars(module).items() if isinstance(value, Budget)
        }
        for module in (fonts, drawings, files, words)
    }
)
