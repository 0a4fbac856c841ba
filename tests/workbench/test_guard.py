"""What must not get in does not, and changes nothing (RFC 9110 for Host, RFC 6454 for Origin; Fetch Metadata, W3C)."""

import contextlib
import http.client
import json
import shutil
import socket
from pathlib import Path

import pytest

from tests.cli.running import contents
from tests.workbench.server import Server

PATH = "/api/sets"


@pytest.fixture
def untouched(server: Server, folder: Path):
    """The set's folder must be as it was."""
    before = contents(folder)
    yield
    assert contents(folder) == before


def ask(server: Server, path: str, method: str = "GET", body: bytes | None = None, **headers: str) -> int:
    connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=60)
    try:
        connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        for name, value in {"Host": f"127.0.0.1:{server.port}", **headers}.items():
            connection.putheader(name.replace("_", "-"), value)
        if body is not None:
            connection.putheader("Content-Length", str(len(body)))
        connection.endheaders(body)
        answer = connection.getresponse()
        answer.read()
        return answer.status
    finally:
        connection.close()


def test_who_knows_the_address_gets_in(server):
    origin = f"http://127.0.0.1:{server.port}"
    assert ask(server, f"/{server.token}{PATH}") == 200
    assert ask(server, f"/{server.token}{PATH}", Host=f"localhost:{server.port}") == 200
    body = json.dumps({"changes": {}}).encode()
    assert ask(server, f"/{server.token}/api/sets/set/choices", "POST", body, Origin=origin) == 200


@pytest.mark.parametrize(
    "path", ["/", PATH, "/wrong/api/sets", "/{token}x/api/sets", "/{token}", "//{token}/api/sets"]
)
def test_a_wrong_token_is_refused(server, untouched, path):
    assert ask(server, path.replace("{token}", server.token)) == 404


@pytest.mark.parametrize(
    "host",
    ["evil.example", "evil.example:{port}", "127.0.0.1", "127.0.0.1:1", "", "127.0.0.1:{port}@evil.example"],
)
def test_another_name_for_this_machine_is_refused(server, untouched, host):
    assert ask(server, f"/{server.token}{PATH}", Host=host.replace("{port}", str(server.port))) in (400, 421)


@pytest.mark.parametrize(
    "origin",
    [
        "http://evil.example",
        "null",
        "https://127.0.0.1:{port}",
        "http://127.0.0.1",
        "http://localhost:{port}",
    ],
)
@pytest.mark.parametrize("method", ["GET", "POST"])
def test_another_page_is_refused(server, untouched, origin, method):
    origin = origin.replace("{port}", str(server.port))
    body = b'{"changes": {"R": {"detail": "coarse"}}}' if method == "POST" else None
    path = f"/{server.token}/api/sets/set/choices" if body else f"/{server.token}{PATH}"
    assert ask(server, path, method, body, Origin=origin) == 403


def test_what_changes_something_must_say_where_it_comes_from(server, untouched):
    body = b'{"changes": {"R": {"detail": "coarse"}}}'
    assert ask(server, f"/{server.token}/api/sets/set/choices", "POST", body) == 403


def test_what_the_browser_says_is_from_elsewhere_is_refused(server, untouched):
    assert ask(server, f"/{server.token}{PATH}", Sec_Fetch_Site="cross-site") == 403
    assert ask(server, f"/{server.token}{PATH}", Sec_Fetch_Site="same-site") == 403
    assert ask(server, f"/{server.token}{PATH}", Sec_Fetch_Site="none") == 200


@pytest.mark.parametrize(
    "path",
    [
        "/page/../app.py", "/page/..%2fapp.py", "/page/%2e%2e/%2e%2e/pyproject.toml", "/page/app.py", "/page/..",
        "/api/sets/..%2f..%2fetc/letters/x", "/api/sets/set/letters/..%2f..%2fpattern", "/page/__init__.py",
        "/../../etc/passwd", "/page/%5c..%5capp.py", "/page/main.js%00", "//etc/passwd", "/api/sets/%2fetc",
        "/api/sets/set/files/..%2fpattern.json", "/api/sets/set/files/%2e%2e/x", "/api/sets/set/files/pattern.json",
    ],
)  # fmt: skip
def test_no_path_leads_out_of_what_is_served(server, untouched, path):
    assert ask(server, f"/{server.token}{path}") in (400, 404)


def test_an_endless_body_is_refused(server, untouched):
    head = f"POST /{server.token}/api/sets/set/choices HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\n"
    head += f"Origin: http://127.0.0.1:{server.port}\r\n"
    assert sent(server, head + f"Content-Length: {10**9}\r\n\r\n", b"") == 413
    assert sent(server, head + f"Content-Length: {10**30}\r\n\r\n", b"") == 400  # h11 itself
    chunk = b"%x\r\n" % 2**16 + b"x" * 2**16 + b"\r\n"
    assert sent(server, head + "Transfer-Encoding: chunked\r\n\r\n", chunk * 200) == 413


def sent(server: Server, head: str, body: bytes) -> int:
    """The status of the answer to a request as it is written here."""
    with socket.create_connection(("127.0.0.1", server.port), timeout=60) as line:
        line.sendall(head.encode())
        with contextlib.suppress(BrokenPipeError, ConnectionResetError):  # it has heard enough
            line.sendall(body)
        return int(line.recv(64).split()[1])


def test_only_this_machine_is_listened_to(server):
    table = Path("/proc/net/tcp").read_text()  # proc(5): the local address is little-endian hex
    mine = [row.split()[1] for row in table.splitlines()[1:] if row.split()[3] == "0A"]
    assert f"0100007F:{server.port:04X}" in mine
    assert f"00000000:{server.port:04X}" not in mine


def test_pages_come_with_a_strict_policy(server):
    connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=60)
    connection.request("GET", f"/{server.token}/")
    answer = connection.getresponse()
    policy, page = answer.getheader("content-security-policy"), answer.read().decode()
    connection.close()
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy
    assert answer.getheader("referrer-policy") == "no-referrer"
    assert answer.getheader("x-content-type-options") == "nosniff"
    assert "http://" not in page
    assert "https://" not in page


@pytest.mark.parametrize(
    "said",
    [
        b"", b"[", b"null", b"[]", b"{}", b'{"figure": 1}', b'{"figure": [], "act": {"kind": "look"}}', b"[" * 100_000,
        b'{"figure": [{"fabric": "x", "rings": [[[0,0],[1,0],[0,1]]]}], "act": {"kind": "look"}}',
        b'{"figure": [{"fabric": "figure", "rings": [[[0,0],[1e999,0],[0,1]]]}], "act": {"kind": "look"}}',
        b'{"figure": [{"fabric": "figure", "rings": [[[0,0],[NaN,0],[0,1]]]}], "act": {"kind": "look"}}',
        b'{"figure": [{"fabric": "figure", "rings": [' + b"[[0,0],[9,0],[0,9]]," * 1000 + b"[[0,0],[9,0],[0,9]]]}]}",
    ],
)  # fmt: skip
def test_nonsense_is_answered_in_words(server, untouched, said):
    origin = f"http://127.0.0.1:{server.port}"
    for act in ("try", "save"):
        path = f"/{server.token}/api/sets/set/letters/T_/{act}"
        assert ask(server, path, "POST", said, Origin=origin) == 400


@pytest.mark.parametrize(
    "act",
    [
        '{"kind": "burn"}',
        '{"kind": "drop", "at": [9, 9, 9]}',
        '{"kind": "drop", "at": [0, 0, true]}',
        '{"at": 1}',
        "1",
    ],
)
def test_an_act_that_there_is_not_is_answered_in_words(server, untouched, act):
    said = '{"figure": [{"fabric": "figure", "rings": [[[0,0],[9,0],[0,9]]]}], "act": ACT}'.replace(
        "ACT", act
    )
    path, origin = f"/{server.token}/api/sets/set/letters/T_/try", f"http://127.0.0.1:{server.port}"
    assert ask(server, path, "POST", said.encode(), Origin=origin) == 400


def test_it_ends_with_one_line(tmp_path, folder):
    from tests.workbench.server import started

    shutil.copytree(folder, tmp_path / "set")
    server = started(tmp_path / "set")
    code, out, error = server.stop()
    assert code == 0
    assert out.splitlines()[-1].startswith("closed;")
    assert error == ""
