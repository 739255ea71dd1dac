"""Other jobs, and what happens to the animals: each with its caution at the step."""

from dataclasses import dataclass
from typing import Any, Self

from flask import redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from wtforms import SelectField, TextAreaField
from wtforms.validators import Length

from app.domain.drafts import NewJob, NewStockEvent
from app.domain.entry_words import JOB_WORDS
from app.domain.errors import Refused
from app.domain.records import JobKind, Rinse, StockEventKind, Treated
from app.knowledge.model import Caution
from app.services import words
from app.services.story import StoryLine
from app.web.fields import ChoiceField, NumberField
from app.web.writing import bp
from app.web.writing.choose import Door, doors_for
from app.web.writing.desk import Desk, at_desk
from app.web.writing.look import LONGEST_NOTE, MOST_ANIMALS
from app.web.writing.saving import put_down, shown
from app.web.writing.sheet import WritingForm

ADULT_JOBS = frozenset({JobKind.TREATMENT, JobKind.EQUIPMENT_CHECK})
_OWN_PAGE = frozenset({JobKind.WATER_CHANGE, JobKind.TOP_UP})
JOBS = tuple(kind for kind in JobKind if kind not in _OWN_PAGE)
_CAUTIONS: dict[JobKind, tuple[str, ...]] = {
    JobKind.FILTER_RINSE: ("filter", "hands"),
    JobKind.GLASS: ("hands", "electricity"),
    JobKind.SIPHON: ("siphon", "hands"),
    JobKind.TRIM: ("hands", "leaving"),
    JobKind.EQUIPMENT_CHECK: ("electricity", "heater"),
    JobKind.TREATMENT: ("treatment",),
    JobKind.CONDITIONER: ("untreated_water",),
    JobKind.LEFTOVERS: ("hands",),
    JobKind.LIGHT_TIMER: ("electricity",),
    JobKind.OTHER: ("hands", "electricity"),
}
_RINSES = {
    Rinse.TANK.value: "Tank water",
    Rinse.TREATED.value: "Tap water with conditioner",
    Rinse.TAP.value: "Tap water, untreated",
}
_HAPPENINGS = {
    StockEventKind.ARRIVED.value: "They came",
    StockEventKind.BORN.value: "They were born here",
    StockEventKind.DIED.value: "Found dead",
    StockEventKind.MISSING.value: "Missing for good",
    StockEventKind.FOUND.value: "Found again",
    StockEventKind.LEFT.value: "Went to a new home",
    StockEventKind.RECOUNTED.value: "Counted anew: so many are there",
}


def _note() -> TextAreaField:
    return TextAreaField(
        "Note", [Length(max=LONGEST_NOTE, message=f"Use {LONGEST_NOTE} letters at most.")]
    )


class JobForm(WritingForm):
    """A job that has no page of its own."""

    job = SelectField("Which job")
    rinse = ChoiceField(
        "In what did you rinse?", noun="in what you rinsed", choices=_RINSES, validate_choice=False
    )
    note = _note()

    @classmethod
    def at(cls, desk: Desk, line: StoryLine | None = None) -> Self:
        """The form for this tank, empty or with what an entry says."""
        wanted = request.args.get("job", "") if line is None else line.detail.job
        data = {"job": wanted}
        if line is not None:
            data |= {"rinse": line.detail.rinse, "note": line.detail.note}
        form = cls(data=data)
        form.job.choices = {j.value: JOB_WORDS[j] for j in open_jobs(desk)}
        desk.ready(form, line)
        return form

    @property
    def kind(self) -> JobKind | None:
        """The chosen job, or None."""
        return JobKind(self.job.data) if self.job.data in set(JobKind) else None

    def validate(self, extra_validators: Any = None) -> bool:
        """Check the fields; only a rinse asks in what."""
        valid = bool(super().validate(extra_validators))
        if self.kind is not JobKind.FILTER_RINSE:
            self.rinse.errors = []
            return not self.errors
        return valid

    def draft(self, desk: Desk) -> NewJob | None:  # noqa: ARG002  # a job needs no more
        """The job, or None when none was chosen."""
        kind = self.kind
        if kind is None or self.errors:
            return None
        rinsed = kind is JobKind.FILTER_RINSE
        return NewJob(
            job=kind,
            rinse=Rinse(self.rinse.data) if rinsed else None,
            treated=Treated.YES if kind is JobKind.CONDITIONER else None,
            note=self.text("note"),
        )


class AnimalsForm(WritingForm):
    """A change in a group of animals: an adult's entry."""

    group = ChoiceField("Which animals", noun="which animals")
    what = ChoiceField("What happened", noun="what happened", choices=_HAPPENINGS)
    count = NumberField(
        "How many", noun="how many", low=0, high=MOST_ANIMALS, whole=True, required=True
    )
    note = _note()

    @classmethod
    def at(cls, desk: Desk, line: StoryLine | None = None) -> Self:
        """The form for this tank, empty or with what an entry says."""
        data: dict[str, Any] = {}
        if line is not None:
            detail = line.detail
            data = {
                "group": str(detail.group_id),
                "what": detail.what,
                "count": str(detail.count),
                "note": detail.note,
            }
        form = cls(data=data)
        form.group.choices = {str(g.id): g.name for g in desk.snapshot.groups}
        desk.ready(form, line)
        return form

    def draft(self, desk: Desk) -> NewStockEvent | None:  # noqa: ARG002  # the form says it all
        """What happened, or None with a sentence beside the field."""
        if self.errors or self.count.number is None:
            return None
        what, count = StockEventKind(self.what.data), int(self.count.number)
        if count == 0 and what is not StockEventKind.RECOUNTED:
            self.complain("count", "Enter how many, at least 1.")
            return None
        return NewStockEvent(
            what=what,
            group_id=int(self.group.data),
            count=count,
            note=self.text("note"),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class JobPage:
    """What the pages show; without a chosen job, the list of jobs."""

    desk: Desk
    form: Any
    doors: tuple[Door, ...]
    jobs: tuple[JobKind, ...]
    cautions: tuple[Caution, ...]


def open_jobs(desk: Desk) -> tuple[JobKind, ...]:
    """The jobs that this visitor may write down."""
    return tuple(j for j in JOBS if desk.visitor.is_adult or j not in ADULT_JOBS)


def cautions_for(kind: JobKind | None) -> tuple[Caution, ...]:
    """What to know before this job."""
    return words.cautions(_CAUTIONS.get(kind, ())) if kind else ()


def adults_only(desk: Desk) -> None:
    """Leave this page to adults.

    Raises:
        Refused: On a browser that is in the hands of helpers.
    """
    if not desk.visitor.is_adult:
        raise Refused("The grown-up in charge writes this down. Tell them what you saw.")


@bp.route("/tank/<int:tank_id>/job", methods=["GET", "POST"])
def job(tank_id: int) -> ResponseReturnValue:
    """Write a job down; the address may name it."""
    desk = at_desk(tank_id)
    form = JobForm.at(desk)
    if form.kind in _OWN_PAGE:
        return redirect(url_for("writing.change", tank_id=tank_id, job=form.job.data), 303)
    if form.kind in ADULT_JOBS:
        adults_only(desk)
    if form.is_submitted() and (sheet := form.sheet(desk)):
        return put_down(desk, form, sheet)
    page = JobPage(
        desk=desk,
        form=form,
        doors=doors_for(tank_id),
        jobs=open_jobs(desk),
        cautions=cautions_for(form.kind),
    )
    template = "writing/job.html" if form.kind else "writing/jobs.html"
    return render_template(template, page=page, job_words=JOB_WORDS), shown(form)


@bp.route("/tank/<int:tank_id>/animals-entry", methods=["GET", "POST"])
def animals(tank_id: int) -> ResponseReturnValue:
    """Animals came, died, were found or left: for adults."""
    desk = at_desk(tank_id)
    adults_only(desk)
    form = AnimalsForm.at(desk)
    if form.is_submitted() and (sheet := form.sheet(desk)):
        return put_down(desk, form, sheet)
    page = JobPage(
        desk=desk,
        form=form,
        doors=doors_for(tank_id),
        jobs=(),
        cautions=words.cautions(("dead_fish", "leaving", "hands")),
    )
    return render_template("writing/animals.html", page=page), shown(form)
