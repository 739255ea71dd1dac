"""Today: may we feed, is it calm, what first. And the same for a door."""

from flask import Blueprint

bp = Blueprint("today", __name__)

from app.web.today import door, views  # noqa: E402, F401  # the views hang themselves on `bp`
