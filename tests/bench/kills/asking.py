"""Requests as they come through the proxy."""

import urllib.error
import urllib.request
from collections.abc import Mapping
from http.client import HTTPException

HOST = "rejoin.example.org"


def ask(
    url: str, *, data: bytes | None = None, headers: Mapping[str, str], seconds: float
) -> tuple[int, bytes, str]:
    """Ask as the proxy does; return status, body and where it leads to, without going there.

    Raises:
        OSError: no whole answer came.
    """
    named = {
        "Host": HOST,
        "X-Forwarded-Proto": "https",
        "X-Forwarded-For": "192.0.2.7",
        "Origin": f"https://{HOST}",
        **headers,
    }
    asked = urllib.request.Request(url, data, named)
    try:
        with _OPENER.open(asked, timeout=seconds) as answer:
            return answer.status, answer.read(), answer.headers.get("Location", "")
    except urllib.error.HTTPError as error:
        with error:
            return error.code, error.read(), error.headers.get("Location", "")
    except HTTPException as broken:
        raise OSError(f"the answer broke off: {broken!r}") from broken


class _Stay(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *_args: object, **_named: object) -> None:
        return None


_OPENER = urllib.request.build_opener(_Stay)
