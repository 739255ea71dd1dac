"""`remind`: letters of what is due, for a scheduler to send."""

import os

import click

from app.cli import frame
from app.cli.frame import Desk
from app.domain.errors import Refused
from app.services import mail, reminders
from app.services.mail import MailServer, NotSent
from app.services.reminders import Due

_HELP = """Send the letters that adults asked for under Settings, Letters.

Each goes out once on each of its days, however often this runs. A scheduler calls it, such
as cron with this line, every day at seven:

\b
    0 7 * * *  sillpond remind

Nothing is sent before a mail server is named in the environment:

\b
    SILLPOND_MAIL_HOST             its name
    SILLPOND_MAIL_FROM             the address that letters come from
    SILLPOND_MAIL_TLS              starttls (as it is without this), tls or none
    SILLPOND_MAIL_PORT             587, 465 or 25, if it is another one
    SILLPOND_MAIL_USER             the name to sign in with, if it asks for one
    SILLPOND_MAIL_PASSPHRASE_FILE  a file with the passphrase that only you can read
    SILLPOND_MAIL_PASSPHRASE       or the passphrase itself
"""


@click.command(help=_HELP)
@click.option("--dry-run", is_flag=True, help="Print the letters, and send none.")
def remind(dry_run: bool) -> None:
    """Send the letters that are to go out now, or print them."""
    server = mail.server_from(os.environ)
    if server is None and not dry_run:
        raise Refused(
            f"No mail server is named, so nothing is sent: set {mail.HOST}. "
            "To read the letters: sillpond remind --dry-run"
        )
    with frame.record() as desk:
        with desk.database.without_nicknames.reading() as session:
            waiting = tuple(reminders.due(session, now=desk.now))
        if dry_run or server is None:
            _print(waiting)
            return
        failed = sum(not _send(desk, server, each) for each in waiting)
    click.echo(f"{len(waiting) - failed} sent, {failed} not sent.")
    if failed:
        raise Refused("Some letters were not sent. The next run tries them again.")


def _print(waiting: tuple[Due, ...]) -> None:
    for each in waiting:
        click.echo(f"To: {each.email}\nSubject: {each.letter.subject}\n\n{each.letter.text}")
    click.echo(f"{len(waiting)} to send. Nothing was sent.")


def _send(desk: Desk, server: MailServer, each: Due) -> bool:
    """Send one letter; what goes wrong with it is told, and holds up no other."""
    try:
        with desk.database.writing() as session:
            before = reminders.claim(session, each.person_id, each.day)
    except Refused:
        return True
    try:
        mail.send(server, each.email, each.letter.subject, each.letter.text, now=desk.now)
    except NotSent as reason:
        with desk.database.writing() as session:
            reminders.give_back(session, each.person_id, each.day, before)
        click.echo(f"Not sent to {each.name}: {reason}", err=True)
        return False
    return True
