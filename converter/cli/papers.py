"""Papers and the sets that they were made from: recorded when made, told when out of date, made anew."""

import os
from collections.abc import Collection, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import click
from rich.console import Console

from converter.cli.terminal import console
from converter.errors import InputError
from converter.folder.reading import is_as_made, read_papers, read_pattern
from converter.model import Pattern
from converter.output import one_run_at_a_time, write_folder
from converter.papers import PAPERS, Options, Paper, digest_of, papers_json, state_of
from converter.printing.wording import listed

MAKERS = ("contact", "fabric", "print", "words")  # the commands that make papers
_PATHS = ("folder", "also", "only_from", "sampler")  # parameters that are paths of sets
_MOST_NAMED = 12
_GIVEN = "converter.cli.papers.given"


class PaperCommand(click.Command):
    """A command that makes papers: keeps its options as they were written."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Reads the arguments, and keeps them."""
        given, _, _ = self.make_parser(ctx).parse_args(args=list(args))
        ctx.meta[_GIVEN] = {name: value for name, value in given.items() if _is_text(value)}
        return super().parse_args(ctx, args)


def record(
    folder: Path, out: Path, files: Mapping[str, bytes | str], keys: Collection[str] | None = None
) -> None:
    """Records that the running command made ``files`` in ``out`` from the set in ``folder``.

    ``keys``: the blocks that they show; None for all. Where the set's folder cannot be written, nothing is recorded.
    """
    ctx = click.get_current_context()
    try:
        with one_run_at_a_time(folder):
            state = state_of(read_pattern(folder))
            paper = Paper(
                ctx.info_name or "",
                _options(ctx, folder),
                {name: digest_of(content) for name, content in files.items()},
                state if keys is None else state.only(set(keys)),
                keys is None,
            )
            papers = read_papers(folder) | {_relative(out, folder): paper}
            write_folder(folder, {PAPERS: papers_json(papers)})
    except InputError as error:
        console(stderr=True).print(f"warning: what was made is not recorded ({error})", markup=False)


def stale(folder: Path, pattern: Pattern) -> Iterator[tuple[str, Paper, tuple[str, ...]]]:
    """The papers that are out of date and still as they were made: their folder, themselves, what they are older than.

    What has been changed, moved or deleted since is its owner's, and left alone.
    """
    papers = read_papers(folder)
    now = state_of(pattern) if papers else None
    for path, paper in sorted(papers.items()):
        older = paper.older_than(now) if now else ()
        if older and paper.files and is_as_made(folder / path, paper.files):
            yield path, paper, older


def tell_stale(screen: Console, folder: Path, pattern: Pattern, but: Path | None = None) -> None:
    """Says which papers are out of date; ``but``: a folder that was made just now."""
    found = [one for one in stale(folder, pattern) if but is None or one[0] != _relative(but, folder)]
    for path, paper, older in found:
        names = list(older[:_MOST_NAMED])
        if len(older) > len(names):
            names.append(f"{len(older) - len(names)} more")
        files = [name for name in paper.files if name.endswith((".pdf", ".csv"))]
        what = f"{path} ({', '.join(sorted(files))})" if files else path
        screen.print(f"out of date: {what} is older than {listed(names)}", markup=False, soft_wrap=True)
    if found:
        screen.print(
            f"font2foundation print {folder} --stale makes what is out of date anew",
            markup=False,
            soft_wrap=True,
        )


def make_stale(folder: Path, quiet: bool) -> None:
    """Runs again what made the papers that are out of date."""
    found = list(stale(folder, read_pattern(folder)))
    ctx = click.get_current_context()
    root = ctx.find_root().command
    for path, paper, _ in found:
        if not quiet:
            console().print(f"{path}:", markup=False, soft_wrap=True)
        command = root.get_command(ctx, paper.command) if isinstance(root, click.Group) else None
        if command is None or paper.command not in MAKERS:
            raise InputError(
                f"{folder / PAPERS} names the command {paper.command[:40]!r}, which makes no papers."
            )
        arguments = _arguments(command, paper.options, folder, folder / path)
        root.main([paper.command, *arguments], prog_name="font2foundation", standalone_mode=False)
    if not found and not quiet:
        console().print("nothing is out of date")


def _options(ctx: click.Context, folder: Path) -> Options:
    given: dict[str, Any] = ctx.meta.get(_GIVEN, {})
    kept: dict[str, str | bool | tuple[str, ...]] = {}
    for name, value in given.items():
        if name in ("out", "quiet"):
            continue
        values = value if isinstance(value, list | tuple) else (value,)
        if name in _PATHS:
            values = tuple(_relative(Path(path), folder) for path in values)
        kept[name] = tuple(values) if isinstance(value, list | tuple) else values[0]
    return kept


def _arguments(command: click.Command, options: Options, folder: Path, out: Path) -> list[str]:
    """The command line that the options were written on, for the set and the papers where they are now."""
    arguments, texts = ["--quiet", "--out", str(out)], []
    for parameter in command.params:
        said = options.get(parameter.name or "")
        if said is None:
            continue
        values: Sequence[str | bool] = said if isinstance(said, tuple) else (said,)
        for value in values:
            text = str(folder / str(value)) if parameter.name in _PATHS else str(value)
            if isinstance(parameter, click.Argument):
                texts.append(text)
            else:
                arguments += [parameter.opts[0]] if value is True else [parameter.opts[0], text]
    return [*arguments, "--", *texts]


def _relative(path: Path, folder: Path) -> str:
    """A path from the set's folder, so that both can be moved together."""
    try:
        return Path(os.path.relpath(path, folder)).as_posix()
    except ValueError:  # on another drive of Windows
        return path.resolve().as_posix()


def _is_text(value: object) -> bool:
    if isinstance(value, list | tuple):
        return all(isinstance(part, str) for part in value)
    return isinstance(value, str) or value is True
