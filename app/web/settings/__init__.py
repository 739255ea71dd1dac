"""Settings of the household or school: site, days, heating, tap water, tiles."""

from flask import Blueprint

bp = Blueprint("settings", __name__)

from app.web.settings import (  # noqa: E402  # the views hang themselves on `bp`
    breaks,  # noqa: F401
    calendar,  # noqa: F401
    own_rules,  # noqa: F401
    place,  # noqa: F401
    programs,  # noqa: F401
    reminders,  # noqa: F401
    setbacks,  # noqa: F401
    site,  # noqa: F401
    tap,  # noqa: F401
)
