"""How long a year of a logger takes to draw, beside what matplotlib alone needs.

Run ``python -m tests.bench.charts``. 175,000 readings are thinned, drawn as the pages draw them,
and their robust slope is computed; the floor is a plain matplotlib line through the thinned
readings, saved as SVG in the same run. The ratio wanted is below 1.3. Nothing is asserted.
"""

import io
import statistics
import time
from collections.abc import Callable
from dataclasses import replace

from app.charts import describe, readings, style, trend
from app.charts.frame import frame_for
from app.charts.readings import Readings
from app.charts.reduce import FloatArray, keep
from app.domain.series import Series
from app.science.series import robust_slope
from tests.charts.situations import logger

COUNT = 175_000
ROUNDS = 9
WANTED = 1.3


def median_ms(call: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Median time of a call, in milliseconds."""
    taken = []
    for _ in range(rounds):
        start = time.perf_counter()
        call()
        taken.append(time.perf_counter() - start)
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


def main() -> None:
    """Print each stage, and the whole as a ratio to the floor."""
    style.warm_up()
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
