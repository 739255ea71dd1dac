"""What a chart costs beside a bare figure of 90 points, over any span of a long record."""

import io
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import numpy as np

from app.charts import describe, style, trend
from app.domain.logger_file import ColumnChoice, read_logger
from app.domain.quantities import Quantity
from app.services import trends
from app.services.exchange import loggers
from app.storage.engine import Database
from tests.bench.charts import bare
from tests.bench.measure import Bar, beside
from tests.bench.served import served
from tests.bench.years import NOW, filled

STEP = timedelta(minutes=15)
_CHART = "/tank/1/charts/temperature?days=all"
# the same frame and the state that was kept, and nothing drawn
_PLAIN = "/tank/1/story"


def logged(folder: Path, days: int) -> Database:
    """A tank whose logger reads every 15 minutes for so many days."""
    database = filled(folder, tank_count=1, years=0.01)
    said = ColumnChoice(unit="°C", zone="UTC")
    for last in range(0, days, 30):
        lines = [
            f"{NOW - (30 * 96 - n) * STEP - timedelta(days=last):%Y-%m-%d %H:%M},"
            f"{24.0 + n % 7 / 10:.1f}"
            for n in range(30 * 96)
        ]
        preview = read_logger("\n".join(["Time,Temp", *lines]), said, now=NOW)
        with database.writing() as session:
            loggers.import_logger(session, 1, preview, file_name="logger.csv", now=NOW)
    return database


def of_charts(folder: Path, days: int, rounds: int) -> Iterator[Bar]:
    """A cold chart of spans up to all of it, its bytes, and a chart that has not changed."""
    style.warm_up()
    database = logged(folder, days)
    x = np.linspace(0.0, 600.0, 90)
    floor_svg = bare(x, 24.0 + x % 7 / 10)
    for span in (30, 365, None):
        drawn = io.StringIO()

        def cold(span: int | None = span, drawn: io.StringIO = drawn) -> None:
            with database.reading() as session:
                shown = trends.series(session, 1, Quantity.TEMPERATURE, span, now=NOW)
            drawn.seek(0)
            drawn.write(trend.draw(shown, "chart-bench", describe.describe(shown)))

        ratio = beside(lambda: bare(x, 24.0 + x % 7 / 10), cold, rounds=rounds, times=3)
        words = f"{span} days" if span else f"all {days} days"
        yield Bar(name=f"chart cold, {words} of a 15-minute logger", value=ratio, bar=1.5)
        size = len(drawn.getvalue()) / len(floor_svg)
        yield Bar(name=f"chart bytes, {words}", value=size, bar=5)
    browser = served(database, folder)
    browser.get(_CHART)
    ratio = beside(lambda: browser.get(_PLAIN), lambda: browser.get(_CHART), rounds=rounds)
    yield Bar(name="chart page, unchanged", value=ratio, bar=2, note="floor: a page without one")
    database.close()
