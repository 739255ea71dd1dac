"""Who may come in: sign-in, the list of tanks, and what this device is used for."""

from flask import Blueprint

bp = Blueprint("access", __name__)

from app.web.access import devices, joining, me, people, views  # noqa: E402, F401
