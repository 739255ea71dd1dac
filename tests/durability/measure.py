"""The long rounds of killing and stopping a server: what they came to, on the screen.

Run `python -m tests.durability.measure`; `--rounds 20` for a shorter look, `--stall 60` for how
long the process is stopped. It fails where an entry is lost, doubled or changed. The other long
rounds run with `SILLPOND_HEAVY=1 python -m pytest -n 0 tests/durability`.
"""

import argparse
import platform
import random
import sqlite3
import statistics
import tempfile
from pathlib import Path

from tests.durability.browser import served
from tests.durability.children import fresh, nursery
from tests.durability.rounds import Counted, killed_rounds, stalled

FRESH = 10


def _say(text: str) -> None:
    print(text, flush=True)  # noqa: T201


def _told(found: Counted) -> str:
    starts = sorted(found.starts)
    return (
        f"killed {found.rounds} times under 6 writers, {found.answered} entries answered, "
        f"{found.sent_again} sent again, none lost, doubled or changed; from start to first answer "
        f"{statistics.median(starts):.2f} s in the middle, {starts[-1]:.2f} s at most"
    )


def main() -> None:
    """Run the rounds and print what they came to."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--rounds", type=int, default=200)
    asked.add_argument("--stall", type=float, default=60.0)
    given = asked.parse_args()
    _say(f"Python {platform.python_version()}, SQLite {sqlite3.sqlite_version}")
    with tempfile.TemporaryDirectory(prefix="durability-") as name, nursery() as start:
        folder = Path(name)
        log = stalled(served(folder / "stalled", start), given.stall, patience=5.0)
        _say(
            f"Stopped for {given.stall:.0f} s in the middle of saves: {len(log.saved)} entries "
            "answered, none lost, doubled or changed"
        )
        house = served(folder / "fresh", fresh)
        try:
            found = killed_rounds(house, FRESH, random.Random(8))
        finally:
            house.down()
        _say(f"Fresh processes: {_told(found)}")
        found = killed_rounds(served(folder / "killed", start), given.rounds, random.Random(7))
        _say(f"Forked processes: {_told(found)}")


if __name__ == "__main__":
    main()
