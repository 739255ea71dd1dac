"""Every question of the lesson maker is answered once more by pandas and numpy, over random months.

The second answer is worked out of the printed table alone, by other functions than the first.
"""

from dataclasses import replace
from datetime import timedelta
from itertools import pairwise

import numpy as np
import pandas as pd
import pytest

from app.domain.features import Change, FeatureKind, Row
from app.domain.quantities import FAHRENHEIT, Quantity
from app.services.lessons.day_questions import gap_questions, hole_questions
from app.services.lessons.level_questions import (
    settle_questions,
    step_questions,
    trend_questions,
)
from app.services.lessons.model import Level, Question
from app.services.lessons.number_questions import outlier_questions, reader_questions
from tests.rules.readability import grade
from tests.services.lessons.histories import card_rows, exported, found_in, meter_rows

SEEDS = range(15)


def answers(questions: tuple[Question, ...]) -> list[float]:
    """All numbers of the answers, easy first."""
    assert [q.level for q in questions] == list(Level)
    for question in questions:
        assert question.answer
        assert grade(question.text) <= 6.0, question.text
    return [value for question in questions for value in question.values]


def chance_of(seed: int) -> tuple[np.random.Generator, list[Row]]:
    chance = np.random.default_rng(seed)
    return chance, meter_rows(chance, int(chance.integers(7, 20)))


def days(frame: pd.DataFrame, first: int, last: int) -> int:
    return int((frame["day"].iloc[last] - frame["day"].iloc[first]).days)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_gap(seed: int) -> None:
    chance, rows = chance_of(seed)
    place = int(chance.integers(0, len(rows) - 1))
    found = found_in(FeatureKind.GAP, rows, (place,))
    frame = exported(found)
    span = pd.date_range(frame["day"].iloc[0], frame["day"].iloc[-1])
    assert answers(gap_questions(found)) == pytest.approx([
        days(frame, place, place + 1) - 1,
        100 * span.isin(frame["day"]).mean(),
        frame["value"].iloc[[place, place + 1]].mean(),
    ])  # fmt: skip


@pytest.mark.parametrize("seed", SEEDS)
def test_holes(seed: int) -> None:
    chance, rows = chance_of(seed)
    places = tuple(sorted(int(p) for p in chance.choice(len(rows) - 1, size=3, replace=False)))
    found = found_in(FeatureKind.HOLES, rows, places)
    frame = exported(found)
    apart = frame["value"].diff().abs().iloc[[p + 1 for p in places]]
    hours = frame["at"].diff().dt.total_seconds().iloc[places[0] + 1] / 3600
    assert answers(hole_questions(found)) == pytest.approx([3, hours, apart.mean()])


@pytest.mark.parametrize("seed", SEEDS)
def test_a_reading_far_off(seed: int) -> None:
    chance, rows = chance_of(seed)
    place = int(chance.integers(0, len(rows)))
    rows[place] = replace(rows[place], value=round(rows[place].value + 9.0, 1))
    found = found_in(FeatureKind.OUTLIER, rows, (place,))
    values = exported(found)["value"]
    others, beside = values.drop(place), place - 1 if place else 1
    assert answers(outlier_questions(found)) == pytest.approx([
        abs(values[place] - values[beside]),
        values.mean(), others.mean(), values.median(), others.median(),
    ])  # fmt: skip


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("card", [True, False])
def test_several_readers(seed: int, card: bool) -> None:
    chance = np.random.default_rng(seed)
    row = card_rows(chance, 1)[0] if card else meter_rows(chance, 1)[0]
    pool = [5.0, 10.0, 20.0] if card else [24.1, 24.2, 24.3, 24.4]
    seen = tuple(sorted(float(v) for v in chance.choice(pool, size=int(chance.integers(3, 6)))))
    quantity = Quantity.NITRATE if card else Quantity.TEMPERATURE
    found = found_in(FeatureKind.READERS, [replace(row, seen=seen)], (0,), quantity=quantity)
    questions = reader_questions(found)
    printed = pd.Series(
        [float(v) for v in questions[0].text.split(": ")[1].split(". ")[0].split(", ")]
    )
    # of an even number of colors the higher middle one; of numbers the median
    middle = printed.quantile(0.5, interpolation="higher" if card else "midpoint")
    assert answers(questions) == pytest.approx([
        *printed.mode(), middle, np.ptp(printed.to_numpy()), printed.mean(),
    ])  # fmt: skip


@pytest.mark.parametrize("seed", SEEDS)
def test_a_step(seed: int) -> None:
    chance, rows = chance_of(seed)
    place = int(chance.integers(3, len(rows) - 3))
    rows = [
        replace(r, value=round(r.value + (2.0 if i >= place else 0.0), 1))
        for i, r in enumerate(rows)
    ]
    found = found_in(FeatureKind.STEP, rows, (place,))
    values = exported(found)["value"].to_numpy()
    old, new = values[:place].mean(), values[place:].mean()
    assert answers(step_questions(found)) == pytest.approx([
        abs(np.diff(values)[place - 1]), old, new,
        abs(new - old), 100 * abs(new - old) / np.ptp(values),
    ])  # fmt: skip


@pytest.mark.parametrize("seed", SEEDS)
def test_a_trend_of_a_meter(seed: int) -> None:
    _, rows = chance_of(seed)
    found = found_in(FeatureKind.TREND, rows, (), unit=FAHRENHEIT if seed % 2 else None)
    frame = exported(found)
    values = frame["value"]
    week = (values.iloc[-1] - values.iloc[0]) * 7 / days(frame, 0, -1)
    assert answers(trend_questions(found)) == pytest.approx([
        values.max(), values.min(), values.max() - values.min(), week, values.iloc[-1] + week,
    ])  # fmt: skip


@pytest.mark.parametrize("seed", SEEDS)
def test_a_trend_of_colors(seed: int) -> None:
    """The last answer says that no number fits all bars: the highest low end is above."""
    chance = np.random.default_rng(seed)
    rows = [
        replace(row, low=low, value=color, high=high)
        for row, (low, color, high) in zip(
            card_rows(chance, 6),
            [(0.0, 5.0, 10.0)] * 3 + [(20.0, 40.0, 80.0)] * 3,
            strict=True,
        )
    ]
    found = found_in(FeatureKind.TREND, rows, (), quantity=Quantity.NITRATE)
    *_, least, most = answers(trend_questions(found))
    low, high = (np.array([getattr(r, end) for r in rows]) for end in ("low", "high"))
    assert (least, most) == (low.max(), high.min())
    assert least > most


@pytest.mark.parametrize("seed", SEEDS)
def test_where_it_settles(seed: int) -> None:
    """Run on for two hundred weeks, the balance comes to the answer."""
    chance = np.random.default_rng(seed)
    rows = [
        replace(row, at=rows_at, day=rows_at.date(), value=float(chance.integers(30, 60)))
        for row, rows_at in zip(
            meter_rows(chance, 4),
            [meter_rows(chance, 1)[0].at + timedelta(days=7 * n) for n in range(4)],
            strict=True,
        )
    ]
    rows.sort(key=lambda r: r.at)
    share, tap = float(chance.integers(10, 50)) / 100, float(chance.integers(0, 20))
    changes = [Change(a.at + (b.at - a.at) / 2, share) for a, b in pairwise(rows)]
    found = found_in(
        FeatureKind.SETTLES, rows, (0, 1, 2), quantity=Quantity.NITRATE, tap=tap, changes=changes
    )
    values = exported(found)["value"].to_numpy()
    left = (1 - share) * values[:-1] + share * tap
    added = values[1:] - left
    water = values[0]
    for _ in range(200):
        water = (1 - share) * water + share * tap + added.mean()
    assert answers(settle_questions(found)) == pytest.approx([
        left[0], added[0], added.mean(), water, (1 - share) * water + share * tap,
    ])  # fmt: skip


def test_a_sum_shows_the_numbers_that_lead_to_its_answer() -> None:
    """The printed sum, put into Python, gives the printed answer."""
    _, rows = chance_of(3)
    found = found_in(FeatureKind.TREND, rows, ())
    for question in (
        *trend_questions(found),
        *outlier_questions(replace(found, feature=replace(found.feature, places=(2,)))),
    ):
        for each in question.sums:
            if not each.text.endswith("=") or "…" in each.text or "in order" in each.text:
                continue
            text = each.text.rpartition(": ")[2].rstrip("= ")
            text = text.replace("−", "-").replace("×", "*").replace("÷", "/")
            printed = float(each.answer.partition("\u00a0")[0].replace("−", "-"))
            assert eval(text) == pytest.approx(printed, abs=0.0501), each
