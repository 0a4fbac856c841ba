"""An option for every setting of a run that has a help text; the command gets None where it is not given."""

from collections.abc import Callable
from typing import Any

import click

from converter.cli.types import Read
from converter.settings import Settings
from converter.settings.definitions import RUN
from converter.settings.kinds import Kind


def settings_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Adds the options to a command, in the order of the settings."""
    usual = Settings()
    for name, setting in reversed([*RUN.items()]):
        if setting.help:
            default = setting.shown or getattr(usual, name)
            command = click.option(
                f"--{name.replace('_', '-')}",
                type=_type(setting.kind),
                help=f"{setting.help}  [default: {default}]",
            )(command)
    return command


def _type(kind: Kind) -> Any:
    return click.Choice(kind.choices) if kind.choices else Read(kind.name, kind.read)
