"""What is planned for a tank: the basics, and every job by itself."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass

from sqlalchemy import delete
from sqlalchemy.orm import Session

from app.domain.errors import Refused
from app.domain.tank import CARE_JOBS, CarePlan, PlannedJob, Tank
from app.domain.wording import count, short
from app.knowledge.load import load
from app.rules.routine import ROUTINES
from app.services.transaction import begin, finish
from app.storage.models.tank import CareJob
from app.storage.models.tank import CarePlan as PlanRow
from app.storage.queries.tanks import digits

WHO = ("", "adult", "helper", "technician")
LONGEST_DAYS = 730
_TITLES = {
    "feed": "Feed",
    "look": "Look at the animals, the filter and the warmth",
    "test": "Test the water",
    "water_change": "Change water",
    "filter_rinse": "Rinse the filter sponge",
}
_USUAL = {
    "feed": "On the days of the plan above.",
    "look": "Every day on which somebody comes.",
    "test": "As the number above says; more often while something happens.",
    "water_change": "As the number above says.",
    "filter_rinse": "As the number above says; earlier when the flow falls.",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Usual:
    """What holds for a job of which this tank's plan says nothing.

    `days` is None where the plan itself has the number, or the job follows the days on which
    somebody comes. `words` and `source` say what is usual, and where it comes from.
    """

    name: str
    title: str
    days: int | None
    has_weekday: bool
    words: str
    source: str


def usual_jobs(tank: Tank) -> tuple[Usual, ...]:
    """Every job of the plan with what is usual, in the order of `CARE_JOBS`."""
    return tuple(_usual(name, tank) for name in CARE_JOBS)


def usual_basics() -> dict[str, str]:
    """What is usual for the numbers that every plan has, by the name of the field."""
    plan, knowledge = CarePlan(), load()
    least, most, longest = (
        knowledge.numbers[f"change.{key}"] for key in ("least", "most", "longest-days")
    )
    at_once = short(knowledge.value("nitrate.most-share"))
    said = f"Usual {{}}: {least.basis.value}."
    return {
        "portion_scoops": "What they eat in a few minutes. Left-overs mean less.",
        "water_change_days": said.format(
            f"{plan.water_change_days} days, never more than {short(longest.value)}"
        ),
        "water_change_percent": f"Usual {short(plan.water_change_percent)} %, at most "
        f"{short(most.value)} % in one day: {most.basis.value}. More than {at_once} % at once is "
        "for emergencies, and the new water has to match the tank.",
        "test_days": said.format(f"{plan.test_days} days"),
        "filter_rinse_days": said.format(
            f"{plan.filter_rinse_days} days, or when the flow falls by a third"
        ),
    }


def _usual(name: str, tank: Tank) -> Usual:
    routine = next((r for r in ROUTINES if r.name == name), None)
    if routine is None:
        return Usual(
            name=name, title=_TITLES[name], days=None, has_weekday=False, words=_USUAL[name],
            source="",
        )  # fmt: skip
    number = load().numbers[f"care.{routine.key}-days"]
    days, words = int(number.value), ""
    if name == "siphon":
        days, words = tank.plan.water_change_days, ", with the water change"
    if name == "count" and tank.setting == "class":
        words = ", on Friday"
    source = load().sources.get(number.source)
    basis = number.basis.value
    return Usual(
        name=name,
        title=routine.title,
        days=days,
        has_weekday=True,
        words=f"Usual: every {count(days, 'day', 'days')}{words}.",
        source=f"{source.title if source else basis[0].upper() + basis[1:] + '.'} {number.note}",
    )


def set_plan(session: Session, tank_id: int, plan: CarePlan) -> None:
    """Set the basics of a tank's plan; its single jobs (`plan.jobs`) stay as they are.

    Raises:
        NotFound: If there is no such tank.
    """
    begin(session, tank_id)
    session.execute(delete(PlanRow).where(PlanRow.tank_id == tank_id))
    values = {**asdict(plan), "feed_weekdays": digits(plan.feed_weekdays)}
    values.pop("jobs")
    session.add(PlanRow(tank_id=tank_id, **values))
    finish(session)


def set_job(session: Session, tank_id: int, job: PlannedJob) -> None:
    """Set what is planned of one job; with nothing in it the default holds again.

    Raises:
        NotFound: If there is no such tank.
        Refused: If there is no such job, day, span or kind of person.
    """
    _check(job)
    begin(session, tank_id)
    session.execute(delete(CareJob).where(CareJob.tank_id == tank_id, CareJob.name == job.name))
    _add(session, tank_id, job)
    finish(session)


def set_jobs(session: Session, tank_id: int, jobs: Sequence[PlannedJob]) -> None:
    """Set what is planned of all jobs; the default holds for those that are not among them.

    Raises:
        NotFound: If there is no such tank.
        Refused: If there is no such job, day, span or kind of person, or one stands twice.
    """
    for job in jobs:
        _check(job)
    if len({job.name for job in jobs}) < len(jobs):
        raise Refused("Each job can stand in the plan once.")
    begin(session, tank_id)
    session.execute(delete(CareJob).where(CareJob.tank_id == tank_id))
    for job in jobs:
        _add(session, tank_id, job)
    finish(session)


def _add(session: Session, tank_id: int, job: PlannedJob) -> None:
    if job != PlannedJob(name=job.name):
        session.add(CareJob(tank_id=tank_id, **asdict(job)))


def _check(job: PlannedJob) -> None:
    if job.name not in CARE_JOBS:
        raise Refused("Choose a job of the plan.")
    if job.every_days is not None and not 1 <= job.every_days <= LONGEST_DAYS:
        raise Refused(f"A job comes back after 1 to {LONGEST_DAYS} days.")
    if job.weekday is not None and not 0 <= job.weekday <= 6:
        raise Refused("Choose a day from Monday to Sunday.")
    if job.who not in WHO:
        raise Refused("Choose who does the job.")
