"""The guided lessons on a class's record, each answer once more by numpy, pandas or by hand."""

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, pairwise
from statistics import fmean

import numpy as np
import pytest
from scipy import integrate

from app.domain.drafts import NewTest
from app.domain.quantities import Quantity
from app.knowledge.load import load
from app.services.lessons.guided_chance import with_shuffled
from app.services.lessons.model import Filled
from app.services.lessons.registry import GUIDED, MONTH
from app.services.school import tiles
from tests.record import Record, new_record, reading
from tests.rules.readability import grade
from tests.services.lessons.school import (
    JANUARY,
    NITRATE,
    filled,
    live,
    looked,
    lose_one_in_secret,
)
from tests.services.test_predictions import guess, opened, write_nitrate

KEYS = [each.key for each in GUIDED]


@pytest.fixture(scope="module")
def school(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Record]:
    """Lived once for all tests that only read."""
    made = new_record(tmp_path_factory.mktemp("school"))
    live(made)
    yield made
    made.database.close()


@pytest.fixture
def busy(record: Record) -> Record:
    """The same, to be written on."""
    live(record)
    return record


def answers(found: Filled) -> list[float]:
    assert not found.lacking, found.lacking
    return [value for question in found.questions for value in question.values]


def test_there_are_fourteen_with_their_texts() -> None:
    assert list(load().lessons) == [MONTH, *KEYS]
    assert len(KEYS) == 14


@pytest.mark.parametrize("key", [MONTH, *KEYS])
def test_pupils_read_a_lesson_in_grade_six_or_below(key: str) -> None:
    lesson = load().lessons[key]
    for text in (lesson.question, lesson.expect, *(step.text for step in lesson.steps)):
        assert grade(text) <= 6.0, f"{grade(text):.1f}: {text}"
    assert sum(step.minutes for step in lesson.steps) == 40


def test_an_empty_record_says_what_fills_each_lesson(record: Record) -> None:
    """Only the measures of the tank are known, and a fair test needs nothing."""
    ready = {key for key in KEYS if not filled(record, key).lacking}
    assert ready == {"volume", "fair"}
    for key in set(KEYS) - ready:
        for one in filled(record, key).lacking:
            assert one.words.endswith(".")
            assert one.label


def test_no_nickname_stands_in_any_lesson_and_no_loss_that_nobody_was_told(
    busy: Record,
) -> None:
    lose_one_in_secret(busy)
    for key in KEYS:
        said = str(filled(busy, key)).lower()
        for word in ("otter", "finch", "moss", "died", "dead fish"):
            assert word not in said, key


@pytest.mark.parametrize("key", KEYS)
def test_questions_for_pupils_are_as_easy_to_read(school: Record, key: str) -> None:
    for question in filled(school, key).questions:
        assert grade(question.text) <= 6.0, f"{grade(question.text):.1f}: {question.text}"


def test_volume(school: Record) -> None:
    """78 × 34 cm, 36 cm of water, 5 cm of sand with 40 of 100 pores, 2.5 L of stones."""
    gross, solids = 78 * 34 * 36 / 1000, 78 * 34 * 5 / 1000 * 0.6
    gone = solids + 2.5
    assert answers(filled(school, "volume")) == pytest.approx(
        [gross, gone, gross - gone, 100 * gone / gross]
    )


def test_scoops(school: Record) -> None:
    """20 scoops weighed 2.4 g, then 10 scoops 1.5 g: a quarter more."""
    assert answers(filled(school, "scoop")) == pytest.approx([0.03, 0.135, 25.0])
    assert "25 of 100" in filled(school, "scoop").surprise


def test_readers(record: Record) -> None:
    seen = [
        reading(Quantity.NITRATE, value, low=value / 2, high=value * 2, reader_id=who)
        for value, who in ((10.0, record.otter), (20.0, record.finch), (20.0, None))
    ]
    record.write(NewTest(), *seen)
    mode, middle, span, mean = answers(filled(record, "readers"))
    assert (mode, middle, span) == (20.0, 20.0, 10.0)
    assert mean == pytest.approx(np.mean([10, 20, 20]))


def test_a_week_as_a_line(school: Record) -> None:
    """The last full week, 1 to 8 February, with the weekend between Friday 9 am and Monday."""
    found = filled(school, "monday")
    values = np.array([float(row[2]) for row in found.tables[0].rows])
    *ends, mean, hours = answers(found)
    assert ends == pytest.approx([values.max(), values.min(), np.ptp(values)])
    assert mean == pytest.approx(values.mean())
    assert hours == 24.0
    assert "<text" not in found.svg + found.told_svg
    assert found.svg != found.told_svg


def test_food(school: Record) -> None:
    """0.092 of the protein becomes nitrogen, × 4.427 nitrate; the tests tell what is gone of it."""
    found = filled(school, "food")
    day, measured = (float(found.facts[i][1].partition("\u00a0")[0]) for i in (0, 3))
    grams, made, taken = answers(found)
    # meals of 0.15 g on school days
    assert 0.15 * 4 / 7 < day < 0.15 * 6 / 7
    assert grams == pytest.approx(7 * day)
    assert made == pytest.approx(grams * 1000 * 0.45 * 0.092 * 4.427 / 85.016, rel=1e-3)
    assert taken == pytest.approx(100 * (1 - measured / made), abs=100 * 0.05 / made)


def test_big_or_small_changes(school: Record) -> None:
    """By counting: of the tank's water 60 in 100 stay, or 64, and the rest is tap water."""
    now = NITRATE[-1]
    big = 0.60 * now + 0.40 * 5
    small = 0.64 * now + 0.36 * 5
    assert answers(filled(school, "change")) == pytest.approx([big, small, small - big])


def test_where_nitrate_settles(school: Record) -> None:
    """Run on for a hundred weeks, the same balance comes to the answer."""
    found = filled(school, "settle")
    now = float(found.facts[0][1].split()[1].partition("\u00a0")[0])
    added = float(found.facts[1][1].partition("\u00a0")[0])
    course = [now]
    for _ in range(100):
        course.append(course[-1] - 0.25 * (course[-1] - 5) + added)
    first, fourth, before, after = answers(found)
    assert [first, fourth] == pytest.approx([course[1], course[4]], abs=0.02)
    assert [before, after] == pytest.approx([course[-1], course[-1] - added], abs=1e-6)


def test_cooling(school: Record) -> None:
    """The table follows a fall whose speed is the distance to the room, integrated by scipy."""
    found = filled(school, "cooling")
    hours, water = (np.array([float(row[i]) for row in found.tables[0].rows]) for i in (0, 1))
    per_hour = -math.log((water[1] - 16) / (water[0] - 16)) / hours[1]
    solved = integrate.solve_ivp(
        lambda _, c: -per_hour * (c - 16), (0, hours[-1]), [water[0]], t_eval=hours, rtol=1e-8
    )
    # the first two lines, rounded to a tenth, tell the speed only about so well
    assert water == pytest.approx(solved.y[0], abs=0.25)
    first, last, part, then, bigger = answers(found)
    assert [first, last] == pytest.approx([water[0] - water[1], water[-2] - water[-1]])
    assert first > last
    assert [part, then] == pytest.approx(
        [100 * (b - 16) / (a - 16) for a, b in pairwise(water[:3])]
    )
    assert bigger == water[1]


def test_breathing(school: Record) -> None:
    found = filled(school, "breathing")
    oxygen = [float(row[1]) for row in found.tables[0].rows]
    low, high, apart, left, ph = answers(found)
    assert [low, high, apart] == pytest.approx([min(oxygen), max(oxygen), np.ptp(oxygen)])
    assert left == pytest.approx(100 * min(oxygen) / max(oxygen))
    assert ph == pytest.approx(0.3)


def test_shuffled(school: Record) -> None:
    """One of the rows is real; all hold the same numbers; all deals were counted."""
    found = filled(school, "shuffled")
    rows = [tuple(float(cell) for cell in row[1:]) for row in found.tables[0].rows]
    assert {tuple(sorted(row)) for row in rows} == {tuple(sorted(rows[0]))}
    assert len(set(rows)) == 4
    half = len(rows[0]) // 2
    *apart, ways, chance = answers(found)
    assert apart == pytest.approx([abs(fmean(r[half:]) - fmean(r[:half])) for r in rows])
    real = rows["ABCD".index(found.surprise.split()[1])]
    piles = [
        abs(2 * sum(real[i] for i in pile) - sum(real)) / half
        for pile in combinations(range(len(real)), half)
    ]
    far = abs(fmean(real[half:]) - fmean(real[:half]))
    assert ways == len(piles) == math.comb(2 * half, half)
    assert chance == pytest.approx(100 * sum(p >= far - 1e-9 for p in piles) / len(piles))
    assert filled(school, "shuffled") == found


def test_shuffling_gives_the_same_rows_for_the_same_seed_only() -> None:
    numbers = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0]
    assert with_shuffled(numbers, "a") == with_shuffled(numbers, "a")
    assert with_shuffled(numbers, "a") != with_shuffled(numbers, "b")
    rows, place = with_shuffled([1.0, 1.0, 1.0, 1.0], "a")
    assert (rows, place) == (((1.0, 1.0, 1.0, 1.0),), 0)


def test_a_case_for_detectives(school: Record) -> None:
    """Cloudy water on 17 January: the filter was rinsed three days before it, among others."""
    found = filled(school, "detective")
    assert found.facts[0][1] == "Cloudy water"
    clues = [row[1] for row in found.tables[0].rows]
    assert "Filter rinsed" in clues
    kinds, hours, *calm = answers(found)
    assert kinds == len({row[2] for row in found.tables[0].rows})
    assert hours == 72.0
    assert len(calm) == kinds


def test_a_fresh_sign_is_care_and_no_lesson(school: Record) -> None:
    assert filled(replace(school, now=JANUARY.replace(day=20)), "detective").lacking


def test_a_year(school: Record) -> None:
    """200 days: five changes of 21.25 L, 25 meals of 0.15 g; 5 W all day and 12 W for 8 hours."""
    liters, grams, day, year = answers(filled(school, "year"))
    assert [liters, grams] == pytest.approx([5 * 21.25 * 365 / 200, 25 * 0.15 * 365 / 200])
    assert [day, year] == pytest.approx([(5 + 4) * 24 / 1000, (5 + 4) * 24 * 365 / 1000])


def test_guesses(record: Record) -> None:
    opened(record)
    with record.database.writing() as session:
        comet = tiles.add_helper(session, "Comet")
    for tile, value in ((record.otter, 10.0), (record.finch, 16.0), (comet, 30.0)):
        guess(record, tile, value)
    record.pass_time(hours=1)
    write_nitrate(record, 18.0)
    found = filled(record, "guesses")
    assert answers(found) == [20.0, 16.0, 2.0, 0.0, 0.0]
    assert "Comet" not in str(found)


def test_the_month_of_a_class_has_its_weekends_and_its_settle_point(school: Record) -> None:
    keys = [found.key for found in looked(school, 2027, 1).found]
    assert {"temperature-holes", "nitrate-settles"} <= set(keys)
    nothing = looked(school, 2026, 11)
    assert nothing.found == ()
    assert nothing.lacking[0] == "No reading stands in this month."


def test_a_calm_month_says_what_would_make_a_lesson(record: Record) -> None:
    record.write(NewTest(), reading(Quantity.PH, 7.0))
    said = looked(record, 2027, 2)
    assert said.found == ()
    assert said.lacking[0] == "Readings in this month: 1 of pH."
    assert any("6 readings" in each for each in said.lacking)
