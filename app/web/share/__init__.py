"""Share and print: links for people without a name here, papers, the hand-over of a tank."""

from flask import Blueprint

bp = Blueprint("share", __name__)

from app.web.share import (  # noqa: E402  # the views hang themselves on `bp`
    calendar,  # noqa: F401
    family,  # noqa: F401
    hand_over,  # noqa: F401
    label,  # noqa: F401
    overview,  # noqa: F401
    places,  # noqa: F401
    stay,  # noqa: F401
)
