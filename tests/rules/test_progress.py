"""A growing filter that stands still, and a grown one that slips back."""

from datetime import date, timedelta

import pytest

from app.domain.maturing import Stage, StageReached
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Rinse, Sign, Treated
from app.rules.maturing import stage
from app.rules.model import Severity
from tests.rules.checks import KNOWLEDGE, found, severity, task
from tests.rules.test_maturing import NOW, YOUNG, ago, measured, young
from tests.situations import Thing, at, job, look, metered, reading, snapshot, tank, warm

STALL = "maturing.stall"
SLIP = "maturing.slipped-back"


def test_a_new_stage_is_a_card_for_three_days_and_no_task() -> None:
    def kept(days: int) -> object:
        return (StageReached(Stage.AMMONIA_UP, date(2027, 2, 12) - timedelta(days=days)),)

    card = found(young(stages=kept(2)), "maturing.stage")
    assert len(card) == 1
    assert card[0].severity is Severity.INFO
    assert task(young(stages=kept(2)), "maturing-stage") is None
    assert found(young(stages=kept(3)), "maturing.stage") == []
    assert found(young(), "maturing.stage") == []


@pytest.mark.parametrize(("newest", "shown"), [(2.0, 1), (3.0, 0)])
def test_the_card_counts_from_the_first_test_that_showed_it_and_not_from_the_last(
    newest: float, shown: int
) -> None:
    days = (newest + 6, newest + 4, newest + 2, newest, 0.0)
    tested = measured(days, (0.5,) * 5, (0.0,) * 5)
    assert len(found(young(*tested), "maturing.stage")) == shown


@pytest.mark.parametrize(
    ("days", "nitrite", "expected"),
    [
        ((14, 10, 5, 0), (2.0, 2.0, 2.0, 2.0), Severity.WATCH),
        ((13, 10, 5, 0), (2.0, 2.0, 2.0, 2.0), None),  # not yet 14 days
        ((14, 10, 5, 0), (2.0, 1.7, 1.3, 1.0), None),  # falls by 0.07 a day
        ((14, 5, 0), (2.0, 2.0, 2.0), None),  # three tests
        ((14, 10, 5, 0), (2.0, 2.0, 0.2, 0.3), None),  # it came down meanwhile
    ],
)
def test_nitrite_that_stands_still(
    days: tuple[float, ...], nitrite: tuple[float, ...], expected: Severity | None
) -> None:
    written = measured(days, (0.1,) * len(days), nitrite)
    assert severity(young(*written), STALL) is expected


@pytest.mark.parametrize(
    ("added_days", "expected"), [(None, Severity.WATCH), (4.0, Severity.WATCH), (3.0, None)]
)
def test_ammonia_that_stands_still_unless_some_was_just_added(
    added_days: float | None, expected: Severity | None
) -> None:
    written = list(measured((10, 7, 4, 0), (2.0,) * 4, (0.0,) * 4))
    if added_days is not None:
        written.append(job(JobKind.AMMONIA_ADDED, ago(added_days), mg_per_l=2.0))
    assert severity(young(*written), STALL) is expected


def test_nine_days_are_no_standstill_of_ammonia() -> None:
    assert severity(young(*measured((9, 7, 4, 0), (2.0,) * 4, (0.0,) * 4)), STALL) is None


def answers(*things: Thing) -> dict[str, bool | None]:
    return {c.title: c.found for c in stage(young(*things), KNOWLEDGE).stall_checks}


def test_the_checks_stand_in_order_with_what_the_record_answers() -> None:
    assert list(answers()) == [
        "Does the filter run day and night?",
        "Did untreated tap water go in?",
        "Is there enough buffer (KH), and is pH high enough?",
        "Is it warm enough?",
        "Is there too much at once?",
        "Was the filter material washed in tap water, or all replaced?",
        "Was the tank treated for a disease?",
        "Is it the test kit?",
    ]
    assert list(answers().values()) == [None, False, None, None, None, False, False, None]


@pytest.mark.parametrize(
    ("place", "thing", "pointing"),
    [
        (0, look(ago(2), signs=(Sign.FILTER_OFF,)), True),
        (0, look(ago(2), signs=(Sign.POWER_CUT,)), True),
        (0, look(ago(22), signs=(Sign.FILTER_OFF,)), None),
        (1, job(JobKind.WATER_CHANGE, ago(7), treated=Treated.NO), True),
        (1, job(JobKind.WATER_CHANGE, ago(8), treated=Treated.NO), False),
        (1, job(JobKind.WATER_CHANGE, ago(1)), None),
        (1, job(JobKind.WATER_CHANGE, ago(1), treated=Treated.YES), False),
        (2, reading(Quantity.KH, 2.9, ago(1)), True),
        (2, reading(Quantity.PH, 6.4, ago(1)), True),
        (2, reading(Quantity.PH, 6.5, ago(1)), None),  # KH is still not tested
        (3, warm(17.9, ago(0)), True),
        (3, warm(18.0, ago(0)), False),
        (4, reading(Quantity.AMMONIA, 5.1, ago(0)), True),
        (4, reading(Quantity.NITRITE, None, ago(0), low=5.0), True),  # beyond the card
        (5, job(JobKind.FILTER_RINSE, ago(3), rinse=Rinse.TAP), True),
        (5, job(JobKind.MEDIA_REPLACED, ago(3), media_share=1.0), True),
        (5, job(JobKind.MEDIA_REPLACED, ago(3), media_share=0.3), False),
        (6, job(JobKind.TREATMENT, ago(3)), True),
        (7, reading(Quantity.NITRITE, 2.0, ago(0), kit_doubtful=True), True),
    ],
)
def test_each_check_on_both_sides(place: int, thing: Thing, pointing: bool | None) -> None:
    assert list(answers(thing).values())[place] is pointing


def ready(days: int) -> object:
    return tank(mature_on=date(2027, 2, 12) - timedelta(days=days))


@pytest.mark.parametrize(
    ("hours", "values", "expected"),
    [
        (6.0, (0.2, 0.2), Severity.ACT),
        (5.9, (0.2, 0.2), None),  # too close to agree
        (24.0, (0.2, 0.2), Severity.ACT),
        (24.1, (0.2, 0.2), None),  # too far apart
        (12.0, (0.2, 0.19), None),  # the second one does not agree
    ],
)
def test_two_tests_agree_that_the_filter_lags(
    hours: float, values: tuple[float, float], expected: Severity | None
) -> None:
    pair = (
        reading(Quantity.NITRITE, values[0], at(NOW) - timedelta(hours=hours)),
        reading(Quantity.NITRITE, values[1], NOW),
    )
    assert severity(snapshot(NOW, *pair), SLIP) is expected


@pytest.mark.parametrize(("days", "expected"), [(15, Severity.ACT), (14, None)])
def test_a_filter_must_have_been_ready_for_two_weeks(days: int, expected: Severity | None) -> None:
    pair = [reading(Quantity.AMMONIA, 0.5, at(NOW) - timedelta(hours=h)) for h in (13, 0)]
    assert severity(snapshot(NOW, *pair, tank=ready(days)), SLIP) is expected
    assert severity(snapshot(NOW, *pair, tank=YOUNG), SLIP) is None


@pytest.mark.parametrize(("clean", "expected"), [(3, Severity.ACT), (4, None)])
def test_four_clean_tests_in_a_row_end_it(clean: int, expected: Severity | None) -> None:
    pair = [reading(Quantity.NITRITE, 0.3, ago(d)) for d in (6.0, 5.5)]
    later = [r for d in range(clean) for r in metered(ago(d), ammonia=0.0, nitrite=0.0)]
    now = snapshot(NOW, *pair, *later)
    assert severity(now, SLIP) is expected
    broken = metered(ago(0.01), ammonia=0.0, nitrite=0.1)
    assert severity(snapshot(NOW, *pair, *later, *broken), SLIP) is Severity.ACT


def test_what_was_written_before_is_shown() -> None:
    pair = [reading(Quantity.NITRITE, 0.3, ago(d)) for d in (0.5, 0.0)]
    near = job(JobKind.FILTER_RINSE, ago(3.5))
    far = job(JobKind.GLASS, ago(3.6))
    shown = found(snapshot(NOW, *pair, near, far), SLIP)[0].evidence
    assert [e.entry_id for e in shown if "Nitrite" not in e.what] == [near.id]
