"""The notebook: notes and photos of a tank, what waits for an adult, and private notes."""

from flask import Blueprint

bp = Blueprint("notebook", __name__)

from app.web.notebook import (  # noqa: E402
    book,  # noqa: F401
    length,  # noqa: F401
    photo,  # noqa: F401
    private,  # noqa: F401
    search,  # noqa: F401
    sightings,  # noqa: F401
    waiting,  # noqa: F401
)
