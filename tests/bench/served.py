"""The application as the benchmark asks it: through WSGI, without a socket, signed in."""

import io
import re
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any

from flask import Flask
from werkzeug.test import EnvironBuilder

from app.clock import FixedClock
from app.factory import create_app
from app.settings import Settings
from app.storage.engine import Database
from app.web.rights import ANYBODY, RIGHTS
from tests.bench.years import NOW, link_of

FLOOR = "/floor"


@dataclass(slots=True)
class Served:
    """An application on a record, a browser's cookie, and the last answer."""

    app: Flask
    database: Database
    clock: FixedClock
    cookie: str = ""
    body: bytes = b""

    def environ(self, path: str, **more: Any) -> dict[str, Any]:
        """The request of a browser that is signed in."""
        headers = {"Cookie": self.cookie, **more.pop("headers", {})}
        return EnvironBuilder(path=path, headers=headers, **more).get_environ()

    def send(self, environ: dict[str, Any]) -> str:
        """Answer a request as a server would; returns its status line."""
        said: list[Any] = []
        sent = environ["wsgi.input"].getvalue()
        answer = self.app.wsgi_app({**environ, "wsgi.input": io.BytesIO(sent)}, _keep(said))
        self.body = b"".join(answer)
        if hasattr(answer, "close"):
            answer.close()
        for name, value in said[1]:
            if name == "Set-Cookie" and value.startswith("sillpond="):
                self.cookie = value.split(";", 1)[0]
        return str(said[0])

    def get(self, path: str, **headers: str) -> None:
        """Fetch a page that has to be there.

        Raises:
            SystemExit: If it is not.
        """
        status = self.send(self.environ(path, headers=headers))
        if status[:3] not in {"200", "304"}:
            raise SystemExit(f"{path} answered {status}")


def _keep(said: list[Any]) -> Any:
    def start_response(status: str, headers: Any, _failure: Any = None) -> Any:
        said[:] = [status, headers]
        return lambda _part: None

    return start_response


def served(database: Database, folder: Path) -> Served:
    """An application with a trivial page beside its own, and the keeper's cookie."""
    RIGHTS.setdefault("floor", ANYBODY)
    clock = FixedClock(NOW)
    settings = Settings(data_folder=folder, secret_key="only a measurement")
    app = create_app(settings, clock, database)
    app.add_url_rule(FLOOR, "floor", lambda: "ok")
    client = app.test_client()
    client.get(f"/sign-in/{link_of(database)}")
    cookie = client.get_cookie("sillpond")
    assert cookie is not None
    return Served(app, database, clock, f"sillpond={cookie.value}")


class Meals:
    """One meal a day, each posted as the page that was opened for it posts it."""

    def __init__(self, browser: Served) -> None:
        self.browser = browser
        self._post: dict[str, Any] = {}

    def open(self) -> None:
        """Open the page of the next day's meal."""
        self.browser.clock.moment += timedelta(days=1)
        self.browser.get("/tank/1/feed")
        page = self.browser.body.decode()
        hidden = re.findall(r'name="(\w+)" type="hidden" value="([^"]*)"', page)
        hands = re.search(r'name="hands"[^>]*value="(\d+)"', page)
        assert hands is not None
        data = dict(hidden) | {
            "hands": hands[1], "amount": "1", "when": "now",
            "temperature": "24.9", "temperature_unit": "°C|",
        }  # fmt: skip
        self._post = self.browser.environ("/tank/1/feed", method="POST", data=data)

    def save(self) -> None:
        """Save the meal of the page that is open.

        Raises:
            SystemExit: If it was not saved.
        """
        status = self.browser.send(self._post)
        if not status.startswith("303"):
            raise SystemExit(f"a meal was answered with {status}")
