"""Memory that a long piece of work has let go of is given back to the system at once.

A fit of ten years' logs takes some sixty megabytes for a second. glibc keeps what was freed for the next time, which may
be tomorrow, and mixes it with what is still needed: a shop's server then grows to twice what it holds. Where the C
library is another one, nothing is done, and nothing is lost but that memory.
"""

from __future__ import annotations

import ctypes
import gc
import sys
from contextlib import suppress
from functools import cache
from time import perf_counter
from typing import TYPE_CHECKING

from flask import g

if TYPE_CHECKING:
    from collections.abc import Callable

    from flask import Flask, Response

LONG_SECONDS = 0.25  # giving back takes some milliseconds; work as long as this has filled memory worth it
LARGE_BYTES = 1 << 20
_M_MMAP_THRESHOLD, _M_ARENA_MAX = -3, -8  # of mallopt, in malloc.h
_ARENAS = 2  # Python lets one thread of the server work at a time; a heap for each of them would only lie scattered


def setup(app: Flask) -> None:
    """Give memory back after each request that took long."""
    app.before_request(_begin)
    app.after_request(_end)


def large_apart() -> None:
    """Have each large array taken from the system for itself, so that it goes back there once it is freed.

    Left alone, glibc raises the size from which it does so to that of the largest array it has seen freed.
    """
    if (libc := _libc()) is not None:
        libc.mallopt(_M_MMAP_THRESHOLD, LARGE_BYTES)
        libc.mallopt(_M_ARENA_MAX, _ARENAS)


def settled() -> None:
    """What is there when serving begins stays for good: no later search for circles goes through it again.

    Half a million objects come with the imports; a fit of ten years' logs made it search them a dozen times. Not even
    once are they searched here: some seven hundred could go, and it takes a tenth of a second.
    """
    gc.freeze()


def _begin() -> None:
    g.memory_since = perf_counter()


def _end(answer: Response) -> Response:
    if perf_counter() - g.get("memory_since", perf_counter()) > LONG_SECONDS:
        answer.call_on_close(give_back)  # nobody waits for it: the answer has been sent by then
    return answer


def give_back() -> bool:
    """Whether the C library was asked to return what is free; what only circles held together is let go of first."""
    trim = _trim()
    if trim is None:
        return False
    gc.collect()
    trim(0)
    return True


@cache
def _trim() -> Callable[[int], int] | None:
    return getattr(_libc(), "malloc_trim", None)


@cache
def _libc() -> ctypes.CDLL | None:
    """The C library when it is glibc."""
    if not sys.platform.startswith("linux"):
        return None
    with suppress(OSError):
        return ctypes.CDLL("libc.so.6")
    return None
