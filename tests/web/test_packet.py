"""The packet for the shop floor: what stands on it, on which paper."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from journal import units
from journal.desk import parts
from journal.desk.plan import build_plan
from journal.paper.packet import ALWAYS, PacketPaper, packet_pdf
from journal.records.engine import reading, writing
from journal.records.queries import shop
from journal.records.words import LengthSystem
from pypdf import PdfReader
from tests.web import project_pages as pages
from tests.web.test_plan import add, from_design

LETTER, A4 = (612, 792), (595, 842)


@pytest.fixture
def client(file_engine, tmp_path):
    return pages.open_shop(file_engine, tmp_path)


def plan_of(engine, made):
    with reading(engine) as session:
        return build_plan(session, made, pages.TODAY)


def packet(client, made):
    response = client.get(f"/projects/{made}/plan/packet.pdf")
    assert response.status_code == 200
    assert response.content_type == "application/pdf"
    assert "shop-packet-" in response.headers["Content-Disposition"]
    read = PdfReader(io.BytesIO(response.data))
    text = " ".join(" ".join(page.extract_text() for page in read.pages).split())
    size = tuple(round(float(side)) for side in read.pages[0].mediabox[2:])
    return text, size, response.data


def test_every_part_glue_up_step_and_caution_is_on_it(client, file_engine):
    made = pages.project(file_engine)
    plan = plan_of(file_engine, made)
    text, size, _ = packet(client, made)
    assert size == LETTER
    for milled in plan.gluing.milled:
        assert f"{milled.part.label} {milled.pieces} " in text
        assert units.format_length(milled.part.length_nm, units.System.INCH) in text
    for up in plan.gluing.ups:
        assert f"{up.label} {up.times} {up.lines + 1} " in text
    for step in plan.steps.steps:
        assert step.title in text
        if step.wait:
            assert step.wait.why in text
    for use in plan.cautions:
        assert text.count(use.caution.text) == 1
    assert ALWAYS in text
    assert "Oily rags: at the end of every day oil was used" in text


def test_changes_of_the_steps_are_on_it(client, file_engine):
    made = pages.project(file_engine)
    add(client, made)
    text, _, _ = packet(client, made)
    assert "Burn in the mark" in text
    assert "by the vise" in text


def test_a_metric_shop_prints_on_a4_in_millimetres(client, file_engine):
    made = pages.project(file_engine)
    with writing(file_engine) as session:
        row = shop.get_shop(session)
        shop.save_shop(session, replace(row, system=LengthSystem.METRIC))
    text, size, _ = packet(client, made)
    assert size == A4
    assert "1828.8 mm" in text


def test_a_bench_of_a_design_is_drawn_until_its_parts_are_others(client, file_engine):
    made = from_design(file_engine)
    assert "From above" in packet(client, made)[0]
    with writing(file_engine) as session:
        listed = parts.current(session, made)[1:]
        parts.keep(session, made, listed, reason="no top", now=pages.NOW)
    assert "From above" not in packet(client, made)[0]


def test_the_same_plan_gives_the_same_bytes(file_engine, client):
    made = pages.project(file_engine)
    assert client
    plan = plan_of(file_engine, made)
    printed = PacketPaper(plan, pages.TODAY, "us-letter", 16)
    assert packet_pdf(printed) == packet_pdf(printed)


def test_what_is_typed_is_text_and_never_a_command(client, file_engine):
    made = pages.project(file_engine, listed=pages.LIST.replace("Top,", "#panic() $x$ *Top*,"))
    assert "#panic() $x$ *Top*" in packet(client, made)[0]
