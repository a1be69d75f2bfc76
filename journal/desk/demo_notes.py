"""Notes and photos for the made-up years: what somebody at the bench might have written down, and pictures of boards.

The words are put together from phrases of our own, the pictures are drawn: a few boards in a few colours of wood.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, time
from functools import cache
from hashlib import sha256
from io import BytesIO
from typing import TYPE_CHECKING, Any

import numpy as np

from journal import reference
from journal.records import photo_files

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date
    from pathlib import Path

    from numpy.random import Generator

Row = dict[str, Any]

NOTES_A_JOB, PHOTOS_A_JOB = 6, 4
OF_AN_ENTRY = 0.3  # of the notes are about one time entry, the others about the operation
_WIDTH, _HEIGHT = 240, 180  # pixels; small enough to be its own small picture
_WOODS = ((196, 160, 110), (222, 196, 150), (150, 105, 70), (205, 170, 135), (120, 85, 60), (230, 210, 175))

_WHAT = {
    "stock": ("the third board from the bottom", "one bundle", "the wide board", "the stack by the door"),
    "milling": ("the planer", "the wide board", "the left leg", "one strip", "the grain at the far end"),
    "glue_up": ("the second glue-up", "the middle clamp", "the end of the slab", "the short strip"),
    "flattening": ("the far corner", "the middle of the slab", "the scraper", "the second pass"),
    "joinery": ("the lap of the front leg", "the mortise", "the knife line", "the stop block", "the long tenon"),
    "assembly": ("the stretcher", "the front left leg", "the dry fit", "the vise"),
    "finishing": ("the second coat", "the underside", "the end grain", "the rag"),
    "boring": ("the row of dog holes", "the brace", "the stop collar", "the front edge"),
    "fittings": ("the vise", "the drawer", "the shelf", "the long bolt"),
    "delivery": ("the door at the client’s", "the blanket", "the second flight of stairs"),
}
_ANYWHERE = ("the jig", "the cart", "the light at the far bench", "the setting", "the fence")
_SEEN = (
    "was out by ½ mm",
    "tore out against the grain",
    "took longer than planned",
    "went together first time",
    "cupped overnight",
    "needed a hand more",
    "showed a check 4 in from the end",
    "ran clean",
    "was drier than the meter said",
    "slipped while it was clamped",
)
_DONE = (
    "turned it end for end",
    "marked it and cut it last",
    "put a wedge under it",
    "took lighter cuts from then on",
    "left it until morning",
    "kept the offcut for the stretcher",
    "waxed the bed and went on",
    "set the stop once for all four",
    "swept first, then measured again",
)
_NEXT = (
    "Next time: rehearse it dry.",
    "Next time: two people.",
    "Write the setting on the jig.",
    "Do the end grain first.",
    "Ask for longer boards.",
    "Worth the extra coat.",
    "",
    "",
)


@dataclass(frozen=True, slots=True)
class Shot:
    """A picture of the made-up years: the bytes it is kept as, and its row without a number."""

    content: bytes
    row: Row


def notes(entries: Sequence[Row], dice: Generator) -> list[Row]:
    """Notes about the work of one job, without their numbers, in the order of the days; none where nothing was done."""
    if not entries:
        return []
    chosen = sorted(int(one) for one in dice.integers(len(entries), size=NOTES_A_JOB))
    return [_note(entries[place], dice) for place in chosen]


def shots(day: date, first: int, dice: Generator) -> list[Shot]:
    """Photos of one job, each unlike every other; `first`: how many were made before it."""
    drawn = _boards()
    found = []
    for number in range(first, first + PHOTOS_A_JOB):
        content = _numbered(drawn[int(dice.integers(len(drawn)))], number)
        row = {
            "sha256": sha256(content).hexdigest(),
            "bytes": len(content),
            "width": _WIDTH,
            "height": _HEIGHT,
            "added_at": _evening(day),
        }
        found.append(Shot(content, row))
    return found


def keep_files(data: Path, made: Iterable[Shot]) -> None:
    """Put the pictures on the disk; thousands of them, so none is waited for: they can be made again."""
    for shot in made:
        large = photo_files.large_path(data, shot.row["sha256"])
        large.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        for path in (large, photo_files.small_path(data, shot.row["sha256"])):
            path.touch(mode=0o600)
            path.write_bytes(shot.content)


def _note(entry: Row, dice: Generator) -> Row:
    operation, stage = entry["operation"], entry["stage"]
    if operation is not None and operation in reference.operations():
        stage = reference.operations()[operation].stage
    about_entry = dice.random() < OF_AN_ENTRY
    at = _evening(entry["on_date"])
    return {
        "project_id": entry["project_id"],
        "operation": None if about_entry else operation,
        "stage": None if about_entry or operation is not None else stage,
        "entry_id": entry["id"] if about_entry else None,
        "text": _text(stage, dice),
        "day": entry["on_date"],
        "worker_id": entry["worker_id"],
        "version": 1,
        "created_at": at,
        "changed_at": at,
        "removed_at": None,
    }


def _text(stage: str | None, dice: Generator) -> str:
    def one(of: Sequence[str]) -> str:
        return of[int(dice.integers(len(of)))]

    what = one((*_WHAT.get(stage or "", ()), *_ANYWHERE))
    said = f"{what[:1].upper()}{what[1:]} {one(_SEEN)}; {one(_DONE)}."
    return f"{said} {one(_NEXT)}".strip()


def _evening(day: date) -> datetime:
    return datetime.combine(day, time(18, tzinfo=UTC))


@cache
def _boards() -> tuple[bytes, ...]:
    """A few boards side by side, in a few colours, as the JPEG they are kept as."""
    from PIL import Image  # noqa: PLC0415 - slow to import, and only needed here

    dice = np.random.default_rng(len(_WOODS))
    drawn = []
    for place in range(len(_WOODS)):
        picture = np.zeros((_HEIGHT, _WIDTH, 3))
        for start in range(0, _HEIGHT, 36):
            wood = np.array(_WOODS[(place + int(dice.integers(3))) % len(_WOODS)])
            picture[start : start + 34] = wood + dice.normal(0, 6, (len(picture[start : start + 34]), 1, 1))
        out = BytesIO()
        Image.fromarray(picture.clip(0, 255).astype(np.uint8)).save(out, "JPEG", quality=70)
        drawn.append(out.getvalue())
    return tuple(drawn)


def _numbered(drawn: bytes, number: int) -> bytes:
    """The same picture as a file of its own: a comment with a number after the first mark (ITU-T T.81, B.2.4.5)."""
    said = f"made-up photo {number}".encode()
    return drawn[:2] + b"\xff\xfe" + (len(said) + 2).to_bytes(2, "big") + said + drawn[2:]
