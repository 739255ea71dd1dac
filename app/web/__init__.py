"""Pages: blueprints, filters, error pages, headers and rights, hung on one application."""

from flask import Flask

from app.web import errors, filters, navigation, request, request_log, rights, security, where
from app.web.access import bp as access
from app.web.ahead import bp as ahead
from app.web.api import bp as api
from app.web.charts import bp as charts
from app.web.classes import bp as classes
from app.web.course import bp as course
from app.web.exchange import bp as exchange
from app.web.guest import bp as guest
from app.web.health import bp as health
from app.web.ideas import bp as ideas
from app.web.lessons import bp as lessons
from app.web.livestock import bp as livestock
from app.web.many import bp as many
from app.web.notebook import bp as notebook
from app.web.numbers import bp as numbers
from app.web.papers import bp as papers
from app.web.plants import bp as plants
from app.web.settings import bp as settings
from app.web.share import bp as share
from app.web.story import bp as story
from app.web.tank import bp as tank
from app.web.today import bp as today
from app.web.todo import bp as todo
from app.web.trouble import bp as trouble
from app.web.words import bp as words
from app.web.workings import bp as workings
from app.web.writing import bp as writing

BLUEPRINTS = (
    access, today, writing, todo, trouble, story, charts, ahead, words, numbers, livestock, ideas,
    plants, notebook, tank, course, workings, settings, exchange, many, papers, share, guest,
    lessons, classes, health, api,
)  # fmt: skip


def register(app: Flask) -> None:
    """Hang all pages on the application."""
    for each in (request_log, request, security, rights, errors, filters, where, navigation):
        each.register(app)
    for blueprint in BLUEPRINTS:
        app.register_blueprint(blueprint)
