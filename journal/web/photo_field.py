"""The box for photos, of every form that takes some; without JavaScript, and for files far larger than a page of boxes."""

from __future__ import annotations

import unicodedata
from pathlib import PurePath
from typing import TYPE_CHECKING, Any

from flask import request
from wtforms import MultipleFileField, ValidationError

from journal.desk import photos
from journal.errors import BadInput, JournalError
from journal.web.state import journal

if TYPE_CHECKING:
    from pathlib import Path

    from flask import Blueprint
    from werkzeug.datastructures import FileStorage
    from wtforms import Form

    from journal.records.queries.photos import PhotoDraft

# Beyond the largest file, so that one a little too large is refused at its box and what was typed stays.
LARGEST_REQUEST = 2 * photos.LARGEST_BYTES + 8 * 1024 * 1024
_LONGEST_NAME = 80
_HINT = f"JPEG, PNG or WebP, up to {photos.MOST_AT_ONCE} at once. Kept without the place they were taken."


def allow_photos(bp: Blueprint, *endpoints: str) -> None:
    """Let requests to these routes of a section carry photos; asked before anything reads the request."""
    known = {f"{bp.name}.{name}" for name in endpoints}

    @bp.url_value_preprocessor
    def allow(endpoint: str | None, _values: dict[str, Any] | None) -> None:
        if endpoint in known:
            request.max_content_length = LARGEST_REQUEST


def data_folder() -> Path:
    """Where photos are kept.

    Raises:
        JournalError: the server has no data folder.
    """
    data = journal().settings.data
    if data is None:
        raise JournalError("this server was started without a data folder; start it with `journal serve`")
    return data


class PhotosField(MultipleFileField):
    """Photos, each drawn anew while the form is checked; one that cannot be is refused by its name.

    Attributes:
        pictures: what is to be kept, once the form was checked.
        lost: names of those that were sent; a page that is shown again cannot keep them.
    """

    def __init__(self, label: str = "Photos", *, required: bool = False, **kwargs: Any) -> None:  # noqa: ANN401
        marks = {"accept": "image/jpeg,image/png,image/webp", "data-photos": str(photos.LARGE)}
        super().__init__(label, render_kw=marks, description=_HINT, **kwargs)
        self.flags.required = required
        self.pictures: tuple[photos.Picture, ...] = ()
        self.lost = ""

    def process_formdata(self, valuelist: list[Any]) -> None:
        """A box left empty sends one file without a name."""
        self.data = [one for one in valuelist if getattr(one, "filename", "")]
        if self.data:  # seen only where the page is shown again
            self.lost = ", ".join(_name(one) for one in self.data)
            self.description = f"Choose again, as a page cannot keep files: {self.lost}. {_HINT}"

    def pre_validate(self, _form: Form) -> None:
        """Draw them, or say of each that cannot be why."""
        sent: list[FileStorage] = self.data or []
        if self.flags.required and not sent:
            raise ValidationError("Choose a photo.")
        if len(sent) > photos.MOST_AT_ONCE:
            raise ValidationError(f"Read {len(sent)} photos, expected {photos.MOST_AT_ONCE} or fewer at once.")
        drawn, refused = [], []
        for one in sent:
            try:
                drawn.append(photos.draw(one.stream, _name(one)))
            except BadInput as refusal:
                refused.append(f"{refusal.received}: expected {refusal.expected}.")
        if refused:
            more = " Choose the others again as well." if len(sent) > len(refused) else ""
            self.errors = [*self.errors, *refused[:-1]]  # each a line of its own
            raise ValidationError(refused[-1] + more)
        self.pictures = tuple(drawn)

    def store(self) -> tuple[PhotoDraft, ...]:
        """Put them on the disk; before the transaction that speaks of them."""
        return photos.store(data_folder(), self.pictures) if self.pictures else ()


def _name(sent: FileStorage) -> str:
    """What the sender calls a file, for the eye alone: without folders, and without marks that turn the line about."""
    plain = PurePath((sent.filename or "").replace("\\", "/")).name
    return "".join(mark for mark in plain if unicodedata.category(mark)[0] != "C")[:_LONGEST_NAME] or "a file"
