"""What somebody types to come in, to invite, and to say who may do what."""

from collections.abc import Mapping
from typing import Any, Self

from wtforms import PasswordField, SelectMultipleField, StringField
from wtforms.validators import InputRequired, Length
from wtforms.widgets import CheckboxInput

from app.domain.passphrase import LONGEST, SHORTEST
from app.domain.people import Role
from app.services.access.people import Adult
from app.web.fields import ChoiceField, PlainForm

ROLE_WORDS = {
    Role.KEEPER: "Keeper: everything, with the helpers",
    Role.TECHNICIAN: "Technician: jobs, tests and equipment, no helpers",
    Role.COORDINATOR: "Coordinator: looks over tanks, writes nothing in them, no helpers",
}
_NAME_LENGTH = Length(max=80, message="Use 80 letters at most.")
_HOW_LONG = Length(max=LONGEST, message=f"A passphrase has up to {LONGEST} characters.")
_GOOD_ONE = (
    f"{SHORTEST} characters or more. Four or five words that do not belong together do well. "
    "Pasting works."
)


def _passphrase(label: str, ask: str, *, new: bool, description: str = "") -> PasswordField:
    return PasswordField(
        label,
        [InputRequired(ask), _HOW_LONG],
        description=description,
        render_kw={"autocomplete": "new-password" if new else "current-password"},
    )


class PassphraseForm(PlainForm):
    """Who it is, where several could be, and the passphrase."""

    name = StringField(
        "Your name", [_NAME_LENGTH], render_kw={"autocomplete": "username"},
    )  # fmt: skip
    passphrase = _passphrase("Passphrase", "Enter the passphrase.", new=False)

    def secret(self) -> str:
        """The passphrase as it was typed."""
        return self.passphrase.data or ""


class NewPassphraseForm(PlainForm):
    """A passphrase of one's own; the present one, where there is one."""

    present_passphrase = PasswordField(
        "Your present passphrase", [_HOW_LONG], render_kw={"autocomplete": "current-password"}
    )
    passphrase = _passphrase(
        "New passphrase", "Enter a new passphrase.", new=True, description=_GOOD_ONE
    )


class JoinForm(PlainForm):
    """The code of an invitation, and the passphrase that is chosen."""

    code = StringField(
        "The code of your invitation",
        [InputRequired("Enter the code, four groups of six letters."), _NAME_LENGTH],
        description="Small or capital letters, with or without the lines between.",
        render_kw={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"},
    )
    passphrase = _passphrase(
        "Your passphrase", "Choose a passphrase.", new=True, description=_GOOD_ONE
    )


class NameForm(PlainForm):
    """One's own name."""

    name = StringField("Your name", [InputRequired("Enter your name."), _NAME_LENGTH])


class RightsForm(PlainForm):
    """What somebody is here for, and on which tanks."""

    role = ChoiceField(
        "What for", noun="what this person is here for",
        choices={role.value: text for role, text in ROLE_WORDS.items()},
    )  # fmt: skip
    which = ChoiceField(
        "Tanks", noun="all tanks or some", choices={"all": "All tanks", "some": "Only these:"},
        default="all",
    )  # fmt: skip
    tanks = SelectMultipleField("Only these tanks", option_widget=CheckboxInput())

    @classmethod
    def of(cls, tanks: Mapping[int, str], adult: Adult | None = None, **more: Any) -> Self:
        """The form with the tanks there are, and what an adult may do now."""
        data: dict[str, Any] = {}
        if adult is not None:
            chosen = sorted(adult.tank_ids or ())
            data = {
                "role": adult.role.value,
                "which": "all" if adult.tank_ids is None else "some",
                "tanks": [str(tank_id) for tank_id in chosen],
            }
        form = cls(data=data, **more)
        form.tanks.choices = [(str(tank_id), name) for tank_id, name in tanks.items()]
        return form

    @property
    def tank_ids(self) -> list[int] | None:
        """The numbers of the chosen tanks, None for all."""
        return [int(text) for text in self.tanks.data or ()] if self.which.data == "some" else None


class InviteForm(RightsForm):
    """A person who is asked to come."""

    name = StringField(
        "Name", [InputRequired("Enter the name of the person."), _NAME_LENGTH],
        description="It stands beside what this person writes.",
        render_kw={"autocomplete": "off"},
    )  # fmt: skip


class DeviceForm(PlainForm):
    """The class that a device is for, and what the device is called."""

    class_id = ChoiceField("For which class", noun="the class that this device is for")
    device = StringField(
        "A name for this device", [_NAME_LENGTH],
        description="Such as: tablet by the window. Nothing is read from the device itself.",
        render_kw={"autocomplete": "off"},
    )  # fmt: skip

    @classmethod
    def of(cls, classes: Mapping[int, str]) -> Self:
        """The form with the classes there are; a single one is chosen already."""
        form = cls()
        form.class_id.choices = {str(class_id): name for class_id, name in classes.items()}
        if len(classes) == 1 and not form.class_id.data:
            form.class_id.data = next(iter(form.class_id.choices))
        return form
