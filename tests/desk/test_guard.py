"""Who is let in, by raw requests: nobody but the teacher's browser on the desk's own pages.

Statuses: 401, 403, 404, 413 and 421 as RFC 9110 (15.5) defines them. Cookie attributes: RFC
6265, 5.2.6, and the SameSite draft (draft-ietf-httpbis-rfc6265bis, 5.5.7).
"""

from __future__ import annotations

import json
import socket

import pytest

from tests.desk.raw import Raw
from workbook.desk.guard import MOST_BYTES, Door
from workbook.desk.presence import Presence
from workbook.studio.folder import read_studio
from workbook.weeks.studios import opened, record_file


def test_a_link_works_once_and_leaves_the_address_bar(raw):
    link = raw.path_of(raw.door.link())
    first, _ = raw.ask("GET", link, cookie="")
    assert (first.status, first.getheader("location")) == (303, "/")
    name, *attributes = first.getheader("set-cookie").split("; ")
    assert name.startswith(f"workbook-desk-{raw.door.port}=")
    told = {attribute.lower() for attribute in attributes}
    assert told >= {"httponly", "samesite=strict"} and "domain" not in str(told)
    assert raw.status("GET", link, cookie="") == 401
    assert raw.status("GET", "/", cookie=name) == 200


def test_looking_at_a_link_does_not_use_it_up(raw):
    link = raw.path_of(raw.door.link())
    raw.ask("HEAD", link, cookie="")
    assert raw.status("GET", link, cookie="") == 303


@pytest.mark.parametrize(
    "path", ["/", "/desk.js", "/build", "/mark/ABC-DEF/1", "/roster", "/term.pdf", "/nowhere"]
)
def test_without_the_cookie_nothing_is_shown(raw, path):
    assert raw.status("GET", path, cookie="") == 401
    assert raw.status("GET", path, cookie=f"workbook-desk-{raw.door.port}=guess") == 401
    assert raw.status("GET", "/open?once=guess", cookie="") == 401


@pytest.mark.parametrize(
    "host",
    ["localhost:{port}", "127.0.0.1", "evil.example:{port}", "127.0.0.1:{port}.", "[::1]:{port}"],
)
def test_another_name_for_the_desk_is_refused(raw, host):
    assert raw.status("GET", "/", host=host.format(port=raw.door.port)) == 421


def test_two_hosts_are_refused(raw):
    with socket.create_connection(("127.0.0.1", raw.door.port)) as one:
        host = f"Host: {raw.door.host}\r\n"
        one.sendall(f"GET / HTTP/1.1\r\n{host}{host}Cookie: {raw.cookie}\r\n\r\n".encode())
        assert one.recv(100).split()[1] in {b"400", b"421"}


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "", "https://127.0.0.1:{port}"])
@pytest.mark.parametrize(
    "path",
    [
        "/build",
        "/build/cancel",
        "/begin",
        "/look",
        "/template/level-05/1",
        "/templates",
        "/template/level-05/1/sections",
        "/template/level-05/1/check",
        "/fingering",
        "/mark/{code}/1",
        "/student/1",
        "/term",
        "/roster",
        "/roster/check",
    ],
)
def test_a_change_from_a_foreign_page_is_refused(raw, code, origin, path):
    before = raw.door
    found = raw.status(
        "POST", path.format(code=code), "touch=1 wrong", origin=origin.format(port=before.port)
    )
    assert found == 403
    with opened(raw.desk.folder) as one:
        assert not one.record.marks(code)


@pytest.mark.parametrize(
    "path",
    [
        "/../studio.toml",
        "/..%2fstudio.toml",
        "/%2e%2e/%2e%2e/etc/passwd",
        "/desk.css/../../app.py",
        "/app.py",
        "/sheet/..%2f..%2froster/workbook.pdf",
        "/sheet/{code}/..%2f..%2fstudio.toml.pdf",
        "/sheet/{code}/key.pdf",
        "/sheet/NOT-ONE/workbook.pdf",
        "/mark/..%2f/1.png",
        "/template/..%2f..%2fstudio/1",
        "/template/level-05/99",
        "/template/nothing/1",
        "/example/..%2f..%2fstudio/workbook.png",
        "/example/0123456789abcdef/workbook.png",
        "/mark/{code}/99",
        "/mark/{code}/1%2f..%2f1.css",
    ],
)
def test_no_address_names_a_file(raw, code, path):
    assert raw.status("GET", path.format(code=code)) == 404


def test_every_answer_is_fenced_in(raw, code):
    for path in ("/", "/desk.js", f"/mark/{code}", f"/sheet/{code}/workbook.pdf", "/nowhere"):
        answer, text = raw.ask("GET", path)
        policy = answer.getheader("content-security-policy")
        assert "default-src 'none'" in policy and "unsafe" not in policy
        assert answer.getheader("x-content-type-options") == "nosniff"
        assert answer.getheader("referrer-policy") == "same-origin"
        assert answer.getheader("cache-control") == "no-store"
        assert not [name for name, _ in answer.getheaders() if name.lower().startswith("access-")]
        assert " style=" not in text and "onclick" not in text


def test_a_fault_of_ours_is_fenced_in_too(raw, monkeypatch):
    monkeypatch.setattr(raw.desk, "folder", None)
    answer, text = raw.ask("GET", "/student/1")
    assert answer.status == 500 and text.startswith("Something went wrong in the desk")
    assert "default-src 'none'" in answer.getheader("content-security-policy")


def test_a_refusal_is_a_page_for_a_browser_and_a_line_for_a_program(raw):
    answer, text = raw.ask("GET", "/", cookie="", Accept="text/html")
    assert answer.status == 401 and answer.getheader("content-type").startswith("text/html")
    assert "<title>The desk</title>" in text and "with the link" in text
    answer, text = raw.ask("GET", "/", cookie="")
    assert answer.getheader("content-type").startswith("text/plain") and "<" not in text


def test_a_page_of_another_origin_gets_no_permission(raw):
    answer, _ = raw.ask("OPTIONS", "/build", origin="http://evil.example")
    assert answer.status == 403 and not answer.getheader("access-control-allow-origin")


def test_a_long_body_is_refused(raw, code):
    assert raw.status("POST", f"/mark/{code}/1", "touch=" + "9" * MOST_BYTES) == 413


def test_a_long_body_in_pieces_is_refused(raw, code):
    with socket.create_connection(("127.0.0.1", raw.door.port)) as one:
        head = (
            f"POST /mark/{code}/1 HTTP/1.1\r\nHost: {raw.door.host}\r\n"
            f"Origin: {raw.door.origin}\r\n"
            f"Cookie: {raw.cookie}\r\nContent-Type: application/x-www-form-urlencoded\r\n"
            "Transfer-Encoding: chunked\r\n\r\n"
        )
        piece = b"4000\r\n" + b"a" * 0x4000 + b"\r\n"
        one.sendall(head.encode() + 5 * piece)
        assert one.recv(100).split()[1] == b"413"


@pytest.mark.parametrize(
    "body",
    [
        "",
        "touch=",
        "touch=0 wrong",
        "touch=1 gone",
        "touch=99999 wrong",
        "touch=-1 wrong",
        "do=all",
    ],
)
def test_a_touch_on_nothing_marks_nothing(raw, code, body):
    answer, text = raw.ask("POST", f"/mark/{code}/1", body)
    assert answer.status in {400, 409} and "Traceback" not in text
    with opened(raw.desk.folder) as one:
        assert not one.record.marks(code)


def test_a_file_is_not_taken(raw, code):
    head = 'Content-Disposition: form-data; name="touch"; filename="a"'
    body = f"--x\r\n{head}\r\n\r\n1 wrong\r\n--x--\r\n"
    more = {"Content_Type": "multipart/form-data; boundary=x"}
    assert raw.status("POST", f"/mark/{code}/1", body, **more) == 400


def test_names_are_inert(raw):
    name = "<script>alert(1)</script>\"'&"
    roster = raw.desk.folder / "roster.csv"
    quoted = name.replace('"', '""')
    roster.write_text(f'student,template,keys\n"{quoted}",first-steps,C major\n', "utf-8")
    answer, text = raw.ask("GET", "/")
    assert answer.status == 200
    assert "&lt;script&gt;alert(1)&lt;/script&gt;&#34;&#39;&amp;" in text and "<script>" not in text


def test_a_second_desk_finds_the_first(raw, studio):
    second = Presence(read_studio(studio))
    assert not second.take(Door(1))
    link = second.other_link()
    assert link.startswith(f"{raw.door.origin}/open?once=")
    assert raw.status("GET", raw.path_of(link), cookie="") == 303
    note = record_file(read_studio(studio)).with_name("desk.json")
    assert note.stat().st_mode & 0o077 == 0


def test_a_link_is_given_to_no_stranger(raw):
    assert raw.status("POST", "/link", cookie="") == 401
    assert raw.status("POST", "/link", cookie="", Authorization="Bearer guess") == 401
    assert raw.status("POST", "/link") == 401


def test_after_the_first_another_desk_can_come(studio):
    one = Raw(studio)
    one.close()
    presence = Presence(read_studio(studio))
    assert presence.other_link() == ""
    assert presence.take(Door(1))
    presence.release()


def test_a_note_of_a_dead_desk_leads_nowhere(studio):
    note = record_file(read_studio(studio)).with_name("desk.json")
    for text in ("", "{}", "[]", json.dumps({"port": 1, "again": "x"}), '{"port": "evil"}'):
        note.write_text(text, "utf-8")
        assert Presence(read_studio(studio)).other_link() == ""
