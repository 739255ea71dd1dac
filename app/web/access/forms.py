"""The passphrase of the grown-up in charge."""

from flask_wtf import FlaskForm
from wtforms import PasswordField
from wtforms.validators import InputRequired, Length

LONGEST = 200


class PassphraseForm(FlaskForm):  # type: ignore[misc]  # the library is untyped
    """One field; pasting and password managers work."""

    passphrase = PasswordField(
        "Passphrase",
        [
            InputRequired("Enter the passphrase of the grown-up in charge."),
            Length(max=LONGEST, message="A passphrase has up to 200 characters."),
        ],
        render_kw={"autocomplete": "current-password"},
    )

    def typed(self) -> str:
        """What was typed."""
        return self.passphrase.data or ""
