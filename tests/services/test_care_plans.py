"""The plan of a tank: the basics and single jobs, neither of which erases the other."""

import pytest

from app.domain.errors import NotFound, Refused
from app.domain.tank import CarePlan, PlannedJob
from app.services import care_plans, tanks
from tests.record import Record

OUTLET = PlannedJob(name="outlet_test", every_days=180, who="adult")


def test_basics_and_single_jobs_do_not_erase_each_other(record: Record) -> None:
    with record.database.writing() as session:
        care_plans.set_job(session, record.tank_id, OUTLET)
        care_plans.set_plan(session, record.tank_id, CarePlan(water_change_days=10))
        plan = tanks.tank(session, record.tank_id).plan
        assert (plan.water_change_days, plan.job("outlet_test")) == (10, OUTLET)


def test_a_job_without_anything_goes_back_to_the_default(record: Record) -> None:
    with record.database.writing() as session:
        care_plans.set_job(session, record.tank_id, OUTLET)
        care_plans.set_job(session, record.tank_id, PlannedJob(name="outlet_test"))
        assert tanks.tank(session, record.tank_id).plan.jobs == ()


def test_all_jobs_at_once_replace_those_before(record: Record) -> None:
    glass = PlannedJob(name="glass", weekday=4, who="helper")
    with record.database.writing() as session:
        care_plans.set_job(session, record.tank_id, OUTLET)
        before = tanks.revision(session, record.tank_id)
        care_plans.set_jobs(session, record.tank_id, (glass, PlannedJob(name="trim")))
        assert tanks.tank(session, record.tank_id).plan.jobs == (glass,)
        assert tanks.revision(session, record.tank_id) == before + 1
        with pytest.raises(Refused, match="once"):
            care_plans.set_jobs(session, record.tank_id, (glass, glass))
        with pytest.raises(NotFound):
            care_plans.set_job(session, 99, glass)


@pytest.mark.parametrize("days", [1, 730])
def test_the_ends_of_the_span_are_allowed(record: Record, days: int) -> None:
    with record.database.writing() as session:
        care_plans.set_job(session, record.tank_id, PlannedJob(name="siphon", every_days=days))


@pytest.mark.parametrize(
    ("job", "why"),
    [
        (PlannedJob(name="dance", every_days=3), "job of the plan"),
        (PlannedJob(name="siphon", every_days=0), "1 to 730"),
        (PlannedJob(name="siphon", every_days=731), "1 to 730"),
        (PlannedJob(name="siphon", weekday=7), "Monday to Sunday"),
        (PlannedJob(name="siphon", who="cat"), "who"),
    ],
)
def test_a_planned_job_that_cannot_be_is_refused(record: Record, job: PlannedJob, why: str) -> None:
    with record.database.writing() as session, pytest.raises(Refused, match=why):
        care_plans.set_job(session, record.tank_id, job)
