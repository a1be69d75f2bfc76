"""A small table read from a CSV or tab-separated file: loosely matched headings, every bad place named.

pandas holds the table and is imported when a file is read, so that what never reads one starts quickly.
"""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from journal.errors import BadInput, Problem

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from pathlib import Path

    import numpy as np
    import pandas as pd
    from numpy.typing import NDArray

_DELIMITERS = (",", "\t", ";")
_MOST_BYTES = 100_000_000
_FORMULA = ("=", "+", "@")
_LEAST_REAL_SHARE = 0.98  # of printable characters, in anything that is a text


@dataclass(slots=True)
class Table:
    """The cells of a file as text, stripped, with their line numbers; problems are added as columns are read.

    Attributes:
        name: the file's name.
        cells: one column a known heading; absent optional columns are blank.
        lines: each row's line in the file, shape (n,).
        present: the known columns the file has.
        decimal_comma: whether 12,5 means twelve and a half here.
        problems: so far.
    """

    name: str
    cells: pd.DataFrame
    lines: NDArray[np.int64]
    present: frozenset[str]
    decimal_comma: bool
    problems: list[Problem] = field(default_factory=list)

    def complain(self, bad: pd.Series, column: str, expected: str) -> None:
        """A problem for each row where `bad` holds, unless that cell has one already."""
        named = {problem.line for problem in self.problems if problem.column == column}
        for line, cell in zip(self.lines[bad.to_numpy()].tolist(), self.cells.loc[bad, column].tolist(), strict=True):
            if line in named:
                continue
            self.problems.append(Problem(line, column, f"read {_shown(str(cell))}, expected {expected}"))

    def numbers(self, column: str, expected: str) -> pd.Series:
        """The column as floats, NaN where blank or refused."""
        import pandas as pd  # noqa: PLC0415 - slow to import

        text = self.cells[column]
        if self.decimal_comma:
            text = text.str.replace(",", ".", n=1, regex=False)
        plain = text.str.fullmatch(r"-?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,2})?")
        self.complain(~plain & (text != ""), column, expected)
        return pd.to_numeric(text.where(plain), errors="coerce")

    def dates(self, column: str) -> pd.Series:
        """The column as dates, NaT where refused."""
        import pandas as pd  # noqa: PLC0415 - slow to import

        text = self.cells[column]
        days = pd.to_datetime(text.where(text.str.fullmatch(r"\d{4}-\d{2}-\d{2}")), format="%Y-%m-%d", errors="coerce")
        self.complain(days.isna(), column, "a day written year-month-day, as 2026-03-31")
        return days

    def yes(self, column: str) -> pd.Series:
        """The column as truth values; blank is no."""
        word = self.cells[column].str.casefold()
        yes, no = word.isin(["yes", "y", "true", "1", "x"]), word.isin(["", "no", "n", "false", "0"])
        self.complain(~yes & ~no, column, "yes, no or nothing")
        return yes


def read_table(path: Path, required: Sequence[str], headings: Mapping[str, str]) -> Table:
    """Read a table.

    Args:
        path: the file.
        required: columns it must have.
        headings: accepted heading, in lower case with single spaces → column.

    Raises:
        BadInput: no such file, not a text, empty, the wrong delimiter, or headings missing or doubled.
    """
    import numpy as np  # noqa: PLC0415 - with pandas
    import pandas as pd  # noqa: PLC0415 - slow to import

    body = io.StringIO(_text(path), newline="")
    delimiter, skipped, heads = _heading(body, path.name)
    columns = _columns(heads, required, headings, delimiter, path.name)
    known = tuple(dict.fromkeys(headings.values()))
    rows, lines, problems = _rows(body, delimiter, skipped, columns, len(heads))
    frame = pd.DataFrame(rows, columns=list(columns.values()), dtype="object").astype("str")
    for column in known:
        if column not in frame:
            frame[column] = ""
    table = Table(
        path.name, frame, np.array(lines, dtype=np.int64), frozenset(columns.values()), delimiter != ",", problems
    )
    for column in columns.values():
        formula = frame[column].str.startswith(_FORMULA)
        table.complain(formula, column, "a plain value; a spreadsheet would run this as a formula")
        frame.loc[formula, column] = ""
    return table


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > _MOST_BYTES:
            raise BadInput(path.name, f"{path.stat().st_size} bytes", "a table of at most 100 MB; split it by year")
        raw = path.read_bytes()
    except IsADirectoryError:
        raise BadInput("file", path, "a file, not a folder") from None
    except OSError as refused:
        raise BadInput("file", path, f"a file that can be read ({refused.strerror or refused})") from None
    try:
        text = raw.decode("utf-16" if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
    except UnicodeDecodeError:
        raise BadInput(path.name, None, "a text; save the sheet as “CSV UTF-8” and try again") from None
    if not text.strip():
        raise BadInput(path.name, None, "a heading line and at least one row")
    if not _is_text(text[:2000]):
        raise BadInput(path.name, None, "a text; save the sheet as “CSV UTF-8” and try again")
    return text


def _is_text(sample: str) -> bool:
    shown = re.sub(r"[\r\n\t]", "", sample)
    return sum(map(str.isprintable, shown)) >= _LEAST_REAL_SHARE * len(shown)


def _heading(body: io.StringIO, name: str) -> tuple[str, int, list[str]]:
    """The delimiter, how many lines were read, and the headings. Lines of # before them are remarks."""
    for read, line in enumerate(body, start=1):
        if line.strip() and not line.lstrip().startswith("#"):
            delimiter = max(_DELIMITERS, key=line.count)
            return delimiter, read, [_loose(cell) for cell in next(csv.reader([line], delimiter=delimiter))]
    raise BadInput(name, None, "a heading line and at least one row")


def _columns(
    heads: Sequence[str], required: Sequence[str], headings: Mapping[str, str], delimiter: str, name: str
) -> dict[int, str]:
    """Position → column."""
    found: dict[int, str] = {}
    for position, head in enumerate(heads):
        column = headings.get(head)
        if column is None:
            continue
        if column in found.values():
            raise BadInput(f"{name}, headings", head, f"one column for {column}; take the other away")
        found[position] = column
    missing = [column for column in required if column not in found.values()]
    if missing:
        mark = "tabs" if delimiter == "\t" else f"“{delimiter}”"
        split = f"split at {mark}" if len(heads) > 1 else "nothing to split at: use commas or tabs"
        expected = f"a column {', '.join(missing)} beside {', '.join(required)} ({split})"
        raise BadInput(f"{name}, headings", ", ".join(heads), expected)
    return found


def _rows(
    body: io.StringIO, delimiter: str, skipped: int, columns: Mapping[int, str], width: int
) -> tuple[list[list[str]], list[int], list[Problem]]:
    """The known cells of every row that is not blank, the rows' lines, and the rows that are no rows."""
    rows: list[list[str]] = []
    lines: list[int] = []
    problems: list[Problem] = []
    for line, cells in _numbered(body, delimiter, skipped, problems):
        if not any(cell.strip() for cell in cells):
            continue
        if any(cell.strip() for cell in cells[width:]):
            message = f"{len(cells)} cells under {width} headings; put a cell holding “{delimiter}” in double quotes"
            problems.append(Problem(line, "", message))
            continue
        rows.append([cells[position].strip() if position < len(cells) else "" for position in columns])
        lines.append(line)
    if not rows and not problems:
        problems.append(Problem(skipped + 1, "", "no row under the headings; add at least one"))
    return rows, lines, problems


def _numbered(
    body: io.StringIO, delimiter: str, skipped: int, problems: list[Problem]
) -> Iterator[tuple[int, list[str]]]:
    """Rows with the line each begins on; reading ends at a row that cannot be told apart from the next."""
    reader = csv.reader(body, delimiter=delimiter)
    line = skipped + 1
    try:
        for cells in reader:
            yield line, cells
            line = skipped + reader.line_num + 1
    except csv.Error as refused:
        problems.append(Problem(line, "", f"cannot be read ({refused}); is a double quote left open?"))


def _loose(heading: str) -> str:
    return re.sub(r"[\s_\-]+", " ", heading).strip().casefold()


def _shown(cell: str) -> str:
    return f"“{cell[:60]}”" if cell else "nothing"
