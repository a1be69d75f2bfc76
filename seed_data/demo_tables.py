"""Rows as a table of commas."""

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path


def table(columns: Sequence[str], rows: Iterable[Mapping[str, str]]) -> str:
    """Headings and rows; a cell that a row lacks is blank."""
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, columns, lineterminator="\n", restval="")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def write(path: Path, remark: str, rows: Sequence[Mapping[str, str]]) -> None:
    """A file of the demo shop: a remark that says what it is, then the table."""
    text = f"# {remark}; made up, by make_demo.py\n{table(tuple(rows[0]), rows)}"
    path.write_text(text, encoding="utf-8", newline="\n")
