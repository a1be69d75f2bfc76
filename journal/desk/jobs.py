"""Searches that run beside the pages: one thread each, looked at and stopped from anywhere, their best plan kept.

A search writes its project's plan twice: the plan at hand when it begins, so that nothing is lost whatever happens, and
what it found when it ends. A row still marked as searched for, without a search here, was cut short by a restart.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass, replace
from threading import Event, Lock, Thread
from time import monotonic
from typing import TYPE_CHECKING

from journal.desk import cutting_plans, solving
from journal.errors import BadInput, JournalError
from journal.records.engine import writing
from journal.records.queries import cutting as cutting_records
from journal.records.words import CuttingStatus

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from sqlalchemy import Engine

    from journal.cutting.problem import BoardProblem, CuttingResult
    from journal.desk.cutting_plans import InForce

    Search = Callable[[BoardProblem, float, Callable[[int, int], None], Callable[[], bool]], CuttingResult]

LONGEST_SECONDS = 3600
MOST = 4  # searches at once; more would only slow one another down
FAILED, STOPPED, OUTDONE = "failed", "stopped", "found nothing better"
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Snapshot:
    """How far a search is.

    Attributes:
        seconds: since it began; limit: when it stops at the latest.
        cost_cents, bound_cents: of the best plan so far; what any plan must cost.
        stopping: it was told to stop.
    """

    cutting_id: int
    project_id: int
    stock_code: str
    seconds: float
    limit: float
    cost_cents: int
    bound_cents: int
    stopping: bool

    @property
    def gap(self) -> float:
        """Share of the cost that might still be saved."""
        return (self.cost_cents - self.bound_cents) / self.cost_cents if self.cost_cents else 0.0


@dataclass(slots=True)
class _Job:
    seen: Snapshot
    problem: BoardProblem
    began: float
    stop: Event
    thread: Thread | None = None


class Jobs:
    """The searches of one journal that run in this process."""

    def __init__(self, engine: Engine, search: Search = solving.thorough) -> None:
        self._engine = engine
        self._search = search
        self._lock = Lock()
        self._running: dict[int, _Job] = {}

    def start(self, project_id: int, plan: InForce, *, seconds: float, now: datetime) -> int:
        """Begin to look for a cheaper plan; answers with the number of the kept plan it will end in.

        A search for the same that runs already is joined; one for what the project was before is stopped.

        Raises:
            BadInput: no time, too much of it, or too many searches at once.
        """
        if not 0 < seconds <= LONGEST_SECONDS:
            raise BadInput("time", f"{seconds:g} s", f"up to {LONGEST_SECONDS} s")
        code = plan.lot.stock.code
        with self._lock:
            for cutting_id, job in self._running.items():
                if (job.seen.project_id, job.seen.stock_code) == (project_id, code) and not job.stop.is_set():
                    if job.problem == plan.problem:
                        return cutting_id
                    job.stop.set()  # it looks for what nobody wants any more
            if len(self._running) >= MOST:
                raise BadInput("searches", len(self._running), f"fewer than {MOST} at once; wait for one, or stop one")
            with writing(self._engine) as session:
                row = cutting_plans.keep(session, project_id, plan, now=now, status=CuttingStatus.SEARCHING, ended="")
            cost, bound = plan.result.cost_cents, plan.result.bound_cents
            seen = Snapshot(row.id, project_id, code, 0.0, seconds, cost, bound, stopping=False)
            job = self._running[row.id] = _Job(seen, plan.problem, monotonic(), Event())
            job.thread = Thread(target=self._run, args=(job, plan), name=f"cutting-{row.id}", daemon=True)
            job.thread.start()
        return row.id

    def look(self, cutting_id: int) -> Snapshot | None:
        """How far a search is; None when it is not running here."""
        with self._lock:
            job = self._running.get(cutting_id)
            return _now(job) if job else None

    def stop(self, cutting_id: int) -> None:
        """Tell a search to end with what it has; once it has ended, that changes nothing."""
        with self._lock:
            job = self._running.get(cutting_id)
            if job:
                job.stop.set()

    def wait(self, cutting_id: int, seconds: float) -> bool:
        """Wait for a search to end; False when it has not by then."""
        with self._lock:
            job = self._running.get(cutting_id)
        if job is None or job.thread is None:
            return True
        job.thread.join(seconds)
        return not job.thread.is_alive()

    def _run(self, job: _Job, plan: InForce) -> None:
        try:
            result, ended = self._searched(job, plan)
            with writing(self._engine) as session:
                cutting_records.end_search(
                    session, job.seen.cutting_id, cutting_plans.draft(plan.problem, result, ended=ended)
                )
        except Exception:  # noqa: BLE001 - whatever it is, it must be told and the search struck off
            # Nobody waits for this thread; the page then says that the search was cut short.
            _log.exception("the search for a cutting plan of %s could not be kept", job.seen.stock_code)
        finally:
            with self._lock:
                self._running.pop(job.seen.cutting_id, None)

    def _searched(self, job: _Job, plan: InForce) -> tuple[CuttingResult, str]:
        """The better of what was at hand and what was found, and how the search ended."""
        try:
            result = self._search(
                plan.problem, job.seen.limit, lambda cost, bound: self._tell(job, cost, bound), job.stop.is_set
            )
        except JournalError as refused:
            _log.warning("the search for a cutting plan of %s failed: %s", job.seen.stock_code, refused)
            return plan.result, FAILED
        ended = STOPPED if job.stop.is_set() else result.ended
        if _rank(result) < _rank(plan.result):
            return result, ended
        return plan.result, OUTDONE if not job.stop.is_set() else ended

    def _tell(self, job: _Job, cost_cents: int, bound_cents: int) -> None:
        with self._lock:
            best = min(job.seen.cost_cents, cost_cents)
            job.seen = replace(job.seen, cost_cents=best, bound_cents=max(job.seen.bound_cents, bound_cents))


def _rank(result: CuttingResult) -> tuple[int, int, int]:
    """Cheapest first, then fewest boards, then the best known to be so."""
    return result.cost_cents, len(result.plan.boards), -result.bound_cents


def _now(job: _Job) -> Snapshot:
    return replace(job.seen, seconds=monotonic() - job.began, stopping=job.stop.is_set())
