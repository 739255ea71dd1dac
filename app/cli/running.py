"""`demo` and `serve`: put the record before a browser."""

import secrets
import socket
import tempfile
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

import click

from app.cli import frame, serving
from app.clock import Clock
from app.domain.errors import Refused
from app.services import demo as demo_service
from app.services.access import passphrases, sign_ins
from app.services.installation import keeping
from app.settings import Settings, named_database, user_data_folder
from app.storage.engine import Database

_HERE = "127.0.0.1"


@dataclass(frozen=True, slots=True)
class Installation:
    """What is served: the record, by which clock, in which installation."""

    database: Database
    clock: Clock
    settings: Settings


port_option = click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=serving.DEFAULT_PORT,
    show_default=True,
    help="Where to listen; 0 takes a free port.",
)
browser_option = click.option(
    "--no-browser", is_flag=True, help="Print the link, but open no browser."
)


@click.command()
@port_option
@browser_option
def demo(port: int, no_browser: bool) -> None:
    """Serve invented tanks from a throw-away folder, to try things out."""
    clock = frame.clock()
    with (
        closing(serving.open_door(_HERE, port)) as door,
        tempfile.TemporaryDirectory(prefix="sillpond-demo-", ignore_cleanup_errors=True) as name,
    ):
        settings = Settings(
            data_folder=Path(name),
            secret_key=secrets.token_hex(32),
            trusted_hosts=serving.names_of_this_computer(_HERE),
            demo=True,
        )
        now, zone = clock.now(), frame.machine_zone()
        with closing(keeping.open_record(settings, now=now, zone=zone)) as database:
            with frame.progress_bar("Filling two tanks with 18 months of life") as show:
                demo_service.load(database, now=now, zone=zone, progress=show)
            here = Installation(database, clock, settings)
            _serve(here, door, serving.url_of(_HERE, door), open_browser=not no_browser)


@click.command()
@click.option(
    "--host",
    default=_HERE,
    show_default=True,
    help="The address to listen on; any but this computer's own needs a passphrase first.",
)
@port_option
@browser_option
@click.option(
    "--name",
    "names",
    multiple=True,
    help="A further name under which other devices reach this computer.",
)
@click.option("--behind-tls", is_flag=True, help="A proxy of yours in front of this ends TLS.")
def serve(host: str, port: int, no_browser: bool, names: tuple[str, ...], behind_tls: bool) -> None:
    """Serve your own record; an older one is copied, then upgraded."""
    clock, folder = frame.clock(), user_data_folder()
    settings = Settings(
        data_folder=folder,
        secret_key=keeping.secret_key(folder),
        behind_tls=behind_tls,
        trusted_hosts=(*serving.names_of_this_computer(host), *names),
        database_url=named_database(),
    )
    with (
        frame.held(settings) as hold,
        closing(
            keeping.open_record(settings, now=clock.now(), zone=frame.machine_zone())
        ) as database,
    ):
        _refuse_open_door(database, host)
        with closing(serving.open_door(host, port)) as door:
            url = serving.url_of(host, door)
            if hold is not None:
                hold.say(url)
            click.echo(f"The record is {keeping.where(settings)}")
            for elsewhere in _elsewhere(settings, host):
                click.echo(f"From other devices: http://{elsewhere}:{url.rsplit(':', 1)[1]}")
            here = Installation(database, clock, settings)
            _serve(here, door, url, open_browser=not no_browser)


def _refuse_open_door(database: Database, host: str) -> None:
    if serving.is_loopback(host):
        return
    with database.reading() as session:
        if not passphrases.has_passphrase(session):
            raise Refused(
                "Before other devices can open this record, choose a passphrase: "
                "sillpond passphrase"
            )


def _serve(here: Installation, door: socket.socket, url: str, *, open_browser: bool) -> None:
    # all the pages: only the two commands that serve them wait for their import
    from app.factory import create_app  # noqa: PLC0415

    app = create_app(here.settings, here.clock, here.database)
    with here.database.writing() as session:
        page = f"{url}sign-in/{sign_ins.make_link(session, now=here.clock.now())}"
    click.echo(f"Sillpond is served at {url}")
    click.echo(f"Sign in once with this link:\n  {page}\nStop with Ctrl-C.")
    serving.serve(
        app, door, page=page, open_browser=open_browser, behind_tls=here.settings.behind_tls
    )


def _elsewhere(settings: Settings, host: str) -> list[str]:
    own = serving.names_of_this_computer(_HERE)
    return [] if serving.is_loopback(host) else [n for n in settings.trusted_hosts if n not in own]
