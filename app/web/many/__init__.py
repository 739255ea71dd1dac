"""Over many tanks: the board of all of them, and what is looked at across them."""

from flask import Blueprint

bp = Blueprint("many", __name__)

from app.web.many import board, equipment, rounds, templates, trace  # noqa: E402, F401  # the views hang themselves on `bp`
