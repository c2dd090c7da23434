"""Starting the desk: a free port, an address, a browser, and the end of it all by Ctrl-C."""

import contextlib
import signal
import socket
import sys
import threading
import time
from collections.abc import Callable, Mapping
from types import FrameType

from waitress.server import create_server

from climlog.desk.guard import HOME, Guard
from climlog.desk.server import MULTIPART_EXTRA_BYTES, Desk, make_app
from climlog.desk.uploads import LARGEST_UPLOAD_BYTES, private_uploads
from climlog.errors import UnusableInputError

THREADS = 8
PAGE_S = 0.3
"""Till the page has got its scripts; loading before would only keep it waiting."""
MOST_CONNECTIONS = 60


def serve(port: int, started: Callable[[str], None], settings: Mapping[str, str]) -> None:
    """Serve the desk until Ctrl-C, or until the process is told to end.

    Parameters
    ----------
    port : int
        0 for one that is free.
    started : callable
        Called with the address, once it can be opened.
    settings : mapping of str to str
        What `climlog settings` keeps.

    Raises
    ------
    UnusableInputError
        If the port is taken.
    """
    listening = _listening(port)
    guard = Guard(listening.getsockname()[1])
    with private_uploads() as uploads:
        desk = Desk(guard, uploads, settings)
        server = create_server(
            make_app(desk),
            sockets=[listening],
            threads=THREADS,
            connection_limit=MOST_CONNECTIONS,
            max_request_body_size=LARGEST_UPLOAD_BYTES + 2 * MULTIPART_EXTRA_BYTES,
            ident="climlog desk",
            clear_untrusted_proxy_headers=True,
        )
        _end_by_signal()
        threading.Thread(target=_warm, args=(desk.seen,), daemon=True).start()
        try:
            with contextlib.suppress(KeyboardInterrupt, SystemExit):
                threading.Thread(target=started, args=(guard.address,), daemon=True).start()
                server.run()
        finally:
            server.close()


def _listening(port: int) -> socket.socket:
    made = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if sys.platform != "win32":
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        made.bind((HOME, port))
    except OSError as error:
        made.close()
        raise UnusableInputError(
            f"port {port} cannot be had ({error.strerror}); leave --port out for one that is free"
        ) from error
    return made


def _end_by_signal() -> None:
    """End as by Ctrl-C where the process is told to end, so that what was dropped goes too."""

    def end(number: int, frame: FrameType | None) -> None:
        raise SystemExit(0)

    if threading.current_thread() is threading.main_thread():
        signal.signal(signal.SIGTERM, end)


def _warm(seen: threading.Event) -> None:
    """Load what an answer needs while the page is read, and not before it is there."""
    seen.wait()
    time.sleep(PAGE_S)
    import climlog.analysis.place.year
    import climlog.importer.read
    import climlog.report.place.document  # noqa: F401
