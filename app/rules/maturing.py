"""How far the filter has grown its bacteria, told from tests; in words, and never as a date."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Final

from app.domain.calendar import local_day
from app.domain.maturing import Stage, StageReached
from app.domain.quantities import Quantity
from app.domain.records import Job, JobKind, Reading
from app.domain.snapshot import TankSnapshot, last
from app.domain.wording import count, degrees, full_day, short
from app.knowledge.model import Knowledge
from app.rules.freshness import is_mature
from app.rules.paired_tests import PairedTest, at_lowest, paired_tests
from app.rules.stall_checks import StallCheck, stall_checks
from app.science.series import robust_slope

ORDER: Final = tuple(Stage)
_DAY_S: Final = 86400.0
# what a snapshot holds of readings, and more than any stage looks back
_REACH: Final = timedelta(days=35)
_EPSILON: Final = 1e-6
_WORDS: Final = {
    Stage.IDLE: "Nothing to see yet: the filter waits for waste to work on.",
    Stage.AMMONIA_UP: "Ammonia is up. The first bacteria are settling in.",
    Stage.NITRITE_UP: "Ammonia is going down and nitrite is up: about halfway.",
    Stage.NITRITE_DOWN: "Nitrite is going down and nitrate is rising: the last stretch.",
    Stage.READY: "The filter is ready.",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Maturing:
    """How far a filter is. `since` is the day on which the tests first showed the stage, if known.

    `words` says it to people, `why` says from what. `quiet`: plants take what fish leave, so that
    ammonia and nitrite never rise. `stall_checks` are what to look at, in order, with what the
    record already answers; empty for a filter that is ready.
    """

    stage: Stage
    since: date | None
    words: str
    why: str
    ready: bool
    quiet: bool = False
    not_yet_because: tuple[str, ...] = ()
    stall_checks: tuple[StallCheck, ...] = ()


def stage(snapshot: TankSnapshot, knowledge: Knowledge) -> Maturing:
    """How far the filter is, as of the snapshot.

    A grown-up's word (`tank.mature_on`) and a stage kept as ready count first; then the proof
    without animals (added ammonia is gone a day later, twice), then that with animals (clean
    tests over fed days), then what the newest tests show.

    Source: stages and edges are common practice and our own choice, `knowledge/maturing.toml`.
    """
    if is_mature(snapshot.tank, snapshot.today):
        said = snapshot.tank.mature_on
        day = f"{full_day(said)} {said.year}" if said else ""
        return _ready(said, f"A grown-up wrote that it was ready on {day}.", snapshot)
    kept = _kept(snapshot)
    if Stage.READY in kept:
        return _ready(kept[Stage.READY], "Tests showed it, and it was kept.", snapshot)
    proof = _proof_added(snapshot, knowledge) or _proof_fed(snapshot, knowledge)
    if proof is not None:
        return _ready(proof[0], proof[1], snapshot)
    return _growing(snapshot, kept, knowledge)


def stages_reached(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[StageReached, ...]:
    """The stages that tests showed so far, each with its first day, to be kept.

    The kept ones count; what came since is found by looking anew as of each test. A grown-up's
    word stands with the tank and is not kept here.
    """
    found = _kept(snapshot)
    newest = max(found.values(), default=None)
    if not is_mature(snapshot.tank, snapshot.today):
        tests = [t for t in paired_tests(snapshot) if newest is None or t.on >= newest]
        for moment in (*(t.at for t in tests), snapshot.as_of):
            if Stage.READY in found:
                break
            seen = stage(_as_of(snapshot, moment), knowledge)
            if seen.stage is not Stage.IDLE:
                found.setdefault(seen.stage, seen.since or local_day(moment, snapshot.site.zone))
    return tuple(StageReached(s, found[s]) for s in ORDER if s in found)


def _as_of(snapshot: TankSnapshot, moment: datetime) -> TankSnapshot:
    """What the filter showed at a past moment: without later entries and without kept stages."""
    since = moment - _REACH
    return replace(
        snapshot,
        as_of=moment,
        stages=(),
        readings=tuple(r for r in snapshot.readings if since < r.at <= moment),
        feedings=tuple(f for f in snapshot.feedings if since < f.happened_at <= moment),
        jobs=tuple(j for j in snapshot.jobs if since < j.happened_at <= moment),
    )


def has_dense_plants(snapshot: TankSnapshot) -> bool:
    """Whether plants grow so densely that they may take all the ammonia."""
    return any(p.amount == "dense" and not p.removed for p in snapshot.plants)


def is_fed_without_animals(snapshot: TankSnapshot, knowledge: Knowledge) -> bool:
    """Whether ammonia was added lately where no animal lives: what tests show is meant to be there.

    Without such an entry a tank without written animals is judged like any other: somebody may
    only not have written them yet.
    """
    back = timedelta(days=knowledge.value("maturing.window-days"))
    added = snapshot.jobs_of(JobKind.AMMONIA_ADDED)
    return not snapshot.expected_fish and any(snapshot.today - j.local_day <= back for j in added)


def _kept(snapshot: TankSnapshot) -> dict[Stage, date]:
    found: dict[Stage, date] = {}
    for reached in snapshot.stages:
        if reached.on <= snapshot.today:
            found[reached.stage] = min(reached.on, found.get(reached.stage, reached.on))
    return found


def _ready(since: date | None, why: str, snapshot: TankSnapshot) -> Maturing:
    words = _WORDS[Stage.READY]
    if not snapshot.expected_fish:
        words += " Its bacteria need food: the first few fish soon, or a little ammonia as before."
    quiet = has_dense_plants(snapshot)
    return Maturing(stage=Stage.READY, since=since, words=words, why=why, ready=True, quiet=quiet)


def _proof_added(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[date, str] | None:
    """Added ammonia was gone a day later, twice within a few days: the day and the words."""
    passed = [d for j in _additions(snapshot, knowledge) if (d := _gone(j, snapshot, knowledge))]
    needed, apart = int(knowledge.value("maturing.passes")), knowledge.value("maturing.passes-days")
    for first, end in zip(passed, passed[needed - 1 :], strict=False):
        if (end - first).days <= apart:
            return end, (
                "Added ammonia was gone a day later, and nitrite with it, "
                f"{count(needed, 'time', 'times')}."
            )
    return None


def _additions(snapshot: TankSnapshot, knowledge: Knowledge) -> list[Job]:
    least = knowledge.value("maturing.added-mg")
    added = snapshot.jobs_of(JobKind.AMMONIA_ADDED)
    return [j for j in added if j.mg_per_l is not None and j.mg_per_l >= least]


def _gone(added: Job, snapshot: TankSnapshot, knowledge: Knowledge) -> date | None:
    """The day on which both tests about 24 hours after an addition were at their lowest step."""
    hours, apart = (knowledge.value(f"maturing.added-hours{s}") for s in ("", "-apart"))
    start = added.happened_at + timedelta(hours=hours - apart)
    end = added.happened_at + timedelta(hours=hours + apart)
    days = []
    for quantity in (Quantity.AMMONIA, Quantity.NITRITE):
        tests = [r for r in snapshot.of(quantity) if start <= r.at <= end and not r.kit_doubtful]
        if not tests or not all(at_lowest(r, snapshot, knowledge) for r in tests):
            return None
        days.append(local_day(tests[-1].at, snapshot.site.zone))
    return max(days)


def _proof_fed(snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[date, str] | None:
    """Clean tests in a row over a week with food: the day of the last one needed, and words."""
    run = _lowest_run(snapshot, knowledge)
    fed = {f.local_day for f in snapshot.feedings}
    needed = int(knowledge.value("maturing.ready-tests"))
    for end in range(needed - 1, len(run)):
        first, on = run[0].on, run[end].on
        fed_days = sum(first <= day <= on for day in fed)
        if (on - first).days >= knowledge.value("maturing.ready-days") and (
            fed_days >= knowledge.value("maturing.ready-fed-days")
        ):
            return on, (
                f"{count(end + 1, 'test', 'tests')} in a row at the lowest step, "
                f"over {count(fed_days, 'day', 'days')} with food."
            )
    return None


def _lowest_run(snapshot: TankSnapshot, knowledge: Knowledge) -> list[PairedTest]:
    """The newest tests in a row at the lowest steps of their kits, oldest first."""
    run: list[PairedTest] = []
    for test in reversed(_recent(snapshot, knowledge)):
        if not all(at_lowest(r, snapshot, knowledge) for r in (test.ammonia, test.nitrite)):
            break
        run.insert(0, test)
    return run


def _recent(snapshot: TankSnapshot, knowledge: Knowledge) -> list[PairedTest]:
    since = snapshot.today - timedelta(days=knowledge.value("maturing.window-days"))
    return [t for t in paired_tests(snapshot) if t.on >= since]


def _growing(snapshot: TankSnapshot, kept: dict[Stage, date], knowledge: Knowledge) -> Maturing:
    tests = _recent(snapshot, knowledge)
    known = max(kept, key=ORDER.index, default=Stage.IDLE)
    needed = int(knowledge.value("maturing.tests"))
    shown = _shown(tests, snapshot, knowledge) if len(tests) >= needed else None
    now = shown or known
    quiet = _quiet(tests, snapshot, knowledge)
    since = kept.get(now) or (tests[-1].on if shown not in {None, Stage.IDLE} else None)
    days = short(knowledge.value("maturing.window-days"))
    return Maturing(
        stage=now,
        since=since,
        words=_words(now, quiet, snapshot, knowledge),
        why=f"{count(len(tests), 'test', 'tests')} of ammonia and nitrite in {days} days.",
        ready=False,
        quiet=quiet,
        not_yet_because=_not_yet(tests, snapshot, knowledge),
        stall_checks=stall_checks(snapshot, knowledge),
    )


def _shown(
    tests: Sequence[PairedTest], snapshot: TankSnapshot, knowledge: Knowledge
) -> Stage | None:
    """The stage that the tests show; None where they tell none."""
    newest = tests[-int(knowledge.value("maturing.tests")) :]
    ammonia, nitrite = tests[-1].ammonia.best, tests[-1].nitrite.best
    peak = max(t.ammonia.best for t in tests)
    falling = slope_of([t.ammonia for t in newest]) < 0.0 or (
        ammonia < peak * knowledge.value("maturing.ammonia-share") / 100.0
    )
    if (
        ammonia < knowledge.value("maturing.ammonia-low")
        and slope_of([t.nitrite for t in newest]) < 0.0
        and _nitrate_rises(snapshot, knowledge)
    ):
        return Stage.NITRITE_DOWN
    if nitrite >= knowledge.value("maturing.nitrite-up"):
        return Stage.NITRITE_UP if falling else Stage.AMMONIA_UP
    return Stage.AMMONIA_UP if ammonia >= knowledge.value("maturing.ammonia-up") else None


def slope_of(readings: Sequence[Reading]) -> float:
    """Median slope of the best guesses, in their unit a day; NaN with fewer than two times."""
    days = [r.at.timestamp() / _DAY_S for r in readings]
    return robust_slope(days, [r.best for r in readings])


def _nitrate_rises(snapshot: TankSnapshot, knowledge: Knowledge) -> bool:
    since = snapshot.today - timedelta(days=knowledge.value("maturing.window-days"))
    zone = snapshot.site.zone
    tests = [r for r in snapshot.of(Quantity.NITRATE) if local_day(r.at, zone) >= since]
    return slope_of(tests) > knowledge.value("maturing.nitrate-rise") + _EPSILON


def _quiet(tests: Sequence[PairedTest], snapshot: TankSnapshot, knowledge: Knowledge) -> bool:
    """Whether dense plants take what fed animals leave, so that both stay near 0."""
    return (
        has_dense_plants(snapshot)
        and len(tests) >= knowledge.value("maturing.tests")
        and bool(snapshot.feedings)
        and all(t.ammonia.best < knowledge.value("maturing.ammonia-low") for t in tests)
        and all(t.nitrite.best < knowledge.value("maturing.nitrite-up") for t in tests)
    )


def _words(now: Stage, quiet: bool, snapshot: TankSnapshot, knowledge: Knowledge) -> str:
    text = _WORDS[now]
    if quiet:
        text = "A quiet start: the plants take the ammonia while the filter grows."
    warmth = snapshot.latest(Quantity.TEMPERATURE)
    cold = knowledge.value("stall.cold")
    if warmth is not None and warmth.best < cold:
        text += f" It goes slower below {degrees(snapshot.site, cold)}."
    return text if snapshot.expected_fish else f"{text} No fish yet."


def _not_yet(
    tests: Sequence[PairedTest], snapshot: TankSnapshot, knowledge: Knowledge
) -> tuple[str, ...]:
    """What still stands between this filter and ready, one sentence each."""
    reasons = []
    if len(tests) < knowledge.value("maturing.tests"):
        so_far = f"Only {count(len(tests), 'test', 'tests')}" if tests else "No test"
        reasons.append(f"{so_far} of ammonia and nitrite so far.")
    newest = last(tests)
    if newest is not None:
        if not at_lowest(newest.ammonia, snapshot, knowledge):
            reasons.append("Ammonia is not yet at the lowest step of the kit.")
        if not at_lowest(newest.nitrite, snapshot, knowledge):
            reasons.append("Nitrite is not yet at the lowest step of the kit.")
    if any(j.mg_per_l is None for j in snapshot.jobs_of(JobKind.AMMONIA_ADDED)):
        reasons.append("Nobody wrote how much ammonia was added.")
    proof = [short(knowledge.value(f"maturing.{k}")) for k in ("ready-tests", "ready-days")]
    reasons.append(
        f"Wanted with animals: {proof[0]} tests in a row at the lowest step, over {proof[1]} days "
        f"with {short(knowledge.value('maturing.ready-fed-days'))} days of food. Without: added "
        "ammonia gone a day later, two times."
    )
    return tuple(reasons)
