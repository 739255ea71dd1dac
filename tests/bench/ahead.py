"""How long the pages of Look ahead take, beside an empty page.

Run ``python -m tests.bench.ahead``. The demo's tanks stand behind them. Each page is fetched twenty
times from the application itself, without network; the least processor time counts, as whatever
else the machine does only adds. "Anew" is the same with the nights of oxygen worked out again, as
after an entry; else they are at hand. Pages that hold a chart are told with it. Wanted of the
overview, anew, is below 150 ms. Nothing is asserted.
"""

import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from flask import Flask
from flask.testing import FlaskClient

from app.clock import FixedClock
from app.estimates.oxygen import course_of
from app.factory import create_app
from app.services import demo
from app.services.access import sign_ins
from app.settings import Settings
from app.storage.engine import Database
from tests.record import empty_database

NOW = datetime(2027, 1, 20, 21, 0, tzinfo=UTC)
ZONE = "America/Chicago"
TANK = 1
ROUNDS = 20
WANTED_MS = 150.0


def best_ms(call: Callable[[], object], before: Callable[[], object] = lambda: None) -> float:
    """The shortest processor time of a call in milliseconds; `before` is not counted."""
    taken = []
    for _ in range(ROUNDS):
        before()
        start = time.thread_time()
        call()
        taken.append(time.thread_time() - start)
    return min(taken) * 1e3


def pages_of(app: Flask) -> dict[str, str]:
    """The pages of Look ahead that need nothing but a tank: address by endpoint."""
    with app.test_request_context():
        return {
            rule.endpoint: app.url_for(rule.endpoint, tank_id=TANK)
            for rule in app.url_map.iter_rules()
            if rule.endpoint.startswith("ahead.")
            and "GET" in (rule.methods or ())
            and rule.arguments == {"tank_id"}
        }


def signed_in(app: Flask, database: Database) -> FlaskClient:
    """A browser of the grown-up in charge."""
    with database.writing() as session:
        link = sign_ins.make_link(session, now=NOW)
    client = app.test_client()
    client.get(f"/sign-in/{link}")
    return client


def fetched(client: FlaskClient, address: str) -> int:
    """Fetch a page that has to be there; returns its size."""
    answer = client.get(address, follow_redirects=True)
    if answer.status_code != 200:
        raise SystemExit(f"{address} answered {answer.status_code}")
    return len(answer.data)


def report(app: Flask, client: FlaskClient, floor: str) -> None:
    """Print one line a page, the overview first."""
    pages = pages_of(app)
    ordered = sorted(pages, key=lambda endpoint: (endpoint != "ahead.overview", endpoint))
    empty = best_ms(lambda: fetched(client, floor))
    print(f"best of {ROUNDS}; floor, {floor}: {empty:.1f} ms; wanted below {WANTED_MS:.0f} ms")  # noqa: T201
    print(f"{'page':26} {'again':>9} {'anew':>9} {'of the floor':>13} {'size':>8}")  # noqa: T201
    for endpoint in ordered:
        address = pages[endpoint]
        size = fetched(client, address)
        again = best_ms(lambda at=address: fetched(client, at))  # type: ignore[misc]
        anew = best_ms(lambda at=address: fetched(client, at), course_of.cache_clear)  # type: ignore[misc]
        name = endpoint.removeprefix("ahead.")
        print(f"{name:26} {again:6.1f} ms {anew:6.1f} ms {anew / empty:13.1f} {size:8,}")  # noqa: T201


def main() -> None:
    """Fill a record with the demo and time the pages on it."""
    with tempfile.TemporaryDirectory() as folder:
        database = empty_database(Path(folder))
        demo.load(database, now=NOW, zone=ZONE)
        settings = Settings(data_folder=Path(folder), secret_key="only a measurement")
        app = create_app(settings, FixedClock(NOW), database)
        report(app, signed_in(app, database), "/device")
        database.close()


if __name__ == "__main__":
    main()
