"""Photos on the disk and in the journal: hung, taken down, put back, the same one twice, and what is never lost."""

import stat
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, date, datetime
from hashlib import sha256
from io import BytesIO

import pytest
from journal.desk import acts, photos, purchases, receipts
from journal.desk.photo_undo import places_of
from journal.desk.sending import Sending
from journal.desk.starting_stock import set_up
from journal.errors import Conflict, JournalError, MissingReference
from journal.records import photo_files
from journal.records.engine import PHOTOS, reading, writing
from journal.records.keeping import files
from journal.records.queries import acts as act_records
from journal.records.queries import photos as records
from journal.records.tables import Photo
from sqlalchemy import func, select
from tests import factories
from tests.desk import photo_files as made

NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)


def sent(key="form-key-1"):
    return Sending(key, NOW.date(), UTC, NOW)


def drawn(seed=1):
    return photos.draw(BytesIO(made.saved(made.board(40, 30, seed))), "board.jpg")


@pytest.fixture
def receipt(file_engine):
    with writing(file_engine) as session:
        return factories.purchase(session).id


def hang(engine, data, receipt, *seeds, key="form-key-1"):
    stored = photos.store(data, [drawn(seed) for seed in seeds])
    with writing(engine) as session:
        return photos.add_to_purchase(session, stored, receipt, sent=sent(key))


def wall(engine, receipt):
    with reading(engine) as session:
        return photos.of_purchase(session, receipt)


def undo_last(engine):
    with writing(engine) as session:
        return acts.undo(session, act_records.newest_act(session).id, zone=UTC, now=NOW)


def known(engine):
    with reading(engine) as session:
        return session.scalar(select(func.count()).select_from(Photo))


class TestOnTheDisk:
    def test_a_photo_lies_under_the_checksum_of_its_bytes_for_its_owner_alone(self, tmp_path):
        picture = drawn()
        (stored,) = photos.store(tmp_path, [picture])
        digest = sha256(picture.large).hexdigest()
        large, small = (tmp_path / PHOTOS / digest[:2] / f"{digest}{end}" for end in (".jpg", ".small.jpg"))
        assert (large.read_bytes(), small.read_bytes()) == (picture.large, picture.small)
        assert {stat.S_IMODE(path.stat().st_mode) for path in (large, small)} == {0o600}
        assert stat.S_IMODE(large.parent.stat().st_mode) == 0o700
        assert (stored.sha256, stored.bytes, stored.width, stored.height) == (digest, len(picture.large), 40, 30)

    def test_the_same_picture_is_written_once(self, tmp_path):
        (stored,) = photos.store(tmp_path, [drawn()])
        path = photo_files.large_path(tmp_path, stored.sha256)
        before = path.stat().st_mtime_ns
        photos.store(tmp_path, [drawn()])
        assert path.stat().st_mtime_ns == before
        assert len([one for one in (tmp_path / PHOTOS).rglob("*") if one.is_file()]) == 2

    def test_one_that_was_damaged_is_whole_again_when_it_comes_again(self, tmp_path):
        (stored,) = photos.store(tmp_path, [drawn()])
        photo_files.large_path(tmp_path, stored.sha256).write_bytes(b"gone bad")
        assert not photo_files.is_whole(tmp_path, stored.sha256)
        photos.store(tmp_path, [drawn()])
        assert photo_files.is_whole(tmp_path, stored.sha256)

    def test_nothing_is_left_of_a_photo_that_could_not_be_written(self, tmp_path, monkeypatch):
        def full(_path):
            raise OSError(28, "No space left on device")

        monkeypatch.setattr(files, "_to_disk", full)
        with pytest.raises(JournalError, match="No space left"):
            photos.store(tmp_path, [drawn()])
        assert [one for one in (tmp_path / PHOTOS).rglob("*") if one.is_file()] == []

    def test_the_same_picture_sent_by_many_at_once_is_written_once_and_whole(self, tmp_path):
        picture = drawn()
        with ThreadPoolExecutor(8) as pool:
            found = set(pool.map(lambda _: photos.store(tmp_path, [picture]), range(32)))
        ((stored,),) = found
        assert photo_files.is_whole(tmp_path, stored.sha256)
        assert list(photo_files.others(tmp_path, {stored.sha256})) == []

    @pytest.mark.parametrize("name", ["../../etc/passwd", "a" * 63, "A" * 64, "", "a" * 64 + "\n", "/" * 64])
    def test_no_path_is_made_of_anything_but_a_checksum(self, tmp_path, name):
        for path in (photo_files.large_path, photo_files.small_path):
            with pytest.raises(MissingReference):
                path(tmp_path, name)


class TestOnAReceipt:
    def test_photos_hang_in_the_order_in_which_they_came(self, file_engine, tmp_path, receipt):
        assert hang(file_engine, tmp_path, receipt, 1, 2) == "2 photos on the receipt"
        hang(file_engine, tmp_path, receipt, 3, key="form-key-2")
        hung = wall(file_engine, receipt).hung
        assert [one.sha256 for one in hung] == [sha256(drawn(seed).large).hexdigest() for seed in (1, 2, 3)]
        assert (hung[0].width, hung[0].height, hung[0].small_width, hung[0].small_height) == (40, 30, 40, 30)

    def test_the_form_sent_twice_hangs_them_once(self, file_engine, tmp_path, receipt):
        for _ in range(2):
            assert hang(file_engine, tmp_path, receipt, 1) == "1 photo on the receipt"
        assert len(wall(file_engine, receipt).hung) == 1

    def test_the_same_photo_hangs_once_and_is_one_photo_wherever_it_hangs(self, file_engine, tmp_path, receipt):
        with writing(file_engine) as session:
            other = factories.purchase(session).id
        hang(file_engine, tmp_path, receipt, 1)
        hang(file_engine, tmp_path, receipt, 1, key="form-key-2")
        hang(file_engine, tmp_path, other, 1, key="form-key-3")
        assert len(wall(file_engine, receipt).hung) == len(wall(file_engine, other).hung) == 1
        assert known(file_engine) == 1

    def test_undo_takes_them_down_and_their_files_stay(self, file_engine, tmp_path, receipt):
        hang(file_engine, tmp_path, receipt, 1, 2)
        assert undo_last(file_engine) == "2 photos on the receipt"
        found = wall(file_engine, receipt)
        assert (len(found.hung), len(found.down)) == (0, 2)
        assert all(photo_files.is_whole(tmp_path, one.sha256) for one in found.down)

    def test_one_is_taken_down_and_put_back_where_it_was(self, file_engine, tmp_path, receipt):
        hang(file_engine, tmp_path, receipt, 1, 2)
        before = wall(file_engine, receipt).hung
        with writing(file_engine) as session:
            photos.take_down(session, before[0].id, sent=sent("form-key-2"))
        assert wall(file_engine, receipt) == photos.Wall(before[1:], before[:1])
        with writing(file_engine) as session:
            photos.put_back(session, before[0].id, sent=sent("form-key-3"))
        assert wall(file_engine, receipt).hung == before

    def test_taking_down_is_undone_and_not_twice(self, file_engine, tmp_path, receipt):
        hang(file_engine, tmp_path, receipt, 1)
        (one,) = wall(file_engine, receipt).hung
        with writing(file_engine) as session:
            photos.take_down(session, one.id, sent=sent("form-key-2"))
            act = act_records.newest_act(session)
        assert places_of(act.steps) == {one.id}
        assert places_of([*act.steps, {"do": "remove", "entry": 1}]) == frozenset()
        undo_last(file_engine)
        assert wall(file_engine, receipt).hung == (one,)
        with pytest.raises(Conflict):
            undo_last(file_engine)

    def test_what_was_put_back_since_is_not_undone_over_it(self, file_engine, tmp_path, receipt):
        hang(file_engine, tmp_path, receipt, 1)
        (one,) = wall(file_engine, receipt).hung
        with writing(file_engine) as session:
            photos.take_down(session, one.id, sent=sent("form-key-2"))
            taken_down = act_records.newest_act(session).id
            photos.put_back(session, one.id, sent=sent("form-key-3"))
        with writing(file_engine) as session, pytest.raises(Conflict):
            acts.undo(session, taken_down, zone=UTC, now=NOW)

    def test_one_that_was_taken_down_and_comes_again_hangs_again_last(self, file_engine, tmp_path, receipt):
        hang(file_engine, tmp_path, receipt, 1, 2)
        first, second = wall(file_engine, receipt).hung
        with writing(file_engine) as session:
            photos.take_down(session, first.id, sent=sent("form-key-2"))
        hang(file_engine, tmp_path, receipt, 1, key="form-key-3")
        assert wall(file_engine, receipt) == photos.Wall((second, first), ())

    def test_a_photo_of_something_else_is_not_found(self, file_engine, tmp_path, receipt):
        hang(file_engine, tmp_path, receipt, 1)
        (one,) = wall(file_engine, receipt).hung
        with writing(file_engine) as session, pytest.raises(MissingReference):
            photos.take_down(session, one.id + 1, sent=sent("form-key-2"))

    def test_they_stay_with_a_receipt_that_is_put_right(self, file_engine, tmp_path):
        set_up(file_engine, NOW.date())
        line = receipts.Ordered("2x6 fir", 1000, receipts.Per.ALL, count=2, length_nm=8 * 304_800_000)
        bought = receipts.Receipt(lines=(line,), on_date=date(2026, 3, 1))
        with writing(file_engine) as session:
            old = purchases.keep(session, bought, today=NOW.date(), now=NOW).id
        hang(file_engine, tmp_path, old, 1, 2)
        with writing(file_engine) as session:
            photos.take_down(session, photos.of_purchase(session, old).hung[0].id, sent=sent("form-key-2"))
            new = purchases.keep(session, bought, today=NOW.date(), now=NOW, corrects=old).id
        for number in (old, new):
            found = wall(file_engine, number)
            assert (len(found.hung), len(found.down)) == (1, 1)


def test_how_many_statements_the_photos_of_notes_take_does_not_depend_on_how_many(file_engine):
    with reading(file_engine) as session:
        assert photos.of_notes(session, []) == records.on_notes(session, [1, 2]) == {}
