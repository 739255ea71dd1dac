"""The demo's eighteen months replayed: tasks that agree, that stay, and that are few."""

from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest

from app.domain.records import JobKind, Treated
from app.rules.model import Evaluation, Severity
from tests.demo_record import demo_record
from tests.rules.checks import FIGHTING, judged
from tests.services.replaying import Seen, lives, raised
from tests.situations import HOME, Thing, at, fed, job, look, metered, snapshot, warm

NOW = datetime(2027, 1, 20, 21, 0, tzinfo=UTC)
ZONE = "America/Chicago"
# common practice: at most 30 % of the water in one day; more on the next
LARGEST_CHANGE = 0.3
# A call for a grown-up takes about the time of a water change, and that is planned once a week: a
# month with more calls than weeks costs more than all the care it interrupts.
MOST_ACT_A_MONTH = 4
# What was done is tested on days 1, 3 and 7, and fourteen days without trouble are calm weeks: one
# call a month leaves room for both, two do not.
MOST_ACT_A_YEAR = 12
# "Watch" asks to look at one thing again, and a tank is looked at daily: one new thing a week
# leaves most looks without one, and the word means something on the others. The growing of the
# filter, the breaks and all that went wrong are in this count.
MOST_WATCH_A_WEEK = 1.0
# a warning that comes back more often than the monthly jobs has become one of them
MOST_OF_ONE_A_MONTH = 1.0
# in the demo both tanks wait for their first animals so long
UNTIL_ANIMALS = 55
# enough days to tell: a month on which nobody wrote, in breaks and on weekends
QUIET_DAYS = 30

Days = list[tuple[Seen, ...]]


@pytest.fixture(scope="module")
def replayed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, Days]]:
    folder = tmp_path_factory.mktemp("replay")
    database, _ = demo_record(tmp_path_factory, folder, now=NOW, zone=ZONE)
    with database.reading() as session:
        found = lives(session, NOW)
    yield {name: list(life.days()) for name, life in found.items()}
    database.close()


def test_both_tanks_are_looked_at_over_their_whole_life(replayed: dict[str, Days]) -> None:
    assert set(replayed) == {"home", "class"}
    assert all(len(days) > 500 for days in replayed.values())


def test_no_day_has_tasks_that_contradict_each_other(replayed: dict[str, Days]) -> None:
    for seen in _all(replayed):
        assert _faults(seen.evaluation) == [], seen.day


def _faults(evaluation: Evaluation) -> list[str]:
    keys = [task.key for task in evaluation.tasks]
    faults = [f"{key} twice" for key, times in Counter(keys).items() if times > 1]
    faults += [f"{sorted(pair)}" for pair in FIGHTING if pair <= set(keys)]
    # where something asks for small steps only, every change of the day is one
    bounds = [t.action.at_most for t in evaluation.tasks if t.action.at_most]
    most = min([LARGEST_CHANGE, *bounds]) + 1e-9
    return faults + [t.key for t in evaluation.tasks if t.action.amount > most]


def test_no_task_comes_and_goes_without_a_new_entry(replayed: dict[str, Days]) -> None:
    quiet = [day for days in replayed.values() for day in days if _nobody_wrote(day)]
    assert len(quiet) >= QUIET_DAYS
    for day in quiet:
        assert _flickering(day) == [], day[0].day


def _nobody_wrote(day: tuple[Seen, ...]) -> bool:
    return len({seen.entries for seen in day}) == 1


def _flickering(day: tuple[Seen, ...]) -> list[str]:
    """Tasks that came or went twice in three moments."""
    first, middle, final = (seen.keys(Severity.INFO) for seen in day)
    return sorted((middle ^ first) & (middle ^ final))


def test_help_is_asked_for_seldom_enough_to_be_heard(replayed: dict[str, Days]) -> None:
    for name, days in replayed.items():
        calls = raised(days, Severity.ACT)
        months = Counter(f"{day:%Y-%m}" for day, _ in calls)
        assert max(months.values()) <= MOST_ACT_A_MONTH, name
        assert len(calls) <= MOST_ACT_A_YEAR * len(days) / 365, name


def test_watch_stays_a_word_that_is_read(replayed: dict[str, Days]) -> None:
    for name, days in replayed.items():
        calls = raised(days, Severity.WATCH)
        keys = Counter(key for _, key in calls)
        assert len(calls) <= MOST_WATCH_A_WEEK * len(days) / 7, (name, keys)


def test_no_single_task_warns_more_often_than_once_a_month(replayed: dict[str, Days]) -> None:
    for name, days in replayed.items():
        often = Counter(key for _, key in raised(days, Severity.WATCH))
        most = MOST_OF_ONE_A_MONTH * len(days) / 30
        assert max(often.values()) <= most, (name, often.most_common(3))


def test_a_filter_that_grows_without_animals_calls_nobody(replayed: dict[str, Days]) -> None:
    # 2 to 4 mg/L of ammonia and much nitrite are meant to be there: common practice
    for name, days in replayed.items():
        assert raised(days[:UNTIL_ANIMALS], Severity.ACT) == [], name


def test_what_went_wrong_in_the_demo_was_said(replayed: dict[str, Days]) -> None:
    home = {key for _, key in raised(replayed["home"], Severity.ACT)}
    assert {"warmth", "after-loss", "plug"} <= home
    assert "break-plan" in {key for _, key in raised(replayed["class"], Severity.ACT)}


def test_two_calm_weeks_bring_reminders_only() -> None:
    for day in range(14):
        now = f"2027-02-{day + 1:02d} 12:00"
        found = judged(snapshot(now, *_calm_until(at(now)), site=HOME))
        above = [task.key for task in found.tasks if task.severity > Severity.INFO]
        assert above == [], now


def _calm_until(moment: datetime) -> Iterator[Thing]:
    """Six weeks of a tank that is well looked after, each job at its own time."""
    start = at("2027-01-01 09:00")
    for day in range((moment - start).days + 1):
        then = start + timedelta(days=day)
        yield look(then, 16, expected=16, breathing_calm=True, lid_closed=True, plug_on=True)
        yield fed(then)
        yield warm(25.0 + 0.1 * (day % 3), then)
        if day % 7 == 0:
            yield from metered(then, ammonia=0.0, nitrite=0.0, nitrate=20.0, ph=7.4)
            yield job(
                JobKind.WATER_CHANGE, then, liters_out=21.3, liters_in=21.3, treated=Treated.YES
            )
            yield from (job(kind, then) for kind in (JobKind.SIPHON, JobKind.GLASS))
        if day % 28 == 0:
            yield job(JobKind.FILTER_RINSE, then)
            yield job(JobKind.EQUIPMENT_CHECK, then)
            yield job(JobKind.OUTLET_TEST, then)


def _all(replayed: dict[str, Days]) -> Iterator[Seen]:
    return (seen for days in replayed.values() for day in days for seen in day)
