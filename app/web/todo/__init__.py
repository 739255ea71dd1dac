"""To do: what is due, and a card for each task that says why."""

from flask import Blueprint

bp = Blueprint("todo", __name__)

from app.web.todo import marks, views  # noqa: E402, F401  # the views hang themselves on `bp`
