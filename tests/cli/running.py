"""Commands run in a test, and what they leave."""

from pathlib import Path

from click.testing import CliRunner, Result

from converter.cli import cli


def run(*arguments: object) -> Result:
    return CliRunner().invoke(cli, [str(a) for a in arguments], prog_name="font2foundation")


def contents(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def assert_told_in_one_line(result: Result) -> None:
    assert result.exit_code == 2, result.output
    assert result.stdout == ""
    assert result.stderr.startswith("error: ")
    assert result.stderr.count("\n") == 1
    assert len(result.stderr) < 600
