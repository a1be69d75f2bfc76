"""Earlier years for the demo shop: jobs like those it has finished, so that a working life of data can be tried.

Every job is one of the demo's finished ones, built in another week: its parts, plan, receipts, glue-ups and coats moved
by whole weeks, so that what belongs together stays together and in order; its minutes drawn anew from the truth behind the
demo (`seed_data/demo_truth.py`): slower the longer ago, with the luck of a job and the scatter of an evening.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING, Any

import numpy as np
from sqlalchemy import Table, func, insert, select

from journal.desk import demo_notes, demo_rack
from journal.errors import BadInput
from journal.records.base import Base
from journal.records.words import FINISHED, ProjectState

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from sqlalchemy.orm import Session

Row = dict[str, Any]

MOST_YEARS = 40
JOBS_A_YEAR = 48  # and the demo's own: two full-time people and what they hire
# Of the truth behind the demo shop; a test holds them to it.
DRIFT_A_YEAR, PROJECT_SD, ENTRY_SD, SMALL_TASK_MINUTES = -0.02, 0.15, 0.22, 20.0
PRICES_A_YEAR = 1.03
SPLIT_FROM = 25 * 60  # seconds; such an entry was two, before supper and after it, more often than not
SPLIT_SHARE = 0.93
RACKED_LINES = 2  # of a job's receipts went over the rack board by board
FIRST_NUMBER = 100  # after which their codes are numbered, clear of the demo's own
_DAYS_A_YEAR = 365.25
_BATCH = 5_000


@dataclass(frozen=True, slots=True)
class Added:
    """How much was put in, by table."""

    rows: Mapping[str, int]

    @property
    def projects(self) -> int:
        return self.rows["projects"]


def add_years(session: Session, years: int, seed: int, today: date, data: Path | None = None) -> Added:
    """Fill the years up to today with jobs like those of the demo shop, which the journal holds already.

    Their photos are put into the data folder; without one there are only the rows.

    Raises:
        BadInput: no years, or more than anybody works.
    """
    if not 1 <= years <= MOST_YEARS:
        raise BadInput("years", years, f"1 to {MOST_YEARS}")
    made = _Maker(session, seed, today)
    days = years * _DAYS_A_YEAR
    for place in range(years * JOBS_A_YEAR):
        # The last job like these was begun half a year ago, so that every one of them is done by today.
        ago = 180 + (days - 180) * (1 - (place + 0.5) / (years * JOBS_A_YEAR))
        made.job(today - timedelta(days=round(ago)))
    made.prices(years)
    if data is not None:
        demo_notes.keep_files(data, made.shots)
    return Added(made.put_in())


class _Maker:
    """Rows of all tables, numbered on from those that are there."""

    def __init__(self, session: Session, seed: int, today: date) -> None:
        self._session = session
        self._today = today
        self._dice = np.random.default_rng(seed)
        self._words = np.random.default_rng((seed, 1))  # apart, so that notes change nobody's minutes
        self.shots: list[demo_notes.Shot] = []
        self._out: dict[str, list[Row]] = defaultdict(list)
        self._next: dict[str, int] = {}
        self._numbers: dict[int, int] = defaultdict(lambda: FIRST_NUMBER)
        self._templates = _templates(session)
        self._sizes = {row["code"]: row for row in _rows(session, _table("stock_items"))}

    def job(self, begins: date) -> None:
        """One job, begun in the week of a day."""
        like = self._templates[int(self._dice.integers(len(self._templates)))]
        head = like["projects"][0]
        shift = timedelta(weeks=(begins - head["started_on"]).days // 7)
        years = shift.days / _DAYS_A_YEAR
        price = PRICES_A_YEAR**years
        project = self._project(head, shift, price)
        for name in ("plans", "built", "glue_ups", "coats"):
            for row in like[name]:
                self._put(name, _moved(row, shift) | {"project_id": project["id"]})
        before = len(self._out["time_entries"])
        self._entries(like["time_entries"], project["id"], shift, np.exp(DRIFT_A_YEAR * years))
        self._notes(self._out["time_entries"][before:], begins)
        self._receipts(like, project, shift, price)

    def prices(self, years: int) -> None:
        """The price list of the demo's first year, in each of the years before."""
        first = min(
            row["on_date"] for row in _rows(self._session, _table("stock_prices")) if row["on_date"].year > 2000
        )
        rows = [row for row in _rows(self._session, _table("stock_prices")) if 0 <= (row["on_date"] - first).days < 365]
        for back in range(1, years):
            for row in rows:
                cents = max(1, round(row["price_cents"] * PRICES_A_YEAR**-back))
                self._put("stock_prices", _moved(row, timedelta(weeks=-52 * back)) | {"price_cents": cents})

    def put_in(self) -> dict[str, int]:
        """Everything, table by table, what is pointed at before what points."""
        counts = {}
        for table in Base.metadata.sorted_tables:
            rows = self._out.get(table.name, [])
            for start in range(0, len(rows), _BATCH):
                self._session.execute(insert(table), rows[start : start + _BATCH])
            if rows:
                counts[table.name] = len(rows)
        return counts

    def _put(self, name: str, row: Row) -> int:
        number = self._next.get(name) or self._first(name)
        self._next[name] = number + 1
        self._out[name].append({**row, "id": number})
        return number

    def _first(self, name: str) -> int:
        return int(self._session.execute(select(func.max(_table(name).c.id))).scalar() or 0) + 1

    def _project(self, head: Row, shift: timedelta, price: float) -> Row:
        row = _moved(head, shift)
        year = row["enquired_on"].year
        self._numbers[year] += 1
        row |= {
            "code": f"{year % 100:02d}-{self._numbers[year]:03d}",
            "state": ProjectState.CLOSED,
            "agreed_price_cents": round(head["agreed_price_cents"] * price),
            "quoted_cost_cents": round(head["quoted_cost_cents"] * price),
        }
        return row | {"id": self._put("projects", row)}

    def _entries(self, rows: list[Row], project_id: int, shift: timedelta, drift: float) -> None:
        luck = float(np.exp(self._dice.normal(0.0, PROJECT_SD)))
        for row in rows:
            spread = ENTRY_SD * np.sqrt(1 + SMALL_TASK_MINUTES * 60 / row["seconds"])
            seconds = row["seconds"] * drift * luck * float(np.exp(self._dice.normal(0.0, spread)))
            minutes = max(1, round(seconds / 60))
            for part in self._parted(minutes):
                self._put("time_entries", _moved(row, shift) | {"project_id": project_id, "seconds": 60 * part})

    def _parted(self, minutes: int) -> tuple[int, ...]:
        if 60 * minutes < SPLIT_FROM or self._dice.random() > SPLIT_SHARE:
            return (minutes,)
        first = round(minutes * float(self._dice.uniform(0.3, 0.7)))
        return (first, minutes - first)

    def _notes(self, entries: list[Row], day: date) -> None:
        """What was written down at the bench, and photos on the first of it."""
        written = [self._put("notes", row) for row in demo_notes.notes(entries, self._words)]
        taken = demo_notes.shots(day, len(self.shots), self._words) if written else []
        for place, shot in enumerate(taken):
            photo = self._put("photos", shot.row)
            hung = {"photo_id": photo, "note_id": written[place % len(written)], "purchase_id": None}
            self._put("photo_places", hung | {"position": place // len(written), "removed_at": None})
        self.shots += taken

    def _receipts(self, like: Mapping[str, list[Row]], project: Row, shift: timedelta, price: float) -> None:
        racked = 0
        for receipt in like["purchases"]:
            paid = {name: round(receipt[name] * price) for name in ("freight_cents", "tax_cents")}
            head = _moved(receipt, shift) | paid | {"project_id": project["id"]}
            head["id"] = self._put("purchases", head)
            for line in like["purchase_lines"]:
                if line["purchase_id"] != receipt["id"]:
                    continue
                kept = line | {"purchase_id": head["id"], "price_cents": round(line["price_cents"] * price)}
                kept["id"] = self._put("purchase_lines", kept)
                size = demo_rack.size_of(kept, self._sizes)
                if size and racked < RACKED_LINES:
                    racked += 1
                    self._rack(kept, head, project, size)

    def _rack(self, line: Row, receipt: Row, project: Row, size: demo_rack.Size) -> None:
        """The boards of a line: brought for the job, drawn by it, the good ones over left on the rack."""
        boards = [self._put("rack_boards", row) for row in demo_rack.boards(line, receipt, project["id"], size)]
        for act in demo_rack.acts(line, receipt, project, boards):
            act_id = self._put("rack_acts", act.row)
            for move in act.moves:
                self._put("rack_moves", move | {"act_id": act_id})


def _templates(session: Session) -> list[dict[str, list[Row]]]:
    """The finished jobs with all that belongs to each."""
    found = []
    whole = {name: _rows(session, _table(name)) for name in ("plans", "built", "glue_ups", "coats", "time_entries")}
    receipts, lines = _rows(session, _table("purchases")), _rows(session, _table("purchase_lines"))
    for project in _rows(session, _table("projects")):
        if project["state"] not in FINISHED or project["started_on"] is None or project["delivered_on"] is None:
            continue
        held = {name: [row for row in rows if row["project_id"] == project["id"]] for name, rows in whole.items()}
        bought = [row for row in receipts if row["project_id"] == project["id"]]
        numbers = {row["id"] for row in bought}
        held |= {"projects": [project], "purchases": bought}
        found.append(held | {"purchase_lines": [row for row in lines if row["purchase_id"] in numbers]})
    return found


def _moved(row: Row, shift: timedelta) -> Row:
    """A row so much later; moments as well as days."""
    return {name: value + shift if isinstance(value, date) else value for name, value in row.items()}


def _rows(session: Session, table: Table) -> list[Row]:
    return [dict(row) for row in session.execute(select(table)).mappings()]


def _table(name: str) -> Table:
    return Base.metadata.tables[name]


def _noon(day: date) -> datetime:
    return datetime.combine(day, time(12, tzinfo=UTC))
