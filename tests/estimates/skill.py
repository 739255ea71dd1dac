"""How good the looks ahead are on simulated tanks whose truth is known.

Run ``python -m tests.estimates.skill``: it lives all tanks anew from one seed, prints the table and
writes it to ``skill.md`` beside this file. What is simulated is invented, so that it tells how the
arithmetic does where its picture of a tank is right, and nothing about tanks at home; those are
scored one by one where they are kept.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from statistics import mean, median

import numpy as np

from app.domain.quantities import Quantity
from app.estimates.model import Triple
from app.estimates.nitrate import pace_of
from app.estimates.nitrate_forecast import expected_at
from app.estimates.twin import Fit, compared
from tests.estimates.tanks import DAY, START, live, random_truth, record_at
from tests.rules.checks import KNOWLEDGE

FILE = Path(__file__).with_name("skill.md")
SEED = 2027
TANKS = 500
DOUBLED = 200
YEARS = 60
"""Tanks that look ahead, tanks that get twice the food, tank-years in which nothing happens."""

KNOWN_DAYS = 56
"""Days that are written before anything is asked: eight weeks, nine tests."""
AHEAD_DAYS = 14
FOUND_DAYS = 21
LATEST_DAYS = 42
NOON = timedelta(hours=4)


@dataclass(frozen=True, slots=True)
class Looked:
    """One tank's look ahead: the range, the truth, the last test, and what plants take."""

    low: float
    best: float
    high: float
    truth: float
    last: float
    taken_up: Triple | None
    really_taken_up: float

    @property
    def holds(self) -> bool:
        """Whether the truth lay in the range."""
        return self.low <= self.truth <= self.high


@dataclass(frozen=True, slots=True)
class Ahead:
    """How the looks ahead of many tanks did, shares from 0 to 1 and mg/L as nitrate."""

    looked: tuple[Looked, ...]

    @property
    def covered(self) -> float:
        """Share of tanks whose truth lay in the range of nine in ten."""
        return mean(each.holds for each in self.looked)

    @property
    def width(self) -> float:
        """Mean width of that range."""
        return mean(each.high - each.low for each in self.looked)

    @property
    def error(self) -> float:
        """Mean distance of the best guess from the truth."""
        return mean(abs(each.best - each.truth) for each in self.looked)

    @property
    def error_of_last(self) -> float:
        """Mean distance of "the same as last time" from the truth."""
        return mean(abs(each.last - each.truth) for each in self.looked)

    @property
    def recovered(self) -> float:
        """Of the tanks in which it is told what plants take, the share whose range holds it."""
        told = [(each.taken_up, each.really_taken_up) for each in self.looked if each.taken_up]
        return mean(low <= really <= high for (low, _, high), really in told)

    @property
    def told(self) -> float:
        """Share of tanks in which it is told what plants take."""
        return mean(each.taken_up is not None for each in self.looked)


@dataclass(frozen=True, slots=True)
class Found:
    """Days from the first double meal until a test did not fit, None where none did in time."""

    days: tuple[int | None, ...]

    def within(self, days: int) -> float:
        """Share of tanks found within so many days."""
        return mean(each is not None and each <= days for each in self.days)


@dataclass(frozen=True, slots=True)
class Alarms:
    """Tests a year that did not fit though nothing had happened: too high, and too low."""

    more: float
    less: float

    @property
    def all(self) -> float:
        """Both kinds."""
        return self.more + self.less


def random_of(tank: int, part: str) -> np.random.Generator:
    """Chance of a tank of its own, so that fewer tanks are the first of the many."""
    return np.random.default_rng([SEED, len(part), tank])


def look_ahead(tanks: int, *, meter: bool) -> Ahead:
    """Look nitrate two weeks ahead after eight weeks of a record."""
    return Ahead(tuple(_looked(tank, meter=meter) for tank in range(tanks)))


def find_doubled(tanks: int, *, meter: bool) -> Found:
    """Give twice the food from day 57 on, and see at which weekly test that is said."""
    return Found(tuple(_days_until_found(tank, meter=meter) for tank in range(tanks)))


def count_alarms(years: int, *, meter: bool) -> Alarms:
    """Let tanks live as they did, each for one more year, and count what was said not to fit."""
    fits = [
        fit
        for tank in range(years)
        for _, fit in _fits(tank, "alarm", KNOWN_DAYS + 365, meter=meter, extra_from=None)
    ]
    return Alarms(fits.count(Fit.MORE) / years, fits.count(Fit.LESS) / years)


def _looked(tank: int, *, meter: bool) -> Looked:
    random = random_of(tank, "ahead")
    truth = replace(random_truth(random), meter=meter)
    life = live(truth, KNOWN_DAYS + AHEAD_DAYS + 1, random)
    record = record_at(life, truth, _noon(KNOWN_DAYS))
    moment = _noon(KNOWN_DAYS + AHEAD_DAYS)
    pace = pace_of(record, KNOWLEDGE)
    assert pace is not None
    ahead = expected_at(moment, pace, record)
    return Looked(
        low=ahead.low, best=ahead.best, high=ahead.high,
        truth=life.nitrate[moment], last=record.of(Quantity.NITRATE)[-1].best,
        taken_up=pace.taken_up(), really_taken_up=1.0 - truth.share_kept,
    )  # fmt: skip


def _days_until_found(tank: int, *, meter: bool) -> int | None:
    begin = KNOWN_DAYS + 1
    fits = _fits(tank, "twin", begin + LATEST_DAYS + 1, meter=meter, extra_from=begin)
    return next((day - begin for day, fit in fits if fit is Fit.MORE), None)


def _fits(
    tank: int, part: str, days: int, *, meter: bool, extra_from: int | None
) -> Iterator[tuple[int, Fit]]:
    """The day of each weekly test after the first eight weeks, and how it fits."""
    random = random_of(tank, part)
    truth = replace(random_truth(random), meter=meter, extra_from=extra_from)
    life = live(truth, days, random)
    for test in life.tests:
        day = (test.at - START) // DAY
        if day > KNOWN_DAYS:
            found = compared(Quantity.NITRATE, record_at(life, truth, test.at), KNOWLEDGE)
            assert found is not None
            yield day, found.fit


def _noon(day: int) -> datetime:
    return START + DAY * day + NOON


Row = tuple[str, str, str]


def ahead_rows(cards: Ahead, meters: Ahead) -> list[Row]:
    """What the table says of the looks ahead."""
    both = (cards, meters)
    return [
        _row(
            "Nitrate in 14 days: the 90 % range holds the truth", [percent(a.covered) for a in both]
        ),
        _row("Mean width of that range", [mg(a.width) for a in both]),
        _row("Mean error of the best guess", [mg(a.error) for a in both]),
        _row("Mean error of “the same as last time”", [mg(a.error_of_last) for a in both]),
        _row("What plants take of the food: told at all", [percent(a.told) for a in both]),
        _row(
            "What plants take of the food: in its own range", [percent(a.recovered) for a in both]
        ),
    ]


def found_rows(cards: Found, meters: Found) -> list[Row]:
    """What the table says of twice the food."""
    both = (cards, meters)
    return [
        _row(
            f"Twice the food: said within {days} days",
            [percent(found.within(days)) for found in both],
        )
        for days in (7, 14, FOUND_DAYS, 28, LATEST_DAYS)
    ] + [
        _row(
            f"Days until it is said, the middle of those found within {LATEST_DAYS}",
            [_middle(found.days) for found in both],
        )
    ]


def alarm_rows(cards: Alarms, meters: Alarms) -> list[Row]:
    """What the table says of tanks in which nothing happened."""
    both = (cards, meters)
    return [
        _row("False alarms a year: more than expected", [f"{a.more:.2f}" for a in both]),
        _row("False alarms a year: less than expected", [f"{a.less:.2f}" for a in both]),
    ]


def head() -> str:
    """What stands above the table: what was simulated, and how to do it again."""
    return (
        "# How the looks ahead do on simulated tanks\n\n"
        "Written by `python -m tests.estimates.skill`; never typed by hand.\n\n"
        f"Seed {SEED}. Nitrate ahead: {TANKS} tanks, asked after {KNOWN_DAYS} days with a test a "
        f"week. Twice the food from day {KNOWN_DAYS + 1} on: {DOUBLED} tanks. False alarms: "
        f"{YEARS} tanks for a year each. Each number once with a color card (0, 5, 10, 20, 40, 80 "
        "mg/L, read 10 % off) and once with tests that read within 10 %. The tanks are invented: "
        "a scoop that is 8 % off for good and 20 % from meal to meal, buckets 5 % off, plants that "
        "take 0 to 65 %.\n"
    )


def text(rows: Sequence[Row]) -> str:
    """The whole file."""
    lines = [("", "color card", "within 10 %"), ("---", "---:", "---:"), *rows]
    table = "\n".join(f"| {' | '.join(line)} |" for line in lines)
    return f"{head()}\n{table}\n"


def all_rows() -> list[Row]:
    """Every row, with all tanks: takes about half a minute."""
    cards, meters = ({"meter": meter} for meter in (False, True))
    return [
        *ahead_rows(look_ahead(TANKS, **cards), look_ahead(TANKS, **meters)),
        *found_rows(find_doubled(DOUBLED, **cards), find_doubled(DOUBLED, **meters)),
        *alarm_rows(count_alarms(YEARS, **cards), count_alarms(YEARS, **meters)),
    ]


def percent(share: float) -> str:
    """A share in whole percent with one decimal."""
    return f"{100.0 * share:.1f} %"


def mg(value: float) -> str:
    """A concentration to one decimal."""
    return f"{value:.1f} mg/L"


def _middle(days: Sequence[int | None]) -> str:
    found = [each for each in days if each is not None]
    return f"{median(found):.0f}" if found else "none"


def _row(what: str, values: Sequence[str]) -> Row:
    cards, meters = values
    return what, cards, meters


def main() -> None:
    """Live all tanks, print the table, and write it."""
    written = text(all_rows())
    FILE.write_text(written, "utf-8")
    print(written)  # noqa: T201


if __name__ == "__main__":
    main()
