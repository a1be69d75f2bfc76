"""Integer programmes in a process of their own, which can be ended at any moment; the best solution so far is kept.

The solver looks at its time limit only now and then, and may pass it many times over. Ending its process holds the time.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from contextlib import suppress
from io import BufferedReader
from math import inf
from queue import Empty, Queue
from threading import Thread
from time import monotonic
from typing import IO, TYPE_CHECKING, Any, Self, cast

from journal.cutting.highs import Answer, Limits, Program, answer

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from io import FileIO
    from types import TracebackType

_GRACE = 0.15  # seconds past its limit before the process is ended
_LOOK = 0.1  # seconds between two looks at whether to stop
_START = "import sys; sys.path[:] = {path!r}; from journal.cutting.apart import serve; serve()"


class Apart:
    """A process that answers programmes one after another; started at once, so that it loads while others work."""

    def __init__(self) -> None:
        self._process: subprocess.Popen[bytes] | None = None
        self._listener: Thread | None = None
        self._answers: Queue[tuple[str, Answer] | None] = Queue()

    def __enter__(self) -> Self:
        self._begin()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._end()

    def answer(
        self, program: Program, hint: Mapping[int, float], limits: Limits, stop: Callable[[], bool] = lambda: False
    ) -> Answer:
        """As `highs.answer`, and never later than its seconds or `stop`."""
        if self._process is None:
            self._begin()
        process = self._process
        best = Answer(None, -inf, finished=False)
        if process is None or process.stdin is None:
            return best
        ends = monotonic() + limits.seconds + _GRACE
        _send(process.stdin, (program, dict(hint), limits))
        while True:
            left = ends - monotonic()
            if left <= 0 or stop():
                self._end()
                return best
            with suppress(Empty):
                message = self._answers.get(timeout=min(left, _LOOK))
                if message is None:  # it broke down; the next programme gets a new process
                    self._end()
                    return best
                word, news = message
                if word == "done":
                    return news
                best = Answer(
                    best.value if news.value is None else news.value, max(best.bound, news.bound), finished=False
                )

    def _begin(self) -> None:
        self._answers = Queue()
        code = _START.format(path=sys.path)
        self._process = subprocess.Popen(  # noqa: S603 - this interpreter, and nothing a user typed
            [sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE, bufsize=0
        )
        # A bare pipe may hand over less than was asked for, and an answer with many columns would come out torn.
        answers = BufferedReader(cast("FileIO", self._process.stdout))
        self._listener = Thread(target=_listen, args=(answers, self._answers), daemon=True)
        self._listener.start()

    def _end(self) -> None:
        if self._process is None:
            return
        self._process.kill()
        self._process.wait()
        if self._process.stdin is not None:
            self._process.stdin.close()
        if self._listener is not None:
            self._listener.join()  # the pipe has ended with the process
        self._process = None


def serve() -> None:
    """Answers programmes from standard input on standard output until it closes; the other end of `Apart`."""
    source, target = sys.stdin.buffer, os.fdopen(os.dup(1), "wb", buffering=0)
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)  # what the solver prints must not come between the answers
    while True:
        try:
            program, hint, limits = pickle.load(source)  # noqa: S301 - written by our own process
        except EOFError:
            return
        done = answer(program, hint, limits, lambda news: _send(target, ("better", news)))
        _send(target, ("done", done))


def _send(pipe: IO[bytes], message: Any) -> None:  # noqa: ANN401 - anything that pickles
    pipe.write(pickle.dumps(message))
    pipe.flush()


def _listen(pipe: BufferedReader, answers: Queue[tuple[str, Answer] | None]) -> None:
    """Passes messages on until the pipe ends, then None."""
    with pipe, suppress(EOFError, ValueError, OSError, pickle.UnpicklingError):
        while True:
            answers.put(pickle.load(pipe))  # noqa: S301 - as above
    answers.put(None)
