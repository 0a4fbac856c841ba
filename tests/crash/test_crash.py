"""A few kills of each command, full disks, other disks, no permission, two commands at once."""

import os
import random
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.crash.ready import Ready
from tests.crash.scenes import KILLED, Content, Scene, content, scenes

pytestmark = pytest.mark.skipif(os.name != "posix", reason="forks and kills")
KILLS = 3


@pytest.fixture(scope="module")
def ready() -> Iterator[Ready]:
    waiting = Ready()
    yield waiting
    waiting.end()


@pytest.fixture(scope="module")
def made(tmp_path_factory, ready) -> dict[str, Scene]:
    top = tmp_path_factory.mktemp("crash")
    return {scene.name: scene for scene in scenes(top, ready.run, (*KILLED, "blank"))}


@pytest.mark.parametrize("name", KILLED)
def test_a_command_killed_at_any_moment_leaves_the_old_folder_or_the_new_one(made, name):
    scene = made[name]
    dice = random.Random(name)
    for _ in range(KILLS):
        scene.reset()
        scene.run(scene.arguments, after=dice.uniform(0, scene.seconds))
        assert scene.faults() == []


def test_two_commands_at_once_end_well_or_in_one_line(made):
    scene = made["convert"]
    scene.reset()
    first = subprocess.Popen(
        [sys.executable, "-m", "converter", *scene.arguments],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    codes = {scene.run(scene.arguments)}
    said, _ = first.communicate()
    codes.add(first.returncode)
    assert "Traceback" not in said
    assert codes <= {0, 2}
    assert 0 in codes
    assert scene.faults() == []


@pytest.fixture
def mount() -> Iterator:
    """Mounts a small disk in memory; only root may."""
    mounted: list[Path] = []

    def make(place: Path, kilobytes: int, files: Content) -> None:
        place.mkdir(parents=True, exist_ok=True)
        done = subprocess.run(
            ["mount", "-t", "tmpfs", "-o", f"size={kilobytes}k", "tmpfs", str(place)],
            capture_output=True,
            check=False,
        )
        if done.returncode:
            pytest.skip("this user may not mount a small disk")
        mounted.append(place)
        for path, data in files.items():
            (place / path).parent.mkdir(parents=True, exist_ok=True)
            (place / path).write_bytes(data)

    yield make
    for place in reversed(mounted):
        subprocess.run(["umount", str(place)], check=False)


@pytest.mark.parametrize("name", [*KILLED, "blank"])
def test_where_nothing_may_be_written_nothing_is_changed(made, mount, name):
    scene = made[name]
    scene.reset()
    before = content(scene.target)
    if os.getuid() == 0:  # who may write anywhere, but not to a disk that is for reading
        mount(scene.target, 2000, before)
        subprocess.run(["mount", "-o", "remount,ro", str(scene.target)], check=True)
    else:
        scene.target.chmod(0o555)
    try:
        assert scene.run(scene.arguments) == 2
        assert content(scene.target) == before
    finally:
        if os.getuid():
            scene.target.chmod(0o755)


@pytest.mark.parametrize("name", [*KILLED, "blank"])
def test_a_full_disk_leaves_the_old_folder(made, mount, name):
    scene = made[name]
    results = []
    for spare in (0, 8, 24, 20_000):
        scene.reset()
        disk = scene.top.parent / f"disk-{name}"
        mount(disk, 20_000, content(scene.top))
        status = os.statvfs(disk)
        used = (status.f_blocks - status.f_bfree) * status.f_frsize // 1024
        subprocess.run(["mount", "-o", f"remount,size={used + spare}k", str(disk)], check=True)
        target = disk / scene.target.relative_to(scene.top)
        before = content(target)
        code = scene.run([argument.replace(str(scene.top), str(disk)) for argument in scene.arguments])
        results.append(code)
        assert code in (2, scene.code)
        if code == 2:
            assert content(target) == before
            assert not [path for path in target.iterdir() if path.name.startswith(".")]
        else:
            assert content(target).keys() == scene.new.keys()
        subprocess.run(["umount", str(disk)], check=True)
    assert results[0] == 2
    assert results[-1] == scene.code


def test_a_part_on_another_disk_is_told_and_nothing_changes(made, mount):
    scene = made["convert"]
    scene.reset()
    templates = {p.name: p.read_bytes() for p in (scene.target / "templates").iterdir()}
    mount(scene.target / "templates", 2000, templates)
    before = content(scene.target)
    assert scene.run(scene.arguments) == 2  # EXDEV: a file cannot be renamed from disk to disk
    assert content(scene.target) == before
