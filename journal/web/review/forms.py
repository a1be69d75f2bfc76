"""The boxes of Review."""

from __future__ import annotations

from journal.desk.behind import LONGEST_REASON
from journal.desk.closing import LONGEST
from journal.web.forms import JournalForm, NoteField, TextField, VersionField


class LessonForm(JournalForm):
    """A lesson to write down."""

    lesson = NoteField("What to remember next time", required=True, longest=LONGEST)


class AcceptForm(JournalForm):
    """Why something unfinished stays as it is."""

    reason = TextField("Accept it as it is, because", longest=LONGEST)


class CloseForm(JournalForm):
    """Closing; it carries which version of the project was seen."""

    version = VersionField()


class AsideForm(JournalForm):
    """Why a piece of work should teach nothing."""

    reason = TextField("Set it aside, because", longest=LONGEST_REASON)
