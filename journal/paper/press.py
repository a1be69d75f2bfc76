"""Data and a source into a PDF. All text goes in as data, never as markup, so that nothing typed can become a command."""

from __future__ import annotations

import json
from datetime import UTC, datetime, time
from functools import cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from datetime import date
    from pathlib import Path


def press(source: Path, data: dict[str, Any], day: date, *, own_letters: bool = True) -> bytes:
    """The PDF of a source with its data.

    Args:
        source: the layout; finds its data as `sys.inputs.data`.
        data: plain values.
        day: the date the document bears inside.
        own_letters: only those that come with the program, so that the same data give the same bytes on every computer.
            False: the computer's too, for a name in a script the program has no letters for.
    """
    import typst  # noqa: PLC0415 - large, and only for print

    made: bytes = typst.compile(
        source.read_bytes(),
        format="pdf",
        sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
        timestamp=datetime.combine(day, time(), UTC),
        font_paths=_letters(own=own_letters),
    )
    return made


@cache
def _letters(*, own: bool) -> Any:  # noqa: ANN401 - a module without types
    import typst  # noqa: PLC0415 - as above

    return typst.Fonts(include_system_fonts=not own, include_embedded_fonts=True)
