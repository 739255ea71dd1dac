"""`passphrase`, `link` and `people`: how adults get in, and who they are."""

import click

from app.cli import frame
from app.domain.errors import Refused
from app.domain.wording import count
from app.services.access import passphrases, people, sign_ins
from app.storage import hold


@click.command()
@click.option(
    "--passphrase",
    "typed",
    prompt="New passphrase (15 characters or more)",
    hide_input=True,
    confirmation_prompt="Once more",
    help="Better left out: what stands in a command can be read by others on this computer.",
)
def passphrase(typed: str) -> None:
    """Set or change the passphrase of the first keeper."""
    with frame.record(begin=True) as desk, desk.database.writing() as session:
        passphrases.set_passphrase(session, typed)
    click.echo("The passphrase is set.")


@click.command()
def link() -> None:
    """Print a new link that signs one browser in, once, as the first keeper.

    It is the way back for a keeper who forgot the passphrase.
    """
    settings = frame.plain_settings()
    # several servers serve a record on PostgreSQL: whoever runs them knows their address
    url = "/" if settings.database_url else hold.holder(frame.lock_file(settings))
    if not url:
        raise Refused("Nothing is served now. Start it, which prints a link: sillpond serve")
    with frame.record() as desk, desk.database.writing() as session:
        click.echo(f"{url}sign-in/{sign_ins.make_link(session, now=desk.now)}")


@click.command(name="people")
def list_people() -> None:
    """List the adults: name, role, how many tanks, last day, browsers signed in."""
    with frame.record() as desk, desk.database.reading() as session:
        found = people.adults(session, now=desk.now)
    for each in found:
        tanks = "all tanks" if each.tank_ids is None else f"{len(each.tank_ids)} of the tanks"
        seen = "not signed in"
        if each.seen_at:
            browsers = count(each.sessions, "browser", "browsers")
            seen = f"{each.seen_at:%Y-%m-%d}, {browsers} signed in"
        click.echo(f"{each.name}, {each.role.value}, {tanks}, {seen}")
