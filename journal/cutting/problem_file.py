"""Board problems as JSON text: whole numbers in 1/64 in, prices in cents.

    {"kerf": 8, "end_trim": 32, "rough_len_extra": 160, "width_extra": 8, "edge_allow": 8, "thick_allow": 8,
     "stock": [{"id": "2x8-8", "section": "2x8", "T": 96, "W": 464, "L": 6144, "price": 828, "avail": null}],
     "parts": [{"id": "leg", "T": 80, "W": 160, "L": 4168, "qty": 17}]}

`kerf` is both kerfs, unless `kerf_rip` gives the other one. A part's width and thickness are without `width_extra` and
`thick_allow`; `rough_len_extra` is the segment's. A part may come from any stock that it fits. What may be left out:

    longest              no longer board is bought
    stock  section       family that parts may ask for
           onhand        true for a board on the rack; its price is what using it up is worth
           breaks        [[from how many, price of each], …]
           cut_outs      [[from, to], …] along the board, that no part may lie over
           either_way    true for a sheet that may be cut first either way
    parts  sections      families the part may come from
           spare         cut for rejects beyond qty
           may_turn      true when it need not run with the grain
"""

from __future__ import annotations

import json
from typing import Any

from journal.cutting.problem import Blank, BoardProblem, SawRules, StockLength
from journal.errors import BadInput
from journal.units import NM_PER_INCH

NM_PER_64TH = NM_PER_INCH // 64


def read_problem(text: str) -> BoardProblem:
    """The problem in nanometres and cents.

    Raises:
        BadInput: when the text is not JSON, a key is missing, or a value is not a whole number in its range.
    """
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as error:  # no JSON; a number of thousands of digits; brackets thousands deep
        place = error.pos if isinstance(error, json.JSONDecodeError) else 0
        raise BadInput("problem file", text[place : place + 20], f"JSON ({error})") from error
    if not isinstance(data, dict):
        raise BadInput("problem file", type(data).__name__, "one JSON object")
    rules = SawRules(
        kerf_crosscut=_length(data, "kerf"),
        kerf_rip=_length(data, "kerf_rip") if "kerf_rip" in data else _length(data, "kerf"),
        end_trim=_length(data, "end_trim"),
        segment_extra=_length(data, "rough_len_extra"),
        edge_allowance=_length(data, "edge_allow"),
    )
    width_extra, thick_allow = _length(data, "width_extra"), _length(data, "thick_allow")
    return BoardProblem(
        stock=tuple(_read_stock(row) for row in _rows(data, "stock")),
        blanks=tuple(_read_blank(row, width_extra, thick_allow) for row in _rows(data, "parts")),
        rules=rules,
        longest=None if data.get("longest") is None else _length(data, "longest"),
    )


def _read_stock(row: dict[str, Any]) -> StockLength:
    return StockLength(
        id=_text(row, "id"),
        family=str(row.get("section", "")),
        thickness=_length(row, "T"),
        width=_length(row, "W"),
        length=_length(row, "L"),
        price_cents=_whole(row, "price"),
        available=None if row.get("avail") is None else _whole(row, "avail"),
        on_hand=_flag(row, "onhand"),
        breaks=tuple((least, price) for least, price in _pairs(row, "breaks")),
        cut_outs=tuple((start * NM_PER_64TH, end * NM_PER_64TH) for start, end in _pairs(row, "cut_outs")),
        either_way=_flag(row, "either_way"),
    )


def _read_blank(row: dict[str, Any], width_extra: int, thick_allow: int) -> Blank:
    return Blank(
        id=_text(row, "id"),
        families=_families(row),
        thickness=_length(row, "T") + thick_allow,
        width=_length(row, "W") + width_extra,
        length=_length(row, "L"),
        quantity=_whole(row, "qty"),
        spare=_whole(row, "spare") if "spare" in row else 0,
        may_turn=_flag(row, "may_turn"),
    )


def _rows(data: dict[str, Any], key: str) -> list[dict[str, Any]]:
    rows = data.get(key)
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise BadInput(key, rows, "a list of objects")
    return rows


def _text(row: dict[str, Any], key: str) -> str:
    value = row.get(key)
    if not isinstance(value, str):
        raise BadInput(key, value, "text")
    return value


def _families(row: dict[str, Any]) -> frozenset[str] | None:
    value = row.get("sections")
    if value is None:
        return None
    if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
        raise BadInput("sections", value, "a list of names")
    return frozenset(value)


def _flag(row: dict[str, Any], key: str) -> bool:
    value = row.get(key, False)
    if not isinstance(value, bool):
        raise BadInput(key, value, "true or false")
    return value


def _pairs(row: dict[str, Any], key: str) -> list[tuple[int, int]]:
    value = row.get(key, [])
    if not isinstance(value, list) or not all(isinstance(pair, list) and len(pair) == 2 for pair in value):
        raise BadInput(key, value, "a list of pairs of whole numbers")
    return [(_whole({key: first}, key), _whole({key: second}, key)) for first, second in value]


def _whole(row: dict[str, Any], key: str) -> int:
    value = row.get(key)
    if not isinstance(value, int) or isinstance(value, bool) or value < 0:
        raise BadInput(key, value, "a whole number, 0 or more")
    return value


def _length(row: dict[str, Any], key: str) -> int:
    return _whole(row, key) * NM_PER_64TH
