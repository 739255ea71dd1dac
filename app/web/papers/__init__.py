"""What is printed: one page a paper, with a print style of its own."""

from flask import Blueprint

bp = Blueprint("papers", __name__)

from app.web.papers import incident, records, vet, week  # noqa: E402, F401  # they hang themselves on `bp`
