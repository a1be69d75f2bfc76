"""Photos of a receipt; and any photo taken down, or put back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from flask import flash, redirect, render_template, url_for

from journal.desk import acts
from journal.desk import photos as desk
from journal.desk.photo_undo import places_of
from journal.records.queries import notes, purchases
from journal.web import forms, state
from journal.web.photo_field import PhotosField
from journal.web.photos.blueprint import bp

if TYPE_CHECKING:
    from flask.typing import ResponseReturnValue

    from journal.records.queries.acts import ActRow
    from journal.records.queries.photos import HungRow
    from journal.records.queries.purchases import PurchaseRow


class PhotosForm(forms.JournalForm):
    """Photos, and nothing but photos."""

    photos = PhotosField(required=True)


@dataclass(frozen=True, slots=True)
class ReceiptPhotos:
    """What photos/purchase.html receives: the receipt, its photos, the form, what was last done if it was with these."""

    receipt: PurchaseRow
    wall: desk.Wall
    form: PhotosForm
    last: ActRow | None


@bp.get("/rack/purchases/<int:purchase_id>/photos")
def of_purchase(purchase_id: int) -> ResponseReturnValue:
    """The photos of a receipt."""
    return _show(purchase_id, PhotosForm(formdata=None))


@bp.post("/rack/purchases/<int:purchase_id>/photos")
def of_purchase_add(purchase_id: int) -> ResponseReturnValue:
    """Put photos on a receipt."""
    form = PhotosForm()
    if not form.validate_on_submit():
        return _show(purchase_id, form), 422
    with state.reading() as session:
        purchases.get_purchase(session, purchase_id)  # before anything is put on the disk for it
    stored = form.photos.store()
    with state.writing() as session:
        said = desk.add_to_purchase(session, stored, purchase_id, sent=state.sending())
    flash(f"{said}.", "good")
    return redirect(url_for("photos.of_purchase", purchase_id=purchase_id), code=303)


@bp.post("/photos/<int:place_id>/down")
def down(place_id: int) -> ResponseReturnValue:
    """Take a photo down."""
    with state.writing() as session:
        row = desk.take_down(session, place_id, sent=state.sending())
    return redirect(_home(row), code=303)


@bp.post("/photos/<int:place_id>/back")
def back(place_id: int) -> ResponseReturnValue:
    """Put a photo back that was taken down."""
    with state.writing() as session:
        row = desk.put_back(session, place_id, sent=state.sending())
    return redirect(_home(row), code=303)


def _home(row: HungRow) -> str:
    """The page a photo is seen on."""
    if row.note_id is None:
        return url_for("photos.of_purchase", purchase_id=row.purchase_id)
    with state.reading() as session:
        note = notes.get_note(session, row.note_id)
    return url_for("notes.one", project_id=note.project_id, note_id=note.id)


def _show(purchase_id: int, form: PhotosForm) -> str:
    with state.reading() as session:
        receipt = purchases.get_purchase(session, purchase_id)
        wall, last = desk.of_purchase(session, purchase_id), acts.newest(session, state.now())
    done = places_of(last.steps) if last else frozenset()
    here = {one.id for one in (*wall.hung, *wall.down)}
    page = ReceiptPhotos(receipt, wall, form, last if done and done <= here else None)
    return render_template("photos/purchase.html", page=page)
