"""How the benchmark measures: side by side in one run, processor time, medians of rounds."""

import math
import statistics
import time
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from typing import Any

Call = Callable[[], object]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One line of the table: what was measured, against which floor, and the bar it has to hold.

    `value` is a ratio, or a plain number where `unit` names one; None was not measured, and
    `note` says why. What is `at_least` has to reach the bar, all else to stay below it.
    """

    name: str
    value: float | None
    bar: float
    unit: str = "x"
    note: str = ""
    at_least: bool = False

    @property
    def holds(self) -> bool | None:
        """Whether it holds; None where nothing was measured."""
        if self.value is None or math.isnan(self.value):
            return None
        return self.value >= self.bar if self.at_least else self.value <= self.bar

    def as_json(self) -> dict[str, Any]:
        """What the JSON file keeps of it."""
        return {**asdict(self), "holds": self.holds}


def median_s(call: Call, times: int, *, before: Call | None = None) -> float:
    """The median processor time of a call in this thread, in seconds, without that `before` it."""
    taken = []
    for _ in range(times):
        if before is not None:
            before()
        begun = time.thread_time()
        call()
        taken.append(time.thread_time() - begun)
    return statistics.median(taken)


def beside(
    floor: Call, subject: Call, *, rounds: int, times: int = 5, before: Call | None = None
) -> float:
    """How many times its floor a subject costs: floor, subject, floor, subject; the median.

    What has to come `before` the subject is not counted.
    """
    floor()
    median_s(subject, 1, before=before)
    pairs = [
        (median_s(floor, times), median_s(subject, times, before=before)) for _ in range(rounds)
    ]
    return statistics.median(b for _, b in pairs) / statistics.median(a for a, _ in pairs)


def exponent(sizes: Sequence[float], taken: Sequence[float]) -> float:
    """The slope of log(time) over log(size), by least squares: 0 is flat, 1 linear."""
    x = [math.log(size) for size in sizes]
    y = [math.log(value) for value in taken]
    mean_x, mean_y = statistics.mean(x), statistics.mean(y)
    over = sum((a - mean_x) * (b - mean_y) for a, b in zip(x, y, strict=True))
    return over / sum((a - mean_x) ** 2 for a in x)


HEAD = f"{'what':58} {'measured':>10} {'bar':>8}   holds"


def line(bar: Bar) -> str:
    """A bar as a line under `HEAD`."""
    value = "-" if bar.value is None else f"{bar.value:.2f} {bar.unit}"
    word = {True: "yes", False: "NO", None: "not measured"}[bar.holds]
    sign = ">=" if bar.at_least else "<="
    note = f"  ({bar.note})" if bar.note else ""
    return f"{bar.name:58} {value:>10} {sign}{bar.bar:>6g}   {word}{note}"
