"""Who may speak to the page: nobody but this machine, this page and whoever has the address."""

from __future__ import annotations

import contextlib
import http.client
import json
import re
import socket
import stat
from urllib.parse import urlsplit

import pytest

#: Bytes that no request of the page comes near (see dictate.web.guard.LONGEST_BODY).
TOO_MUCH = 70_000


@pytest.fixture(scope="module")
def served(review_for_all, tmp_path_factory):
    """An examination of a text on the page, and a way to send it any request."""
    folder = tmp_path_factory.mktemp("guard")
    text = folder / "narration.txt"
    text.write_text("Right biceps four out of five.\nKnee jerk two plus.\n")
    return Served(review_for_all(text, "--out", folder / "kept"), folder / "kept")


class Served:
    """Sends requests as they are, headers and all."""

    def __init__(self, address, folder):
        self.parts, self.folder = urlsplit(address), folder
        self.origin = f"http://{self.parts.netloc}"
        self.token = self.parts.path.strip("/")

    def ask(self, path, method="GET", body=None, root=None, **headers):
        """Sends one request; a header of None is left out."""
        connection = http.client.HTTPConnection(self.parts.hostname, self.parts.port, timeout=30)
        connection.putrequest(
            method, f"{self.parts.path if root is None else root}{path}", skip_host=True
        )
        wanted = {"host": self.parts.netloc, **{k.replace("_", "-"): v for k, v in headers.items()}}
        if body is not None and "transfer-encoding" not in wanted:
            wanted.setdefault("content-length", str(len(body)))
        for name, value in wanted.items():
            if value is not None:
                connection.putheader(name, value)
        connection.endheaders()
        if body is not None:
            with contextlib.suppress(OSError):  # it was refused before all of it was sent
                connection.send(body)
        answer = connection.getresponse()
        content = answer.read()
        connection.close()
        return answer, content

    def do(self, what, body, **headers):
        """A change, as the page sends it, but for the headers that are given."""
        sent = {"origin": self.origin, "content_type": "application/json", **headers}
        return self.ask(f"do/{what}", "POST", json.dumps(body).encode(), **sent)

    def state(self):
        answer, content = self.ask("state")
        assert answer.status == 200
        return json.loads(content)


def test_it_listens_on_this_machine_alone(served):
    # the kernel's own list: local address 0100007F is 127.0.0.1
    port = f"{served.parts.port:04X}"
    with open("/proc/net/tcp") as table:
        rows = [line.split() for line in table if f":{port} " in line and " 0A " in line]
    assert [row[1] for row in rows] == [f"0100007F:{port}"]
    for family, _, _, _, address in socket.getaddrinfo(socket.gethostname(), served.parts.port):
        if family == socket.AF_INET and not address[0].startswith("127."):
            with socket.socket(family) as other, pytest.raises(OSError):
                other.connect(address)


def test_the_address_cannot_be_guessed(served, review, tmp_path):
    assert len(re.sub(r"[^A-Za-z0-9_-]", "", served.token)) >= 43  # 256 bits in base64
    other = urlsplit(review(served.folder)).path.strip("/")
    assert other != served.token


@pytest.mark.parametrize("root", ["/", "/wrong/", "/{cut}/", "//{token}/", "/%00/", "/static/../"])
@pytest.mark.parametrize("path", ["", "state", "sound", "static/style.css", "events"])
def test_without_its_secret_part_there_is_nothing(served, root, path):
    root = root.format(cut=served.token[:-1], token=served.token)
    answer, content = served.ask(path, root=root)
    assert answer.status in (403, 404)
    assert b"biceps" not in content


@pytest.mark.parametrize(
    "host",
    ["evil.example", "127.0.0.1", "127.0.0.1:1", "evil.example:{port}", "[::1]:{port}", None],
)
def test_another_host_is_refused(served, host):
    # a name of somebody else's that was made to point here (DNS rebinding)
    host = host.format(port=served.parts.port) if host else None
    answer, content = served.ask("state", host=host)
    assert answer.status in (400, 421)
    assert b"biceps" not in content


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "http://127.0.0.1:1"},
        {"sec_fetch_site": "cross-site"},
        {"sec_fetch_site": "same-site"},
    ],
)
def test_another_page_is_refused(served, headers):
    answer, _ = served.ask("state", **headers)
    assert answer.status == 403
    before = served.state()["version"]
    answer, _ = served.do("add", {"text": "left biceps five out of five"}, **headers)
    assert answer.status == 403
    assert served.state()["version"] == before


def test_a_change_needs_to_say_where_it_comes_from(served):
    answer, _ = served.do("add", {"text": "left biceps five out of five"}, origin=None)
    assert answer.status == 403
    answer, _ = served.do(
        "add", {"text": "left biceps five out of five"}, content_type="text/plain"
    )
    assert answer.status == 415  # what a form of another page could send
    answer, _ = served.do("add", {"text": "left biceps five out of five"})
    assert answer.status == 200
    assert "Left biceps 5/5" in [one["label"] for one in served.state()["findings"]]


@pytest.mark.parametrize("what", ["add", "undo", "sign", "answer", "words", "sort", "take-out"])
@pytest.mark.parametrize("method", ["GET", "HEAD", "PUT", "DELETE", "OPTIONS", "PATCH"])
def test_nothing_but_a_post_changes_anything(served, what, method):
    before = served.state()["version"]
    answer, _ = served.ask(f"do/{what}?text=left+toe+up", method, origin=served.origin)
    assert answer.status in (404, 405)
    assert served.state()["version"] == before


@pytest.mark.parametrize("path", ["", "show", "state", "static/review.js", "do/nothing", "nothing"])
def test_every_answer_has_a_strict_policy(served, path):
    answer, _ = served.ask(path)
    policy = dict(
        part.strip().split(" ", 1)
        for part in answer.getheader("content-security-policy").split(";")
    )
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == policy["connect-src"] == "'self'"
    assert policy["frame-ancestors"] == policy["base-uri"] == policy["form-action"] == "'none'"
    assert "unsafe" not in answer.getheader("content-security-policy")
    assert answer.getheader("x-content-type-options") == "nosniff"
    assert answer.getheader("referrer-policy") == "no-referrer"
    assert answer.getheader("access-control-allow-origin") is None
    assert answer.getheader("server") is None


def test_the_page_loads_nothing_from_outside_and_holds_no_code(served):
    for path in ("", "show"):
        _, content = served.ask(path)
        page = content.decode()
        assert not re.search(r"(?:src|href)=[\"'](?!/)(?!#)", page)
        assert not re.search(r"<script(?![^>]*\bsrc=)", page) and not re.search(r"\son\w+=", page)
        for name in re.findall(r"static/([\w.]+)", page):
            _, source = served.ask(f"static/{name}")
            assert not re.search(rb"https?://(?!www\.w3\.org/2000/svg)", source), name


@pytest.mark.parametrize("way", ["stated", "in pieces"])
def test_bodies_are_bounded(served, way):
    body = json.dumps({"text": "x" * TOO_MUCH}).encode()
    headers = {"origin": served.origin, "content_type": "application/json"}
    if way == "in pieces":
        pieces = [body[i : i + 1000] for i in range(0, len(body), 1000)]
        body = b"".join(b"%x\r\n%s\r\n" % (len(piece), piece) for piece in pieces) + b"0\r\n\r\n"
        headers["transfer_encoding"] = "chunked"
    before = served.state()["version"]
    answer, _ = served.ask("do/add", "POST", body, **headers)
    assert answer.status == 413
    assert served.state()["version"] == before
    answer, _ = served.ask("state", cookie="x" * 20_000)
    assert answer.status in (400, 431)


@pytest.mark.parametrize(
    "path",
    [
        "static/../app.py",
        "static/%2e%2e%2fapp.py",
        "static/..%2f..%2fcli.py",
        "static//etc/passwd",
        "output/..%2f..%2fjournal.jsonl",
        "output/journal.jsonl",
        "sound/../journal.jsonl",
        "static/%00",
        "choices/..%2f..%2fetc%2fpasswd",
    ],
)
def test_a_name_is_never_a_path(served, path):
    answer, content = served.ask(path)
    assert answer.status == 404
    assert b"started" not in content and b"import" not in content and b"root:" not in content


@pytest.mark.parametrize(
    "body",
    [
        b"", b"{", b"null", b"[]", b'{"text": 3}', b'{"text": "x", "more": 1}', b"\xff\xfe",
        b"[" * 60_000, b'{"text": "\\ud800"}',
    ],
)  # fmt: skip
def test_what_is_not_understood_is_refused_and_does_nothing(served, body):
    answer, content = served.ask(
        "do/add", "POST", body, origin=served.origin, content_type="application/json"
    )
    assert answer.status == 422
    assert json.loads(content)["sentence"].endswith("Nothing was done.")


def test_every_file_is_for_its_owner_alone(served):
    served.do("add", {"text": "left toe up"})
    served.do("sign", {"name": "A. Examiner"})
    for path in [served.folder, *served.folder.rglob("*")]:
        assert stat.S_IMODE(path.stat().st_mode) & 0o077 == 0, path


def test_an_address_on_a_command_line_works_once():
    # others on this machine can see the command line of a browser
    from dictate.web.guard import Guard

    guard = Guard(None, "secret", 80)
    path = guard.once()
    assert path != "/secret"

    def ask():
        sent = []

        async def send(message):
            sent.append(message)

        headers = [(b"host", b"127.0.0.1:80")]
        scope = {
            "type": "http", "method": "GET", "path": path, "headers": headers,
            "client": ("127.0.0.1", 1),
        }  # fmt: skip
        with pytest.raises(StopIteration):  # it waits for nothing, so no loop is needed
            guard(scope, None, send).send(None)
        return sent[0]["status"], dict(sent[0]["headers"]).get(b"location")

    assert ask() == (303, b"/secret/")
    assert ask() == (403, None)


def test_who_is_no_part_of_this_machine_is_refused():
    from dictate.web.guard import Guard

    guard = Guard(None, "secret", 80)
    scope = {"client": ("10.1.2.3", 5), "headers": [], "path": "/secret/", "method": "GET"}
    assert guard._refusal(scope)[0] == 403
