"""Four commands, each with the folder that it finds, the folder that it leaves, and what must be in both."""

import os
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

from converter.cli import cli
from converter.output import one_run_at_a_time
from tests.cli.sea import sea_font

Content = dict[str, bytes]
Run = Callable[..., int | None]
SEAM = '<line x1="6.35" y1="3.175" x2="76.2" y2="3.175"/>'  # along the top margin


def content(folder: Path) -> Content:
    """All files of a folder but the lock, which may be left lying where it hinders nobody."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != ".lock"
    }


def run(arguments: list[str], after: float | None = None) -> int | None:
    """The command in a process of its own, killed ``after`` so many seconds; its exit code, None where it was killed.

    No fork of this process: libraries that other tests have used have threads, which a fork would lose.
    """
    child = subprocess.Popen(
        [sys.executable, "-m", "converter", *arguments], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    if after is not None:
        time.sleep(after)
        child.kill()
    code = child.wait()
    return None if code < 0 else code


def run_in_a_copy(arguments: list[str], after: float | None = None) -> int | None:
    """As :func:`run`, in a copy of this process, which has loaded all: so that work is killed, not loading.

    Only for a process that has never set a page, since Typst's threads would be lost in the copy.
    """
    sys.stdout.flush()
    child = os.fork()
    if child == 0:
        code = 70
        with suppress(BaseException):
            null = os.open(os.devnull, os.O_WRONLY)
            os.dup2(null, 1)
            os.dup2(null, 2)
            try:
                cli.main(arguments, prog_name="font2foundation")
            except SystemExit as end:
                code = end.code if isinstance(end.code, int) else 1
        os._exit(code)
    if after is not None:
        time.sleep(after)
        os.kill(child, signal.SIGKILL)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    return None if code < 0 else code


@dataclass
class Scene:
    """A command that makes ``target`` (in ``top``) what an undisturbed run makes of it."""

    name: str
    top: Path
    arguments: list[str]
    target: Path
    run: Run = run
    code: int | None = field(init=False)
    old: Content = field(init=False)
    new: Content = field(init=False)
    seconds: float = field(init=False)

    def __post_init__(self) -> None:
        self._kept = self.top.parent / f"{self.top.name}.kept"
        shutil.copytree(self.top, self._kept, symlinks=True)
        self.old = content(self.target)
        self.code = self._timed()
        assert self.code in (0, 1), (self.name, self.code)  # 1: a block changed by hand cannot be sewn
        self.new = content(self.target)
        assert self.new != self.old

    def _timed(self) -> int | None:
        """The command undisturbed; how long it takes says when to disturb it, however busy the machine is now."""
        start = time.perf_counter()
        code = self.run(self.arguments)
        self.seconds = time.perf_counter() - start
        return code

    def reset(self) -> None:
        """The folder as the command finds it. Mounted folders stay."""
        for path in sorted(self.top.rglob("*"), reverse=True):
            if path.is_dir() and not path.is_symlink():
                with suppress(OSError):
                    path.rmdir()
            else:
                path.unlink()
        shutil.copytree(self._kept, self.top, dirs_exist_ok=True)

    def faults(self) -> list[str]:
        """What is wrong after the command was disturbed, and after it was given once more."""
        found = []
        with one_run_at_a_time(self.target):
            pass
        now = content(self.target)
        if now not in (self.old, self.new):
            either = {
                path
                for path in {*now, *self.old, *self.new}
                if now.get(path) in (self.old.get(path), self.new.get(path))
            }
            others = ", ".join(sorted({*now, *self.old, *self.new} - either))
            found.append(f"neither the old folder nor the new one: {others[:200] or 'a mixture'}")
        if (code := self._timed()) != self.code:
            found.append(f"the next command ended with {code}")
        if content(self.target) != self.new:
            found.append("the next command did not make the new folder")
        if left := [path.name for path in self.target.iterdir() if path.name.startswith(".")]:
            found.append(f"left behind: {', '.join(left)}")
        return found


def edit(folder: Path, key: str) -> None:
    path = folder / "blocks" / f"{key}.svg"
    text = path.read_text(encoding="utf-8")
    text = re.sub(r'(<g[^>]*id="seams"[^>]*?)\s*/>', r"\1></g>", text)
    path.write_text(re.sub(r'(id="seams"[^>]*>)', rf"\1{SEAM}", text), encoding="utf-8")


def scenes(top: Path, run: Run = run) -> list[Scene]:
    """Made in an empty folder, with edits and somebody's own files in every set."""
    made = []
    for name in ("convert", "check", "print", "words"):
        place = top / name
        place.mkdir(parents=True)
        (place / "sea.ttf").write_bytes(sea_font())
        out, font = place / "set", str(place / "sea.ttf")
        convert = ["convert", font, "--text", "ILT", "--out", str(out), "--jobs", "1", "--quiet"]
        assert run(convert) == 0
        edit(out, "I_")
        (out / "blocks/notes.txt").write_text("mine")
        (out / "report.csv").write_text("mine, too")
        target, arguments = out, [*convert[:3], "ILi", *convert[4:], "--block", "3x3in"]
        if name == "check":
            edit(out, "L_")
            arguments = ["check", str(out), "--quiet"]
        elif name == "print":
            target = out / "print"
            arguments = ["print", str(out), "--paper", "letter", "--quiet", "--only", "I"]
            assert run([*arguments, "--paper", "a4"]) == 0
            (target / "mine.pdf").write_text("mine")
        elif name == "words":
            target = place / "words"
            arguments = ["words", str(out), "IL", "--no-print", "--quiet", "--out", str(target)]
            assert run([*arguments, "--letters", "rust", "--background", "sand"]) == 0
            (target / "cutting-plans/mine.svg").write_text("mine")
        made.append(Scene(name, place, arguments, target, run))
    return made
