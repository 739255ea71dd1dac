"""What one PostgreSQL server and this machine carry: so many tanks, their boards, their loggers.

Run ``python -m tests.bench.capacity [TANKS ...]``; 300 and 3,000 by default, with five weeks of
records each. A record is filled as a file, copied to a throw-away server that writes through to the
disk, and measured there: what one Save, one reading of a logger and one look at the board cost in
processor time, for how long a writer holds the turn, and how many readings a second several
processes bring in together. Nothing is asserted.
"""

import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import closing, contextmanager
from datetime import datetime, timedelta
from decimal import Decimal
from functools import partial
from multiprocessing import get_context
from pathlib import Path

from sqlalchemy import text

from app.domain.drafts import NewMeal
from app.domain.quantities import Quantity
from app.services import api_tokens, board, entries, moving, server_record, sign_ins, tasks
from app.services.api import device
from app.services.api.device import DeviceReading
from app.services.api.measured import Measured
from app.services.api_tokens import Scope
from app.services.entries import Stamp
from app.storage.engine import Database
from tests import server
from tests.bench.years import NOW, filled

TANKS = (300, 3000)
YEARS = 0.1
ROUNDS = 40
PROCESSES = 4
POSTS_EACH = 100
LOGGER_A_DAY = 96
TOKEN = "sillpond-a-token-of-the-measuring"


def say(line: str) -> None:
    """Print a line of the report."""
    print(line, flush=True)  # noqa: T201


def taken(call: Callable[[int], object], rounds: int = ROUNDS) -> tuple[float, float]:
    """Medians of a call with its number: milliseconds of this process's processor, and in all."""
    own, whole = [], []
    for number in range(rounds):
        began, began_own = time.perf_counter(), time.thread_time()
        call(number)
        own.append(time.thread_time() - began_own)
        whole.append(time.perf_counter() - began)
    return statistics.median(own) * 1e3, statistics.median(whole) * 1e3


@contextmanager
def on_server(tank_count: int) -> Iterator[tuple[str, float]]:
    """The address of a filled record, and how many rows a second were copied there."""
    name = server.new_name()
    server.make(name)
    with tempfile.TemporaryDirectory() as folder:
        filled(Path(folder), tank_count=tank_count, years=YEARS).close()
        began = time.perf_counter()
        copied = moving.copy_to(Path(folder) / "sillpond.sqlite", server.url(name))
        rate = sum(each.rows for each in copied) / (time.perf_counter() - began)
    yield server.url(name), rate
    server.drop(name)


def meal(database: Database, author_id: int, number: int) -> None:
    """One feeding, from its form to the disk."""
    at = NOW + timedelta(minutes=number)
    stamp = Stamp(
        tank_id=1 + number, token=f"capacity-{number}", happened_at=at, author_id=author_id
    )
    with database.writing() as session:
        entries.record(session, stamp, NewMeal(scoops=1.0), now=at)


def post(database: Database, tank_count: int, number: int) -> None:
    """One reading of the logger of one tank, as its program sends it."""
    turn, tank = divmod(number, tank_count)
    at = NOW + timedelta(minutes=15 * turn)
    sent = DeviceReading(
        Measured(quantity=Quantity.TEMPERATURE, value=Decimal("24.6"), unit="°C"), at
    )
    with database.reading() as session:
        program = api_tokens.program_of(session, TOKEN)
    assert program is not None
    with database.writing() as session:
        device.take(session, program, 1 + tank, [sent], now=at)


def posts(url: str, tank_count: int, first: int) -> None:
    """What one of several processes brings in: each starts at tanks of its own."""
    with closing(server_record.opened(url)) as database:
        for number in range(first, first + POSTS_EACH):
            post(database, tank_count, number)


def look_at_board(database: Database, _number: int) -> None:
    """All tanks; what was worked out anew is kept."""
    with database.reading() as session:
        seen = board.board(session, now=NOW)
    board.keep(database, seen.fresh)


def look(database: Database, number: int) -> None:
    """One tank, worked out from its entries."""
    with database.reading() as session:
        tasks.look(session, [1 + number], now=NOW)


def signed_in(database: Database, now: datetime) -> int:
    """A program's token and the author of the entries."""
    with database.writing() as session:
        link = sign_ins.make_link(session, now=now)
        adult = sign_ins.visitor_of(session, sign_ins.use_link(session, link, now=now), now=now)
        assert adult is not None
        api_tokens.make(
            session, adult, label="x", scope=Scope.READINGS, tank_id=None, token=TOKEN, now=now
        )
        return adult.author_id


def measure(tank_count: int) -> None:
    """Print what so many tanks cost."""
    with on_server(tank_count) as (url, copied):
        with closing(server_record.opened(url)) as database:
            with database.engine.begin() as connection:
                connection.execute(text("ANALYZE"))
            author_id = signed_in(database, NOW)
            say(f"\n{tank_count:,} tanks; copied from the file at {copied:,.0f} rows a second")
            say(f"{'':34}{'processor':>12}{'in all':>12}")
            for name, rounds, call in (
                ("board, nothing kept", 1, partial(look_at_board, database)),
                ("board, kept", 7, partial(look_at_board, database)),
                ("one tank worked out", ROUNDS, partial(look, database)),
                ("a meal saved", ROUNDS, partial(meal, database, author_id)),
                ("a logger's reading taken", ROUNDS, partial(post, database, tank_count)),
            ):
                own, whole = taken(call, rounds)
                say(f"{name:34}{own:9.1f} ms{whole:9.1f} ms")
        together(url, tank_count)
        with closing(server_record.opened(url)) as database, database.reading() as session:
            size, count = session.execute(
                text("SELECT pg_total_relation_size('reading'), count(*) FROM reading")
            ).one()
            say(f"a reading takes {size / count:.0f} bytes with its indexes")


def together(url: str, tank_count: int) -> None:
    """Print how many readings a second several processes bring in, and for how many loggers."""
    starts = [ROUNDS + n * tank_count // PROCESSES for n in range(PROCESSES)]
    began = time.perf_counter()
    with ProcessPoolExecutor(PROCESSES, mp_context=get_context("spawn")) as pool:
        list(pool.map(posts, [url] * PROCESSES, [tank_count] * PROCESSES, starts))
    rate = PROCESSES * POSTS_EACH / (time.perf_counter() - began)
    loggers = rate * 86_400 / LOGGER_A_DAY
    say(
        f"{PROCESSES} processes, started and all, took {rate:.0f} readings a second: "
        f"{loggers:,.0f} loggers that read every 15 minutes"
    )


if __name__ == "__main__":
    server.start(durable=True)
    for wanted in [int(word) for word in sys.argv[1:]] or TANKS:
        measure(wanted)
