"""Photos and where they hang: on notes and receipts."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from journal.errors import MissingReference
from journal.records.tables import Photo, PhotoPlace

if TYPE_CHECKING:
    from collections.abc import Collection
    from datetime import datetime

    from sqlalchemy import Select
    from sqlalchemy.orm import Session


@dataclass(frozen=True, slots=True)
class PhotoDraft:
    """A photo whose files are on the disk: the checksum they lie under, bytes and pixels of the large one."""

    sha256: str
    bytes: int
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class HungRow:
    """A photo where it hangs: `id` is of the place; exactly one of note and purchase is named."""

    id: int
    sha256: str
    width: int
    height: int
    note_id: int | None
    purchase_id: int | None
    removed: bool


def on_notes(session: Session, note_ids: Collection[int], *, removed: bool = False) -> dict[int, tuple[HungRow, ...]]:
    """Note → the photos on it in order, or those taken down. One statement, also for no notes."""
    found: dict[int, list[HungRow]] = {}
    for row in _rows(session, _hung(removed=removed).where(PhotoPlace.note_id.in_(note_ids))):
        if row.note_id is not None:
            found.setdefault(row.note_id, []).append(row)
    return {number: tuple(rows) for number, rows in found.items()}


def on_purchase(session: Session, purchase_id: int, *, removed: bool = False) -> tuple[HungRow, ...]:
    """The photos on a receipt in order, or those taken down. One statement."""
    return _rows(session, _hung(removed=removed).where(PhotoPlace.purchase_id == purchase_id))


def get_hung(session: Session, place_id: int) -> HungRow:
    """A photo where it hangs, or hung; MissingReference when there is no such place."""
    for row in _rows(session, _hung(removed=None).where(PhotoPlace.id == place_id)):
        return row
    raise MissingReference("photo", str(place_id), ())


def add_photo(session: Session, draft: PhotoDraft, *, now: datetime) -> int:
    """Know a photo; answers its number. The same picture is one photo, however often it comes."""
    row = session.scalar(select(Photo).where(Photo.sha256 == draft.sha256))
    if row is None:
        row = Photo(**asdict(draft), added_at=now)
        session.add(row)
        session.flush()
    return row.id


def hang(
    session: Session, photo_id: int, *, note_id: int | None = None, purchase_id: int | None = None
) -> tuple[int, bool]:
    """Hang a photo after those that hang there; answers the place, and whether it was not there before."""
    here = (PhotoPlace.note_id == note_id) if note_id is not None else (PhotoPlace.purchase_id == purchase_id)
    row = session.scalar(select(PhotoPlace).where(here, PhotoPlace.photo_id == photo_id))
    if row is not None and row.removed_at is None:
        return row.id, False
    last = session.scalar(select(func.max(PhotoPlace.position)).where(here))
    position = 0 if last is None else last + 1
    if row is None:
        row = PhotoPlace(photo_id=photo_id, note_id=note_id, purchase_id=purchase_id, position=position)
        session.add(row)
    row.position, row.removed_at = position, None
    session.flush()
    return row.id, True


def set_removed(session: Session, place_id: int, at: datetime | None) -> None:
    """Take a photo down, or hang it where it was."""
    row = session.get(PhotoPlace, place_id)
    if row is None:
        raise MissingReference("photo", str(place_id), ())
    row.removed_at = at
    session.flush()


def carry_over(session: Session, old_purchase: int, new_purchase: int) -> None:
    """The photos of a receipt hang on the one that puts it right as well, those taken down too."""
    query = select(PhotoPlace).where(PhotoPlace.purchase_id == old_purchase).order_by(PhotoPlace.position)
    for row in session.scalars(query).all():
        session.add(
            PhotoPlace(
                photo_id=row.photo_id,
                note_id=None,
                purchase_id=new_purchase,
                position=row.position,
                removed_at=row.removed_at,
            )
        )
    session.flush()


def _hung(*, removed: bool | None) -> Select[tuple[PhotoPlace, Photo]]:
    query = select(PhotoPlace, Photo).join(Photo, Photo.id == PhotoPlace.photo_id)
    if removed is not None:
        query = query.where(PhotoPlace.removed_at.is_not(None) if removed else PhotoPlace.removed_at.is_(None))
    return query.order_by(PhotoPlace.position, PhotoPlace.id)


def _rows(session: Session, query: Select[tuple[PhotoPlace, Photo]]) -> tuple[HungRow, ...]:
    return tuple(
        HungRow(
            id=place.id,
            sha256=photo.sha256,
            width=photo.width,
            height=photo.height,
            note_id=place.note_id,
            purchase_id=place.purchase_id,
            removed=place.removed_at is not None,
        )
        for place, photo in session.execute(query)
    )
