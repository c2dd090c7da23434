"""The desk's server: one page on this machine, and what it asks, each by one function.

Flask hears and waitress serves. Whatever is wrong with a request is one line of JSON; our own
faults are printed where the desk was started, and the desk lives on.
"""

import sys
import threading
import traceback
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from urllib.parse import quote

from flask import Flask, Response, jsonify, request
from werkzeug.exceptions import HTTPException

from climlog.desk.answers import Answers
from climlog.desk.asked import body_of, question_of, table_in, tables_in, text_in, units_in
from climlog.desk.guard import ALONE_POLICY, HEADERS, PAGE_POLICY, Guard
from climlog.desk.shelf import Shelf
from climlog.desk.uploads import LARGEST_UPLOAD_BYTES, Uploads
from climlog.errors import ClimlogError, UnusableInputError, cleaned

LARGEST_ASK_BYTES = 1_000_000
"""Of anything but a log: as large as a sheet may be."""
MULTIPART_EXTRA_BYTES = 100_000
AT_ONCE = 2
"""Analyses taken on at once: one is worked out while the other waits, a third is sent away."""
STATIC = Path(__file__).parent / "static"
KINDS = {".js": "text/javascript; charset=utf-8", ".css": "text/css; charset=utf-8"}
SAMPLES = "sample_logs"
LONGEST_TOLD = 1500

Values = dict[str, object]


class BusyError(ClimlogError):
    """Two analyses are under way."""


@dataclass
class Gate:
    """Lets two analyses in, and one of them work: warnings are the whole process's own."""

    _places: threading.Semaphore = field(default_factory=lambda: threading.Semaphore(AT_ONCE))
    _work: threading.Lock = field(default_factory=threading.Lock)

    @contextmanager
    def passed(self) -> Iterator[None]:
        """Wait for the one at work; a third is refused at once.

        Raises
        ------
        BusyError
            If two are inside.
        """
        if not self._places.acquire(blocking=False):
            raise BusyError("two answers are being worked out already; ask again in a moment")
        try:
            with self._work:
                yield
        finally:
            self._places.release()


@dataclass
class Desk:
    """Everything a running desk holds.

    Attributes
    ----------
    settings : mapping of str to str
        What `climlog settings` keeps: units, maker, client.
    """

    guard: Guard
    uploads: Uploads
    settings: Mapping[str, str] = field(default_factory=dict)
    gate: Gate = field(default_factory=Gate)
    seen: threading.Event = field(default_factory=threading.Event)

    def __post_init__(self) -> None:
        """Set up the shelf of logs and the answers kept."""
        self.shelf = Shelf(self.uploads)
        self.answers = Answers(self.shelf)


def make_app(desk: Desk) -> Flask:
    """Make the desk's application."""
    app = Flask("climlog.desk", static_folder=None, template_folder=None)
    app.config["MAX_CONTENT_LENGTH"] = LARGEST_UPLOAD_BYTES + MULTIPART_EXTRA_BYTES
    app.config["MAX_FORM_MEMORY_SIZE"] = LARGEST_ASK_BYTES
    app.config["MAX_FORM_PARTS"] = 10
    app.before_request(partial(_checked, desk))
    app.after_request(_with_headers)
    app.register_error_handler(HTTPException, _refused)
    app.register_error_handler(Exception, _our_fault)
    app.add_url_rule("/<token>/", view_func=partial(_page, desk), endpoint="page")
    app.add_url_rule("/<token>/static/<name>", view_func=_static, endpoint="static")
    app.add_url_rule(
        "/<token>/logs", view_func=partial(_upload, desk), endpoint="logs", methods=["POST"]
    )
    for name, do in ASKS.items():
        app.add_url_rule(
            f"/<token>/ask/{name}",
            view_func=partial(_ask, desk, do),
            endpoint=f"ask-{name}",
            methods=["POST"],
        )
    return app


def _checked(desk: Desk) -> Response | None:
    """Hear a request only from the desk's own page on this machine."""
    token = str((request.view_args or {}).get("token", ""))
    refusal = desk.guard.refusal(request.method, token, dict(request.headers))
    return _line(f"Not heard: {refusal}.", 403) if refusal else None


def _with_headers(response: Response) -> Response:
    for name, value in {**HEADERS, "Content-Security-Policy": PAGE_POLICY}.items():
        response.headers.setdefault(name, value)
    return response


def _line(says: str, status: int) -> Response:
    response = jsonify({"error": says})
    response.status_code = status
    return response


def _refused(error: HTTPException) -> Response:
    """Answer what cannot be routed, read or taken in."""
    too_large = f"too large: a log may have {LARGEST_UPLOAD_BYTES // 2**20} MB"
    says = {404: "no such page here", 405: "that cannot be asked so", 413: too_large}
    code = error.code or 400
    return _line(says.get(code, "the request is not whole; load the page again"), code)


def _our_fault(error: Exception) -> Response:
    """Print what only we can mend, and live on."""
    traceback.print_exception(error, file=sys.stderr)
    return _line(
        "this should not have happened: the window where climlog desk was started says more; "
        "the page goes on",
        500,
    )


def _page(desk: Desk, token: str) -> Response:
    from climlog.desk.shown import environment

    text = environment().get_template("desk.html.j2").render(units=desk.settings.get("units", ""))
    desk.seen.set()
    return Response(text, content_type="text/html; charset=utf-8")


def _static(token: str, name: str) -> Response:
    if name == "report.css":
        from climlog.desk.shown import environment

        text = environment().get_template("style.css").render()
        return Response(text, content_type=KINDS[".css"])
    known = {path.name: path for path in STATIC.iterdir() if path.suffix in KINDS}
    if name not in known:
        return _line("no such page here", 404)
    return Response(known[name].read_bytes(), content_type=KINDS[known[name].suffix])


def _upload(desk: Desk, token: str) -> Response:
    """Take a log in."""
    given = request.files.get("log")
    if given is None:
        return _line("no file came with that; choose it once more", 400)
    try:
        upload = desk.uploads.add(given.filename or "log.csv", given.stream)
    except ClimlogError as error:
        return _line(_told(desk, error), 422)
    finally:
        given.close()
    return jsonify({"key": upload.key, "name": upload.name, "size": upload.size_bytes})


def _ask(
    desk: Desk, do: "Callable[[Desk, Mapping[str, object]], Values | Response]", token: str
) -> Response:
    if (request.content_length or 0) > LARGEST_ASK_BYTES:
        return _line("too large for a sheet; is this a log?", 413)
    if request.mimetype != "application/json":
        return _line("the request is not whole; load the page again", 415)
    try:
        found = do(desk, body_of(request.get_data()))
    except BusyError as error:
        return _line(str(error), 503)
    except ClimlogError as error:
        return _line(_told(desk, error), 422)
    return found if isinstance(found, Response) else jsonify(found)


def _told(desk: Desk, error: ClimlogError) -> str:
    """Write an error for the page: one clean line without our own folders."""
    line = " ".join(cleaned(desk.shelf.without_folder(str(error))).split())
    return line if len(line) <= LONGEST_TOLD else line[: LONGEST_TOLD - 1] + "…"


def _choices(desk: Desk, body: Mapping[str, object]) -> Values:
    from climlog.desk.choices import choices

    return choices()


def _look(desk: Desk, body: Mapping[str, object]) -> Values:
    from climlog.desk.logs import looked_at
    from climlog.report.phrases import Say

    question = question_of(body)
    with desk.gate.passed():
        return looked_at(question, desk.shelf, Say(question.units))


def _forget(desk: Desk, body: Mapping[str, object]) -> Values:
    desk.uploads.remove(text_in(body, "key"))
    return {}


def _piece(desk: Desk, body: Mapping[str, object]) -> Values:
    from climlog.desk.piece import described

    return described(tables_in(body, "tables"))


def _edit(desk: Desk, body: Mapping[str, object]) -> Values:
    from climlog.desk.edits import Edit, edited
    from climlog.desk.piece import described

    values = table_in(body, "edit")
    tables = edited(
        tables_in(body, "tables"), Edit(text_in(values, "what"), values), units_in(body)
    )
    return {"tables": tables, **described(tables)}


def _sheet(desk: Desk, body: Mapping[str, object]) -> Values:
    from climlog.desk.dropped import dropped_sheet

    text = body.get("text")
    if not isinstance(text, str):
        raise UnusableInputError("a sheet is a text")
    return dropped_sheet(text_in(body, "name", "sheet.toml"), text)


def _answer(desk: Desk, body: Mapping[str, object]) -> Values:
    from climlog.desk.shown import shown_answer

    question = question_of(body)
    with desk.gate.passed():
        return shown_answer(desk.answers.answer(question), desk.uploads)


def _save(desk: Desk, body: Mapping[str, object]) -> Response:
    from climlog.desk.saves import saved, saved_sheet

    question, what = question_of(body), text_in(body, "what")
    found = saved_sheet(question, what)
    if found is None:
        with desk.gate.passed():
            found = saved(desk.answers.answer(question), what, desk.settings)
    response = Response(found.content, content_type=found.kind)
    response.headers["Content-Security-Policy"] = ALONE_POLICY
    response.headers["X-File-Name"] = quote(found.name)
    return response


def _sample(desk: Desk, body: Mapping[str, object]) -> Values:
    from climlog.desk.sample import SAMPLE_NAME, sample_log, sample_tables

    upload = desk.uploads.add(SAMPLE_NAME, sample_log())
    return {"key": upload.key, "name": upload.name, "tables": sample_tables()}


ASKS: dict[str, Callable[[Desk, Mapping[str, object]], Values | Response]] = {
    "choices": _choices,
    "look": _look,
    "forget": _forget,
    "piece": _piece,
    "edit": _edit,
    "sheet": _sheet,
    "answer": _answer,
    "save": _save,
    "sample": _sample,
}
