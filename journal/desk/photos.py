"""Photos taken in, hung on notes and receipts, taken down and put back; each with its way back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from journal.desk.photo_encoding import LARGE, LARGEST_BYTES, SMALL, Picture, draw
from journal.desk.photo_undo import place_step
from journal.errors import MissingReference
from journal.records import photo_files
from journal.records.queries import acts
from journal.records.queries import photos as records
from journal.records.queries.photos import PhotoDraft
from journal.working import counted

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping
    from datetime import datetime
    from pathlib import Path

    from sqlalchemy.orm import Session

    from journal.desk.photo_undo import Step
    from journal.desk.sending import Sending
    from journal.records.queries.photos import HungRow

MOST_AT_ONCE = 12  # photos of one form

__all__ = [
    "LARGE",
    "LARGEST_BYTES",
    "MOST_AT_ONCE",
    "SMALL",
    "Hung",
    "Picture",
    "Wall",
    "add_to_purchase",
    "draw",
    "hang_on_note",
    "hang_on_purchase",
    "of_notes",
    "of_purchase",
    "put_back",
    "store",
    "take_down",
]


@dataclass(frozen=True, slots=True)
class Hung:
    """A photo where it hangs: `id` of the place, pixels of the picture and of the small one."""

    id: int
    sha256: str
    width: int
    height: int
    small_width: int
    small_height: int


@dataclass(frozen=True, slots=True)
class Wall:
    """The photos of one note or receipt: those that hang there, and those that were taken down."""

    hung: tuple[Hung, ...] = ()
    down: tuple[Hung, ...] = ()


def store(data: Path, pictures: Iterable[Picture]) -> tuple[PhotoDraft, ...]:
    """Put pictures on the disk. Before the transaction that speaks of them: a row never waits for its file.

    Raises:
        JournalError: they cannot be written.
    """
    return tuple(
        PhotoDraft(photo_files.keep(data, one.large, one.small), len(one.large), one.width, one.height)
        for one in pictures
    )


def hang_on_note(session: Session, stored: Iterable[PhotoDraft], note_id: int, *, now: datetime) -> list[Step]:
    """Hang photos on a note; answers the steps that take them down again, for the act they belong to."""
    return _hang(session, stored, note_id=note_id, now=now)


def hang_on_purchase(session: Session, stored: Iterable[PhotoDraft], purchase_id: int, *, now: datetime) -> None:
    """Hang photos on a receipt that is being kept; they come and go with it."""
    _hang(session, stored, purchase_id=purchase_id, now=now)


def add_to_purchase(session: Session, stored: tuple[PhotoDraft, ...], purchase_id: int, *, sent: Sending) -> str:
    """Hang photos on a receipt; answers what was done, also when this form was sent before."""
    if said := sent.before(session):
        return said
    steps = _hang(session, stored, purchase_id=purchase_id, now=sent.now)
    said = f"{counted(len(stored), 'photo')} on the receipt"
    acts.add_act(session, sent.key, said, steps, now=sent.now)
    return said


def take_down(session: Session, place_id: int, *, sent: Sending) -> HungRow:
    """Take a photo down; its file stays, so that it can be put back.

    Raises:
        MissingReference: there is no such photo.
    """
    return _move(session, place_id, removed=True, said="The photo is taken down", sent=sent)


def put_back(session: Session, place_id: int, *, sent: Sending) -> HungRow:
    """Hang a photo where it was; raises as `take_down`."""
    return _move(session, place_id, removed=False, said="The photo is put back", sent=sent)


def one(session: Session, place_id: int, *, note_id: int | None = None, purchase_id: int | None = None) -> HungRow:
    """A photo of a note or receipt.

    Raises:
        MissingReference: it is not theirs; an address with a photo of something else leads nowhere.
    """
    row = records.get_hung(session, place_id)
    if (row.note_id, row.purchase_id) != (note_id, purchase_id):
        raise MissingReference("photo", str(place_id), ())
    return row


def of_notes(session: Session, note_ids: Collection[int]) -> Mapping[int, tuple[Hung, ...]]:
    """Note → the photos that hang on it. One statement."""
    return {number: tuple(map(_shown, rows)) for number, rows in records.on_notes(session, note_ids).items()}


def of_note(session: Session, note_id: int) -> Wall:
    """The photos of one note, those taken down too. Two statements."""
    hung, down = (records.on_notes(session, [note_id], removed=gone).get(note_id, ()) for gone in (False, True))
    return Wall(tuple(map(_shown, hung)), tuple(map(_shown, down)))


def of_purchase(session: Session, purchase_id: int) -> Wall:
    """The photos of a receipt, those taken down too. Two statements."""
    hung, down = (records.on_purchase(session, purchase_id, removed=gone) for gone in (False, True))
    return Wall(tuple(map(_shown, hung)), tuple(map(_shown, down)))


def _hang(
    session: Session,
    stored: Iterable[PhotoDraft],
    *,
    now: datetime,
    note_id: int | None = None,
    purchase_id: int | None = None,
) -> list[Step]:
    steps = []
    for draft in stored:
        photo_id = records.add_photo(session, draft, now=now)
        place_id, new = records.hang(session, photo_id, note_id=note_id, purchase_id=purchase_id)
        if new:
            steps.append(place_step(place_id, removed=True))
    return steps


def _move(session: Session, place_id: int, *, removed: bool, said: str, sent: Sending) -> HungRow:
    row = records.get_hung(session, place_id)
    if not sent.before(session) and row.removed is not removed:
        records.set_removed(session, place_id, sent.now if removed else None)
        acts.add_act(session, sent.key, said, [place_step(place_id, removed=not removed)], now=sent.now)
    return row


def _shown(row: HungRow) -> Hung:
    scale = min(1.0, SMALL / max(row.width, row.height))
    small = (max(1, round(row.width * scale)), max(1, round(row.height * scale)))
    return Hung(row.id, row.sha256, row.width, row.height, *small)
