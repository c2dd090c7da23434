"""Many pieces in many logs: place for each, shared out over the cores where that is quicker.

Work begins in this process. As soon as what is left would take longer here than starting others to
help, the rest is shared out; the results are the same and in the same order either way. Processes
are started afresh (spawned) on every system, so a script of your own must call this under
`if __name__ == "__main__":`.
"""

import os
import signal
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from climlog.analysis.air.air import in_one_year
from climlog.analysis.place.place import analyse_place
from climlog.analysis.place.result import PlaceResult
from climlog.errors import ClimlogError
from climlog.importer.log import Log, Sensor
from climlog.model.board import Piece

START_COST_S = 2.5
"""What starting helpers costs. On two quiet cores, tests/benchmarks/many_pieces.py, it was 2.2 s,
nearly all imports: 30 pieces of 0.19 s took 5.7 s here and 5.3 s shared out. [s]"""
WARMING_UP = 1
"""Pieces not counted: the first also reads tables and imports what it needs."""
MOST_WORKERS = 61
"""More than a Windows pool may have."""

Done = Callable[[int, int], None]


@dataclass(frozen=True)
class Setting:
    """What all pieces share: the logs they may live in, the shop, the units of proposals."""

    logs: tuple[Log, ...]
    made_in: Log | None
    units: str

    def run(self, piece: Piece, number: int) -> PlaceResult:
        """Do one piece in one of the logs."""
        return analyse_place(piece, self.logs[number], self.made_in, self.units)


def cores() -> int:
    """Count the cores that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def analyse_many(
    pieces: Sequence[Piece],
    logs: Sequence[Log],
    made_in: Log | None = None,
    units: str = "metric",
    workers: int | None = None,
    on_done: Done | None = None,
) -> tuple[tuple[PlaceResult, ...], ...]:
    """Run the place job for every piece in every log.

    Parameters
    ----------
    pieces : sequence of Piece
    logs : sequence of Log
        The places where the pieces may live.
    made_in, units
        As for `analyse_place`.
    workers : int, optional
        Processes at most; 1 keeps all work here. As many as there are cores unless given.
    on_done : function of (done, all), optional
        Called after each piece.

    Returns
    -------
    tuple, for each log a tuple of PlaceResult
        In the order given.

    Raises
    ------
    ClimlogError
        For the first piece, in order, that does not fit its log.
    """
    setting = Setting(tuple(logs), made_in, units)
    tasks = [(piece, number) for number in range(len(setting.logs)) for piece in pieces]
    crew = min(workers or cores(), len(tasks), MOST_WORKERS)
    results: list[PlaceResult] = []
    for result in _in_turn(setting, tasks, crew):
        results.append(result)
        if on_done is not None:
            on_done(len(results), len(tasks))
    count = len(pieces)
    return tuple(
        tuple(results[count * number : count * (number + 1)]) for number in range(len(setting.logs))
    )


def _in_turn(
    setting: Setting, tasks: Sequence[tuple[Piece, int]], crew: int
) -> Iterator[PlaceResult]:
    """Do the tasks here; share out the rest as soon as those done tell that it is quicker."""
    began = 0.0
    for done, task in enumerate(tasks):
        now = time.perf_counter()
        if done == WARMING_UP:
            began = now
        counted = done - WARMING_UP
        if counted > 0 and pays((now - began) / counted, len(tasks) - done, crew):
            yield from _shared_out(setting, tasks[done:], crew)
            return
        yield setting.run(*task)


def pays(seconds_each: float, left: int, crew: int) -> bool:
    """Whether helpers save more time than starting them costs."""
    return seconds_each * left * (1.0 - 1.0 / crew) > START_COST_S


def _shared_out(
    setting: Setting, tasks: Sequence[tuple[Piece, int]], crew: int
) -> Iterator[PlaceResult]:
    from concurrent.futures import ProcessPoolExecutor
    from concurrent.futures.process import BrokenProcessPool
    from multiprocessing import get_context

    pool = ProcessPoolExecutor(
        min(crew, len(tasks)),
        mp_context=get_context("spawn"),
        initializer=_settle_in,
        initargs=(setting,),
    )
    try:
        with _ctrl_c_held():
            answers = pool.map(_help, tasks)
        for (_, number), answer in zip(tasks, answers, strict=True):
            yield replace(answer, log=in_one_year(setting.logs[number]))
    except BrokenProcessPool as error:
        raise ClimlogError(
            "a helping process ended early: give fewer pieces at a time if memory is short; in a "
            'script of your own, call this under if __name__ == "__main__"'
        ) from error
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


@contextmanager
def _ctrl_c_held() -> Iterator[None]:
    """Hold Ctrl-C back while helpers start, so that they inherit that and this process gets it."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


_settings: list[Setting] = []


def _settle_in(setting: Setting) -> None:
    """Begin as a helper: keep the logs, and leave Ctrl-C to the process that was started first."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _settings[:] = [setting]


def _help(task: tuple[Piece, int]) -> PlaceResult:
    """Do one piece as a helper; its log, which the first process has, need not travel back."""
    return replace(_settings[0].run(*task), log=_no_log())


def _no_log() -> Log:
    nothing = np.empty(0)
    return Log(
        (), Sensor("", "", "", "", ""), pd.DatetimeIndex([]), nothing, nothing, 0, 0, {}, 0.0
    )
