"""For servers that run several processes: `gunicorn 'app.wsgi:application()'`.

The record is the PostgreSQL database that SILLPOND_DATABASE_URL names, for a SQLite file has one
server. All processes, on all hosts, need the same `secret_key` file in their data folder.
"""

import os

from flask import Flask

from app.cli import logs
from app.cli.serving import names_of_this_computer
from app.clock import SystemClock
from app.domain.errors import Refused
from app.factory import create_app
from app.services.installation import keeping
from app.settings import Settings, named_database, user_data_folder


def application() -> Flask:
    """The application of one process.

    SILLPOND_HOSTS names what it answers to beside this computer, with spaces between;
    SILLPOND_BEHIND_TLS=1 says that a proxy in front ends TLS; SILLPOND_LOG is that of `serve`.

    Raises:
        click.ClickException: If there is no such level of the log.
        Refused: If no PostgreSQL database is named, or it cannot be used.
    """
    url = named_database()
    if not url:
        raise Refused(
            "Several processes need a PostgreSQL server: name it with SILLPOND_DATABASE_URL. "
            "A SQLite file has one server: sillpond serve"
        )
    logs.set_up()
    clock, folder = SystemClock(), user_data_folder()
    names = os.environ.get("SILLPOND_HOSTS", "").split()
    settings = Settings(
        data_folder=folder,
        secret_key=keeping.secret_key(folder),
        behind_tls=os.environ.get("SILLPOND_BEHIND_TLS") == "1",
        trusted_hosts=(*names_of_this_computer(""), *names),
        database_url=url,
    )
    database = keeping.open_record(settings, now=clock.now())
    # whoever forks after this must not share a connection with its siblings
    database.close()
    return create_app(settings, clock, database)
