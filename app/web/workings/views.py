"""The list of what can be worked out, and one page for each; everything stands in the address."""

from dataclasses import dataclass
from urllib.parse import urlencode

from flask import redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from markupsafe import Markup
from werkzeug.datastructures import MultiDict

from app.domain.errors import NotFound
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Tank
from app.knowledge.load import load
from app.knowledge.model import Caution, Knowledge
from app.services import tasks
from app.services.workings.model import CannotWork, Theme, Worked, Working
from app.services.workings.registry import by_theme, working
from app.web.request import database, now, show_state, visitor
from app.web.rights import may_open
from app.web.workings import bp
from app.web.workings.form import WorkingForm, form_of, taken


@dataclass(frozen=True, slots=True, kw_only=True)
class ChoosePage:
    """All pages under their headings."""

    tank: Tank
    themes: tuple[tuple[Theme, tuple[Working, ...]], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkPage:
    """One page: the form, and the answer once there is one."""

    tank: Tank
    working: Working
    endpoint: str
    form: WorkingForm
    worked: Worked | None
    svg: Markup
    cautions: tuple[Caution, ...]
    sources: tuple[str, ...]
    doors: tuple[tuple[str, str], ...]


@bp.get("/tank/<int:tank_id>/work-out")
def choose(tank_id: int) -> ResponseReturnValue:
    """What can be worked out, by question."""
    themes = by_theme(for_adults=may_open("workings.work_by_adult"))
    page = ChoosePage(tank=_snapshot(tank_id).tank, themes=themes)
    return render_template("workings/choose.html", page=page)


@bp.get("/tank/<int:tank_id>/work-out/<slug>")
def work(tank_id: int, slug: str) -> ResponseReturnValue:
    """One page: what was asked, and the answer with its working."""
    return _work(tank_id, slug, for_adults=False)


@bp.get("/tank/<int:tank_id>/work-out/grown-ups/<slug>")
def work_by_adult(tank_id: int, slug: str) -> ResponseReturnValue:
    """A page that only grown-ups may open."""
    return _work(tank_id, slug, for_adults=True)


def _work(tank_id: int, slug: str, *, for_adults: bool) -> ResponseReturnValue:
    asked, endpoint = working(slug), request.endpoint or ""
    if asked is None or asked.for_adults is not for_adults:
        raise NotFound("There is no such page.")
    address = MultiDict(request.args)
    if (changed := taken(asked.asks, address)) is not None:
        url = url_for(endpoint, tank_id=tank_id, slug=slug)
        return redirect(f"{url}?{urlencode(list(changed.items()))}", 303)
    snapshot, knowledge = _snapshot(tank_id), load()
    form, came = form_of(asked.asks, address, snapshot, knowledge)
    worked = _worked(asked, form, snapshot, knowledge) if came else None
    page = WorkPage(
        tank=snapshot.tank,
        working=asked,
        endpoint=endpoint,
        form=form,
        worked=worked,
        svg=Markup(worked.svg if worked else ""),  # noqa: S704  # drawn by the charts themselves
        cautions=tuple(knowledge.cautions[c] for c in worked.cautions) if worked else (),
        sources=tuple(knowledge.sources[s].title for s in worked.sources) if worked else (),
        doors=_doors(tank_id, asked, worked),
    )
    status = 422 if came and worked is None else 200
    return render_template("workings/work.html", page=page), status


def _snapshot(tank_id: int) -> TankSnapshot:
    pupils = not visitor().is_adult
    with database().reading() as session:
        snapshot, evaluation = tasks.look(session, [tank_id], now=now(), pupils=pupils)[tank_id]
    show_state(evaluation)
    return snapshot


def _worked(
    asked: Working, form: WorkingForm, snapshot: TankSnapshot, knowledge: Knowledge
) -> Worked | None:
    given = form.given()
    if given is None:
        return None
    try:
        return asked.work(given, snapshot, knowledge)
    except CannotWork as refused:
        form.complain(refused.name, str(refused))
    except ValueError:
        form.complain("", "These numbers do not go together. Look at each one again.")
    return None


def _doors(tank_id: int, asked: Working, worked: Worked | None) -> tuple[tuple[str, str], ...]:
    found = []
    if worked and worked.door and may_open(endpoint := f"writing.{worked.door}"):
        url = f"{url_for(endpoint, tank_id=tank_id)}?{urlencode(worked.door_values)}"
        found.append(("Write it down when it is done", url.rstrip("?")))
    for label, endpoint in asked.more:
        if worked and may_open(endpoint):
            found.append((label, url_for(endpoint, tank_id=tank_id)))
    return tuple(found)
