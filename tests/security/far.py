"""A server at an address, asked with the tools that ask an application: over real HTTP."""

import http.client
from collections.abc import Iterable
from contextlib import closing
from urllib.parse import urlsplit
from wsgiref.types import StartResponse, WSGIEnvironment

from flask import Flask
from flask.testing import FlaskClient

GONE = (OSError, http.client.HTTPException)
"""What a request ends with when nobody answers."""
_PATIENCE = 60.0
_NOT_HANDED_ON = {"connection", "content-length", "transfer-encoding"}


class _Forward:
    """A WSGI application that hands every request on, and the answer back as it came."""

    def __init__(self, base: str) -> None:
        self._host = urlsplit(base).hostname or ""
        self._port = urlsplit(base).port

    def __call__(self, environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        headers = {
            name.removeprefix("HTTP_").replace("_", "-").title(): str(value)
            for name, value in environ.items()
            if name.startswith("HTTP_")
        }
        headers |= {"Content-Type": str(environ["CONTENT_TYPE"])} if _has_type(environ) else {}
        body = environ["wsgi.input"].read()
        where = str(environ.get("REQUEST_URI") or environ["PATH_INFO"])
        line = http.client.HTTPConnection(self._host, self._port, timeout=_PATIENCE)
        with closing(line):
            line.request(environ["REQUEST_METHOD"], where, body or None, headers)
            answer = line.getresponse()
            content = answer.read()
        kept = [(n, v) for n, v in answer.getheaders() if n.lower() not in _NOT_HANDED_ON]
        start_response(f"{answer.status} {answer.reason}", kept)
        return [content]


def _has_type(environ: WSGIEnvironment) -> bool:
    return bool(environ.get("CONTENT_TYPE"))


def far_client(base: str, cookie: tuple[str, str] | None = None) -> FlaskClient:
    """A browser for the server at an address such as http://127.0.0.1:8000, with this cookie.

    Asking raises one of `GONE` where no answer comes.
    """
    far = Flask("far")
    far.wsgi_app = _Forward(base)  # type: ignore[method-assign]
    client = FlaskClient(far, far.response_class, use_cookies=True)
    if cookie is not None:
        client.set_cookie(*cookie)
    return client
