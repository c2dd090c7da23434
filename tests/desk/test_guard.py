"""Who is heard: the browser of this machine, from the desk's own page, and nobody else."""

import pytest

from tests.desk.talking import OWN, PORT, said


def test_the_page_is_served_at_its_whole_address(desk):
    reply = desk.get()
    assert reply.status_code == 200
    assert "climlog desk" in reply.text


@pytest.mark.parametrize("token", ["x", "0" * 32, "%2e%2e"])
def test_without_the_token_nothing_is_heard(desk, token):
    assert desk.get(token=token).status_code in (403, 404)
    assert desk.post("ask/choices", token=token, json={}).status_code in (403, 404)


@pytest.mark.parametrize(
    "host", ["evil.example", f"evil.example:{PORT}", "127.0.0.1", "127.0.0.1:80"]
)
def test_a_foreign_name_that_leads_to_this_machine_is_refused(desk, host):
    reply = desk.get(host=host)
    assert reply.status_code == 403
    assert "name" in said(reply)


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "https://evil.example"},
        {"Origin": "null"},
        {"Origin": f"http://127.0.0.1:{PORT + 1}"},
        {"Origin": None},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ],
)
def test_another_page_of_the_same_browser_is_refused(desk, headers):
    reply = desk.post("ask/choices", headers=headers, json={})
    assert reply.status_code == 403


def test_an_upload_from_another_page_is_refused(desk):
    before = len(desk.desk.uploads.all())
    reply = desk.post("logs", headers={"Origin": "https://evil.example"}, data=b"x")
    assert reply.status_code == 403
    assert len(desk.desk.uploads.all()) == before


def test_every_reply_forbids_frames_foreign_scripts_and_keeping(desk):
    for reply in (desk.get(), desk.get("static/desk.js"), desk.get(token="x"), desk.get("nothing")):
        policy = reply.headers["Content-Security-Policy"]
        assert "default-src 'none'" in policy
        assert "frame-ancestors 'none'" in policy
        assert "unsafe-inline" not in policy.partition("script-src")[2].partition(";")[0]
        assert reply.headers["X-Content-Type-Options"] == "nosniff"
        assert reply.headers["Cache-Control"] == "no-store"
        assert reply.headers["Referrer-Policy"] == "no-referrer"


def test_the_page_loads_nothing_from_elsewhere(desk):
    texts = [
        desk.get().text,
        *(desk.get(f"static/{name}").text for name in ("report.css", "desk.css", "desk.js")),
    ]
    for text in texts:
        assert "//" not in text.replace("http://www.w3.org", "").replace("// ", "")


@pytest.mark.parametrize(
    "name", ["../server.py", "..%2fserver.py", "%2e%2e/guard.py", "server.py", "x"]
)
def test_no_other_file_can_be_had(desk, name):
    reply = desk.get(f"static/{name}")
    assert reply.status_code in (403, 404)
    assert set(reply.json) == {"error"}


def test_the_token_is_new_and_long(desk):
    from climlog.desk.guard import Guard

    assert len(Guard(1).token) >= 32
    assert Guard(1).token != Guard(1).token
    assert desk.guard.address.startswith(f"{OWN}/")
