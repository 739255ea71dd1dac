"""`import`: take in the file of a logger."""

from pathlib import Path

import click

from app.cli import frame
from app.cli.due import tank_named
from app.domain.errors import Refused
from app.domain.logger_file import ColumnChoice, LoggerPreview, read_logger
from app.services import sites
from app.services.exchange import loggers
from app.services.exchange.loggers import Imported

_SHOWN = 8


@click.command(name="import")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--tank", "name", help="The tank, by its name; the only one needs none.")
@click.option("--column", help="The column with the temperature, by its heading.")
@click.option("--time-column", help="The column with date and time.")
@click.option("--hour-column", help="The column with the hour, where it stands apart.")
@click.option("--unit", type=click.Choice(["C", "F"], case_sensitive=False), help="°C or °F.")
@click.option("--zone", help="The logger's clock: a zone name, or an offset as -05:00.")
@click.option(
    "--dates",
    type=click.Choice(["month-first", "day-first"]),
    help="How 4/5/2027 is meant, where the file does not tell.",
)
@click.option("--dry-run", is_flag=True, help="Say what the file holds, and save nothing.")
def import_file(file: Path, name: str | None, dry_run: bool, **said: str | None) -> None:
    """Take in the readings of a temperature logger from a CSV file.

    All of the file is saved, or nothing. The same file twice adds nothing.
    """
    choice = _choice(said)
    with frame.record() as desk:
        with desk.database.reading() as session:
            tank_id = tank_named(session, name)
            own_zone = sites.without_days(session, tank_id).zone
        with frame.progress_bar("Reading") as show:
            preview = read_logger(loggers.content_of(file), choice, now=desk.now, progress=show)
        _show(preview, own_zone)
        if dry_run:
            return
        with desk.database.writing() as session, frame.progress_bar("Saving") as show:
            done = loggers.import_logger(
                session, tank_id, preview, file_name=file.name, now=desk.now, progress=show
            )
    click.echo(_said(done))


def _choice(said: dict[str, str | None]) -> ColumnChoice:
    dates = said["dates"]
    return ColumnChoice(
        value=said["column"] or "",
        time=said["time_column"] or "",
        hour=said["hour_column"] or "",
        unit=f"°{said['unit'].upper()}" if said["unit"] else "",
        zone=said["zone"] or "",
        day_first=None if dates is None else dates == "day-first",
    )


def _show(preview: LoggerPreview, own_zone: str) -> None:
    """Print what the file holds.

    Raises:
        Refused: If something has to be said first, or a row cannot be read.
    """
    if preview.questions:
        first = preview.questions[0]
        there = f" The file has: {', '.join(first.options)}." if first.options else ""
        option = _OPTIONS[first.about].format(zone=own_zone)
        raise Refused(f"{first.text} Say it with {option}.{there}")
    if preview.readings:
        for line in _summary(preview):
            click.echo(line)
    for bad in preview.bad_rows[:_SHOWN]:
        click.echo(f"  line {bad.line}: {bad.reason}", err=True)
    if preview.bad_count:
        rows = "1 row" if preview.bad_count == 1 else f"{preview.bad_count} rows"
        raise Refused(f"{rows} cannot be read. Nothing was saved.")
    if not preview.readings:
        raise Refused("The file holds no reading.")


def _summary(preview: LoggerPreview) -> list[str]:
    first, last = (f"{r.at:%Y-%m-%d %H:%M}" for r in (preview.readings[0], preview.readings[-1]))
    lines = [
        f"{preview.time_heading}, {preview.value_heading} ({preview.unit})",
        f"{len(preview.readings)} readings from {first} to {last} UTC",
        f"{preview.lowest:.1f} to {preview.highest:.1f} °C, mean {preview.mean:.1f} °C",
    ]
    longest = preview.longest_gap
    if longest is not None:
        hours = longest.length.total_seconds() / 3600
        lines.append(
            f"{len(preview.gaps)} gaps, the longest {hours:g} h from {longest.start:%Y-%m-%d %H:%M}"
        )
    if preview.doubles:
        lines.append(f"{preview.doubles} rows say the same again and are left out")
    if preview.blanks:
        lines.append(f"{preview.blanks} rows hold no value")
    return lines


_OPTIONS = {
    "time": "--time-column",
    "value": "--column",
    "unit": "--unit C or --unit F",
    "zone": "--zone, such as --zone {zone} or --zone=-05:00",
    "dates": "--dates month-first or --dates day-first",
}


def _said(done: Imported) -> str:
    there = done.standing
    known = f"; {there.known} were there already" if there.known else ""
    said = (
        f"{done.added} readings were saved{known}." if done.added else "Nothing new in this file."
    )
    if there.different:
        said += (
            f" At {there.different} moments another value stands, and stays. If the clock or the "
            "unit was wrong before, take that import back in the Story first."
        )
    return said
