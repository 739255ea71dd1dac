"""The demo's eighteen months replayed: tasks that agree, that stay, and that are few."""

from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest

from app.domain.records import JobKind, Treated
from app.rules.model import Evaluation, Severity
from app.services import demo
from tests.record import empty_database
from tests.rules.checks import judged
from tests.services.replaying import Seen, lives, raised
from tests.situations import HOME, Thing, at, fed, job, look, metered, snapshot, warm

NOW = datetime(2027, 1, 20, 21, 0, tzinfo=UTC)
ZONE = "America/Chicago"
# what nobody can do at the same time
FIGHTING = (
    {"feed", "leftovers"},
    {"feed", "without-food"},
    {"feed", "sign-gasping"},
    {"filter-rinse", "filter-care"},
)
LARGEST_CHANGE = 0.3
# a household can bear a few alarms a year, and not one each week
MOST_ACT_A_MONTH = 4
MOST_ACT_A_YEAR = 12

Days = list[tuple[Seen, ...]]


@pytest.fixture(scope="module")
def replayed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, Days]]:
    database = empty_database(tmp_path_factory.mktemp("replay"))
    demo.load(database, now=NOW, zone=ZONE)
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
    too_large = [t.key for t in evaluation.tasks if t.action.amount > LARGEST_CHANGE + 1e-9]
    return faults + too_large


def test_no_task_comes_and_goes_without_a_new_entry(replayed: dict[str, Days]) -> None:
    quiet = [day for days in replayed.values() for day in days if _nobody_wrote(day)]
    assert len(quiet) > 5
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
