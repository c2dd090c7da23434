"""Who may talk to the desk: this machine's browser, from the desk's own page, and nobody else.

The address holds a random token. Host is checked against names of this machine (a foreign name
that resolves to 127.0.0.1 is refused), Origin on everything that changes or works out something,
and no page of another origin may frame, read or load anything of it.
"""

import hmac
import secrets
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

HOME = "127.0.0.1"
HOSTS = (HOME, "localhost")
TOKEN_BYTES = 24
SAFE_METHODS = frozenset({"GET", "HEAD"})
PAGE_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:;"
    " connect-src 'self'; form-action 'none'; frame-ancestors 'none'; base-uri 'none'"
)
"""Nothing written into the page runs: scripts come from files of the desk alone."""
ALONE_POLICY = (
    "sandbox allow-scripts allow-popups allow-modals; default-src 'none'; "
    "style-src 'unsafe-inline'; script-src 'unsafe-inline'; frame-ancestors 'none'"
)
"""Of a finished page shown by itself: an origin of its own, from which the desk cannot be asked."""
HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}


@dataclass(frozen=True)
class Guard:
    """What a request must carry to be heard.

    Attributes
    ----------
    port : int
        On which the desk listens.
    token : str
        Part of its address, new in every process.
    """

    port: int
    token: str = field(default_factory=lambda: secrets.token_urlsafe(TOKEN_BYTES))

    @property
    def address(self) -> str:
        """Where the page is."""
        return f"http://{HOME}:{self.port}/{self.token}/"

    def refusal(self, method: str, token: str, headers: "Mapping[str, str]") -> str:
        """Say why a request is not heard; empty where it is."""
        hosts = {f"{host}:{self.port}" for host in HOSTS}
        if headers.get("Host", "").lower() not in hosts:
            return "asked by another name than this machine's own"
        if not hmac.compare_digest(token.encode(), self.token.encode()):
            return "the address is not whole; take the one that climlog desk printed"
        origin = headers.get("Origin")
        if origin is not None and origin.lower() not in {f"http://{host}" for host in hosts}:
            return "asked from another page"
        if headers.get("Sec-Fetch-Site", "none") not in ("same-origin", "none") and (
            method not in SAFE_METHODS
        ):
            return "asked from another page"
        if method not in SAFE_METHODS and origin is None:
            return "asked from no page"
        return ""
