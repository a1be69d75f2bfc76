"""What the allowances in an estimate rest on: the shop's logs where it has them, its settings and tables where not."""

from __future__ import annotations

from dataclasses import dataclass

from journal.working import Basis


@dataclass(frozen=True, slots=True)
class Ground:
    """Where an allowance came from, and the source as text."""

    basis: Basis
    source: str


@dataclass(frozen=True, slots=True)
class Footing:
    """The grounds of an estimate's allowances.

    Attributes:
        glue, finish: how far they go.
        rejects: boards bought and not used.
        unplanned: hours nobody planned.
        doubt: which of the ranges come from the logs, in words; "" for none.
    """

    glue: Ground = Ground(Basis.BOOK, "shared table: adhesives")
    finish: Ground = Ground(Basis.BOOK, "shared table: finishes")
    rejects: Ground = Ground(Basis.SETTING, "settings: boards bought and not used")
    unplanned: Ground = Ground(Basis.SETTING, "setting: unplanned work")
    doubt: str = ""


START = Footing()
