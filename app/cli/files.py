"""`export`, `backup` and `restore`: the record as files."""

from pathlib import Path

import click

from app.cli import frame
from app.cli.due import tank_named
from app.domain.errors import Refused
from app.services.exchange import measurements
from app.services.exchange.measurements import CODEBOOK
from app.services.installation import keeping, restoring
from app.services.installation.keeping import Report

_A_FILE = click.Path(dir_okay=False, path_type=Path)
_LISTED = ("entry", "reading", "tank", "author")

_EXPORT_HELP = "\n\n".join(
    (
        "Write every measurement as one row of a CSV file; - writes to the screen.",
        "The columns:",
        "\b\n" + "\n".join(f"{name:<14}{meaning}" for name, meaning in CODEBOOK),
    )
)


@click.command(help=_EXPORT_HELP)
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path, allow_dash=True))
@click.option("--tank", "name", help="Only this tank, by its name.")
def export(file: Path, name: str | None) -> None:
    """Write every measurement as one row of a CSV file."""
    with frame.record() as desk, desk.database.reading() as session:
        tank_id = None if name is None else tank_named(session, name)
        rows = measurements.export_csv(session, tank_id)
        if str(file) == "-":
            for line in rows:
                click.echo(line, nl=False)
            return
        if file.exists():
            raise Refused(f"{file} is there already. Choose another name.")
        # the mark at the start tells a spreadsheet that this is UTF-8
        with file.open("x", encoding="utf-8-sig", newline="") as target:
            written = sum(1 for line in rows if target.write(line))
    click.echo(f"{file}: {written - 1} measurements")


@click.command()
@click.argument("file", type=_A_FILE)
def backup(file: Path) -> None:
    """Copy the record into one file, also while it is served."""
    settings = frame.plain_settings()
    with frame.progress_bar("Copying") as show:
        report = keeping.back_up(settings, file, now=frame.clock().now(), progress=show)
    click.echo(f"{file}: whole, {_amount(report)}")


@click.command()
@click.argument("file", type=_A_FILE)
def restore(file: Path) -> None:
    """Put a backup in place of the record; what stood there is kept aside."""
    settings = frame.plain_settings()
    keeping.prepare_folder(settings.data_folder)
    with frame.held(settings), frame.progress_bar("Putting back") as show:
        aside = restoring.restore(settings, file, now=frame.clock().now(), progress=show)
    click.echo(f"The record is back: {_amount(keeping.check(settings))}")
    if aside is not None:
        click.echo(f"What stood there before is kept in {aside}")
    click.echo("Browsers have to sign in once more: sillpond serve prints a link.")
    click.echo("Links that were given away and tokens of programs are closed. Make new ones.")


def _amount(report: Report) -> str:
    return f"{report.rows['entry']} entries, {report.rows['reading']} readings"
