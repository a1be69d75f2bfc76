"""The forms of the Projects section."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from flask_wtf.file import FileField
from wtforms import RadioField, TextAreaField, ValidationError
from wtforms.validators import Length

from journal import reference
from journal.build.part_list import LARGEST_BYTES
from journal.desk.projects import LONGEST_NOTE, LONGEST_TITLE, Asked
from journal.web import forms

if TYPE_CHECKING:
    from wtforms import Field

    from journal.records.queries.shop import ShopRow

REPLACE, ADD = "replace", "add"
_HABIT = ""  # the choice that leaves glue or finish to the shop's habit


class VersionForm(forms.JournalForm):
    """Nothing but the version, beside boxes or buttons that are read on their own."""

    version = forms.VersionField("Version")


class ProjectForm(forms.JournalForm):
    """What is known of a project."""

    title = forms.TextField("Title", longest=LONGEST_TITLE)
    client_kind = forms.TextField(
        "For whom", required=False, longest=60, description="The kind of client is enough: a school, a café, stock."
    )
    benches = forms.CountField("Benches", at_least=1, at_most=1000, default=1)
    adhesive = forms.SelectField("Glue")
    finish = forms.SelectField("Finish")
    coats = forms.CountField("Coats", required=False, at_least=0, at_most=20)
    note = forms.NoteField("Note", longest=LONGEST_NOTE)
    version = forms.VersionField("Version", default=0)

    def offer(self, shop: ShopRow) -> None:
        """Fill the choices; the first of each is the shop's habit."""
        glues, finishes = reference.adhesives(), reference.finishes()
        self.adhesive.choices = _choices(glues, shop.default_adhesive)
        self.finish.choices = _choices(finishes, shop.default_finish)
        self.coats.description = "Left empty: as many as the finish usually takes."

    def asked(self) -> Asked:
        """What was filled in.

        Raises:
            BadInput: what no project can be.
        """
        return Asked(
            title=self.title.data,
            client_kind=self.client_kind.data,
            benches=self.benches.data,
            adhesive=self.adhesive.data,
            finish=self.finish.data,
            coats=self.coats.data,
            note=self.note.data,
        )


class PasteForm(forms.JournalForm):
    """A part list, pasted or as a file."""

    # A tab at either end is an empty cell, so only empty lines are taken off.
    text = TextAreaField(
        "Part list, pasted",
        validators=[Length(max=LARGEST_BYTES, message=f"Expected {LARGEST_BYTES:,} characters or fewer.")],
        filters=[lambda text: (text or "").strip("\r\n")],
        description="Headings in the first row, then a row a part. Straight from a spreadsheet, or with commas.",
    )
    file = FileField("Or a file", description="CSV or tab-separated text.")
    how = RadioField(
        "What becomes of the parts already here",
        choices=[
            forms.SelectChoice(REPLACE, "They go; this is the whole list"),
            forms.SelectChoice(ADD, "They stay; these are added"),
        ],
        default=REPLACE,
    )
    version = forms.VersionField("Version")

    def validate_text(self, field: Field) -> None:
        given = bool(self.file.data and self.file.data.filename)
        if given and field.data:
            raise ValidationError("There is a file too; send one or the other.")
        if not given and not field.data:
            raise ValidationError("Paste a part list here, or choose a file below.")


def _choices(known: Any, habit: str) -> list[forms.SelectChoice]:  # noqa: ANN401 - two tables with names
    named = [forms.SelectChoice(key, entry.name) for key, entry in known.items()]
    usual = known[habit].name if habit in known else habit
    return [forms.SelectChoice(_HABIT, f"As the shop does: {usual}"), *named]
