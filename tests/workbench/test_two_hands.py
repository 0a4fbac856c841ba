"""Others at work on the same set: another program, another tab, another command, a killed server."""

import json
import signal
import threading
import time
import urllib.error
import urllib.request

import pytest
from playwright.sync_api import expect

from converter.drawing.block import block_svg
from converter.folder.reading import read_pattern, read_record
from converter.output import digest, one_run_at_a_time
from converter.verify import verify_glyph
from tests.workbench.server import started
from tests.workbench.test_letter_in_browser import drag, figures, opened, ring, settled

T = "#/set/letter/T_"


def edited_elsewhere(folder, name="T_", like="R_") -> bytes:
    """Saves another block's drawing under a name, as a vector editor does; what is there then."""
    pattern = read_pattern(folder)
    other = next(g for g in pattern.glyphs if g.key == like)
    drawing = block_svg(pattern, other).encode()
    if drawing == (folder / f"blocks/{name}.svg").read_bytes():
        drawing = drawing.replace(b"</svg>", b"<!-- saved again --></svg>")
    (folder / f"blocks/{name}.svg").write_bytes(drawing)
    return drawing


def test_a_block_saved_by_another_program_is_shown_at_once(look, folder):
    page = opened(look(T))
    before = settled(page)
    edited_elsewhere(folder)
    expect(page.locator(".told")).to_contain_text("another program", timeout=20_000)
    settled(page)
    assert figures(page) != before
    expect(page.locator(".sub")).to_contain_text("redrawn by hand")


def test_where_both_changed_a_block_both_are_kept_and_shown(look, folder):
    page = opened(look(T))
    settled(page)
    x, y = ring(page)[0]
    drag(page, (x, y), (x + 4, y + 2))
    mine = settled(page)
    theirs = edited_elsewhere(folder, like="O_")
    expect(page.locator(".told")).to_contain_text("saving will show both", timeout=20_000)
    page.get_by_role("button", name="Save").click()
    clash = page.locator(".clash")
    expect(clash).to_be_visible()
    assert clash.locator("svg").count() == 2
    assert (folder / "blocks/T_.svg").read_bytes() == theirs
    kept = folder / clash.locator("p").first.inner_text().partition("yours is in ")[2].rstrip(".")
    assert kept.is_file()
    page.get_by_role("button", name="Keep mine").click()
    expect(page.locator(".told")).to_contain_text("The other version is in")
    assert settled(page) == mine
    assert (folder / "blocks/T_.svg").read_bytes() != theirs
    assert theirs in [path.read_bytes() for path in (folder / "backups").iterdir()]

    x, y = ring(page)[0]
    drag(page, (x, y), (x + 1, y + 5))
    settled(page)
    theirs = edited_elsewhere(folder, like="R_")
    page.get_by_role("button", name="Save").click()
    page.get_by_role("button", name="Take the other").click()
    expect(page.locator(".sub")).to_contain_text("redrawn by hand, saved")
    assert (folder / "blocks/T_.svg").read_bytes() == theirs


def test_two_tabs_take_turns(look, folder):
    one, other = opened(look(T)), opened(look(T))
    settled(one)
    x, y = ring(one)[0]
    drag(one, (x, y), (x - 5, y - 4))
    saved = settled(one)
    one.get_by_role("button", name="Save").click()
    expect(one.locator(".told")).to_have_text("Saved.")
    expect(other.locator(".figures dd").nth(5)).to_have_text(saved["overlap"])
    assert settled(other) == saved
    x, y = ring(other)[1]
    drag(other, (x, y), (x + 5, y - 4))
    later = settled(other)
    other.get_by_role("button", name="Save").click()
    expect(other.locator(".told")).to_have_text("Saved.")
    expect(one.locator(".figures dd").nth(5)).to_have_text(later["overlap"])


def test_while_a_command_holds_the_folder_nothing_is_written(look, folder):
    page = opened(look(T))
    settled(page)
    x, y = ring(page)[2]
    drag(page, (x, y), (x - 6, y - 5))
    settled(page)
    before = (folder / "blocks/T_.svg").read_bytes()
    with one_run_at_a_time(folder):
        page.get_by_role("button", name="Save").click()
        expect(page.locator(".told")).to_contain_text("another run is using this folder")
        assert (folder / "blocks/T_.svg").read_bytes() == before
    page.get_by_role("button", name="Save").click()
    expect(page.locator(".told")).to_have_text("Saved.")
    look.faults[:] = [
        fault for fault in look.faults if "400" not in fault
    ]  # the refusal, which the browser logs


def post(server, path, said) -> dict:
    request = urllib.request.Request(
        f"{server.address}{path}", json.dumps(said).encode(), {"Origin": server.address.rsplit("/", 2)[0]}
    )
    with urllib.request.urlopen(request, timeout=60) as answer:
        return json.load(answer)


@pytest.mark.parametrize("wait", [0.0, 0.01, 0.03, 0.06, 0.1, 0.2])
def test_a_server_killed_while_it_saves_loses_nothing_that_was_shown_as_saved(tmp_path, converted, wait):
    import shutil

    folder = tmp_path / "set"
    shutil.copytree(converted, folder)
    server = started(folder)
    path = "api/sets/set/letters/T_"
    with urllib.request.urlopen(server.address + path, timeout=60) as answer:
        letter = json.load(answer)
    shown: list[str] = []

    def save() -> None:
        figure, known = letter["figure"], letter["known"]
        for n in range(1, 100):
            figure[0]["rings"][0][0][0] = 12.0 + n / 20
            try:
                known = post(server, f"{path}/save", {"figure": figure, "known": known})["known"]
            except (OSError, urllib.error.URLError, ValueError):
                return
            shown.append(known)

    saver = threading.Thread(target=save)
    saver.start()
    while not shown:
        time.sleep(0.005)
    time.sleep(wait)
    server.stop(signal.SIGKILL)
    saver.join(timeout=60)
    pattern = read_pattern(folder)  # finishes what was begun
    drawing = (folder / "blocks/T_.svg").read_bytes()
    assert drawing.startswith(b"<?xml") or drawing.lstrip().startswith(b"<svg")
    glyph = next(g for g in pattern.glyphs if g.key == "T_")
    verify_glyph(glyph, 76.2, 101.6)
    assert digest(drawing) != read_record(folder)["T_"].written
    again = started(folder)
    try:
        with urllib.request.urlopen(again.address + path, timeout=60) as answer:
            now = json.load(answer)
    finally:
        again.stop()
    place = now["figure"][0]["rings"][0]
    moved = max(n for n in range(1, 101) if any(abs(x - 12.0 - n / 20) < 0.002 for x, _ in place))
    assert moved in (len(shown), len(shown) + 1)  # what was shown as saved, or the one that was under way
