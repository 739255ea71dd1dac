"""Two tanks, or two stretches of one, on one chart."""

from dataclasses import dataclass
from datetime import date, timedelta

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue
from markupsafe import Markup
from wtforms import SelectField
from wtforms.validators import Optional

from app.domain.errors import Refused
from app.domain.quantities import FACTS, Quantity
from app.domain.series import Laid
from app.services import comparing, tanks, tasks, trends
from app.services.comparing import Compared, Wanted
from app.web.charts import bp
from app.web.fields import ChoiceField, DayField, PageForm
from app.web.request import database, now, own_tank, show_state, visitor

DAYS = {"7": "7 days", "30": "30 days", "90": "90 days", "365": "a year"}
_LAID = {
    Laid.DATE.value: "By the calendar: the same days of both",
    Laid.AGE.value: "By the age of the tanks: the same day after each was started",
    Laid.START.value: "From the first day of each",
}


class CompareForm(PageForm):
    """What to lay over what; read from the address, so that a link shows the same chart."""

    class Meta:
        """A form that changes nothing needs no token against foreign pages."""

        csrf = False

    what = SelectField("Which reading", choices={q.value: FACTS[q].label for q in Quantity})
    other = SelectField("Lay over it", validate_choice=False)
    days = ChoiceField("How long", noun="how long", choices=DAYS, default="30")
    first_on = DayField("First day", [Optional()])
    laid = ChoiceField("How", noun="how", choices=_LAID, default=Laid.DATE.value)
    second_on = DayField(
        "First day of the other", [Optional()],
        description="Only for “From the first day of each”.",
    )  # fmt: skip

    def wanted(self, tank_id: int, own: dict[str, str]) -> Wanted | None:
        """What was asked for, or None with sentences beside the fields."""
        self.validate()
        if self.other.data not in own:
            self.complain("other", "Choose a tank.")
        if self.first_on.data is None and not self.first_on.errors:
            self.complain("first_on", "Choose the first day.")
        if self.errors or self.first_on.data is None:
            return None
        return Wanted(
            quantity=Quantity(self.what.data),
            first_tank=tank_id,
            second_tank=int(self.other.data),
            days=int(self.days.data),
            laid=Laid(self.laid.data),
            first_on=self.first_on.data,
            second_on=self.second_on.data,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparePage:
    """The form, and the chart once it was asked for."""

    tank_id: int
    form: CompareForm
    made: Compared | None
    name: str
    back_url: str


@bp.get("/tank/<int:tank_id>/charts/compare")
def compare(tank_id: int) -> ResponseReturnValue:
    """Ask what to compare; show it where the address says so."""
    asked = "what" in request.args
    with database().reading() as session:
        snapshot, seen = tasks.look(session, [tank_id], now=now(), pupils=not visitor().is_adult)[
            tank_id
        ]
        show_state(seen)
        lines = (*tanks.tank_lines(session, visitor().tank_ids),
                 *tanks.closed_lines(session, visitor().tank_ids))  # fmt: skip
        own = {str(line.id): line.name for line in lines}
        measured = trends.measured(session, tank_id)
        form = _form(tank_id, own, measured, snapshot.today)
        wanted = form.wanted(tank_id, own) if asked else None
        made: Compared | None = None
        if wanted is not None:
            try:
                own_tank(wanted.second_tank)
                made = comparing.compare(session, wanted, now=now())
            except Refused as refused:
                form.form_errors.append(str(refused))
    page = ComparePage(
        tank_id=tank_id,
        form=form,
        made=made,
        name=FACTS[wanted.quantity].label if wanted else "",
        back_url=url_for("charts.start", tank_id=tank_id),
    )
    svg = Markup(made.svg) if made else ""  # noqa: S704  # drawn and cleaned by the charts
    status = 422 if asked and made is None else 200
    return render_template("charts/compare.html", page=page, svg=svg), status


def _form(
    tank_id: int, own: dict[str, str], measured: tuple[Quantity, ...], today: date
) -> CompareForm:
    """The form as the address fills it, or with a first proposal."""
    others = [number for number in own if number != str(tank_id)]
    first = {
        "what": (measured or (Quantity.TEMPERATURE,))[0].value,
        "other": (others or [str(tank_id)])[0],
        "laid": (Laid.DATE if others else Laid.START).value,
        "first_on": today - timedelta(days=30),
        "second_on": None if others else today - timedelta(days=60),
    }
    form = CompareForm(formdata=request.args if "what" in request.args else None, data=first)
    form.other.choices = own
    return form
