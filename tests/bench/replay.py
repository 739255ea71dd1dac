"""What the rules asked for in the demo's months: tasks that came up, by month and severity.

Run ``python -m tests.bench.replay``. A task counts each time it comes up with that severity or a
higher one. Nothing is asserted.
"""

import tempfile
from collections import Counter
from datetime import UTC, datetime
from pathlib import Path

from app.rules.model import Severity
from app.services import demo
from tests.record import empty_database
from tests.services.replaying import lives, raised

NOW = datetime(2027, 1, 20, 21, 0, tzinfo=UTC)
ZONE = "America/Chicago"
LEVELS = (Severity.EMERGENCY, Severity.ACT, Severity.WATCH, Severity.INFO)


def main() -> None:
    """Print one line for each month of each tank, and what came up most."""
    with tempfile.TemporaryDirectory() as folder:
        database = empty_database(Path(folder))
        demo.load(database, now=NOW, zone=ZONE)
        with database.reading() as session:
            found = lives(session, NOW)
        database.close()
    for name, life in found.items():
        days = list(life.days())
        print(f"{name}: {len(days)} days; tasks that came up: now, act, watch, any")  # noqa: T201
        counts = {
            level: Counter(f"{day:%Y-%m}" for day, _ in raised(days, level)) for level in LEVELS
        }
        for month in sorted({f"{day[0].day:%Y-%m}" for day in days}):
            print(month, *(f"{counts[level][month]:4d}" for level in LEVELS))  # noqa: T201
        for level in (Severity.EMERGENCY, Severity.ACT, Severity.WATCH):
            keys = Counter(key for _, key in raised(days, level))
            print(f"{level.name.lower()}: {dict(keys.most_common())}")  # noqa: T201


if __name__ == "__main__":
    main()
