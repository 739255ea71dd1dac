"""What a large import costs beside reading the file and putting its rows in, and its memory."""

import csv
import io
import tracemalloc
from collections.abc import Iterator
from datetime import datetime, time, timedelta
from pathlib import Path

from sqlalchemy import insert

from app.domain import sheet_file
from app.services.sheets import sheet_import
from app.storage.engine import Database
from app.storage.models.water import Reading
from tests.bench.measure import Bar, median_s
from tests.bench.years import NOW, filled

_CHUNK = 10_000
# every 20 minutes up to 22:40
_A_DAY = 60


def sheet(rows: int) -> bytes:
    """A keeper's table with a temperature in each row, from 3:00 on, when no clock changes."""
    first = datetime.combine(NOW.date() - timedelta(days=rows // _A_DAY + 2), time(3))
    moments = (first + timedelta(days=n // _A_DAY, minutes=20 * (n % _A_DAY)) for n in range(rows))
    lines = (f"{at:%Y-%m-%d %H:%M},{24.0 + n % 7 / 10:.1f}" for n, at in enumerate(moments))
    return "\n".join(["When,Temperature °C", *lines]).encode()


def bring_in(database: Database, content: bytes, token: str) -> int:
    """All checks, all or nothing, as the page does it."""
    with database.writing() as session:
        opened = sheet_file.opened(content)
        choice = sheet_import.first_choice(session, 1, opened)
        return sheet_import.bring_in(
            session, 1, opened, choice, token=token, file_name="sheet.csv", author_id=1, now=NOW
        ).added


def bare(database: Database, content: bytes) -> None:
    """The floor: csv reader, a check of both types, and `executemany`."""
    rows = []
    with database.engine.begin() as connection:
        for when, value in list(csv.reader(io.StringIO(content.decode())))[1:]:
            rows.append({
                "entry_id": 1, "tank_id": 1, "quantity": "temperature", "in_force": True,
                "at": datetime.fromisoformat(f"{when}+00:00"), "value": float(value),
                "typed": value, "unit": "°C", "basis": "",
            })  # fmt: skip
            if len(rows) == _CHUNK:
                connection.execute(insert(Reading), rows)
                rows.clear()
        if rows:
            connection.execute(insert(Reading), rows)
        connection.rollback()


def of_imports(folder: Path, rows: int) -> Iterator[Bar]:
    """Processor time beside its floor, and how far memory grows."""
    content = sheet(rows)
    first, second = (filled(folder / n, tank_count=1, years=0.01) for n in ("one", "two"))
    floor = median_s(lambda: bare(first, content), 3)
    taken = median_s(lambda: bring_in(first, content, "bench-import"), 1)
    yield Bar(name=f"import of {rows:,} rows, CPU", value=taken / floor, bar=4)
    tracemalloc.start()
    bring_in(second, content, "bench-import")
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    yield Bar(
        name=f"import of {rows:,} rows, memory", value=peak / 1e6, bar=25, unit="MB",
        note="Python's own",
    )  # fmt: skip
    first.close()
    second.close()
