"""Class: helpers' tiles, the rota, and what becomes of nicknames. Pupils see none of it."""

from flask import Blueprint

bp = Blueprint("classes", __name__)

from app.web.classes import days, held, home, leaving, tiles, year  # noqa: E402, F401  # they hang themselves on `bp`
