"""A few kills of each command, full disks, other disks, no permission, two commands at once."""

import os
import random
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.crash.scenes import Scene, content, run, scenes

pytestmark = pytest.mark.skipif(os.name != "posix", reason="forks and kills")
KILLS = 6


@pytest.fixture(scope="module")
def made(tmp_path_factory) -> dict[str, Scene]:
    return {scene.name: scene for scene in scenes(tmp_path_factory.mktemp("crash"))}


@pytest.mark.parametrize("name", ["convert", "check", "print", "words"])
def test_a_command_killed_at_any_moment_leaves_the_old_folder_or_the_new_one(made, name):
    scene = made[name]
    dice = random.Random(name)
    for _ in range(KILLS):
        scene.reset()
        run(scene.arguments, after=dice.uniform(0, scene.seconds))
        assert scene.faults() == []


def test_two_commands_at_once_end_well_or_in_one_line(made):
    scene = made["convert"]
    scene.reset()
    first = os.fork()
    if first == 0:
        code = run(scene.arguments)
        os._exit(9 if code is None else code)
    second = run(scene.arguments)
    _, status = os.waitpid(first, 0)
    codes = {second, os.waitstatus_to_exitcode(status)}
    assert codes <= {0, 2}
    assert 0 in codes
    assert scene.faults() == []


def test_without_permission_nothing_is_changed(made):
    scene = made["convert"]
    scene.reset()
    before = content(scene.target)
    scene.target.chmod(0o555)
    try:
        code = run(scene.arguments, prepare=lambda: os.setuid(65534) if os.getuid() == 0 else None)
    finally:
        scene.target.chmod(0o755)
    assert code == 2
    assert content(scene.target) == before
    assert scene.faults() == []


@pytest.fixture
def mount() -> Iterator:
    """Mounts a small disk in memory; only root may."""
    mounted: list[Path] = []

    def make(place: Path, kilobytes: int) -> None:
        place.mkdir(parents=True, exist_ok=True)
        done = subprocess.run(
            ["mount", "-t", "tmpfs", "-o", f"size={kilobytes}k", "tmpfs", str(place)],
            capture_output=True,
            check=False,
        )
        if done.returncode:
            pytest.skip("this user may not mount a small disk")
        mounted.append(place)

    yield make
    for place in reversed(mounted):
        subprocess.run(["umount", str(place)], check=False)


@pytest.mark.parametrize("name", ["convert", "check", "print", "words"])
def test_a_full_disk_leaves_the_old_folder(made, mount, name):
    scene = made[name]
    blocks = -(-sum(4096 * (len(data) // 4096 + 2) for data in content(scene.top).values()) // 1024)
    results = []
    for spare in (8, 40, 120):
        scene.reset()
        kept = content(scene.top)
        disk = scene.top.parent / f"disk-{name}"
        mount(disk, blocks + spare)
        for path, data in kept.items():
            (disk / path).parent.mkdir(parents=True, exist_ok=True)
            (disk / path).write_bytes(data)
        arguments = [argument.replace(str(scene.top), str(disk)) for argument in scene.arguments]
        target = disk / scene.target.relative_to(scene.top)
        before = content(target)
        results.append(run(arguments))
        assert results[-1] in (0, 2)
        if results[-1] == 2:
            assert content(target) == before
            assert not [path for path in target.iterdir() if path.name.startswith(".")]
        else:
            assert content(target).keys() == scene.new.keys()
        subprocess.run(["umount", str(disk)], check=True)
    assert 2 in results


def test_a_part_on_another_disk_is_told_and_nothing_changes(made, mount):
    scene = made["convert"]
    scene.reset()
    templates = {p.name: p.read_bytes() for p in (scene.target / "templates").iterdir()}
    mount(scene.target / "templates", 2000)
    for name, data in templates.items():
        (scene.target / "templates" / name).write_bytes(data)
    before = content(scene.target)
    assert run(scene.arguments) == 2  # EXDEV: a file cannot be renamed from disk to disk
    assert content(scene.target) == before
