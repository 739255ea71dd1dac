"""The checker from outside finds nothing in the application, and each fault that is planted."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from itertools import count
from threading import Event, Thread
from typing import Any
from wsgiref.types import StartResponse, WSGIApplication, WSGIEnvironment

from waitress import wasyncore
from waitress.server import create_server
from werkzeug.test import run_wsgi_app

from app.domain.drafts import NewNote
from tests.security.adapter import Adapter
from tests.security.black_box import Report, look
from tests.security.far import far_client
from tests.security.house import COOKIE, KEEPERS_PASSPHRASE, House

BOOK, NOTE, STORY, TO_DO = (f"/tank/1/{page}" for page in ("notebook", "note", "story", "to-do"))


@contextmanager
def served(app: WSGIApplication, house: House) -> Iterator[Adapter]:
    """The house behind an address of this computer, with all who come to it."""
    lines: dict[int, Any] = {}
    server = create_server(app, map=lines, host="127.0.0.1", port=0, threads=4, ident=None)
    stop = Event()
    thread = Thread(target=_run, args=(lines, stop))
    thread.start()
    base = f"http://127.0.0.1:{server.effective_port}"
    site = Adapter(base, house.record.adult.name, KEEPERS_PASSPHRASE)
    for each in house.callers.values():
        cookie = (COOKIE, each.cookie) if each.cookie else None
        site.add(each.name, far_client(base, cookie), BOOK if each.name == "keeper" else each.start)
    try:
        yield site
    finally:
        stop.set()
        thread.join()
        server.task_dispatcher.shutdown()
        wasyncore.close_all(lines, ignore_all=True)


def _run(lines: dict[int, Any], stop: Event) -> None:
    while not stop.is_set():
        wasyncore.loop(timeout=0.05, map=lines, count=1)


def looked_at(app: WSGIApplication, house: House) -> Report:
    """What the checker says after a few requests."""
    with served(app, house) as site:
        return look(site, most=7, posts=6, clients=(3,), each=2)


def test_nothing_is_found(home: House) -> None:
    report = looked_at(home.app, home)
    assert report.faults == []
    assert len(report.lines) > 8


class Broken:
    """The application with four faults: each on one page, so that it has to be looked for."""

    def __init__(self, app: WSGIApplication, keepers_cookie: str) -> None:
        self._app, self._cookie = app, f"{COOKIE}={keepers_cookie}"
        self._saves = count()

    def __call__(self, environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        page = environ["PATH_INFO"]
        if page == NOTE and environ["REQUEST_METHOD"] == "POST" and next(self._saves) % 2:
            start_response("303 See Other", [("Location", "/tank/1/")])  # saved, it says
            return []
        if page == TO_DO:  # everybody is let in
            environ["HTTP_COOKIE"] = self._cookie
        body_parts, status, given = run_wsgi_app(self._app, environ, buffered=True)
        body, headers = b"".join(body_parts), list(given)
        if page == STORY:  # a browser may guess what it is
            headers = [each for each in headers if each[0] != "X-Content-Type-Options"]
        if page == BOOK:  # what was typed becomes markup
            body = body.replace(b"&lt;planted", b"<planted").replace(b"planted&gt;", b"planted>")
            headers = [each for each in headers if each[0] != "Content-Length"]
        start_response(status, headers)
        return [body]


def test_each_planted_fault_is_found(home: House) -> None:
    home.record.write(NewNote(note="<planted>"), at=home.record.now)
    broken = Broken(home.app, home.callers["keeper"].cookie)
    faults = "\n".join(looked_at(broken, home).faults)
    assert f"keeper at {STORY}: X-Content-Type-Options is None" in faults
    assert f"keeper at {BOOK}: the tag <planted>" in faults
    assert f"stranger opens {TO_DO}" in faults
    assert "was saved and stands there 0 times" in faults
