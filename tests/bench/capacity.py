"""What this machine carries: boards, saves, loggers of so many tanks, in a file and on a server.

Run ``python -m tests.bench.capacity [TANKS ...]`` (minutes; 300 and 3,000 tanks by default), or
with ``--short`` for four tanks, which only shows that it runs. A record of five weeks is filled as
a file and copied to a throw-away PostgreSQL server that writes through to the disk. Five weeks are
enough: what pages and saves cost does not grow with years (``python -m tests.bench`` shows it).
All is asked through the pages and the program interface, without a socket. Times are medians: this
process's own processor time, and all that passed, which is more on a busy machine. Nothing is
asserted.
"""

import argparse
import resource
import statistics
import tempfile
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import closing
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from itertools import count
from multiprocessing import get_context
from pathlib import Path
from typing import Any

from sqlalchemy import func, select, text

from app.services.access import api_tokens, sign_ins
from app.services.access.api_tokens import Scope
from app.services.installation import moving, server_record
from app.storage.base import Base
from app.storage.engine import Database, sqlite_engine
from tests import server
from tests.bench.measure import Call
from tests.bench.served import Meals, Served, served
from tests.bench.years import NOW, filled

TANKS = (300, 3000)
YEARS = 0.1
PROCESSES = 4
A_DAY = 96
"""Readings a day of a logger that measures every 15 minutes."""
_LONGEST_START = 300
QUARTER = timedelta(minutes=15)
_SIZE = {
    "sqlite": "SELECT page_count * page_size FROM pragma_page_count(), pragma_page_size()",
    "postgresql": "SELECT pg_database_size(current_database())",
}


@dataclass(frozen=True, slots=True)
class Size:
    """How much is measured: rounds of a call, and posts of one process."""

    rounds: int = 40
    posts: int = 150


@dataclass(slots=True)
class Column:
    """The figures of one place in which the record lies, by their names, as they are printed."""

    name: str
    figures: dict[str, str] = field(default_factory=dict)


def table(columns: list[Column]) -> str:
    """Columns side by side; what one of them does not have is a dash."""
    names = list(dict.fromkeys(name for column in columns for name in column.figures))
    lines = [" " * 44 + "".join(f"{column.name:>26}" for column in columns)]
    lines += [
        f"{name:44}" + "".join(f"{column.figures.get(name, '-'):>26}" for column in columns)
        for name in names
    ]
    return "\n".join(lines)


@dataclass(slots=True)
class Loggers:
    """Programs that send what they measured, by turns, each further back from `until` on."""

    browser: Served
    tokens: list[str]
    tank_ids: Sequence[int]
    until: datetime
    sent: Iterator[int] = field(default_factory=count)

    def post(self, readings: int) -> None:
        """The next tank's logger sends so many readings at once.

        Raises:
            SystemExit: If they were not taken.
        """
        turn, at = divmod(next(self.sent), len(self.tank_ids))
        tank_id, last = self.tank_ids[at], self.until - turn * readings * QUARTER
        moments = [(last - n * QUARTER).isoformat() for n in range(readings)]
        environ = self.browser.environ(
            f"/api/v1/tanks/{tank_id}/readings",
            method="POST",
            json={
                "readings": [
                    {"quantity": "temperature", "value": 24.6, "unit": "°C", "at": moment}
                    for moment in moments
                ]
            },
            headers={"Authorization": f"Bearer {self.tokens[tank_id % len(self.tokens)]}"},
        )
        status = self.browser.send(environ)
        if not status.startswith("201"):
            raise SystemExit(f"readings were answered with {status}: {self.browser.body[:200]!r}")


def tokens_of(database: Database) -> list[str]:
    """As many tokens as there may be, each for all tanks."""
    with database.writing() as session:
        link = sign_ins.make_link(session, now=NOW)
        adult = sign_ins.visitor_of(session, sign_ins.use_link(session, link, now=NOW), now=NOW)
        assert adult is not None
        tokens = [api_tokens.new_token() for _ in range(api_tokens.MOST_OPEN)]
        for token in tokens:
            api_tokens.make(
                session, adult, label="Logger", scope=Scope.READINGS, tank_id=None, token=token,
                now=NOW,
            )  # fmt: skip
        return tokens


def taken(call: Call, rounds: int, before: Call | None = None) -> tuple[float, float]:
    """Medians of a call, in milliseconds: this process's processor, and all that passed.

    What is done `before` each does not count.
    """
    own, whole = [], []
    for _ in range(rounds):
        if before is not None:
            before()
        began, began_own = time.perf_counter(), time.process_time()
        call()
        own.append(time.process_time() - began_own)
        whole.append(time.perf_counter() - began)
    return statistics.median(own) * 1e3, statistics.median(whole) * 1e3


def size_of(database: Database) -> int:
    """The bytes of a record with its indexes."""
    with database.reading() as session:
        return int(session.scalar(text(_SIZE[database.engine.dialect.name])) or 0)


def rows_of(database: Database) -> int:
    """The rows of all tables."""
    with database.reading() as session:
        counts = [select(func.count()).select_from(each) for each in Base.metadata.sorted_tables]
        return sum(session.scalar(each) or 0 for each in counts)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """A record in one place, with what is measured on it."""

    database: Database
    folder: Path
    tank_count: int
    tokens: list[str]
    size: Size
    column: Column

    def put(
        self, name: str, call: Call, rounds: int, *, of: int = 1, before: Call | None = None
    ) -> str:
        """Keep the medians of a call, of one of `of` things that it does; how many a second."""
        own, whole = taken(call, rounds, before)
        self.column.figures[name] = f"{own / of:8.1f} {whole / of:8.1f} ms"
        return f"{of / own * 1e3:8,.0f} {of / whole * 1e3:8,.0f}   "

    def of_pages(self, browser: Served) -> None:
        """Boards, Today and a Save."""
        put, rounds, figures = self.put, self.size.rounds, self.column.figures
        browser.get("/tank/1/")  # what a process reads once
        put("board, all worked out anew", lambda: browser.get("/tanks"), 1)
        used = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000
        figures["most memory of the process so far"] = f"{used:,.0f} MB"
        put("board", lambda: browser.get("/tanks"), max(3, rounds // 4))
        put("Today of one tank", lambda: browser.get("/tank/1/"), rounds)
        meals = Meals(browser)
        put("a meal saved", meals.save, rounds, before=meals.open)

    def of_loggers(self, browser: Served) -> None:
        """Readings one by one and a day's at once, and what they weigh."""
        figures, posts = self.column.figures, min(self.size.posts, self.tank_count)
        tank_ids = range(1, posts + 1)
        one = Loggers(browser, self.tokens, tank_ids, NOW)
        for _ in tank_ids:  # the first of a day begins an entry
            one.post(1)
        alone = self.put("a logger's reading taken", lambda: one.post(1), posts)
        before = size_of(self.database)
        day = Loggers(browser, self.tokens, tank_ids, NOW - timedelta(days=2))
        many = self.put("a reading, a day's at once", lambda: day.post(A_DAY), posts, of=A_DAY)
        figures["readings a second, one by one"] = alone
        figures["readings a second, a day's at once"] = many
        each = (size_of(self.database) - before) / (posts * A_DAY)
        figures["a logger's reading"] = f"{each:,.0f} bytes"
        figures["a logger's year"] = f"{each * A_DAY * 365 / 1e6:,.1f} MB"

    def run(self) -> None:
        """All that one process does with such a record."""
        tank_years = self.tank_count * YEARS
        self.column.figures |= {
            "a tank's year without logger": f"{rows_of(self.database) / tank_years:,.0f} rows",
            "the same in bytes": f"{size_of(self.database) / tank_years / 1e6:,.2f} MB",
            "medians: own processor, all that passed": "",
        }
        browser = served(self.database, self.folder)
        self.of_pages(browser)
        self.of_loggers(browser)


def together(
    url: str, tank_ids: Sequence[int], tokens: list[str], posts: int, processes: int
) -> str:
    """How many readings a second so many processes bring in, one by one, at the same time."""
    context = get_context("spawn")
    at_once = context.Barrier(processes)
    with ProcessPoolExecutor(
        processes, mp_context=context, initializer=_wait_for, initargs=(at_once,)
    ) as pool:
        shares = [tank_ids[n::processes] for n in range(processes)]
        until = NOW - timedelta(days=9 * processes)  # moments that nobody sent yet
        waiting = [pool.submit(_posts, url, tokens, share, posts, until) for share in shares]
        return f"{sum(each.result() for each in waiting):,.0f}   "


_start: list[Any] = []


def _wait_for(at_once: Any) -> None:
    _start.append(at_once)


def _posts(
    url: str, tokens: list[str], tank_ids: Sequence[int], posts: int, until: datetime
) -> float:
    """What one of several processes brings in, in readings a second, at tanks of its own."""
    with tempfile.TemporaryDirectory() as folder, closing(server_record.opened(url)) as database:
        browser = served(database, Path(folder))
        loggers = Loggers(browser, tokens, tank_ids, until)
        for _ in tank_ids:
            loggers.post(1)
        _start[0].wait(_LONGEST_START)
        began = time.perf_counter()
        for _ in range(posts):
            loggers.post(1)
        return posts / (time.perf_counter() - began)


def measure(tank_count: int, size: Size) -> str:
    """The table of so many tanks."""
    columns = [Column("file"), Column("server")]
    name = server.new_name()
    server.make(name)
    url = server.url(name)
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        database = filled(folder, tank_count=tank_count, years=YEARS)
        tokens = tokens_of(database)
        database.close()
        file = Path(str(database.engine.url.database))
        began = time.perf_counter()
        rows = sum(each.rows for each in moving.copy_to(file, url))
        rate = rows / (time.perf_counter() - began)
        columns[1].figures["copied from the file"] = f"{rate:,.0f} rows/s"
        for column, opened in zip(
            columns, (Database(sqlite_engine(file)), server_record.opened(url)), strict=True
        ):
            with closing(opened), opened.engine.begin() as connection:
                connection.execute(text("ANALYZE"))
            with closing(opened):
                Bench(
                    database=opened, folder=folder, tank_count=tank_count, tokens=tokens,
                    size=size, column=column,
                ).run()  # fmt: skip
        tank_ids = range(1, min(tank_count, size.posts) + 1)
        for processes in (1, PROCESSES):
            columns[1].figures[f"readings a second in all, processes: {processes}"] = together(
                url, tank_ids, tokens, size.posts, processes
            )
    server.drop(name)
    return f"\n{tank_count:,} tanks\n{table(columns)}"


def main() -> None:
    """Measure and print, one number of tanks after the other."""
    asked = argparse.ArgumentParser(prog="python -m tests.bench.capacity", description=__doc__)
    asked.add_argument("tanks", nargs="*", type=int, default=TANKS, help="how many")
    asked.add_argument("--short", action="store_true", help="four tanks: shows that it runs")
    given = asked.parse_args()
    server.start(durable=True)
    for tank_count in (PROCESSES,) if given.short else given.tanks:
        size = Size(rounds=2, posts=4) if given.short else Size()
        print(measure(tank_count, size), flush=True)  # noqa: T201


if __name__ == "__main__":
    main()
