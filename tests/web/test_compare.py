"""Two tanks or two stretches on one chart: what may be said of them, and what may not."""

import re
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from app.charts.beside import Beside, describe, draw, middle_half
from app.charts.readings import columns
from app.domain.drafts import NewTest
from app.domain.quantities import Quantity
from app.domain.series import Laid, Point, Series
from app.services import tanks
from tests.page_checker import CheckedClient
from tests.record import MONDAY, Record, reading
from tests.web.visits import seen, words_of

START = datetime(2027, 1, 4, 5, tzinfo=UTC)
CARD = (0.0, 5.0, 10.0, 20.0, 40.0, 80.0)


def stretch(points: Sequence[Point], start: datetime = START, days: int = 30) -> Series:
    return Series(
        quantity=Quantity.NITRATE, tank_name="Brook", unit="mg/L", decimals=0,
        zone="America/New_York", start=start, end=start + timedelta(days=days),
        points=tuple(points),
    )  # fmt: skip


def meters(*values: float, start: datetime = START) -> Series:
    return stretch([Point(start + timedelta(days=n), v) for n, v in enumerate(values)], start)


def card(*steps: float) -> Series:
    """Readings of a color card: each could be anything between its neighbors."""
    points = []
    for n, step in enumerate(steps):
        at = CARD.index(step)
        high = CARD[at + 1] if at + 1 < len(CARD) else None
        points.append(
            Point(
                START + timedelta(days=3 * n), step, CARD[max(at - 1, 0)], high,
                open_top=high is None,
            )
        )  # fmt: skip
    return stretch(points)


def both(first: Series, second: Series, laid: Laid = Laid.DATE) -> Beside:
    return Beside(first=first, second=second, first_name="Brook", second_name="Pond", laid=laid)


@pytest.mark.parametrize(
    ("first", "second", "finding"),
    [
        (meters(30, 31, 32, 33), meters(10, 11, 12, 13), "Brook lay higher than Pond"),
        (meters(10, 11, 12, 13), meters(30, 31, 32, 33), "Brook lay lower than Pond"),
        (meters(10, 20, 30, 40), meters(25, 26, 27, 28), "Can’t tell them apart"),
        # one color step apart may be no difference at all, two are one
        (card(10, 10, 10), card(20, 20, 20), "Can’t tell them apart"),
        (card(10, 10, 10), card(40, 40, 40), "Can’t tell them apart"),
        (card(5, 5, 5), card(40, 40, 40), "Brook lay lower than Pond"),
        (card(80, 80, 80), card(80, 80, 80), "Can’t tell them apart"),
        (meters(30, 31), meters(10, 11, 12), "Can’t tell yet: that needs 3 readings of each"),
        (stretch([]), meters(1, 2, 3), "Nobody measured this in Brook"),
    ],
)
def test_only_what_the_readings_allow_is_said(first: Series, second: Series, finding: str) -> None:
    assert describe(both(first, second)).finding.startswith(finding)


def test_the_middle_half_is_what_pandas_finds() -> None:
    generator = np.random.default_rng(11)
    for count in range(1, 30):
        values = generator.uniform(0, 80, count)
        found = middle_half(*columns(meters(*values)))
        frame = pd.Series(values)
        assert found == pytest.approx((frame.quantile(0.25), frame.quantile(0.75)))


@pytest.mark.parametrize("laid", list(Laid))
def test_the_picture_shows_both_in_other_patterns(laid: Laid) -> None:
    later = START + timedelta(days=200)
    pair = both(meters(10, 12, 14), meters(11, 13, 15, start=later), laid)
    svg = draw(pair, "beside", describe(pair))
    assert 'class="series-1"' in svg
    assert 'class="series-2"' in svg
    assert "stroke-dasharray" in svg
    assert ("day 0" in svg) is (laid is not Laid.DATE)
    # both begin at the left edge, whenever they were
    begins = [re.search(rf'class="series-{n}".*?d="M *(\d+)', svg, re.DOTALL) for n in (1, 2)]
    assert [found and found[1] for found in begins] == ["58", "58"]


@pytest.fixture
def two_tanks(record: Record, tmp_path: Path) -> Record:
    """Brook and a copy of it, both with five tests of nitrate."""
    with record.database.writing() as session:
        tanks.copy_setup(session, record.tank_id, "Pond")
    for week in range(5):
        value = 10.0 + week
        at = MONDAY - timedelta(days=7 * week)
        record.write(NewTest(), reading(Quantity.NITRATE, value), at=at)
    return record


def test_a_keeper_lays_a_month_over_the_month_before(
    adult: CheckedClient, two_tanks: Record
) -> None:
    assert "Two on one chart" in seen(adult, "/tank/1/charts/nitrate")
    page = seen(
        adult,
        "/tank/1/charts/compare?what=nitrate&other=1&days=30&laid=start"
        "&first_on=2027-01-18&second_on=2027-01-05",
    )
    assert "Brook from 18 January 2027" in page
    assert "Brook from 5 January 2027" in page
    assert "Can’t tell" in page


@pytest.mark.parametrize(
    ("query", "sentence"),
    [
        ("what=nitrate&other=1&days=30&laid=date&first_on=2027-01-18", "same days of the same"),
        ("what=nitrate&other=1&days=30&laid=start&first_on=2027-01-18", "where the second"),
        ("what=nitrate&other=2&days=30&laid=age&first_on=2027-01-18", "when Pond was started"),
        ("what=nitrate&other=99&days=30&laid=date&first_on=2027-01-18", "Choose a tank"),
        ("what=x&other=1&days=8&laid=y&first_on=2027-02-31", "Write the day as year-month-day"),
        ("what=nitrate&other=1&days=30&laid=date&first_on=", "Choose the first day"),
    ],
)
def test_what_cannot_be_compared_says_why(
    adult: CheckedClient, two_tanks: Record, query: str, sentence: str
) -> None:
    answer = adult.get(f"/tank/1/charts/compare?{query}")
    assert answer.status_code == 422
    assert sentence in words_of(answer.text)


def test_the_empty_page_proposes_another_tank(adult: CheckedClient, two_tanks: Record) -> None:
    page = adult.get("/tank/1/charts/compare").text
    assert '<option selected value="2">Pond</option>' in page
    assert "Nothing is drawn yet" not in page
