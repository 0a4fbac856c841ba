"""The ``font2foundation`` command: thin, over the library.

Exit codes: see ``EXIT_CODES``.
"""

import errno
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module

import click

from converter import __version__
from converter.cli.lines import shortened, visible
from converter.cli.stopping import Stopped, stop_on_signals
from converter.errors import InputError

# As the help lists them.
COMMANDS = (
    "blank",
    "check",
    "contact",
    "convert",
    "demo",
    "fabric",
    "mats",
    "open",
    "print",
    "store",
    "words",
)


class _Commands(click.Group):
    """Turns errors that users are meant to read into one line and exit code 2.

    Loads a command when it is asked for: none waits for what only others need, like typesetting.
    """

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The names of all commands."""
        del ctx
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name."""
        del ctx
        if cmd_name not in COMMANDS:
            return None
        command = getattr(import_module(f"converter.cli.{cmd_name}_command"), f"{cmd_name}_command")
        return command if isinstance(command, click.Command) else None

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Reads what stands before the command's name."""
        with _errors_in_one_line():
            return super().parse_args(ctx, args)

    def invoke(self, ctx: click.Context) -> object:
        """Runs the command."""
        with _errors_in_one_line():
            return super().invoke(ctx)


@contextmanager
def _errors_in_one_line() -> Iterator[None]:
    try:
        yield
    except InputError as error:
        raise _BadInputError(str(error)) from None
    except click.exceptions.NoArgsIsHelpError:
        raise
    except click.UsageError as error:
        path = error.ctx.command_path if error.ctx else "font2foundation"
        said = " ".join(error.format_message().split())
        raise _BadInputError(f"{said.rstrip('.')}; see {path} --help.") from None
    except OSError as error:  # a name too long, a full disk: nothing that a traceback would mend
        if error.errno == errno.EPIPE:  # who reads has stopped reading; click ends quietly
            raise
        raise _BadInputError(f"{error.filename or 'a file'}: {error.strerror or error}.") from None
    except KeyboardInterrupt as stop:
        raise click.exceptions.Exit(128 + (stop.number if isinstance(stop, Stopped) else 2)) from None


class _BadInputError(click.ClickException):
    exit_code = 2

    def show(self, file: object = None) -> None:
        """One line on stderr."""
        del file
        click.echo(f"error: {shortened(visible(self.format_message()))}", err=True)


EXIT_CODES = (
    "Exit codes: 0 success; 1 a glyph has a status named by convert --fail-on, or a block edited by hand cannot be "
    "sewn or read (check); 2 bad input; 130 stopped with Ctrl-C, 143 and 129 by the signals TERM and HUP."
)


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]}, epilog=EXIT_CODES)
@click.version_option(__version__, prog_name="font2foundation")
def cli() -> None:
    """Turn the characters of an open-licensed font into foundation-pieced blocks."""


def main() -> None:
    """The entry point of the command."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")  # a terminal that cannot show a character gets a mark, not a crash
    stop_on_signals()
    cli.main(prog_name="font2foundation")
