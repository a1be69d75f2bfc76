"""The forms of the way in."""

from wtforms import HiddenField, PasswordField
from wtforms.validators import Length

from journal.web import forms


class SignInForm(forms.JournalForm):
    """The passphrase, and what this browser is called in the list of those let in."""

    phrase = PasswordField("Passphrase", [forms.Required(), Length(max=200)])
    label = forms.TextField(
        "This device is",
        required=False,
        longest=60,
        description="Such as the phone at bench 2. Nobody’s name is needed.",
    )
    then = HiddenField()


class PairForm(forms.JournalForm):
    """An invitation, used by one tap: opening its address alone uses nothing up."""

    code = HiddenField()
    label = forms.TextField(
        "This device is",
        required=False,
        longest=60,
        description="Such as the phone at bench 2. Nobody’s name is needed.",
    )


class ButtonForm(forms.JournalForm):
    """Nothing but the button."""
