"""Take the data of all tanks with you, and open data over many tanks."""

from flask import render_template, url_for
from flask.typing import ResponseReturnValue

from app.services.exchange import open_data, outgoing
from app.web.exchange import bp
from app.web.exchange.answers import csv_file, made_file
from app.web.exchange.pages import FileDoor, WholePage
from app.web.exchange.taking import FILES, WRITERS
from app.web.request import database, now, settings, visitor
from app.web.rights import may_save

_BACKUP = FileDoor(
    "", "Backup",
    "The whole record as one file, nicknames and passphrases too. Keep it as private as the "
    "record. Put it back with: sillpond restore FILE",
    "Make a backup",
)  # fmt: skip


@bp.get("/take-along")
def whole() -> ResponseReturnValue:
    """What can be taken along of the whole record."""
    page = WholePage(
        files=_files(),
        least_tanks=open_data.least_tanks(),
        open_url=url_for("exchange.open_csv"),
    )
    return render_template("exchange/whole.html", page=page)


def _files() -> tuple[FileDoor, ...]:
    if not may_save("exchange.whole_file"):
        return ()
    doors = dict(FILES)
    if not settings().database_url:
        doors["backup"] = _BACKUP
    return tuple(
        FileDoor(
            url_for("exchange.whole_file", what=what),
            door.title, door.text.replace("about this tank", "about all tanks"), door.button,
        )
        for what, door in doors.items()
    )  # fmt: skip


@bp.post("/take-along/<any(package, archive, backup):what>")
def whole_file(what: str) -> ResponseReturnValue:
    """A file with the whole record, made now."""
    moment = now()
    if what == "backup":
        return made_file(
            f"sillpond-backup-{moment.date()}.sqlite",
            visitor().person_id,
            lambda target: outgoing.backup(settings(), target, now=moment),
        )
    with database().without_tile_names.reading() as session:
        return made_file(
            f"sillpond-{what}-{moment.date()}.zip",
            visitor().person_id,
            lambda target: WRITERS[what](session, target, now=moment),
        )


@bp.get("/take-along/open-data.csv")
def open_csv() -> ResponseReturnValue:
    """Figures by month over many tanks, of those that whoever asks may see."""
    with database().reading() as session:
        found = open_data.figures(session, visitor().tank_ids)
    return csv_file("open-data.csv", open_data.open_csv(found))
