"""Many requests: memory, open files and the log beside the record level off."""

import logging
import os
import random
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from tests.record import ONE_SCOOP
from tests.web.roles import unchecked
from tests.web.stories.conftest import Place

_LOG = logging.getLogger(__name__)
HEAVY = os.environ.get("SILLPOND_HEAVY") == "1"
REQUESTS = 10_000 if HEAVY else 120
PAGES = ("", "story", "to-do", "feed", "charts/temperature", "charts/temperature.svg", "look")
MOST_LOG_BYTES = 10_000_000
# what a heap may still grow by after it has met every page, of its size
SLACK = 1.10
needs_proc = pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="no /proc here")


def resident_pages() -> int:
    return int(Path("/proc/self/statm").read_text().split()[1])


def open_files() -> int:
    return len(list(Path("/proc/self/fd").iterdir()))


def use(place: Place, client: FlaskClient, number: int, chance: random.Random) -> None:
    """One request: mostly a page, every sixth a save."""
    if number % 6 == 0:
        place.record.write(ONE_SCOOP, token=f"level-{number:06}")
        return
    answer = client.get(place.url(chance.choice(PAGES)), buffered=True)
    assert answer.status_code in {200, 404}


@needs_proc
def test_many_requests_leave_nothing_behind(place: Place) -> None:
    client, chance = unchecked(place.adult()), random.Random(20270208)
    database = place.record.database.engine.url.database
    assert database is not None
    log, longest = Path(f"{database}-wal"), 0
    half = REQUESTS // 2
    for number in range(half):
        use(place, client, number, chance)
    memory, files = resident_pages(), open_files()
    for number in range(half, REQUESTS):
        use(place, client, number, chance)
        longest = max(longest, log.stat().st_size)
    grown = resident_pages() / memory
    _LOG.info("memory %.3f of that half-way, %s files, log %s bytes", grown, files, longest)
    assert open_files() <= files
    assert longest < MOST_LOG_BYTES
    assert grown <= SLACK
