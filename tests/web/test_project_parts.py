"""The Parts tab: edited in place, pasted, uploaded, undone."""

from io import BytesIO

import pytest
from journal.build.parts import Along
from journal.desk import parts
from journal.records.engine import writing
from tests.web import project_pages as pages

SHELF = "label,thickness,width,length,stock\nShelf,3/4,16,48,3/4 plywood\n"


@pytest.fixture
def client(file_engine, tmp_path):
    return pages.open_shop(file_engine, tmp_path)


@pytest.fixture
def made(client, file_engine):  # noqa: ARG001 - the shop must be set up first
    return pages.project(file_engine)


@pytest.fixture
def bare(client, file_engine):  # noqa: ARG001
    return pages.project(file_engine, listed="")


def labels(engine, project_id):
    return [part.label for part in pages.parts_of(engine, project_id)]


def versions(engine, project_id):
    return [head.version for head in pages.history(engine, project_id)]


class TestTable:
    def opened(self, client, project_id):
        return pages.form_at(client, f"/projects/{project_id}/parts", "/parts")

    def send(self, client, project_id, **changes):
        sent = self.opened(client, project_id) | changes
        return client.post(f"/projects/{project_id}/parts", data=sent)

    def test_parts_stand_in_boxes_as_the_shop_writes_them(self, client, made):
        sent = self.opened(client, made)
        keys = ("label", "qty", "thickness", "width", "length", "stock", "strips", "faces", "features")
        assert [sent[f"{key}-0"] for key in keys] == [
            "Top", "1", "3¼", "22", "72", "2x8 fir", "auto along width", "all", "12 holes",
        ]  # fmt: skip
        assert sent["row"] == ["0", "1", "2"]
        assert sent["label-2"] == ""

    def test_every_box_has_a_label_and_every_id_is_used_once(self, client, made):
        page = pages.soup(client.get(f"/projects/{made}/parts"))
        boxes = page.select("input:not([type=hidden]), textarea, select")
        assert len(boxes) > 30
        for box in boxes:
            if not box.find_parent("template"):
                assert pages.text(page.select_one(f"label[for='{box['id']}']"))
        ids = [tag["id"] for tag in page.select("[id]")]
        assert len(ids) == len(set(ids))

    def test_unchanged_changes_nothing(self, client, file_engine, made):
        before = pages.parts_of(file_engine, made)
        response = self.send(client, made)
        assert response.status_code == 302
        assert pages.parts_of(file_engine, made) == before
        assert versions(file_engine, made) == [1]
        assert "Nothing was changed" in pages.soup(client.get(response.location)).select_one("[role=status]").text

    def test_a_changed_size_is_kept_with_the_parts_identity(self, client, file_engine, made):
        before = pages.parts_of(file_engine, made)
        self.send(client, made, **{"length-0": "6' 8", "label-0": "Slab"})
        after = pages.parts_of(file_engine, made)
        assert (after[0].label, after[0].length_nm) == ("Slab", 80 * 25_400_000)
        assert [part.uid for part in after] == [part.uid for part in before]
        assert pages.history(file_engine, made)[0].reason == "Slab changed"

    def test_the_blank_row_becomes_a_part(self, client, file_engine, made):
        new = {
            "label-2": "Rail",
            "qty-2": "2",
            "thickness-2": "1 1/2",
            "width-2": "5",
            "length-2": "40",
            "stock-2": "2x6",
        }
        self.send(client, made, **new)
        assert labels(file_engine, made) == ["Top", "Leg", "Rail"]

    def test_a_ticked_row_is_taken_out_and_undo_brings_it_back(self, client, file_engine, made):
        before = pages.parts_of(file_engine, made)
        self.send(client, made, **{"remove-1": "1"})
        assert labels(file_engine, made) == ["Top"]
        undo = pages.form_at(client, f"/projects/{made}/parts", "/undo")
        client.post(f"/projects/{made}/parts/undo", data=undo)
        assert pages.parts_of(file_engine, made) == before

    def test_all_rows_may_be_taken_out(self, client, file_engine, made):
        assert self.send(client, made, **{"remove-0": "1", "remove-1": "1"}).status_code == 302
        assert labels(file_engine, made) == []

    def test_without_a_script_another_row_keeps_what_was_typed_and_stores_nothing(self, client, file_engine, made):
        response = self.send(client, made, do="row", **{"label-2": "Rail"})
        assert response.status_code == 200
        sent = pages.filled(pages.soup(response).select_one(".parts-form"))
        assert (sent["label-2"], sent["label-3"], sent["row"]) == ("Rail", "", ["0", "1", "2", "3"])
        assert labels(file_engine, made) == ["Top", "Leg"]

    def test_a_bad_box_is_marked_where_it_stands_and_nothing_is_stored(self, client, file_engine, made):
        response = self.send(client, made, **{"length-1": "long", "label-0": "Slab"})
        assert response.status_code == 422
        page = pages.soup(response)
        assert page.select_one("#length-1")["value"] == "long"
        assert page.select_one("#length-1")["aria-invalid"] == "true"
        assert "“long”" in page.select_one("#length-1-error").text
        assert page.select_one("#label-0")["value"] == "Slab"
        assert len(page.select(".parts-table [aria-invalid]")) == 1
        assert versions(file_engine, made) == [1]

    def test_two_parts_of_one_name_are_refused(self, client, file_engine, made):
        response = self.send(client, made, **{"label-1": "TOP"})
        assert response.status_code == 422
        assert "already" in pages.soup(response).select_one("#label-1-error").text
        assert labels(file_engine, made) == ["Top", "Leg"]

    def test_one_part_sent_twice_is_refused(self, client, file_engine, made):
        sent = self.opened(client, made)
        response = client.post(f"/projects/{made}/parts", data=sent | {"uid-1": sent["uid-0"]})
        assert response.status_code == 422
        assert versions(file_engine, made) == [1]

    def test_strips_without_a_direction_are_understood_and_said(self, client, file_engine, made):
        response = self.send(client, made, **{"strips-1": "3"})
        assert pages.parts_of(file_engine, made)[1].along is Along.THICKNESS
        told = pages.soup(client.get(response.location)).select_one(".notices").text
        assert "Leg: 3 strips taken to add up along the thickness" in told

    def test_a_change_in_another_tab_is_told_and_nothing_typed_is_lost(self, client, file_engine, made):
        sent = self.opened(client, made)
        client.post(f"/projects/{made}/parts", data=sent | {"label-0": "First tab"})
        response = client.post(f"/projects/{made}/parts", data=sent | {"label-0": "Second tab"})
        assert response.status_code == 409
        page = pages.soup(response)
        assert page.select_one("#label-0")["value"] == "Second tab"
        assert labels(file_engine, made) == ["First tab", "Leg"]
        again = pages.filled(page.select_one(".parts-form"))
        assert client.post(f"/projects/{made}/parts", data=again).status_code == 302
        assert labels(file_engine, made) == ["Second tab", "Leg"]

    def test_without_our_mark_nothing_is_kept(self, client, file_engine, made):
        sent = self.opened(client, made) | {"label-0": "Stranger"}
        del sent["csrf_token"]
        assert client.post(f"/projects/{made}/parts", data=sent).status_code == 400
        assert labels(file_engine, made) == ["Top", "Leg"]

    def test_what_was_typed_cannot_become_markup(self, client, made):
        evil = '"><script>alert(1)</script>'
        self.send(client, made, **{"label-0": evil, "note-1": evil})
        response = client.get(f"/projects/{made}/parts")
        assert "<script>alert" not in response.get_data(as_text=True)
        assert pages.soup(response).select_one("#label-0")["value"] == evil


class TestPaste:
    def send(self, client, project_id, text="", **changes):
        sent = pages.form_at(client, f"/projects/{project_id}/parts", "/paste") | {"text": text} | changes
        return client.post(f"/projects/{project_id}/parts/paste", data=sent, content_type="multipart/form-data")

    def test_with_no_parts_the_paste_box_comes_first(self, client, bare, made):
        first = pages.soup(client.get(f"/projects/{bare}/parts")).select_one(".entry h2")
        assert first.text == "Paste or upload"
        assert pages.soup(client.get(f"/projects/{made}/parts")).select_one(".entry h2").text == "Parts"

    def test_a_pasted_list_is_taken(self, client, file_engine, bare):
        response = self.send(client, bare, pages.LIST)
        assert (response.status_code, response.location) == (302, f"/projects/{bare}/parts")
        assert labels(file_engine, bare) == ["Top", "Leg"]
        assert pages.history(file_engine, bare)[0].reason == "taken from a paste"

    def test_cells_from_a_spreadsheet_are_taken_an_empty_first_heading_too(self, client, file_engine, bare):
        table = "\tlabel\tthickness\twidth\tlength\tstock\r\n\tLeg\t3\t3\t31\t2x6 fir\r\n"
        assert self.send(client, bare, table).status_code == 302
        assert labels(file_engine, bare) == ["Leg"]

    def test_a_file_is_taken(self, client, file_engine, bare):
        file = (BytesIO(b"\xef\xbb\xbf" + pages.LIST.encode()), "work/client list.csv")
        assert self.send(client, bare, file=file).status_code == 302
        assert labels(file_engine, bare) == ["Top", "Leg"]
        assert pages.history(file_engine, bare)[0].reason == "taken from client list.csv"

    def test_a_list_replaces_or_is_added(self, client, file_engine, made):
        self.send(client, made, SHELF, how="add")
        assert labels(file_engine, made) == ["Top", "Leg", "Shelf"]
        self.send(client, made, SHELF, how="replace")
        assert labels(file_engine, made) == ["Shelf"]

    def test_a_bad_list_comes_back_as_typed_with_every_place_and_nothing_is_stored(self, client, file_engine, made):
        text = pages.LIST.replace("3 1/2", "three and a half").replace(",12 holes", ",12 dragons")
        response = self.send(client, made, text)
        assert response.status_code == 422
        page = pages.soup(response)
        places = [pages.text(item.select_one(".faults-where")) for item in page.select(".faults li")]
        assert places == ["Line 2, features", "Line 3, thickness"]
        assert page.select_one("#text").text.strip().splitlines() == text.strip().splitlines()
        assert labels(file_engine, made) == ["Top", "Leg"]
        assert versions(file_engine, made) == [1]

    def test_a_bad_file_comes_back_in_the_box_to_be_mended(self, client, bare):
        response = self.send(client, bare, file=(BytesIO(SHELF.replace("16", "wide").encode()), "list.csv"))
        assert response.status_code == 422
        assert "Shelf,3/4,wide" in pages.soup(response).select_one("#text").text

    def test_a_spreadsheets_own_file_is_refused_with_the_way_out(self, client, bare):
        response = self.send(client, bare, file=(BytesIO(b"PK\x03\x04\x00\x00binary"), "list.xlsx"))
        assert response.status_code == 422
        assert "saved as CSV first" in pages.soup(response).select_one(".faults").text

    def test_nothing_and_both_are_refused_at_the_box(self, client, bare):
        for text, more in (("", {}), (SHELF, {"file": (BytesIO(b"x"), "list.csv")})):
            response = self.send(client, bare, text, **more)
            assert response.status_code == 422
            assert pages.soup(response).select_one("#text-error").text.strip()

    def test_a_change_in_another_tab_keeps_the_paste(self, client, file_engine, made):
        sent = pages.form_at(client, f"/projects/{made}/parts", "/paste")
        self.send(client, made, SHELF)
        response = client.post(f"/projects/{made}/parts/paste", data=sent | {"text": pages.LIST})
        assert response.status_code == 409
        assert "Leg,4" in pages.soup(response).select_one("#text").text
        assert labels(file_engine, made) == ["Shelf"]

    def test_what_was_understood_is_said_and_many_notes_stay_small(self, client, bare):
        rows = "".join(f"Leg {n},3 1/2,5,31,2x6 fir,3\n" for n in range(30))
        response = self.send(client, bare, "label,thickness,width,length,stock,strips\n" + rows)
        told = pages.text(pages.soup(client.get(response.location)).select_one(".notices"))
        assert "Leg 0: 3 strips taken to add up along the thickness" in told
        assert "26 more" in told

    def test_the_sample_list_is_taken_and_has_a_price(self, client, file_engine, bare):
        link = pages.soup(client.get(f"/projects/{bare}/parts")).select_one("a[href*='sample']")
        with client.get(link["href"]) as sample:
            assert self.send(client, bare, sample.get_data(as_text=True)).status_code == 302
        assert len(labels(file_engine, bare)) == 5
        assert pages.soup(client.get(f"/projects/{bare}/parts")).select(".trouble") == []
        assert pages.soup(client.get(f"/projects/{bare}/price")).select(".price-sums")

    def test_the_list_can_be_downloaded_and_taken_again(self, client, file_engine, made):
        before = pages.parts_of(file_engine, made)
        with client.get(f"/projects/{made}/parts.csv") as response:
            assert response.headers["Content-Disposition"] == f'attachment; filename="parts-{made}.csv"'
            self.send(client, made, response.get_data(as_text=True))
        assert pages.parts_of(file_engine, made) == before


class TestTrouble:
    def test_parts_that_cannot_be_built_are_named_with_what_would_do_and_still_shown(self, client, file_engine, bare):
        listed = pages.LIST.replace("2x6 fir", "4x12 bog oak").replace("3 1/4", "9").replace("auto along width", "1")
        TestPaste().send(client, bare, listed)
        page = pages.soup(client.get(f"/projects/{bare}/parts"))
        told = [pages.text(item) for item in page.select(".trouble li")]
        assert [words.partition(":")[0] for words in told] == ["Top", "Leg"]
        assert "bog oak" in told[1]
        assert page.select_one("#label-1")["value"] == "Leg"
        assert labels(file_engine, bare) == ["Top", "Leg"]

    def test_parts_that_can_be_built_have_no_trouble(self, client, made):
        assert pages.soup(client.get(f"/projects/{made}/parts")).select(".trouble") == []


class TestHistory:
    def undo(self, client, project_id, **changes):
        sent = pages.form_at(client, f"/projects/{project_id}/parts", "/undo") | changes
        return client.post(f"/projects/{project_id}/parts/undo", data=sent)

    def test_undo_goes_back_and_once_more_forward(self, client, file_engine, made):
        TestPaste().send(client, made, SHELF)
        assert self.undo(client, made).status_code == 302
        assert labels(file_engine, made) == ["Top", "Leg"]
        self.undo(client, made)
        assert labels(file_engine, made) == ["Shelf"]

    def test_any_version_can_be_gone_back_to(self, client, file_engine, made):
        TestPaste().send(client, made, SHELF)
        TestPaste().send(client, made, SHELF.replace("16", "17"))
        page = pages.soup(client.get(f"/projects/{made}/parts"))
        assert [button["value"] for button in page.select("button[name=to]")] == ["2", "1"]
        self.undo(client, made, to="1")
        assert labels(file_engine, made) == ["Top", "Leg"]
        assert pages.history(file_engine, made)[0].reason == "version 1 restored"

    def test_there_is_no_undo_at_first(self, client, made):
        page = pages.soup(client.get(f"/projects/{made}/parts"))
        assert "Undo" not in page.select_one("form[action$='/undo']").text
        assert self.undo(client, made).status_code == 422

    @pytest.mark.parametrize(("to", "status"), [("99", 404), ("one", 422), ("-1", 422)])
    def test_a_version_that_is_not_there_is_refused(self, client, file_engine, made, to, status):
        assert self.undo(client, made, to=to).status_code == status
        assert versions(file_engine, made) == [1]

    def test_undo_after_a_change_in_another_tab_undoes_nothing(self, client, file_engine, made):
        TestPaste().send(client, made, SHELF)
        sent = pages.form_at(client, f"/projects/{made}/parts", "/undo")
        TestPaste().send(client, made, SHELF.replace("16", "17"))
        assert client.post(f"/projects/{made}/parts/undo", data=sent).status_code == 409
        assert versions(file_engine, made) == [3, 2, 1]

    def test_old_versions_are_folded_away(self, client, file_engine, made):
        for inches in range(20, 30):
            with writing(file_engine) as session:
                parts.take_list(session, made, SHELF.replace("48", str(inches)), source="a paste", now=pages.NOW)
        page = pages.soup(client.get(f"/projects/{made}/parts"))
        assert len(page.select("details button[name=to]")) == 5

    def test_a_long_list_takes_no_more_statements_than_a_short_one(self, client, file_engine, bare):
        path = f"/projects/{bare}/parts"
        TestPaste().send(client, bare, SHELF)
        client.get(path)
        one = pages.statements(file_engine, lambda: client.get(path))
        TestPaste().send(client, bare, SHELF + "".join(f"Leg {n},3,5,31,2x6 fir\n" for n in range(20)))
        client.get(path)
        assert pages.statements(file_engine, lambda: client.get(path)) == one
