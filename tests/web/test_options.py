"""Options side by side: added, compared, changed, taken; refused at the box, never over another tab's change."""

from __future__ import annotations

import pytest
from journal import units
from journal.desk import designs, options, parts, projects
from journal.quote.options import Changes
from journal.records.engine import reading, writing
from journal.records.queries import projects as project_records
from journal.records.words import ProjectState
from tests.web import project_pages as pages


@pytest.fixture
def client(file_engine, tmp_path):
    return pages.open_shop(file_engine, tmp_path)


@pytest.fixture
def project(client, file_engine):  # noqa: ARG001 - the shop must be set up first
    return pages.project(file_engine)


def url(project, tail=""):
    return f"/projects/{project}/options{tail}"


def form(client, path):
    """The form of an option as a browser would send it."""
    return pages.filled(pages.soup(client.get(path)).select_one("main form.form"))


def box(client, path, label):
    """The name of the box with this label."""
    page = pages.soup(client.get(path))
    (found,) = [tag for tag in page.select("label") if pages.text(tag).startswith(label)]
    return page.find(id=found["for"])["name"]


def add(client, project, name="Another", **typed):
    path = url(project, "/new")
    return client.post(path, data=form(client, path) | {"name": name} | typed)


def kept(engine, project):
    with reading(engine) as session:
        return options.side_by_side(session, project, pages.TODAY).variants


def shown(client, project):
    return pages.soup(client.get(url(project)))


class TestShown:
    def test_without_options_the_page_says_what_they_are_for(self, client, project):
        page = shown(client, project)
        assert page.select_one(f".empty a[href='{url(project, '/new')}']")
        assert page.select_one(".tabs [aria-current=page]").text == "Price"
        assert page.select_one(".sections [aria-current=page]").text == "Projects"

    def test_the_price_tab_leads_there(self, client, project):
        page = pages.soup(client.get(f"/projects/{project}/price"))
        assert page.select_one(f"a[href='{url(project)}']")

    def test_each_option_stands_with_price_difference_hours_and_what_is_other(self, client, file_engine, project):
        add(client, project, "Two of them", benches="2")
        (variant,) = kept(file_engine, project)
        with reading(file_engine) as session:
            base = options.side_by_side(session, project, pages.TODAY).found.made
        card = shown(client, project).select_one(".option-card")
        usd = units.currency("USD")
        price, more = variant.made.price_cents, variant.made.price_cents - base.price_cents
        assert pages.text(card.select_one(".option-price")) == (
            f"{units.format_money(price, usd)} +{units.format_money(more, usd)}"
        )
        assert f"{variant.made.hours.at(0.1):.0f} – {variant.made.hours.at(0.9):.0f} h" in pages.text(card)
        assert "more, eight times in ten" in pages.text(card)
        assert [item.text for item in card.select(".option-said li")] == ["2 benches"]

    def test_lines_stand_side_by_side_with_their_differences_and_add_up(self, client, project):
        add(client, project, "Two of them", benches="2")
        add(client, project, "More coats", coats="6")
        table = shown(client, project).select_one(".options-table")
        heads = [th.text for th in table.select("thead th")]
        assert heads == ["Line", "As it is", "Two of them", "More coats"]
        usd = units.currency("USD")
        totals = [0, 0, 0]
        for row in table.select("tbody tr"):
            figures = [pages.text(cell.select_one(".fig")) for cell in row.select("td")]
            if row.th.text == "Price":
                assert [units.parse_money(figure, usd) for figure in figures] == totals
                break
            totals = [total + units.parse_money(fig, usd) for total, fig in zip(totals, figures, strict=True)]
        price = table.select_one(".options-total")
        first, second = (units.parse_money(pages.text(td.select_one(".fig")), usd) for td in price.select("td")[:2])
        assert price.select("td")[1].select_one(".option-more").text == f"+{units.format_money(second - first, usd)}"

    def test_one_that_cannot_be_built_says_why_and_cannot_be_taken(self, client, project):
        stock = box(client, url(project, "/new"), "Instead of 2x6 fir")
        add(client, project, "Too thin", **{stock: "3/4 plywood"})
        card = shown(client, project).select_one(".option-card")
        assert "Leg" in card.select_one(".option-trouble").text
        assert "Make this the project" not in card.text

    def test_without_parts_it_leads_to_them(self, client, file_engine):
        empty = pages.project(file_engine, listed="")
        response = client.get(url(empty))
        assert response.status_code == 200
        assert pages.soup(response).select_one(f".empty a[href='/projects/{empty}/parts']")

    def test_five_options_take_no_more_statements_than_one(self, client, file_engine, project):
        add(client, project, "1", coats="5")
        one = pages.statements(file_engine, lambda: client.get(url(project)))
        for name in "2345":
            add(client, project, name, coats=f"{6 + int(name)}")
        assert pages.statements(file_engine, lambda: client.get(url(project))) <= one

    def test_names_cannot_become_markup(self, client, project):
        add(client, project, "<script>alert(1)</script>", coats="5")
        assert "<script>alert" not in client.get(url(project)).get_data(as_text=True)


class TestForm:
    def test_every_box_has_its_own_id_and_a_label(self, client, project):
        page = pages.soup(client.get(url(project, "/new")))
        ids = [tag["id"] for tag in page.select("[id]")]
        assert len(ids) == len(set(ids))
        for tag in page.select("main :is(input, select, textarea):not([type=hidden])"):
            assert page.select_one(f"label[for='{tag['id']}']")

    def test_everything_that_can_be_other_is_kept_and_comes_back(self, client, file_engine, project):
        path = url(project, "/new")
        stock, legs = box(client, path, "Instead of 2x8 fir"), box(client, path, "Leave out Leg")
        top = box(client, path, "In Top")
        more = "label,qty,thickness,width,length,stock\nTill,1,3/4,5,20,2x6 fir\n"
        sent = {stock: "2x10 fir", legs: "y", top: "1 vise; 3 holes", "coats": "6", "added": more, "finish": "shellac"}
        assert add(client, project, "All of it", **sent).status_code == 302
        with reading(file_engine) as session:
            (row,) = (variant.row for variant in options.side_by_side(session, project, pages.TODAY).variants)
            _, changes = options.one(session, project, row.id)
        by_label = {part.label: part.uid for part in pages.parts_of(file_engine, project)}
        assert changes.stocks == {"2x8 fir": "2x10 fir"}
        assert changes.left_out == {by_label["Leg"]}
        assert {one.word: one.count for one in changes.features[by_label["Top"]]} == {"vise": 1, "hole": 3}
        assert (changes.coats, changes.finish, [part.label for part in changes.added]) == (6, "shellac", ["Till"])
        again = client.post(url(project, f"/{row.id}"), data=form(client, url(project, f"/{row.id}")))
        assert again.status_code == 302
        with reading(file_engine) as session:
            assert options.one(session, project, row.id) == (row, changes)

    def test_an_added_part_is_taken_out_again(self, client, file_engine, project):
        more = "label,qty,thickness,width,length,stock\nTill,1,3/4,5,20,2x6 fir\n"
        add(client, project, "With a till", coats="6", added=more)
        (variant,) = kept(file_engine, project)
        path = url(project, f"/{variant.row.id}")
        sent = form(client, path)
        del sent["more_0"]
        assert client.post(path, data=sent).status_code == 302
        assert kept(file_engine, project)[0].changes == Changes(coats=6)

    @pytest.mark.parametrize(
        ("name", "text"),
        [
            ("name", ""),
            ("name", "x" * 61),
            ("benches", "0"),
            ("benches", "1001"),
            ("coats", "-1"),
            ("coats", "some"),
            ("added", "label,qty\nTill,1"),
            ("added", "label,qty,thickness,width,length\nTop,1,1,5,20"),
            ("added", "label,qty,thickness,width,length\nTill,1,thick,5,20"),
            ("added", "label,qty,thickness,width,length"),
        ],
    )
    def test_what_is_refused_comes_back_as_typed_at_its_box(self, client, file_engine, project, name, text):
        response = add(client, project, **({"coats": "6"} | {name: text}))
        assert response.status_code == 422
        page = pages.soup(response)
        assert page.find(id=f"{name}-error").text.strip()
        typed = page.find(id=name)
        assert (typed.text.strip() if name == "added" else typed["value"]) == text
        assert kept(file_engine, project) == ()

    def test_a_fitting_nobody_knows_is_refused_at_its_part(self, client, file_engine, project):
        top = box(client, url(project, "/new"), "In Top")
        response = add(client, project, **{top: "4 flux capacitors"})
        assert response.status_code == 422
        assert "flux" in pages.soup(response).find(id=f"{top}-error").text
        assert kept(file_engine, project) == ()

    def test_nothing_other_is_no_option(self, client, file_engine, project):
        response = add(client, project)
        assert response.status_code == 422
        assert "other than in the project" in pages.soup(response).select_one(".notice--bad").text
        assert kept(file_engine, project) == ()

    def test_a_sixth_and_a_name_twice_are_refused(self, client, project):
        for name in "abcde":
            add(client, project, name, coats="6")
        assert "at most 5" in pages.soup(add(client, project, "f", coats="6")).select_one(".notice--bad").text
        assert not shown(client, project).select_one(f"a[href='{url(project, '/new')}']")
        client.post(url(project, "/1/remove"), data={"csrf_token": form(client, url(project, "/new"))["csrf_token"]})
        assert pages.soup(add(client, project, "B", coats="6")).find(id="name-error")

    def test_another_tab_that_was_quicker_is_told_and_what_was_typed_is_not_lost(self, client, file_engine, project):
        add(client, project, "First", coats="6")
        (variant,) = kept(file_engine, project)
        path = url(project, f"/{variant.row.id}")
        old = form(client, path)
        client.post(path, data=form(client, path) | {"coats": "7"})
        response = client.post(path, data=old | {"coats": "8"})
        assert response.status_code == 409
        page = pages.soup(response)
        assert page.find(id="coats")["value"] == "8"
        assert kept(file_engine, project)[0].changes.coats == 7
        sent = pages.filled(page.select_one("main form.form"))
        assert client.post(path, data=sent).status_code == 302
        assert kept(file_engine, project)[0].changes.coats == 8

    def test_a_form_from_elsewhere_is_refused(self, client, file_engine, project):
        sent = form(client, url(project, "/new")) | {"name": "Sneaky", "coats": "6"}
        del sent["csrf_token"]
        assert client.post(url(project, "/new"), data=sent).status_code == 400
        assert kept(file_engine, project) == ()

    def test_what_is_not_there_is_not_found(self, client, file_engine, project):
        other = pages.project(file_engine)
        add(client, other, "Theirs", coats="6")
        (theirs,) = kept(file_engine, other)
        for path in ("/projects/99/options", "/projects/99/options/new", url(project, f"/{theirs.row.id}")):
            assert client.get(path).status_code == 404


class TestTaken:
    def take(self, client, project, row, **also):
        page = shown(client, project)
        (asked,) = [one for one in page.select("form") if one["action"].endswith(f"/{row.id}/take")]
        return client.post(asked["action"], data=pages.filled(asked) | also)

    def test_it_becomes_the_project_and_undo_brings_the_parts_back(self, client, file_engine, project):
        legs = box(client, url(project, "/new"), "Leave out Leg")
        add(client, project, "No legs", **{legs: "y", "finish": "shellac"})
        (variant,) = kept(file_engine, project)
        before = pages.parts_of(file_engine, project)
        response = self.take(client, project, variant.row)
        assert (response.status_code, response.location) == (302, f"/projects/{project}/price")
        told = pages.text(pages.soup(client.get(response.location)).select_one(".notices"))
        assert told.startswith("“No legs” is the project now. Undo under Parts")
        assert "the shop’s finish" in told
        assert [part.label for part in pages.parts_of(file_engine, project)] == ["Top"]
        with reading(file_engine) as session:
            assert projects.one(session, project).finish == "shellac"
        assert "this is the project now" in shown(client, project).select_one(".option-card").text
        with writing(file_engine) as session:
            parts.undo(session, project, now=pages.NOW)
        assert pages.parts_of(file_engine, project) == before

    def test_parts_changed_meanwhile_are_not_overwritten(self, client, file_engine, project):
        add(client, project, "More coats", coats="6")
        (variant,) = kept(file_engine, project)
        response = self.take(client, project, variant.row, plan_version="0")
        assert response.status_code == 409
        assert self.take(client, project, variant.row, version="9").status_code == 409
        assert len(pages.history(file_engine, project)) == 1

    def test_an_agreed_project_is_only_looked_at(self, client, file_engine, project):
        add(client, project, "More coats", coats="6")
        with writing(file_engine) as session:
            made = projects.one(session, project)
            agreed = made.draft(state=ProjectState.ACCEPTED)
            project_records.change_project(session, project, agreed, read_version=made.version, now=pages.NOW)
        page = shown(client, project)
        assert page.select_one(".option-card .option-price")
        assert "Make this the project" not in page.text
        token = form(client, url(project, "/new"))["csrf_token"]
        refused = client.post(url(project, "/1/take"), data={"csrf_token": token, "version": "1", "plan_version": "1"})
        assert refused.status_code == 422


def test_a_project_from_a_design_is_offered_its_dimensions(client, file_engine):
    with writing(file_engine) as session:
        asked = projects.Asked("Slab bench")
        made, _ = designs.begin(session, "slab-bench", {"length": units.inches(72)}, asked, now=pages.NOW)
    path = url(made.id, "/new")
    length = box(client, path, "Length")
    assert form(client, path)[length] == "72 in"
    assert add(client, made.id, "Longer", **{length: "96"}).status_code == 302
    (variant,) = kept(file_engine, made.id)
    assert variant.changes == Changes(design={"length": units.inches(96)})
    refused = add(client, made.id, "Endless", **{length: "960"})
    assert refused.status_code == 422
    assert pages.soup(refused).find(id=f"{length}-error").text.strip()
