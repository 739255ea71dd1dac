"""A server with invented tanks, started as people start it, and somebody in each role."""

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from pathlib import Path

from flask.testing import FlaskClient

from tests.security.adapter import Adapter, form_on
from tests.security.far import far_client

NAME = "Keeper of these tanks"
PASSPHRASE = "eleven pebbles under a fern"
TANK = "/tank/1/"


@contextmanager
def invented(folder: Path) -> Iterator[Adapter]:
    """A demo that is served, with callers who came in by its own pages."""
    with subprocess.Popen(
        [sys.executable, "-m", "app", "demo", "--no-browser", "--port", "0"],
        env={**os.environ, "PYTHONUNBUFFERED": "1", "TMPDIR": str(folder)},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    ) as process:
        assert process.stdout is not None
        link = re.compile(r"(http://127\.0\.0\.1:\d+)(/sign-in/\S+)")
        found = next(m for line in process.stdout if (m := link.search(line)))
        try:
            yield _with_callers(Adapter(found[1], NAME, PASSPHRASE), found[2])
        finally:
            process.terminate()


def _with_callers(site: Adapter, link: str) -> Adapter:
    keeper = far_client(site.base)
    assert keeper.get(link).status_code == 303
    _fill(keeper, "/me", "Save the name", name=NAME)
    _fill(keeper, "/me", "Save the passphrase", passphrase=PASSPHRASE)
    site.add("keeper", keeper, TANK, form="/me")
    for role in ("technician", "coordinator"):
        said = _fill(keeper, "/people", "Make the invitation", name=role, role=role)
        code = _said(said, r"/join/([\w-]+)")
        client = far_client(site.base)
        _fill(client, "/join", "Come in", code=code, passphrase=f"nine slow snails {role}")
        site.add(role, client, TANK, form="/device")
    helper = site.newcomer()
    _fill(helper, "/device", "Hand it to the helpers")
    site.add("helper", helper, TANK, form="/device")
    today = date.today()  # noqa: DTZ011  # some day now, wherever it is
    days = {"first_day": today.isoformat(), "last_day": (today + timedelta(days=5)).isoformat()}
    for name, button in (("family", "Make the link"), ("sitter", "Make link and packets")):
        said = _fill(keeper, f"{TANK}share/{name}", button, **days)
        path = _said(said, r"(/v/[\w-]{32})")
        site.add(name, far_client(site.base), path)
    site.add("stranger", far_client(site.base), "/join", form="/join")
    return site


def _fill(client: FlaskClient, page: str, button: str, **typed: str) -> str:
    """Fill the form of a page and send it; what came back."""
    form = form_on(client, page, button)
    for name, value in typed.items():
        form.put(name, value)
    answer = client.post(form.action, data=form.pairs())
    assert answer.status_code in {200, 303}, answer.text
    return answer.text


def _said(text: str, what: str) -> str:
    found = re.search(what, text)
    assert found, text
    return found[1]
