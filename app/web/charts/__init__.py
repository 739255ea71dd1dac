"""Is it changing? One quantity over time, as picture, words and table."""

from flask import Blueprint

bp = Blueprint("charts", __name__)

from app.web.charts import compare, views  # noqa: E402, F401  # the views hang themselves on `bp`
