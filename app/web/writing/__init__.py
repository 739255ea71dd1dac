"""Write down: feed, look and count, test water, water change, something odd, other job, fix."""

from flask import Blueprint

bp = Blueprint("writing", __name__)

from app.web.writing import (  # noqa: E402
    ammonia,  # noqa: F401
    animals,  # noqa: F401
    catch_up,  # noqa: F401
    change,  # noqa: F401
    choose,  # noqa: F401
    feed,  # noqa: F401
    fix,  # noqa: F401
    job,  # noqa: F401
    look,  # noqa: F401
    note,  # noqa: F401
    session,  # noqa: F401
    test,  # noqa: F401
)
