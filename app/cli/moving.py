"""`copy-to`: the record moves from its file to a PostgreSQL server."""

import click

from app.cli import frame
from app.domain.errors import Refused
from app.services.installation import keeping, moving, server_record
from app.settings import full_address


@click.command(name="copy-to")
@click.argument("url")
def copy_to(url: str) -> None:
    """Copy the record into an empty PostgreSQL database, all of it or nothing.

    URL is as postgresql://name@host:5432/database; the passphrase may stand in the file of
    passwords of PostgreSQL (.pgpass). The record in the file stays as it is. Serve the copy with
    SILLPOND_DATABASE_URL=URL.
    """
    settings = frame.plain_settings()
    if settings.database_url:
        raise Refused("SILLPOND_DATABASE_URL is set: the record is on a PostgreSQL server already.")
    source, target = keeping.existing(settings), full_address(url)
    with frame.held(settings), frame.progress_bar("Copying") as show:
        copied = moving.copy_to(source, target, progress=show)
    for table in copied:
        click.echo(f"{table.table:<20}{table.rows:>10}  {table.checksum[:16]}")
    click.echo(
        f"{sum(table.rows for table in copied)} rows are in {server_record.where(target)}, "
        "the same as in the file."
    )
