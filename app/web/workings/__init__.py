"""Work it out: numbers in, the answer with its working out; nothing is saved."""

from flask import Blueprint

bp = Blueprint("workings", __name__)

from app.web.workings import views  # noqa: E402, F401  # the views hang themselves on `bp`
