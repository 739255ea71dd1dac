"""`passphrase` and `link`: how an adult gets in."""

import click

from app.cli import frame
from app.domain.errors import Refused
from app.services import people
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
    """Set or change the adults' passphrase."""
    with frame.record(begin=True) as desk, desk.database.writing() as session:
        people.set_passphrase(session, typed)
    click.echo("The passphrase is set.")


@click.command()
def link() -> None:
    """Print a new link that signs one browser in, once."""
    url = hold.holder(frame.lock_file(frame.plain_settings()))
    if not url:
        raise Refused("Nothing is served now. Start it, which prints a link: sillpond serve")
    with frame.record() as desk, desk.database.writing() as session:
        click.echo(f"{url}sign-in/{people.make_link(session, now=desk.now)}")
