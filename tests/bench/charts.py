"""How long a year of a logger takes to draw, beside what matplotlib alone needs.

Run ``python -m tests.bench.charts``. 175,000 readings are thinned, drawn as the pages draw them,
and their robust slope is computed; the floor is a plain matplotlib line through the thinned
readings, saved as SVG in the same run. The ratio wanted is below 1.3. Then the whole way of a
page's chart, from the record to picture, words and table, over each span that the pages offer: five
years of readings every 15 minutes, beside a bare figure of 90 points. Nothing is asserted.
"""

import io
import statistics
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from functools import partial
from pathlib import Path

import numpy as np
from sqlalchemy.orm import Session

from app.charts import describe, readings, style, trend
from app.charts.frame import frame_for
from app.charts.readings import Readings
from app.charts.reduce import FloatArray, keep
from app.domain.logger_file import ColumnChoice, read_logger
from app.domain.quantities import Quantity
from app.domain.series import Series
from app.science.series import robust_slope
from app.services import trends
from app.services.exchange import loggers
from tests.charts.situations import logger
from tests.record import MONDAY, Record, new_record

COUNT = 175_000
STEP = timedelta(minutes=15)
YEARS = timedelta(days=5 * 365)
SPANS = (7, 30, 90, 365, None)
POINTS_OF_THE_FLOOR = 90
ROUNDS = 9
WANTED = 1.3


def median_ms(call: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Median processor time of a call, in milliseconds."""
    taken = []
    for _ in range(rounds):
        start = time.thread_time()
        call()
        taken.append(time.thread_time() - start)
    return statistics.median(taken) * 1e3


def bare(x: FloatArray, y: FloatArray) -> str:
    """A line with its axes as matplotlib draws it by itself."""
    from matplotlib.figure import Figure  # noqa: PLC0415 - set up by the charts before

    figure = Figure(figsize=(style.WIDTH / 72, 5.0), dpi=72)
    figure.add_axes((0.08, 0.1, 0.9, 0.85)).plot(x, y)
    written = io.StringIO()
    figure.savefig(written, format="svg")
    return written.getvalue()


def thinned(series: Series, meters: Readings, x: FloatArray) -> Series:
    """The series with only the readings that draw the same picture."""
    kept = keep(x, meters.low, meters.high)
    return replace(series, points=tuple(meters.points[i] for i in kept))


def write_years(record: Record) -> int:
    """Take in loggers' files of five years, a temperature every 15 minutes; returns how many."""
    times = [MONDAY - n * STEP for n in range(YEARS // STEP)][::-1]
    said = ColumnChoice(unit="°C", zone="UTC")
    added = 0
    for year in range(0, len(times), COUNT // 5):
        lines = [
            f"{at:%Y-%m-%d %H:%M},{24.0 + n % 7 / 10:.1f}"
            for n, at in enumerate(times[year : year + COUNT // 5])
        ]
        preview = read_logger("\n".join(["Time,Temp", *lines]), said, now=MONDAY)
        with record.database.writing() as session:
            added += loggers.import_logger(
                session, record.tank_id, preview, file_name="logger.csv", now=MONDAY
            ).added
    return added


def page_chart(session: Session, record: Record, days: int | None) -> None:
    """All that a page needs of a chart, as `trends.chart` makes it where nothing was kept."""
    shown = trends.series(session, record.tank_id, Quantity.TEMPERATURE, days, now=MONDAY)
    trend.draw(shown, "chart-bench", describe.describe(shown))


def interleaved(floor: Callable[[], object], subject: Callable[[], object]) -> tuple[float, float]:
    """Medians of both in milliseconds, taken in turns: what slows one slows the other."""
    pairs = [(median_ms(floor, 1), median_ms(subject, 1)) for _ in range(2 * ROUNDS)]
    return statistics.median(a for a, _ in pairs), statistics.median(b for _, b in pairs)


def from_the_record() -> None:
    """Print the whole way of a chart from the record over each span, beside its floor."""
    x = np.linspace(0.0, 600.0, POINTS_OF_THE_FLOOR)
    y = 24.0 + x % 7 / 10
    with tempfile.TemporaryDirectory() as folder:
        record = new_record(Path(folder))
        print(f"{write_years(record):,} readings of five years; floor, a bare figure of 90 points")  # noqa: T201
        with record.database.reading() as session:
            for days in SPANS:
                floor, taken = interleaved(
                    lambda: bare(x, y), partial(page_chart, session, record, days)
                )
                print(  # noqa: T201
                    f"{f'{days} days' if days else 'all':10} {taken:8.1f} ms {taken / floor:6.2f} "
                    f"of {floor:.1f} ms"
                )
        record.database.close()


def main() -> None:
    """Print each stage, and the whole as a ratio to the floor."""
    style.warm_up()
    from_the_record()
    series = logger(spike_at=5000, count=COUNT)
    meters, cards = readings.columns(series)
    x = frame_for(series, (meters, cards), 0).across(meters.seconds)
    kept = keep(x, meters.low, meters.high)
    few = thinned(series, meters, x)
    words = describe.describe(few)

    def whole() -> None:
        trend.draw(thinned(series, meters, x), "chart-bench", words)
        robust_slope(meters.seconds, meters.low)

    floor = median_ms(lambda: bare(x[kept], meters.low[kept]))
    stages = {
        "thin": median_ms(lambda: keep(x, meters.low, meters.high)),
        "robust slope": median_ms(lambda: robust_slope(meters.seconds, meters.low)),
        "draw the thinned readings": median_ms(lambda: trend.draw(few, "chart-bench", words)),
        "all three": median_ms(whole),
        "draw from every single record": median_ms(
            lambda: trend.draw(series, "chart-bench", words), 3
        ),
    }
    print(f"{COUNT:,} readings, {kept.size:,} drawn; floor, matplotlib alone: {floor:.1f} ms")  # noqa: T201
    for stage, taken in stages.items():
        print(f"{stage:32} {taken:8.1f} ms {taken / floor:7.2f} of the floor")  # noqa: T201
    print(f"wanted for all three: below {WANTED}")  # noqa: T201


if __name__ == "__main__":
    main()
