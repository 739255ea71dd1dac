"""The one place where the parts are wired together."""

from datetime import timedelta
from typing import Any

import jinja2
from flask import Flask
from flask_wtf.csrf import CSRFProtect
from werkzeug.middleware.proxy_fix import ProxyFix

from app import __version__, resources, web
from app.clock import Clock
from app.settings import MAX_REQUEST_BYTES, Settings
from app.storage.engine import Database
from app.web.api import bp as api
from app.web.guest import bp as guest
from app.web.request import Parts

LOOPBACK_HOSTS = ("localhost", "127.0.0.1")
SESSION_DAYS = 180


def create_app(settings: Settings, clock: Clock, database: Database) -> Flask:
    """Build the application that serves one record.

    Args:
        settings: The installation. Without `trusted_hosts` it answers to this machine only.
        clock: Where the present moment comes from.
        database: The open record; it stays open as long as the application lives.
    """
    app = Flask(
        "app",
        template_folder=str(resources.templates()),
        static_folder=str(resources.static()),
    )
    app.config.update(
        SECRET_KEY=settings.secret_key,
        SESSION_COOKIE_NAME="__Host-sillpond" if settings.behind_tls else "sillpond",
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",
        SESSION_COOKIE_SECURE=settings.behind_tls,
        SESSION_REFRESH_EACH_REQUEST=False,
        PERMANENT_SESSION_LIFETIME=timedelta(days=SESSION_DAYS),
        MAX_CONTENT_LENGTH=MAX_REQUEST_BYTES,
        TRUSTED_HOSTS=list(settings.trusted_hosts or LOOPBACK_HOSTS),
        # a form left open all day still works: its token lives as long as the session
        WTF_CSRF_TIME_LIMIT=None,
    )
    app.jinja_env.undefined = jinja2.StrictUndefined
    app.jinja_env.trim_blocks = True
    app.jinja_env.lstrip_blocks = True
    app.url_defaults(_name_version)
    app.extensions["sillpond"] = Parts(database, clock, settings)
    web.register(app)
    protection = CSRFProtect(app)
    # behind a link there is no session; its forms carry a key of their own
    protection.exempt(guest)
    # no session counts for programs: every request carries their token
    protection.exempt(api)
    if settings.behind_tls:
        app.wsgi_app = ProxyFix(app.wsgi_app, x_for=1, x_proto=1)  # type: ignore[method-assign]
    return app


def _name_version(endpoint: str, values: dict[str, Any]) -> None:
    """A new version asks for its own style sheet and scripts, whatever a browser has kept."""
    if endpoint == "static":
        values.setdefault("v", __version__)
