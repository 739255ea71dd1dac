"""The import page: choose a file, say what it does not say itself, look, then save."""

from dataclasses import dataclass
from datetime import timedelta

from flask import flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_wtf.file import FileField
from wtforms import SelectField, StringField

from app.domain.errors import Refused
from app.domain.logger_file import LoggerPreview, read_logger
from app.domain.logger_table import ColumnChoice
from app.domain.tank import Site, Tank
from app.domain.wording import count, degrees, duration
from app.services import sites, tanks
from app.services.exchange import loggers
from app.services.exchange.loggers import Standing
from app.web.exchange import bp
from app.web.exchange.span import span_lines
from app.web.fields import ChoiceField
from app.web.handed_in import FileForm, handed_in
from app.web.request import database, now, visitor

MOST_SHOWN = 10


class LoggerForm(FileForm):
    """A logger's file, and what it does not say itself."""

    file = FileField(
        "The logger’s file", description="A CSV file with a date and time in each row."
    )
    unit = ChoiceField(
        "The logger measures in", noun="the unit", default="",
        choices={"": "As the file says", "°C": "°C", "°F": "°F"},
    )  # fmt: skip
    clock = ChoiceField("The logger’s clock runs on", noun="the clock", default="")
    offset = StringField(
        "Fixed offset from UTC", description="Only for “A fixed offset”, such as -05:00."
    )
    dates = ChoiceField(
        "4/5 is", noun="how dates are meant", default="",
        choices={"": "As the file shows", "month": "April 5", "day": "May 4"},
    )  # fmt: skip
    time_column = SelectField("Column of date and time", validate_choice=False)
    value_column = SelectField("Column of the temperature", validate_choice=False)

    def offer(self, site: Site, headings: tuple[str, ...] = ()) -> None:
        """Offer the clocks and the columns."""
        self.clock.choices = {
            "": "As the file says",
            "tank": f"The tank’s clock ({site.zone})",
            "utc": "UTC",
            "fixed": "A fixed offset, the same all year",
        }
        columns = {"": "Found by its heading"} | {h: h for h in headings if h}
        self.time_column.choices = columns
        self.value_column.choices = columns

    def choice(self, site: Site) -> ColumnChoice:
        """What was said about the file."""
        zones = {"tank": site.zone, "utc": "UTC", "fixed": self.text("offset")}
        return ColumnChoice(
            time=self.time_column.data or "",
            value=self.value_column.data or "",
            unit=self.unit.data or "",
            zone=zones.get(self.clock.data or "", ""),
            day_first={"month": False, "day": True}.get(self.dates.data or ""),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportPage:
    """The form, and what the file holds once it was read.

    `new` counts what would be saved, and `different` says that other values stand here; or "".
    """

    tank: Tank
    form: LoggerForm
    preview: LoggerPreview | None
    new: str
    different: str
    findings: tuple[tuple[str, str], ...]
    bad_rows: tuple[tuple[int, str], ...]


@bp.route("/tank/<int:tank_id>/bring-in", methods=["GET", "POST"])
def choose(tank_id: int) -> ResponseReturnValue:
    """Choose a file, look at what it holds, save it."""
    with database().reading() as session:
        tank, site = tanks.tank(session, tank_id), sites.site(session, tank_id)
    form = LoggerForm()
    form.offer(site)
    preview = _preview(form, site) if form.is_submitted() else None
    if preview is not None and request.form.get("save") and preview.is_ready:
        return _save(tank_id, form, preview)
    standing = Standing(0, 0)
    if preview is not None:
        form.offer(site, preview.headings)
        if preview.is_ready:
            with database().reading() as session:
                standing = loggers.standing(session, tank_id, preview)
    fresh = len(preview.readings) - standing.known if preview else 0
    page = ImportPage(
        tank=tank,
        form=form,
        preview=preview,
        new=count(fresh, "reading", "readings") if fresh else "",
        different=_different(standing),
        findings=_findings(preview, standing, tank, site) if preview else (),
        bad_rows=_bad_rows(preview) if preview else (),
    )
    asked = form.is_submitted() and (preview is None or not preview.is_ready)
    return render_template("exchange/choose.html", page=page), 422 if asked else 200


def _preview(form: LoggerForm, site: Site) -> LoggerPreview | None:
    form.validate()
    content = handed_in(form)  # kept also where another field asks
    if form.clock.data == "fixed" and not form.text("offset"):
        form.complain("offset", "Enter the offset, such as -05:00.")
    if content is None or form.errors:
        return None
    try:
        return read_logger(content, form.choice(site), now=now())
    except Refused as refused:
        form.complain("file", str(refused))
        return None


def _save(tank_id: int, form: LoggerForm, preview: LoggerPreview) -> ResponseReturnValue:
    with database().writing() as session:
        done = loggers.import_logger(
            session,
            tank_id,
            preview,
            file_name=form.file_name.data or "",
            author_id=visitor().author_id,
            now=now(),
        )
    said = f"{count(done.added, 'reading', 'readings')} saved"
    if done.standing.known:
        said += f", {done.standing.known} stood here already"
    if done.standing.different:
        said += f", {done.standing.different} of them with another value, which stays"
    flash(f"{said}.", "saved")
    return redirect(url_for("today.today", tank_id=tank_id), 303)


def _different(standing: Standing) -> str:
    if not standing.different:
        return ""
    said = count(standing.different, "of these moments has", "of these moments have")
    return f"{said} another value here."


def _bad_rows(preview: LoggerPreview) -> tuple[tuple[int, str], ...]:
    return tuple((bad.line, bad.reason) for bad in preview.bad_rows[:MOST_SHOWN])


def _findings(
    preview: LoggerPreview, standing: Standing, tank: Tank, site: Site
) -> tuple[tuple[str, str], ...]:
    lines = [("Rows", str(preview.rows)), ("Bad rows", str(preview.bad_count))]
    if preview.blanks:
        lines.append(("Rows without a value", str(preview.blanks)))
    if preview.doubles:
        lines.append(("Rows that say the same again", str(preview.doubles)))
    if standing.known:
        lines.append(("Stand here already", count(standing.known, "reading", "readings")))
    if preview.readings:
        first, last = preview.readings[0].at, preview.readings[-1].at
        lines += [
            *span_lines(first, last, tank, site),
            ("Lowest", degrees(site, preview.lowest)),
            ("Mean", degrees(site, preview.mean)),
            ("Highest", degrees(site, preview.highest)),
        ]
    longest = preview.longest_gap
    if longest is not None:
        length: timedelta = longest.length
        lines.append(("Gaps", f"{len(preview.gaps)}, the longest {duration(length)}"))
    return tuple(lines)
