"""Take the data with you: measurements, data package and archive of one tank."""

from datetime import timedelta
from typing import Any

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue
from wtforms import Form, SelectField
from wtforms.validators import Optional

from app.domain.calendar import local_day
from app.domain.errors import NotFound, Refused
from app.domain.quantities import FACTS, Quantity
from app.services import entries, tanks
from app.services.exchange import archive, health, measurements, package, stretch
from app.services.exchange.stretch import Stretch
from app.web.exchange import bp
from app.web.exchange.answers import csv_file, made_file
from app.web.exchange.pages import FileDoor, TakePage
from app.web.fields import DayField
from app.web.request import database, now, visitor
from app.web.rights import may_open, may_save

FILES = {
    "package": FileDoor(
        "", "Data package",
        "Everything that is written about this tank, as tables: entries with their corrections, "
        "readings, kits, animals, photos. It can become a record again.",
        "Make the package",
    ),
    "archive": FileDoor(
        "", "Archive",
        "The story, tables and charts as pages that open without this program, with the "
        "measurements and the data package inside.",
        "Make the archive",
    ),
}  # fmt: skip
WRITERS = {"package": package.write, "archive": archive.write}


class StretchForm(Form):
    """Which measurements; it stands in the address."""

    quantity = SelectField(
        "Reading",
        choices={"": "All"} | {q.value: FACTS[q].label for q in Quantity},
        validate_choice=False,
    )
    first = DayField("From", [Optional()], description="Empty: from the beginning.")
    last = DayField("Until", [Optional()], description="Empty: until now.")

    def stretch(self, zone: str) -> Stretch | None:
        """What was asked for; None where a field says what is wrong with it."""
        if not self.validate():
            return None
        known = {q.value: q for q in Quantity}
        try:
            return stretch.days(
                zone,
                first=self.first.data,
                last=self.last.data,
                quantity=known.get(self.quantity.data or ""),
            )
        except Refused as refused:
            self.last.errors = [*self.last.errors, str(refused)]
            return None


@bp.get("/tank/<int:tank_id>/take-along")
def take(tank_id: int) -> ResponseReturnValue:
    """What can be taken along of a tank, and how whole its readings are."""
    with database().reading() as session:
        tank = tanks.tank(session, tank_id)
        zone = entries.zone_of(session, tank_id)
        form = StretchForm(request.args)
        if not request.args:
            back = timedelta(days=health.usual_days() - 1)
            form.first.data = local_day(now(), zone) - back
        asked = form.stretch(zone) if request.args else _since(form, zone)
        found = None if asked is None else health.notes(session, tank_id, asked)
    page = TakePage(
        tank=tank,
        form=form,
        notes=None if found is None else tuple((note.label, note.text) for note in found),
        csv_url=url_for("exchange.measurements", tank_id=tank_id, **_args(form)),
        files=_files(tank_id),
        whole_url=url_for("exchange.whole") if may_open("exchange.whole") else "",
    )
    return render_template("exchange/take.html", page=page), 422 if found is None else 200


def _since(form: StretchForm, zone: str) -> Stretch:
    return stretch.days(zone, first=form.first.data, last=None)


def _args(form: StretchForm) -> dict[str, Any]:
    days = {name: form[name].data for name in ("first", "last") if form[name].data}
    texts = {name: day.isoformat() for name, day in days.items()}
    return texts | ({"quantity": form.quantity.data} if form.quantity.data else {})


def _files(tank_id: int) -> tuple[FileDoor, ...]:
    if not may_save("exchange.tank_file"):
        return ()
    return tuple(
        FileDoor(
            url_for("exchange.tank_file", tank_id=tank_id, what=what),
            door.title, door.text, door.button,
        )
        for what, door in FILES.items()
    )  # fmt: skip


@bp.get("/tank/<int:tank_id>/measurements.csv", endpoint="measurements")
def measurements_csv(tank_id: int) -> ResponseReturnValue:
    """Measurements of a tank, all or those that the address asks for; of a closed tank too."""
    with database().reading() as session:
        zone = entries.zone_of(session, tank_id)
        asked = StretchForm(request.args).stretch(zone)
        if asked is None:
            raise NotFound("There are no such days. Open the page and choose them again.")
        lines = measurements.export_csv(session, tank_id, asked)
        return csv_file(f"measurements-{tank_id}.csv", lines)


@bp.get("/tank/<int:tank_id>/health-note.csv")
def health_csv(tank_id: int) -> ResponseReturnValue:
    """How whole all readings of a tank are."""
    with database().reading() as session:
        found = health.notes(session, tank_id, stretch.ALL)
    return csv_file(f"health-note-{tank_id}.csv", health.notes_csv(found))


@bp.get("/codebook.csv")
def codebook() -> ResponseReturnValue:
    """What the columns of the measurements mean."""
    return csv_file("codebook.csv", measurements.codebook_csv())


@bp.post("/tank/<int:tank_id>/take-along/<any(package, archive):what>")
def tank_file(tank_id: int, what: str) -> ResponseReturnValue:
    """A file with everything of one tank, made now."""
    moment = now()
    with database().without_tile_names.reading() as session:
        return made_file(
            f"tank-{tank_id}-{what}-{moment.date()}.zip",
            visitor().person_id,
            lambda target: WRITERS[what](session, target, tank_id=tank_id, now=moment),
        )
