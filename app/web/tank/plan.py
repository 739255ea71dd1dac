"""The care plan: food, and every job with its days, its weekday and who does it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Self

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from wtforms import SelectField, SelectMultipleField
from wtforms.widgets import CheckboxInput

from app.domain.tank import CarePlan, PlannedJob, Tank
from app.services import care_plans, tanks
from app.services.care_plans import LONGEST_DAYS, Usual
from app.services.transaction import one_transaction
from app.web.fields import WEEKDAYS, NumberField, PageForm, plain, with_fields
from app.web.request import database
from app.web.tank import bp

WHO = {
    "": "Anybody",
    "adult": "A grown-up",
    "helper": "A helper",
    "technician": "A technician",
}
_BASICS = ("portion_scoops", "water_change_days", "water_change_percent", "test_days",
           "filter_rinse_days")  # fmt: skip


def _days(label: str, noun: str, high: int) -> NumberField:
    return NumberField(label, noun=noun, low=1, high=high, whole=True, required=True)


class PlanForm(PageForm):
    """What is planned, and how often; the fields of the jobs come from `plan_form`."""

    feed_weekdays = SelectMultipleField(
        "Food on", choices=WEEKDAYS, option_widget=CheckboxInput(),
        description="A day without food a week does grown fish no harm.",
    )  # fmt: skip
    portion_scoops = NumberField(
        "One meal", noun="the scoops of one meal", low=0.1, high=50, required=True
    )
    water_change_days = _days("Water change every", "the days between water changes", 60)
    water_change_percent = NumberField(
        "Share of the water", noun="the share in percent", low=1, high=100, required=True
    )
    test_days = _days("Water test every", "the days between tests", 60)
    filter_rinse_days = _days("Filter rinse every", "the days between filter rinses", 365)

    @classmethod
    def at(cls, plan: CarePlan) -> Self:
        """The form with the plan as it stands."""
        data: dict[str, Any] = {name: plain(getattr(plan, name)) for name in _BASICS}
        data["feed_weekdays"] = [str(d) for d in sorted(plan.feed_weekdays)]
        for job in plan.jobs:
            data[days_name(job.name)] = plain(job.every_days)
            data[weekday_name(job.name)] = "" if job.weekday is None else str(job.weekday)
            data[who_name(job.name)] = job.who
        return cls(data=data)

    def plan(self) -> CarePlan:
        """The basics of the plan; validate the form first."""
        return CarePlan(
            feed_weekdays=frozenset(int(d) for d in self.feed_weekdays.data or ()),
            portion_scoops=self.portion_scoops.number or 1.0,
            water_change_days=int(self.water_change_days.number or 1),
            water_change_percent=self.water_change_percent.number or 1.0,
            test_days=int(self.test_days.number or 1),
            filter_rinse_days=int(self.filter_rinse_days.number or 1),
        )

    def jobs(self, usual: Sequence[Usual]) -> tuple[PlannedJob, ...]:
        """What is planned of each job; what was left empty stays with the usual."""
        return tuple(self._job(each.name) for each in usual)

    def _job(self, name: str) -> PlannedJob:
        days = self[days_name(name)].number if days_name(name) in self else None
        weekday = self[weekday_name(name)].data if weekday_name(name) in self else ""
        return PlannedJob(
            name=name,
            every_days=None if days is None else int(days),
            weekday=int(weekday) if weekday else None,
            who=self[who_name(name)].data or "",
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRow:
    """One job of the page: its words, the fields it has ("" for none), what holds when empty."""

    title: str
    days: str
    weekday: str
    who: str
    usual: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPage:
    """The plan of one tank. `basics`: what is usual for the numbers every tank has."""

    tank: Tank
    form: Any
    basics: dict[str, str]
    rows: tuple[JobRow, ...]


def days_name(job: str) -> str:
    """The name of the field for the days of a job."""
    return f"{job}_every"


def weekday_name(job: str) -> str:
    """The name of the field for the weekday of a job."""
    return f"{job}_weekday"


def who_name(job: str) -> str:
    """The name of the field for who does a job."""
    return f"{job}_who"


def plan_form(usual: Sequence[Usual]) -> Any:
    """The form class with the fields of every job."""
    fields: dict[str, Any] = {}
    for each in usual:
        title = each.title
        if each.days is not None:
            fields[days_name(each.name)] = NumberField(
                "Every", noun=f"the days of “{title}”", low=1, high=LONGEST_DAYS, whole=True,
            )  # fmt: skip
        if each.has_weekday:
            day_choices = {"": "Any day"} | WEEKDAYS
            fields[weekday_name(each.name)] = SelectField("Day", choices=day_choices)
        fields[who_name(each.name)] = SelectField("Who", choices=WHO)
    return with_fields(PlanForm, "TankPlanForm", fields)


@bp.route("/tank/<int:tank_id>/plan", methods=["GET", "POST"])
def plan(tank_id: int) -> ResponseReturnValue:
    """Show or change the care plan."""
    with database().reading() as session:
        tank = tanks.tank(session, tank_id)
    usual = care_plans.usual_jobs(tank)
    form = plan_form(usual).at(tank.plan)
    if form.validate_on_submit():
        with database().writing() as session, one_transaction(session):
            care_plans.set_plan(session, tank_id, form.plan())
            care_plans.set_jobs(session, tank_id, form.jobs(usual))
        flash("The plan is saved.", "saved")
        return redirect(url_for("tank.water", tank_id=tank_id), 303)
    page = PlanPage(
        tank=tank,
        form=form,
        basics=care_plans.usual_basics(),
        rows=tuple(_row(each) for each in usual),
    )
    return render_template("tank/plan.html", page=page), 422 if form.is_submitted() else 200


def _row(usual: Usual) -> JobRow:
    return JobRow(
        title=usual.title,
        days=days_name(usual.name) if usual.days is not None else "",
        weekday=weekday_name(usual.name) if usual.has_weekday else "",
        who=who_name(usual.name),
        usual=usual.words,
        source=usual.source,
    )
