"""Every bar of performance as a ratio to its floor, measured side by side in one run.

Run ``python -m tests.bench`` (minutes), with ``--json FILE`` to keep figures, or with ``--short``
for small sizes, which only shows that it runs. Processor time counts, medians of interleaved
rounds; a busy machine spreads both sides alike. Nothing is asserted. U is a trivial page of the
same application.
"""

import argparse
import json
import tempfile
from collections.abc import Iterator
from pathlib import Path

from tests.bench import durable, files, pages, pictures, processes
from tests.bench.measure import HEAD, Bar, line
from tests.bench.served import served
from tests.bench.years import filled


def bars(folder: Path, *, short: bool) -> Iterator[Bar]:
    """All bars, one after the other."""
    rounds = 1 if short else 7
    database = filled(folder / "one", tank_count=1, years=0.1 if short else 5)
    browser = served(database, folder / "one")
    yield from pages.of_saves(browser, rounds)
    yield from pages.of_one_tank(browser, rounds)
    database.close()
    sizes = (1, 3) if short else (1, 10, 30, 100, 300)
    yield from pages.of_boards(folder, 0.1 if short else 5, sizes, rounds)
    spans = (0.1, 0.2) if short else (0.5, 1, 2, 5, 10)
    yield from pages.of_years(folder, 1 if short else 30, spans, rounds)
    yield from pictures.of_charts(folder / "chart", 30 if short else 1826, rounds)
    yield from files.of_imports(folder, 500 if short else 100_000)
    yield from durable.of_durable_saves(folder / "durable", rounds)
    yield from durable.of_backup(folder / f"board-{sizes[-1]}")
    yield from processes.of_start(folder / "start", 1 if short else 5)
    if not short:
        yield from processes.of_load(folder / "load", 10.0)


def main() -> None:
    """Measure, print the table, and keep the figures where a file was named."""
    asked = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    asked.add_argument("--short", action="store_true", help="small sizes: shows that it runs")
    asked.add_argument("--json", type=Path, help="keep the figures in this file")
    given = asked.parse_args()
    found = []
    print(HEAD)  # noqa: T201
    with tempfile.TemporaryDirectory() as name:
        for bar in bars(Path(name), short=given.short):
            found.append(bar)
            print(line(bar), flush=True)  # noqa: T201
    if given.json:
        given.json.write_text(json.dumps([bar.as_json() for bar in found], indent=1), "utf-8")


if __name__ == "__main__":
    main()
