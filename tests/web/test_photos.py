"""Photos on the pages: sent, shown, taken down, put back; then each refusal, with nothing lost."""

from __future__ import annotations

from io import BytesIO

import pytest
from journal.desk import photo_encoding
from journal.records.engine import PHOTOS, reading, writing
from journal.records.queries import photos as records
from journal.records.queries import purchases
from journal.records.tables import LogAct, Photo
from journal.web.errors import page_for_http
from sqlalchemy import func, select
from tests import factories
from tests.desk import photo_files
from tests.web import project_pages as pages
from werkzeug.exceptions import RequestEntityTooLarge

NEW = "/rack/purchases/new"


@pytest.fixture
def client(file_engine, tmp_path):
    return pages.open_shop(file_engine, tmp_path)


@pytest.fixture
def receipt(file_engine):
    with writing(file_engine) as session:
        return f"/rack/purchases/{factories.purchase(session, supplier='the yard').id}"


def board(seed=1, width=640, height=480):
    return photo_files.saved(photo_files.board(width, height, seed))


def send(client, page, *files):
    """Photos from the page's own form; each file its name and its bytes."""
    sent = pages.form_at(client, page, page)
    return client.post(page, data=sent | {"photos": [(BytesIO(content), name) for name, content in files]})


def pictures(response):
    return pages.soup(response).select("ul.photos img")


def error(response):
    assert response.status_code == 422
    return " ".join(pages.text(one) for one in pages.soup(response).select(".field-error"))


def press(client, page, part):
    """Press the first button of a page whose address has this in it."""
    form = next(form for form in pages.soup(client.get(page)).select("form[method=post]") if part in form["action"])
    return client.post(form["action"], data=pages.filled(form))


def typed(client, **more):
    """A receipt as somebody fills it in."""
    boxes = {"l0-stock": "2x6 fir", "l0-count": "4", "l0-length": "8", "l0-price": "10.00", "supplier": "the yard"}
    return pages.form_at(client, NEW, NEW) | boxes | {"do": "keep"} | more


def stays(page):
    """Whether all that was typed is in its boxes."""
    boxes = [page.select_one(f"[name='{name}']")["value"] for name in ("l0-count", "l0-length", "l0-price", "supplier")]
    return boxes == ["4", "8", "10.00", "the yard"]


def receipts_kept(engine):
    with reading(engine) as session:
        return purchases.purchases(session)


class TestOfAReceipt:
    def test_a_photo_is_kept_shown_small_first_and_leads_to_the_large_one(self, client, receipt, tmp_path):
        address = f"{receipt}/photos"
        answer = send(client, address, ("slip.jpg", board(width=2000, height=1000)))
        assert (answer.status_code, answer.location) == (303, address)
        shown = client.get(address)
        (picture,) = pictures(shown)
        assert (picture["width"], picture["height"], picture["loading"]) == ("320", "160", "lazy")
        assert picture["alt"].startswith("Photo: the receipt of ")
        assert picture["src"].endswith(".small.jpg")
        assert picture.parent["href"] == picture["src"].replace(".small", "")
        assert "1 photo on the receipt." in pages.soup(shown).select_one(".notices").text
        for path in (picture["src"], picture.parent["href"]):
            kept = client.get(path)
            assert kept.data == (tmp_path / PHOTOS / path.split("/")[2][:2] / path.split("/")[2]).read_bytes()

    def test_several_come_at_once_and_the_receipt_shows_them(self, client, receipt):
        send(client, f"{receipt}/photos", ("a.jpg", board(1)), ("b.png", photo_files.saved(photo_files.board(), "PNG")))
        assert [one["alt"].split(":")[0] for one in pictures(client.get(receipt))] == ["Photo 1 of 2", "Photo 2 of 2"]
        links = [one["href"] for one in pages.soup(client.get("/rack/purchases")).select("a")]
        assert f"{receipt}/photos" in links

    def test_one_is_taken_down_and_put_back(self, client, receipt):
        address = f"{receipt}/photos"
        send(client, address, ("a.jpg", board()))
        assert press(client, address, "/down").location == address
        page = pages.soup(client.get(address))
        assert page.select_one("details.photos-down summary").text.strip() == "1 taken down"
        assert press(client, address, "/back").location == address
        assert pages.soup(client.get(address)).select_one("details.photos-down") is None

    def test_what_was_last_done_is_undone_from_the_page(self, client, receipt):
        address = f"{receipt}/photos"
        send(client, address, ("a.jpg", board()))
        assert press(client, address, "/undo/").location == address
        assert len(pages.soup(client.get(address)).select(".photos-down img")) == 1

    def test_what_was_last_done_elsewhere_is_not_offered_here(self, client, receipt, file_engine):
        with writing(file_engine) as session:
            session.add(
                LogAct(form_key="elsewhere-1", at=pages.NOW, said="Logged", steps=[{"do": "remove", "entry": 1}])
            )
            other = factories.purchase(session).id
        assert pages.soup(client.get(f"{receipt}/photos")).select_one(".last-change") is None
        send(client, f"/rack/purchases/{other}/photos", ("a.jpg", board()))
        assert pages.soup(client.get(f"{receipt}/photos")).select_one(".last-change") is None

    def test_one_comes_with_the_receipt_while_it_is_typed_and_stays_when_it_is_put_right(self, client, file_engine):
        sent = typed(client, photos=[(BytesIO(board()), "slip.jpg"), (BytesIO(board(2)), "load.jpg")])
        assert client.post(NEW, data=sent).status_code == 302
        (kept,) = receipts_kept(file_engine)
        hung = [one["src"] for one in pictures(client.get(f"/rack/purchases/{kept.id}/photos"))]
        assert len(hung) == 2
        again = pages.form_at(client, f"/rack/purchases/{kept.id}", f"/rack/purchases/{kept.id}")
        again |= {"do": "keep", "photos": [(BytesIO(board(3)), "split.jpg")]}
        assert client.post(f"/rack/purchases/{kept.id}", data=again).status_code == 302
        (right,) = receipts_kept(file_engine)
        now = [one["src"] for one in pictures(client.get(f"/rack/purchases/{right.id}/photos"))]
        assert (right.id != kept.id, now[:2], len(now)) == (True, hung, 3)

    def test_a_phone_offers_its_camera_and_sends_both_boxes_under_one_name(self, client, receipt):
        for page in (NEW, f"{receipt}/photos"):
            form = pages.soup(client.get(page)).select_one("form[enctype='multipart/form-data']")
            boxes = form.select("input[type=file]")
            assert [(one["name"], one.get("capture")) for one in boxes] == [("photos", None), ("photos", "environment")]

    def test_no_such_receipt(self, client, receipt, tmp_path):
        sent = pages.form_at(client, f"{receipt}/photos", f"{receipt}/photos")
        assert client.get("/rack/purchases/999/photos").status_code == 404
        answer = client.post("/rack/purchases/999/photos", data=sent | {"photos": (BytesIO(board()), "a.jpg")})
        assert answer.status_code == 404
        assert not (tmp_path / PHOTOS).exists()


class TestRefusedWithAReceipt:
    """What was typed stays, the box is named, and nothing is kept."""

    def test_what_is_no_photo_is_named_at_its_box(self, client, file_engine, tmp_path):
        answer = client.post(NEW, data=typed(client, photos=[(BytesIO(b"x"), "slip.pdf")]))
        assert "slip.pdf: expected" in error(answer)
        page = pages.soup(answer)
        assert page.select_one("#photos")["aria-invalid"] == "true"
        assert stays(page)
        assert (receipts_kept(file_engine), (tmp_path / PHOTOS).exists()) == ((), False)

    @pytest.mark.parametrize("wrong", [{"l0-price": "dear"}, {"on_date": "2099-01-01"}])
    def test_a_good_one_beside_something_wrong_is_asked_for_again(self, client, file_engine, tmp_path, wrong):
        answer = client.post(NEW, data=typed(client, photos=[(BytesIO(board()), "slip.jpg")]) | wrong)
        assert error(answer)
        assert "Choose again, as a page cannot keep files: slip.jpg." in pages.text(pages.soup(answer).form)
        assert (receipts_kept(file_engine), (tmp_path / PHOTOS).exists()) == ((), False)

    @pytest.mark.parametrize("do", ["work", "more"])
    def test_one_chosen_too_early_is_said_to_be_chosen_again(self, client, do):
        answer = client.post(NEW, data=typed(client, photos=[(BytesIO(board()), "slip.jpg")]) | {"do": do})
        assert answer.status_code == 200
        assert "cannot keep files: slip.jpg." in pages.text(pages.soup(answer).select_one("#photos-hint"))
        assert stays(pages.soup(answer))


class TestRefused:
    @pytest.mark.parametrize(
        ("name", "content", "said"),
        [
            (
                "list.jpg",
                b"boards, 4 of 8 ft",
                "list.jpg: expected a JPEG, PNG or WebP picture; this file is something",
            ),
            ("bomb.png", photo_files.png_bomb(), "bomb.png: expected a picture of 1 to 16 million pixels"),
            ("bomb.jpg", photo_files.jpeg_bomb(), "bomb.jpg: expected a picture of 1 to 64 million pixels"),
            ("text.png", photo_files.png_text_bomb(), "text.png: expected a whole picture"),
            ("half.jpg", board()[:2000], "half.jpg: expected a whole picture; this file is cut short or damaged"),
            ("drawn.jpg", b"<svg onload=alert(1)>", "drawn.jpg: expected a JPEG"),
            ("moves.gif", b"GIF89a" + b"\0" * 40, "moves.gif: expected a JPEG"),
            ("IMG.heic", photo_files.from_a_new_phone(), "Set the phone’s camera to JPEG"),
            ("none.jpg", b"", "none.jpg: expected a JPEG, PNG or WebP picture; this file is empty"),
            ("../../etc/🪵 slip.jpg", b"x", "🪵 slip.jpg: expected"),
            ("C:\\Users\\slip.jpg", b"x", "slip.jpg: expected"),
            ("\u202egpj.exe", b"x", "gpj.exe: expected"),
            ("<b>bold</b>.jpg", b"x", "b>.jpg: expected"),
        ],
    )
    def test_what_is_no_photo_is_named_at_the_box_and_nothing_is_kept(
        self, client, receipt, tmp_path, file_engine, name, content, said
    ):
        answer = send(client, f"{receipt}/photos", (name, content))
        assert error(answer).startswith(said) or said in error(answer)
        assert "etc" not in error(answer)
        assert not (tmp_path / PHOTOS).exists()
        with reading(file_engine) as session:
            assert session.scalar(select(func.count()).select_from(Photo)) == 0

    def test_a_good_one_beside_a_bad_one_is_to_be_chosen_again(self, client, receipt, tmp_path):
        answer = send(client, f"{receipt}/photos", ("good.jpg", board()), ("bad.jpg", b"x"))
        assert error(answer).endswith("Choose the others again as well.")
        assert not (tmp_path / PHOTOS).exists()

    def test_each_has_a_line_of_its_own(self, client, receipt):
        answer = send(client, f"{receipt}/photos", ("a.jpg", b"x"), ("b.jpg", b""))
        said = [pages.text(one)[:5] for one in pages.soup(answer).select(".field-error")]
        assert said == ["a.jpg", "b.jpg"]

    def test_none_and_too_many_at_once(self, client, receipt):
        assert error(send(client, f"{receipt}/photos")) == "Choose a photo."
        many = [(f"{number}.jpg", b"x") for number in range(13)]
        assert error(send(client, f"{receipt}/photos", *many)) == "Read 13 photos, expected 12 or fewer at once."

    def test_one_of_61_megabytes_is_refused_at_the_box(self, client, receipt):
        address, mark = f"{receipt}/photos", "----a-board"
        sent = pages.form_at(client, address, address)
        boxes = [
            f'--{mark}\r\nContent-Disposition: form-data; name="{name}"\r\n\r\n{text}' for name, text in sent.items()
        ]
        head = f'--{mark}\r\nContent-Disposition: form-data; name="photos"; filename="large.jpg"\r\n\r\n'
        large = board().ljust(photo_encoding.LARGEST_BYTES + 1_000_000, b"\0")
        body = "\r\n".join([*boxes, head]).encode() + large + f"\r\n--{mark}--\r\n".encode()
        answer = client.post(address, data=body, content_type=f"multipart/form-data; boundary={mark}")
        assert "large.jpg: expected a file of 60 MB or less; this one has 61 MB" in error(answer)

    def test_a_request_beyond_that_is_refused_with_its_limit(self, client, receipt):
        sent = pages.form_at(client, f"{receipt}/photos", f"{receipt}/photos")
        answer = client.post(f"{receipt}/photos", data=sent, environ_overrides={"CONTENT_LENGTH": "200000000"})
        assert answer.status_code == 413
        assert "may carry 122 MB at most" in answer.text

    def test_elsewhere_a_request_carries_as_little_as_before(self, client, receipt):
        answer = client.post(f"{receipt}/take-back", data={"note": "x" * 5_000_000})
        assert answer.status_code == 413
        assert "may carry 4 MB at most" in answer.text

    def test_the_limit_is_that_of_the_route(self, client):
        with client.application.test_request_context("/rack"):
            assert "carry 4 MB" in page_for_http(RequestEntityTooLarge()).message

    def test_there_is_no_such_photo(self, client, receipt):
        key = pages.form_at(client, f"{receipt}/photos", f"{receipt}/photos")
        for address in ("/photos/99/down", "/photos/99/back"):
            assert client.post(address, data=key).status_code == 404


class TestTheFile:
    @pytest.fixture
    def kept(self, client, receipt):
        send(client, f"{receipt}/photos", ("a.jpg", board()))
        return pictures(client.get(f"{receipt}/photos"))[0]["src"]

    def test_the_browser_keeps_it_for_good_and_takes_it_for_nothing_else(self, client, kept):
        for path in (kept, kept.replace(".small", "")):
            answer = client.get(path)
            assert answer.mimetype == "image/jpeg"
            assert answer.headers["X-Content-Type-Options"] == "nosniff"
            assert answer.headers["Cache-Control"] == "private, max-age=31536000, immutable"
            assert client.get(path, headers={"If-None-Match": answer.headers["ETag"]}).status_code == 304

    def test_where_the_small_one_is_missing_the_large_one_is_shown(self, client, kept, tmp_path):
        (small,) = (tmp_path / PHOTOS).rglob("*.small.jpg")
        small.unlink()
        assert client.get(kept).data == client.get(kept.replace(".small", "")).data

    def test_where_both_are_missing_there_is_nothing(self, client, kept, tmp_path):
        for path in (tmp_path / PHOTOS).rglob("*.jpg"):
            path.unlink()
        assert client.get(kept).status_code == 404

    @pytest.mark.parametrize(
        "address",
        [
            "/photos/..%2f..%2fjournal.db",
            "/photos/../journal.db",
            "/photos/" + "g" * 64 + ".jpg",
            "/photos/" + "A" * 64 + ".jpg",
            "/photos/" + "a" * 63 + ".jpg",
            "/photos/" + "a" * 64 + ".png",
            "/photos/" + "a" * 64 + ".jpg",
            "/photos/" + "a" * 64 + "%0a.jpg",
        ],
    )
    def test_no_other_address_leads_to_a_file(self, client, kept, address):
        assert kept
        assert client.get(address).status_code == 404


def test_photos_of_a_note_lead_back_to_it_when_taken_down(client, file_engine):
    project = pages.project(file_engine)
    notes = f"/projects/{project}/notes"
    sent = pages.form_at(client, notes, notes)
    answer = client.post(notes, data=sent | {"text": "the jig", "photos": [(BytesIO(board()), "jig.jpg")]})
    assert answer.status_code == 303
    with reading(file_engine) as session:
        ((note_id, (hung,)),) = records.on_notes(session, range(100)).items()
    assert press(client, f"{notes}/{note_id}", "/down").location == f"{notes}/{note_id}"
    with reading(file_engine) as session:
        assert records.get_hung(session, hung.id).removed
    assert press(client, f"{notes}/{note_id}", "/back").location == f"{notes}/{note_id}"


def test_a_refused_photo_keeps_the_note_that_was_typed(client, file_engine, tmp_path):
    project = pages.project(file_engine)
    notes = f"/projects/{project}/notes"
    sent = pages.form_at(client, notes, notes)
    answer = client.post(notes, data=sent | {"text": "the jig, at last", "photos": [(BytesIO(b"x"), "jig.jpg")]})
    assert "jig.jpg: expected" in error(answer)
    assert pages.soup(answer).select_one("textarea[name=text]").text.strip() == "the jig, at last"
    assert not (tmp_path / PHOTOS).exists()


def test_where_something_else_was_refused_it_says_which_photos_to_choose_again(client, file_engine, tmp_path):
    notes = f"/projects/{pages.project(file_engine)}/notes"
    sent = pages.form_at(client, notes, notes) | {"text": "the jig", "day": ""}
    answer = client.post(notes, data=sent | {"photos": [(BytesIO(board()), "jig.jpg")]})
    assert answer.status_code == 422
    assert "Choose again, as a page cannot keep files: jig.jpg." in pages.soup(answer).select_one("#photos-hint").text
    assert not (tmp_path / PHOTOS).exists()
    assert "Choose again" not in client.get(notes).text
