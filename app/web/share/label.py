"""The label on a tank for a technician: its name, its liters, and a code that opens its page."""

import io
import re
from dataclasses import dataclass
from urllib.parse import urlsplit

import segno
from flask import redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from markupsafe import Markup
from wtforms import Form, StringField

from app.domain.measures import net_volume
from app.domain.tank import Tank
from app.domain.wording import volume_text
from app.services import tasks
from app.web.request import database, now, show_state
from app.web.share import bp
from app.web.share.making import only_here

_LONGEST = 200
_HOST = re.compile(r"[A-Za-z0-9._-]+|\[[0-9A-Fa-f:.]+\]")
_DOORS = (
    ("change", "Water change", "writing.change"),
    ("test", "Test water", "writing.test"),
    ("job", "Other job", "writing.job"),
    ("look", "Look and count", "writing.look"),
    ("gear", "Equipment", "tank.equipment"),
)


class AddressForm(Form):
    """Under which address other devices reach this program: typed, never taken from a request."""

    address = StringField(
        "Address of this program",
        description="As you open it from another device, such as http://192.168.1.20:8760",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelPage:
    """The label; `address` is "" until one is typed."""

    tank: Tank
    net: str
    address: str
    form: AddressForm
    only_here: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ArrivedPage:
    """What somebody who scanned the label finds: doors as (icon, words, address)."""

    tank: Tank
    net: str
    doors: tuple[tuple[str, str, str], ...]
    first: tuple[str, ...]


@bp.get("/tank/<int:tank_id>/share/label")
def label(tank_id: int) -> ResponseReturnValue:
    """The label to print, once an address is typed."""
    form = AddressForm(request.args)
    base, status = "", 200
    if typed := (form.address.data or "").strip():
        base = base_address(typed)
        if not base:
            form.address.errors = ["Write it with http:// or https:// and a name or number."]
            status = 422
    with database().reading() as session:
        snapshot = tasks.snapshot_of(session, tank_id, now=now())
    net = net_volume(snapshot.tank.shape)
    address = base + url_for("share.arrived", tank_id=tank_id) if base else ""
    page = LabelPage(
        tank=snapshot.tank,
        net=volume_text(snapshot.site, net.net_l) if net else "not measured",
        address=address,
        form=form,
        only_here=only_here(),
    )
    code = Markup(code_svg(address)) if address else ""  # noqa: S704  # drawn by the code maker
    return render_template("share/label.html", page=page, code=code), status


def base_address(typed: str) -> str:
    """Scheme and host of a typed address, "" where it is none."""
    text = typed if "://" in typed else f"http://{typed}"
    try:
        parts = urlsplit(text)
        port = "" if parts.port is None else f":{parts.port}"
    except ValueError:
        return ""
    host = parts.netloc.removesuffix(port)
    more = parts.query or parts.fragment or parts.path not in {"", "/"}
    if parts.scheme not in {"http", "https"} or more or len(text) > _LONGEST:
        return ""
    return f"{parts.scheme}://{host}{port}" if _HOST.fullmatch(host) else ""


def code_svg(text: str) -> str:
    """A QR code as SVG; it holds the text and nothing else."""
    drawn = io.BytesIO()
    made = segno.make(text, error="m", micro=False)
    made.save(
        drawn, kind="svg", xmldecl=False, svgclass="code", lineclass="code-line", omitsize=True,
        title="Code with the address of this tank’s page", nl=False,
    )  # fmt: skip
    return drawn.getvalue().decode()


@bp.get("/t/<int:tank_id>")
def arrived(tank_id: int) -> ResponseReturnValue:
    """The page of a tank for somebody who stands before it: water change first."""
    with database().reading() as session:
        snapshot, seen = tasks.look(session, [tank_id], now=now())[tank_id]
    if snapshot.tank.closed_on is not None:
        return redirect(url_for("today.today", tank_id=tank_id), 303)
    show_state(seen)
    net = net_volume(snapshot.tank.shape)
    page = ArrivedPage(
        tank=snapshot.tank,
        net=volume_text(snapshot.site, net.net_l) if net else "",
        doors=tuple((i, words, url_for(e, tank_id=tank_id)) for i, words, e in _DOORS),
        first=tuple(task.action.title for task in seen.tasks[:3]),
    )
    return render_template("share/arrived.html", page=page)
