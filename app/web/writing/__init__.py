"""Write down: feed, look and count, test water, water change, something odd, other job, fix."""

from flask import Blueprint

bp = Blueprint("writing", __name__)

from app.web.writing import animals, change, choose, feed, fix, job, look, test  # noqa: E402, F401
