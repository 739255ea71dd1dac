"""What the templates of coming in and of this device get."""

from dataclasses import dataclass

from app.web.access.forms import DeviceForm, PassphraseForm


@dataclass(frozen=True, slots=True, kw_only=True)
class SignInPage:
    """How to come in: a link from the machine itself, or the passphrase.

    `with_passphrase` is how many adults have one; with several the name is asked too.
    """

    with_passphrase: int
    refused: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DevicePage:
    """What this browser is used for, and how to change that.

    `hands_over` says whether whoever is here may give it to a class; there are `classes` of them
    with `tiles` helpers.
    """

    is_adult: bool
    name: str
    hands_over: bool
    tiles: int
    classes: int
    with_passphrase: int
    hand_over: DeviceForm
    come_in: PassphraseForm
