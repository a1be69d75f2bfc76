"""The demo shop: three years of a made-up shop's journal, put into an empty one from the files in seed_data/."""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time
from typing import TYPE_CHECKING

from journal.desk import demo_files as files
from journal.desk import demo_promises, parts
from journal.desk.demo_years import add_years
from journal.errors import JournalError, MissingReference
from journal.places import folder
from journal.records.engine import FOLDER_VARIABLE, data_folder, database_url, open_engine, reading, writing
from journal.records.migrate import ensure_current
from journal.records.queries import floor, log, plans, projects, purchases, rack, stock
from journal.records.queries import shop as shop_records
from journal.records.queries.shelf import ShelfDraft
from journal.records.tables import Worker
from journal.records.words import ProjectState, ShelfMoveKind

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

    from sqlalchemy import Engine
    from sqlalchemy.orm import Session

    from journal.desk.quoting import Press
    from journal.records.queries.projects import ProjectDraft
    from journal.records.queries.shop import ShopRow

_NOON = time(12, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class DemoLoaded:
    """What was put in, and which project is the one to be estimated."""

    commission_project_id: int
    projects: int
    entries: int


def load_demo(session: Session, *, now: datetime) -> DemoLoaded:
    """Put the demo shop into an empty journal, in the writing session given. Dates are those of the files.

    Raises:
        JournalError: the journal holds projects already; nothing is put in.
    """
    if projects.list_projects(session, most=1):
        raise JournalError(
            "this journal already holds projects; the demo shop goes into an empty one: name another data folder"
        )
    source = folder("seed_data")
    worker_ids = _set_up(session, source)
    drafts = files.read_projects(source)
    project_ids = _put_projects(session, source, drafts)
    entries = log.add_entries(session, files.read_entries(source, project_ids, worker_ids), now=now)
    for purchase in files.read_purchases(source, project_ids):
        purchases.add_purchase(session, purchase)
    for glue_up in files.read_glue_ups(source, project_ids):
        floor.add_glue_up(session, glue_up)
    for coat in files.read_coats(source, project_ids):
        floor.add_coat(session, coat)
    _count_shelf(session, files.read_counted(source))
    demo_promises.put(session, drafts, project_ids, files.read_payments(source, project_ids))
    return DemoLoaded(project_ids[_commission(drafts)], len(project_ids), entries)


def open_demo(
    data: Path | None, *, now: datetime, years: int = 0, seed: int = 1, press: Press | None = None
) -> tuple[Engine, Path, int]:
    """The demo shop, set up if it is not there yet: its engine, its folder, the project to be estimated.

    Without a folder of its own named it lives beside the user's journal, never in it. With `years`, so many full years of
    work lie behind it, thrown with the seed. With a `press`, what its clients asked for last is quoted.
    """
    chosen = data_folder(data) if data or os.environ.get(FOLDER_VARIABLE) else data_folder(data_folder() / "demo")
    engine = open_engine(database_url(chosen))
    ensure_current(engine)
    with reading(engine) as session:
        there = projects.list_projects(session, most=1)
    if not there:
        with writing(engine) as session:
            loaded = load_demo(session, now=now)
            if press is not None:
                demo_promises.issue_quotes(session, press)
            if years:
                add_years(session, years, seed, now.date(), chosen)
            return engine, chosen, loaded.commission_project_id
    if years:
        raise JournalError(f"{chosen} holds the demo shop already; name an empty folder for one of so many years")
    wanted = _commission(files.read_projects(folder("seed_data")))
    try:
        with reading(engine) as session:
            return engine, chosen, projects.find_project(session, wanted).id
    except MissingReference as missing:
        raise JournalError(
            f"{chosen} holds a journal of its own; name another folder for the demo with --data"
        ) from missing


def demo_commission_path() -> Path:
    """The demo commission's part list alone, as a client's list comes in."""
    return folder("seed_data") / "demo_commission.csv"


def _set_up(session: Session, source: Path) -> dict[str, int]:
    """The shop, its settings, machines, stock with prices and places at the bench; answers the ids of those places."""
    start = files.read_start(source)
    _save_shop(session, start.shop)
    for setting in start.settings:
        shop_records.put_setting(session, setting)
    for machine in start.machines:
        shop_records.save_machine(session, machine)
    there = {priced.item.code: priced.item.id for priced in stock.stock_items(session, date.max)}
    kept = [stock.save_item(session, replace(item, id=there.get(item.code, 0))) for item in start.items]
    item_ids = {item.code: item.id for item in kept}
    for price in files.read_prices(source, item_ids):
        stock.add_price(session, price)
    return _put_workers(session, start.workers)


def _count_shelf(session: Session, counted: Sequence[tuple[str, float]]) -> None:
    """The last stock-take of the shelf."""
    drafts = [
        ShelfDraft(
            item_id=stock.find_item(session, code).id,
            kind=ShelfMoveKind.COUNTED,
            amount=amount,
            on_date=files.COUNTED_ON,
        )
        for code, amount in counted
    ]
    said = f"stock-take: {len(drafts)} things on the shelf"
    at = datetime.combine(files.COUNTED_ON, _NOON)
    rack.record(session, rack.ActDraft(said=said, on_date=files.COUNTED_ON, shelf=drafts), now=at)


def _save_shop(session: Session, shop: ShopRow) -> None:
    shop_records.save_shop(session, replace(shop, version=shop_records.get_shop(session).version))


def _put_workers(session: Session, workers: Iterable[tuple[str, int | None]]) -> dict[str, int]:
    rows = [Worker(label=label, wage_cents_per_hour=wage, active=True) for label, wage in workers]
    session.add_all(rows)
    session.flush()
    return {row.label: row.id for row in rows}


def _put_projects(session: Session, source: Path, drafts: Iterable[ProjectDraft]) -> dict[str, int]:
    """Every project with its parts as of the day it was asked for, and what was built otherwise."""
    listed, built = files.read_parts(source), files.read_built(source)
    ids: dict[str, int] = {}
    for draft in drafts:
        asked = datetime.combine(draft.enquired_on or date.min, _NOON)
        ids[draft.code] = project_id = projects.add_project(session, draft, asked).id
        kept = parts.keep(session, project_id, listed[draft.code], reason="part list of the enquiry", now=asked)
        if kept.trouble:
            raise JournalError(f"the demo project {draft.code} cannot be built: {kept.trouble}")
        plans.put_built(session, project_id, built.get(draft.code, ()))
    return ids


def _commission(drafts: Iterable[ProjectDraft]) -> str:
    return next(draft.code for draft in drafts if draft.state is ProjectState.ENQUIRY)
