"""Files by key, for several processes at once."""

import os
import subprocess
import sys
from pathlib import Path

from converter.output.entries import Entries

KEYS = [f"{k:064x}" for k in range(1, 9)]


def test_what_was_written_is_read_again_and_anything_else_is_not_there(tmp_path):
    entries = Entries(tmp_path / "store")
    assert entries.read(KEYS[0]) is None
    assert entries.write(KEYS[0], b"kelp")
    assert entries.read(KEYS[0]) == b"kelp"
    assert entries.read(KEYS[1]) is None
    assert entries.usage() == (1, 4)


def test_what_was_not_used_for_longest_goes_first(tmp_path):
    entries = Entries(tmp_path)
    for k, key in enumerate(KEYS):
        entries.write(key, bytes(100))
        os.utime(entries._place(key), (k, k))
    entries.read(KEYS[0])  # used just now
    entries.trim(500)
    assert [key for key in KEYS if entries.read(key)] == [KEYS[0], *KEYS[5:]]
    assert entries.usage()[1] <= 500


def test_nothing_goes_where_there_is_room(tmp_path):
    entries = Entries(tmp_path)
    for key in KEYS:
        entries.write(key, bytes(100))
    entries.trim(800)
    assert entries.usage() == (8, 800)


def test_emptied_it_keeps_what_others_put_there(tmp_path):
    entries = Entries(tmp_path)
    entries.write(KEYS[0], b"kelp")
    (tmp_path / "notes.txt").write_text("mine")
    (tmp_path / "ab").mkdir()
    (tmp_path / "ab" / "photo.jpg").write_text("mine, too")
    (tmp_path / "ab" / "cd").symlink_to(tmp_path / "notes.txt")
    assert entries.empty() == 1
    assert sorted(p.name for p in tmp_path.rglob("*")) == ["ab", "cd", "notes.txt", "photo.jpg"]


def test_a_file_that_its_writer_did_not_live_to_name_is_no_entry_and_goes_in_its_turn(tmp_path):
    entries = Entries(tmp_path)
    entries.write(KEYS[0], b"kelp")
    half = entries._place(KEYS[0]).with_name(f"{KEYS[1][2:]}.77-1")
    half.write_bytes(b"half")
    os.utime(half, (1, 1))
    assert entries.read(KEYS[1]) is None
    entries.trim(5)
    assert not half.exists()
    assert entries.read(KEYS[0]) == b"kelp"


def test_where_nothing_can_be_written_nothing_is_kept_and_nothing_is_raised(tmp_path):
    (tmp_path / "file").write_text("in the way")
    entries = Entries(tmp_path / "file")
    assert not entries.write(KEYS[0], b"kelp")
    assert entries.read(KEYS[0]) is None
    assert entries.usage() == (0, 0)
    assert entries.empty() == 0
    entries.trim(0)


_WRITES = """
import sys
from pathlib import Path
from converter.output.entries import Entries
entries, data = Entries(Path(sys.argv[1])), sys.argv[2].encode() * 20_000
for _ in range(150):
    for key in sys.argv[3:]:
        entries.write(key, data)
"""


def test_who_reads_while_others_write_never_sees_half_of_anything(tmp_path):
    root = str(Path(__file__).parents[2])
    writers = [
        subprocess.Popen([sys.executable, "-c", _WRITES, str(tmp_path), text, *KEYS[:3]], cwd=root)
        for text in "ab"
    ]
    entries, seen = Entries(tmp_path), set()
    while any(writer.poll() is None for writer in writers):
        seen |= {entries.read(key) for key in KEYS[:3]}
    assert [writer.returncode for writer in writers] == [0, 0]
    assert seen - {None} <= {b"a" * 20_000, b"b" * 20_000}
    assert len(seen - {None}) > 0
    assert len([p for p in tmp_path.rglob("*") if p.is_file()]) == 3
