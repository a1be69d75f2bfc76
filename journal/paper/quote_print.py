"""A quote, an extra and a receipt as PDF, through quote.typ, extra.typ and receipt.typ."""

from __future__ import annotations

import re
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from journal.paper.press import press

if TYPE_CHECKING:
    from journal.paper.quote import ExtraPaper, QuotePaper, ReceiptPaper

_LONGEST_WORD = 40  # characters; fits the narrowest column, and no address is cut for nothing
_LONG = re.compile(rf"\S{{{_LONGEST_WORD + 1},}}")
_BREAK = "\u200b"  # no width of its own
_QUOTE = Path(__file__).with_name("quote.typ")
_EXTRA = Path(__file__).with_name("extra.typ")
_RECEIPT = Path(__file__).with_name("receipt.typ")


def quote_pdf(paper: QuotePaper) -> bytes:
    """The quote on paper."""
    return _pressed(_QUOTE, paper)


def extra_pdf(paper: ExtraPaper) -> bytes:
    """The extra on paper."""
    return _pressed(_EXTRA, paper)


def receipt_pdf(paper: ReceiptPaper) -> bytes:
    """The receipt on paper."""
    return _pressed(_RECEIPT, paper)


def _pressed(source: Path, paper: QuotePaper | ExtraPaper | ReceiptPaper) -> bytes:
    data = asdict(paper)
    drawing = data.get("drawing", "")
    day = data.pop("iso_day")
    return press(source, {**_breakable(data), "drawing": drawing}, day, own_letters=False)


def _breakable(value: Any) -> Any:  # noqa: ANN401 - plain values of any kind
    """Words longer than a line get places to break at; the program would run them off the paper."""
    if isinstance(value, str):
        return _LONG.sub(lambda word: _BREAK.join(_pieces(word[0])), value)
    if isinstance(value, dict):
        return {key: _breakable(one) for key, one in value.items()}
    return [_breakable(one) for one in value] if isinstance(value, list | tuple) else value


def _pieces(word: str) -> list[str]:
    return [word[at : at + _LONGEST_WORD] for at in range(0, len(word), _LONGEST_WORD)]
