"""Other jobs, each with its caution at the step."""

from dataclasses import dataclass
from typing import Any, Self

from flask import redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from wtforms import SelectField, TextAreaField
from wtforms.validators import Length

from app.domain.drafts import LONGEST_NOTE, NewJob
from app.domain.entry_words import JOB_WORDS
from app.domain.errors import Refused
from app.domain.records import JobKind, Rinse, Treated
from app.knowledge.model import Caution
from app.services import words
from app.services.story import StoryLine
from app.web.fields import ChoiceField, NumberField, plain
from app.web.writing import bp
from app.web.writing.choose import Door, doors_for
from app.web.writing.desk import Desk, at_desk
from app.web.writing.saving import put_down, shown
from app.web.writing.shared import SharedForm
from app.web.writing.sheet import WritingForm

_OWN_PAGE = frozenset({JobKind.WATER_CHANGE, JobKind.TOP_UP})
# written down where they are asked for: starting, maturing, closing, plants
_ASKED_ELSEWHERE = frozenset(
    {JobKind.AMMONIA_ADDED, JobKind.STEP, JobKind.PLANTED, JobKind.PLANT_REMOVED}
)
ADULT_JOBS = _ASKED_ELSEWHERE | {
    JobKind.TREATMENT,
    JobKind.CARBON,
    JobKind.MEDIA_REPLACED,
    JobKind.EQUIPMENT_CHECK,
    JobKind.OUTLET_TEST,
    JobKind.DEEP_CHECK,
    JobKind.STOCK_REVIEW,
}
JOBS = tuple(kind for kind in JobKind if kind not in _OWN_PAGE | _ASKED_ELSEWHERE)
_CAUTIONS: dict[JobKind, tuple[str, ...]] = {
    JobKind.FILTER_RINSE: ("filter", "hands"),
    JobKind.GLASS: ("hands", "electricity"),
    JobKind.SIPHON: ("siphon", "hands"),
    JobKind.TRIM: ("hands", "leaving"),
    JobKind.EQUIPMENT_CHECK: ("electricity", "heater"),
    JobKind.OUTLET_TEST: ("electricity",),
    JobKind.DEEP_CHECK: ("electricity", "hands"),
    JobKind.MEDIA_REPLACED: ("filter", "hands"),
    JobKind.CARBON: ("filter", "hands"),
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
# jobs that may weigh fresh plants
WEIGHED = frozenset({JobKind.TRIM, JobKind.PLANTED, JobKind.PLANT_REMOVED})
# as text, the share of the media that was replaced
_SHARES = {"0.25": "A quarter or less", "0.33": "A third", "0.5": "Half", "1": "All of it"}


def _note() -> TextAreaField:
    return TextAreaField(
        "Note", [Length(max=LONGEST_NOTE, message=f"Use {LONGEST_NOTE} letters at most.")]
    )


class JobForm(WritingForm, SharedForm):
    """A job that has no page of its own."""

    job = SelectField("Which job")
    rinse = ChoiceField(
        "In what did you rinse?", noun="in what you rinsed", choices=_RINSES, validate_choice=False
    )
    media = ChoiceField(
        "How much was replaced?", noun="how much was replaced", choices=_SHARES,
        validate_choice=False, description="The helpful bacteria live in it.",
    )  # fmt: skip
    grams = NumberField(
        "Fresh mass", noun="the fresh mass in grams", low=0, high=100_000,
        description="Of plants, shaken, not dried. Leave it empty if you did not weigh them.",
    )  # fmt: skip
    note = _note()

    @classmethod
    def at(cls, desk: Desk, line: StoryLine | None = None) -> Self:
        """The form for this tank, empty or with what an entry says."""
        wanted = request.args.get("job", "") if line is None else line.detail.job
        data = {"job": wanted}
        if line is not None:
            media = plain(line.detail.media_share)
            data |= {"rinse": line.detail.rinse, "media": media, "note": line.detail.note}
            data["grams"] = plain(line.detail.grams)
        form = cls(data=data)
        held = {JobKind(line.detail.job)} if line is not None else set()
        form.job.choices = {j.value: JOB_WORDS[j] for j in (*open_jobs(desk), *held)}
        desk.ready(form, line)
        form.ask_shared(desk, line)
        return form

    @property
    def kind(self) -> JobKind | None:
        """The chosen job, or None."""
        return JobKind(self.job.data) if self.job.data in set(JobKind) else None

    def validate(self, extra_validators: Any = None) -> bool:
        """Check the fields; only a rinse asks in what, and only new media how much."""
        super().validate(extra_validators)
        if self.kind is not JobKind.FILTER_RINSE:
            self.rinse.errors = []
        if self.kind is not JobKind.MEDIA_REPLACED:
            self.media.errors = []
        return not self.errors

    def draft(self, desk: Desk) -> NewJob | None:  # noqa: ARG002  # a job needs no more
        """The job, or None when none was chosen."""
        kind = self.kind
        if kind is None or self.errors:
            return None
        rinsed = kind is JobKind.FILTER_RINSE
        renewed = kind is JobKind.MEDIA_REPLACED
        return NewJob(
            job=kind,
            media_share=float(self.media.data) if renewed else None,
            rinse=Rinse(self.rinse.data) if rinsed else None,
            grams=self.grams.number if kind in WEIGHED else None,
            treated=Treated.YES if kind is JobKind.CONDITIONER else None,
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
