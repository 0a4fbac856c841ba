"""Commands, each with the folder that it finds, the folder that it leaves, and what must be in both."""

import re
import shutil
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

from converter.output import one_run_at_a_time
from tests.cli.sea import sea_font

KILLED = ("convert", "check", "print", "words")
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


@dataclass
class Scene:
    """A command that makes ``target`` (in ``top``) what an undisturbed run makes of it."""

    name: str
    top: Path
    arguments: list[str]
    target: Path
    run: Run
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


def scenes(top: Path, run: Run, names: Sequence[str] = KILLED) -> list[Scene]:
    """Made in an empty folder, with edits and somebody's own files in every set."""
    made = []
    for name in names:
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
        elif name == "blank":
            arguments = ["blank", "eacute", "--into", str(out)]
        elif name == "words":
            target = place / "words"
            arguments = ["words", str(out), "IL", "--no-print", "--quiet", "--out", str(target)]
            assert run([*arguments, "--letters", "rust", "--background", "sand"]) == 0
            (target / "cutting-plans/mine.svg").write_text("mine")
        made.append(Scene(name, place, arguments, target, run))
    return made
