"""The button that makes an option the project, with what was seen when it was pressed."""

from journal.web import forms


class TakeForm(forms.JournalForm):
    """The versions of the option and of the parts it was shown with."""

    version = forms.VersionField("Version")
    plan_version = forms.VersionField("Parts")
