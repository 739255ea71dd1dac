"""Routine jobs of the care plan: siphon, glass, plants, equipment, kits, animals."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from app.domain.calendar import day_start
from app.domain.records import Entry, JobKind
from app.domain.snapshot import TankSnapshot, last
from app.knowledge.model import Knowledge
from app.rules.intervals import start_day
from app.rules.model import Action, Concern, Evidence, Finding, Rule, Severity, WorkingLine
from app.rules.plan import ROUTINE_PREFIX
from app.rules.showing import days_text, limit, of_entry, own_limit

_FRIDAY: Final = 4
_WEEK: Final = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class Routine:
    """One routine job of `CARE_JOBS`; with `job` None a head count does it.

    `watched`: once long behind it changes the state of the tank; the others only remind.
    """

    name: str
    title: str
    child: str
    why: str
    child_why: str
    job: JobKind | None
    adult: bool = False
    watched: bool = False
    cautions: tuple[str, ...] = ()
    needs: str = ""

    @property
    def key(self) -> str:
        """The name as ids, keys and numbers write it."""
        return self.name.replace("_", "-")


ROUTINES: Final = (
    Routine(
        name="count",
        title="Count all animals",
        child="Count all the fish.",
        why="A fish that is gone is noticed at a count.",
        child_why="We want to know that all are there.",
        job=None,
        watched=True,
        needs="animals",
    ),
    Routine(
        name="siphon",
        title="Siphon a third of the sand, with the change",
        child="A grown-up cleans the sand.",
        why="What lies there uses up oxygen.",
        child_why="Dirt lies on the sand.",
        job=JobKind.SIPHON,
        adult=True,
        cautions=("siphon", "hands"),
        needs="animals",
    ),
    Routine(
        name="glass",
        title="Wipe the front glass",
        child="Wipe the front glass with a grown-up.",
        why="Clear glass shows fish that are not well.",
        child_why="Clean glass shows all the fish.",
        job=JobKind.GLASS,
        cautions=("hands",),
        needs="animals",
    ),
    Routine(
        name="trim",
        title="Trim the plants",
        child="Trim the plants with a grown-up.",
        why="Plants that cover the surface keep light and air out.",
        child_why="The plants grew. Fish need room too.",
        job=JobKind.TRIM,
        cautions=("hands", "leaving"),
        needs="plants",
    ),
    Routine(
        name="equipment_check",
        title="Check heater, thermometer, air line, cords and drip loops",
        child="A grown-up checks heater and cords.",
        why="Heaters stick, valves clog, and cords loosen without a sound.",
        child_why="Heater and cords need a look.",
        job=JobKind.EQUIPMENT_CHECK,
        adult=True,
        watched=True,
        cautions=("electricity", "heater", "hands"),
    ),
    Routine(
        name="outlet_test",
        title="Press the test button of the outlet",
        child="A grown-up tests the outlet.",
        why="The switch that cuts the power can stick. Start filter and heater again after it.",
        child_why="The outlet must cut off when it should.",
        job=JobKind.OUTLET_TEST,
        adult=True,
        watched=True,
        cautions=("electricity",),
    ),
    Routine(
        name="kit_dates",
        title="Check the test kits on a known sample, and the dates of kits and food",
        child="A grown-up looks at the test kits.",
        why="Old kits tell wrong numbers, and old food loses what fish need.",
        child_why="Test kits and food get old.",
        job=JobKind.KIT_CHECK,
        adult=True,
    ),
    Routine(
        name="deep_check",
        title="Look at lid, seams, stand, lamp, impeller and spare parts",
        child="A grown-up checks the whole tank.",
        why="Seams and stands give way slowly.",
        child_why="Once in a while all is checked.",
        job=JobKind.DEEP_CHECK,
        adult=True,
        watched=True,
        cautions=("electricity", "hands"),
    ),
    Routine(
        name="stock_review",
        title="Measure the animals, and look at how many the tank carries",
        child="How long are the fish now?",
        why="Fish grow, and the water does not.",
        child_why="Fish grow. The tank does not.",
        job=JobKind.STOCK_REVIEW,
        adult=True,
        needs="animals",
    ),
)


def check(routine: Routine, snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
    """A routine job is due.

    What: as many days as the plan says since it was last written (or since the first entry, for
        a job never written), on its weekday where it has one. After one and a half intervals
        jobs that keep animals or people from harm are watched; the others only remind.
    Why: what nobody plans nobody does.
    Source: intervals are common practice, `knowledge/care.toml`; the plan is the tank's own.
    Bad: equipment checked 46 days ago. Good: glass wiped on Sunday, now Friday.
    """
    if not _has(routine.needs, snapshot):
        return ()
    every, weekday = _planned(routine, snapshot, knowledge)
    done = _last_done(routine, snapshot)
    since = done.local_day if done else start_day(snapshot)
    if since is None or every <= 0:
        return ()
    due = _due_day(since, every, weekday, knowledge)
    if snapshot.today < due:
        return ()
    days = (snapshot.today - since).days
    behind = days > max(every * knowledge.value("change.late-factor"), (due - since).days)
    said = days_text(days)
    ago = f"It was last done {said} ago." if done else f"Nothing is written for {said}."
    return (
        Finding(
            rule_id=rule_id(routine),
            severity=Severity.WATCH if behind and routine.watched else Severity.INFO,
            action=Action(
                key=f"{ROUTINE_PREFIX}{routine.key}",
                title=routine.title,
                child_title=routine.child,
                concern=Concern.ROUTINE,
                door="job" if routine.job else "look",
                job=routine.job.value if routine.job else "",
                adult=routine.adult,
                cautions=routine.cautions,
            ),
            reason=f"{ago} {routine.why}",
            child_reason=routine.child_why,
            due_at=day_start(due, snapshot.site.zone),
            clears_when="A count is written." if routine.job is None else "The job is written.",
            counterfactual=(f"With it done in the last {days_text(every)} this would not be here."),
            evidence=(of_entry(done, snapshot.site) if done else Evidence("Nothing is written"),),
            working=(WorkingLine("Days since it was done:", str(days)),),
            limits=(
                own_limit(f"Every {days_text(every)}"),
                limit(knowledge, f"care.{routine.key}-days", "Usual"),
                limit(knowledge, "change.late-factor", "Behind after"),
            ),
        ),
    )


def due_days(
    routine: Routine, snapshot: TankSnapshot, knowledge: Knowledge, until: date
) -> Iterator[date]:
    """The days after today up to `until` on which it comes due, done on time from now on."""
    every, weekday = _planned(routine, snapshot, knowledge)
    done = _last_done(routine, snapshot)
    since = done.local_day if done else start_day(snapshot)
    if since is None or every <= 0 or not _has(routine.needs, snapshot):
        return
    if _due_day(since, every, weekday, knowledge) <= snapshot.today:
        since = snapshot.today
    while (day := _due_day(since, every, weekday, knowledge)) <= until:
        yield day
        since = day


def rule_id(routine: Routine) -> str:
    """The id of a routine job's rule."""
    return f"routine.{routine.key}"


def _has(needs: str, snapshot: TankSnapshot) -> bool:
    if needs == "animals":
        return snapshot.expected_fish > 0
    if needs == "plants":
        return any(not p.removed for p in snapshot.plants)
    return True


def _planned(
    routine: Routine, snapshot: TankSnapshot, knowledge: Knowledge
) -> tuple[int, int | None]:
    """Every how many days, and on which weekday; 0 days: not planned in this tank."""
    plan = snapshot.tank.plan
    own = plan.job(routine.name)
    every = int(knowledge.value(f"care.{routine.key}-days"))
    if routine.name == "siphon":
        every = plan.water_change_days
    weekday = _FRIDAY if routine.name == "count" and snapshot.tank.setting == "class" else None
    if own is not None:
        every = every if own.every_days is None else own.every_days
        weekday = weekday if own.weekday is None else own.weekday
    return every, weekday


def _last_done(routine: Routine, snapshot: TankSnapshot) -> Entry | None:
    if routine.job is not None:
        return last(snapshot.jobs_of(routine.job))
    return snapshot.last_counted


def _due_day(since: date, every: int, weekday: int | None, knowledge: Knowledge) -> date:
    """The end of the interval, moved to the nearest such weekday; at least the next day."""
    end = since + timedelta(days=every)
    if weekday is None or every < _WEEK:
        return end
    near = int(knowledge.value("care.weekday-days"))
    first = end - timedelta(days=near)
    moved = first + timedelta(days=(weekday - first.weekday()) % _WEEK)
    return max(moved, since + timedelta(days=1))


def _check_of(routine: Routine) -> Callable[[TankSnapshot, Knowledge], tuple[Finding, ...]]:
    def check_routine(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Finding, ...]:
        return check(routine, snapshot, knowledge)

    check_routine.__doc__ = check.__doc__  # one check serves all routine jobs
    return check_routine


def rules() -> tuple[Rule, ...]:
    """One rule for each routine job."""
    return tuple(
        Rule(
            id=rule_id(routine),
            title=routine.title,
            why=routine.why,
            limits=(f"care.{routine.key}-days", "care.weekday-days", "change.late-factor"),
            check=_check_of(routine),
            lesson=routine.child_why,
        )
        for routine in ROUTINES
    )


RULES: Final = rules()
