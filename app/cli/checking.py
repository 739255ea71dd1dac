"""`check`: whether the record and the place where it lies are fit."""

import click

from app.cli import frame
from app.domain.errors import Refused
from app.services.installation import checking
from app.services.installation.checking import Grade


@click.command()
def check() -> None:
    """Look at record, disk, backup, folder, passphrase and time zones; changes nothing.

    Of a record on a PostgreSQL server it looks at version, schema, passphrase and time zones.

    "note" can wait, "mend" cannot. The exit code is 0 without anything to mend, else 1.
    """
    to_mend = []
    for line in checking.look(frame.plain_settings(), now=frame.clock().now()):
        click.echo(f"{line.grade:<6}{line.about:<12}{line.says}")
        if line.grade is Grade.MEND:
            to_mend.append(line.about.lower())
    if to_mend:
        raise Refused(f"To be mended: {', '.join(to_mend)}.")
    click.echo("Nothing has to be mended.")
