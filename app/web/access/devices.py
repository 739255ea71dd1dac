"""This device: hand it to a class, take it back. And all devices that were handed over."""

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from app.domain.errors import Refused
from app.services.access import passphrases
from app.services.school import devices, tiles
from app.web.access import bp
from app.web.access.forms import DeviceForm, PassphraseForm
from app.web.access.pages import DevicePage
from app.web.access.people_pages import DevicesPage, device_row
from app.web.request import database, now, sign_in, visitor


@bp.get("/device")
def device() -> ResponseReturnValue:
    """What this device is used for: hand it to the class, take it back, sign out."""
    return _device_page()


@bp.post("/device/hand-over")
def hand_over() -> ResponseReturnValue:
    """Give this device to a class: four pages, helpers' rights."""
    with database().reading() as session:
        form = DeviceForm.of(devices.classes_for(session, visitor()))
    if not form.validate_on_submit():
        return _device_page(form)
    try:
        with database().writing() as session:
            token = devices.unlock(
                session, visitor(), int(form.class_id.data), form.text("device"), now=now()
            )
    except Refused as refused:
        form.complain("device", str(refused))
        return _device_page(form)
    sign_in(token)
    return redirect(url_for("access.home"), code=303)


@bp.get("/devices", endpoint="devices")
def list_devices() -> ResponseReturnValue:
    """The devices that are unlocked for a class, with the last day of use."""
    with database().reading() as session:
        found = devices.devices(session, visitor(), now=now())
    page = DevicesPage(devices=tuple(device_row(each) for each in found))
    return render_template("access/devices.html", page=page)


@bp.post("/devices/<int:device_id>/lock")
def lock(device_id: int) -> ResponseReturnValue:
    """Lock a device again."""
    with database().writing() as session:
        devices.lock(session, visitor(), device_id, now=now())
    flash("The device is locked. It shows the page to come in from now on.", "saved")
    return redirect(url_for("access.devices"), code=303)


def _device_page(form: DeviceForm | None = None) -> ResponseReturnValue:
    here = visitor()
    with database().reading() as session:
        known = devices.classes_for(session, here) if here.sees_pupils and here.is_adult else {}
        page = DevicePage(
            is_adult=here.is_adult,
            name=here.name,
            hands_over=here.is_adult and here.sees_pupils,
            tiles=sum(hand.kind == "helper" for hand in tiles.hands(session)) if known else 0,
            classes=len(known),
            with_passphrase=passphrases.with_passphrase(session),
            hand_over=form or DeviceForm.of(known),
            come_in=PassphraseForm(),
        )
    return render_template("access/device.html", page=page), 422 if form else 200
