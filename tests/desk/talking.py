"""A desk without a socket: requests as a browser on its page sends them."""

import json
from pathlib import Path

from climlog.desk.guard import Guard
from climlog.desk.server import Desk, make_app
from climlog.desk.uploads import Uploads

PORT = 8123
OWN = f"http://127.0.0.1:{PORT}"
YEAR_LINES = 12 * 366


class Talker:
    """Talks to a desk as its own page does, unless told otherwise."""

    def __init__(self, folder: Path, settings=None) -> None:
        self.guard = Guard(PORT)
        self.desk = Desk(self.guard, Uploads(folder), settings or {})
        self.client = make_app(self.desk).test_client()

    def post(self, path, token=None, headers=None, host=f"127.0.0.1:{PORT}", **given):
        own = {"Host": host, "Origin": OWN, **(headers or {})}
        sent = {key: value for key, value in own.items() if value is not None}
        return self.client.post(f"/{token or self.guard.token}/{path}", headers=sent, **given)

    def get(self, path="", token=None, host=f"127.0.0.1:{PORT}", **headers):
        return self.client.get(
            f"/{token or self.guard.token}/{path}", headers={"Host": host, **headers}
        )

    def ask(self, what, /, **body):
        return self.post(f"ask/{what}", json=body)

    def drop(self, name, content):
        head = f'Content-Disposition: form-data; name="log"; filename="{name}"'
        data = b"\r\n".join((b"--edge", head.encode(), b"", content, b"--edge--", b""))
        return self.post("logs", data=data, content_type="multipart/form-data; boundary=edge")

    def dropped(self, path):
        found = self.drop(path.name, path.read_bytes())
        assert found.status_code == 200, found.text
        return found.json["key"]


def here(*keys):
    return [{"key": key, "role": "here"} for key in keys]


TABLE = {
    "piece": {"name": "Test table", "wood": "red oak", "width": "38 in", "length": "72 in",
              "thickness": "7/8 in", "fixed_on": "2025-02-14", "moisture_when_fixed": "7.5 %",
              "measured_by": "pin meter"},
    "base": {"layout": "apron"},
    "fastening": [{"kind": "screw"}],
}  # fmt: skip


def said(reply):
    return json.loads(reply.text)["error"]
