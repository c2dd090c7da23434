"""The dropped logs, read as the commands read them: a sentence, a small picture, open questions."""

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from climlog.desk.asked import Question, Role
from climlog.desk.shelf import Shelf
from climlog.errors import ClimlogError, OpenQuestionError
from climlog.importer.options import ImportOptions
from climlog.importer.weather import MONTHS

if TYPE_CHECKING:
    from climlog.analysis.look import SensorLook
    from climlog.importer.log import Log
    from climlog.report.phrases import Say

WIDE, TALL = 220, 44
"""Of the small picture; its line has a point a unit."""


def looked_at(question: Question, shelf: Shelf, say: "Say") -> dict[str, object]:
    """Tell what is in each log, and ask what the files leave open.

    Returns
    -------
    dict
        "files": by key what was found or why it cannot be read; "questions": what is open, each
        with choices that were tried, and readings as each gives them.
    """
    files: dict[str, object] = {}
    questions: list[dict[str, object]] = []
    for given in question.logs:
        beside = given.role is not Role.HERE or len(question.keys(Role.HERE)) > 1
        how = question.how.beside() if given.role is not Role.HERE else question.how
        if given.role is Role.OUTDOOR:
            files[given.key] = _weather(question, shelf, say, questions)
            continue
        try:
            files[given.key] = _file(shelf, given.key, how, beside, say)
        except OpenQuestionError as error:
            questions.append(_asked(error, given.key))
            files[given.key] = {"open": True}
        except ClimlogError as error:
            files[given.key] = {"error": shelf.without_folder(str(error))}
    failed = [one for one in files.values() if isinstance(one, dict) and "says" not in one]
    joined = "" if failed or questions else _joined(question, shelf, questions)
    return {"files": files, "questions": questions, "error": joined}


def _file(
    shelf: Shelf, key: str, how: ImportOptions, beside: bool, say: "Say"
) -> dict[str, object]:
    """Read every sensor of one file: what was found, place by place."""
    from climlog.analysis.look import analyse_look
    from climlog.report.look import days_read, documents

    path = shelf.uploads.get(key).path
    every = replace(how, sensor=None, by_file=how.by_file or beside)
    every = replace(every, for_files=tuple(f for f in every.for_files if f.option != "sensor"))
    look = analyse_look(path, every).logs[0]
    (said,) = documents([look], say)
    return {
        "says": f"{said.answer.says} {days_read(look, say)}.",
        "doubts": [*said.answer.do, *said.answer.not_known],
        "facts": [list(row) for row in said.facts.rows],
        "guesses": [
            f"{one.what}: {one.value} ({one.because})"
            for one in dict.fromkeys(g for s in look.sensors for g in s.log.guesses)
        ],
        "sensors": [_sensor(one) for one in look.sensors],
    }


def _sensor(look: "SensorLook") -> dict[str, object]:
    """Draw one sensor small: its humidity through its time."""
    log = look.log
    points = _small(log)
    low, high = look.rh_pct.low, look.rh_pct.high
    return {
        "name": log.sensor.name,
        "line": _path(points, low, high),
        "low": f"{low:.0f} %",
        "high": f"{high:.0f} %",
        "says": f"humidity from {low:.0f} to {high:.0f} %, {log.first:%Y-%m-%d} to "
        f"{log.last:%Y-%m-%d}",
    }


def _small(log: "Log") -> list[tuple[int, float]]:
    """Average the humidity over equal stretches of time; one without a reading has no point."""
    at = log.times.to_numpy().astype("datetime64[s]").astype(np.int64)
    span = max(1, int(at[-1] - at[0]))
    bins = np.minimum((at - at[0]) * WIDE // span, WIDE - 1)
    counts = np.bincount(bins, minlength=WIDE)
    sums = np.bincount(bins, weights=log.rh_pct, minlength=WIDE)
    return [(n, float(sums[n] / counts[n])) for n in range(WIDE) if counts[n]]


def _path(points: Sequence[tuple[int, float]], low: float, high: float) -> str:
    tall = max(high - low, 1.0)
    return "M" + "L".join(
        f"{n} {TALL - 2 - (TALL - 4) * min(1.0, max(0.0, (value - low) / tall)):.1f}"
        for n, value in points
    )


def _weather(
    question: Question, shelf: Shelf, say: "Say", questions: list[dict[str, object]]
) -> dict[str, object]:
    """Read the air outdoors."""
    key = question.keys(Role.OUTDOOR)[0]
    try:
        weather = shelf.weather(question)
    except OpenQuestionError as error:
        questions.append(_asked(error, key))
        return {"open": True}
    except ClimlogError as error:
        return {"error": shelf.without_folder(str(error))}
    if weather is None:
        return {"error": "no air outdoors"}
    log = weather.log
    days = (log.last - log.first).days + 1
    says = f"Air outdoors, {days} days from {say.day(log.first)} to {say.day(log.last)}."
    if weather.kind == MONTHS:
        says = "Air outdoors: twelve monthly means."
    return {
        "says": says,
        "doubts": [],
        "facts": [],
        "guesses": [],
        "sensors": [],
    }


def _joined(question: Question, shelf: Shelf, questions: list[dict[str, object]]) -> str:
    """Read each role's logs as the job will, which sensor asked; say what keeps them apart."""
    for role in Role:
        keys = question.keys(role)
        if role is Role.OUTDOOR or not keys:
            continue
        try:
            shelf.log(question, role)
        except OpenQuestionError as error:
            questions.append(_asked(error, _key_of(question, shelf, role, error)))
        except ClimlogError as error:
            return shelf.without_folder(str(error))
    return ""


def _key_of(question: Question, shelf: Shelf, role: Role, error: OpenQuestionError) -> str:
    keys = question.keys(role)
    names = {shelf.uploads.get(key).name: key for key in keys}
    file = error.choices[0].file
    return names.get(file, keys[0])


def _asked(error: OpenQuestionError, key: str) -> dict[str, object]:
    return {
        "key": key,
        "problem": f"{error.problem}. Which is right?",
        "choices": [
            {
                "says": one.says,
                "rows": list(one.rows),
                "file": one.file,
                "options": {
                    name: list(value) if isinstance(value, tuple) else value
                    for name, value in one.options.items()
                },
            }
            for one in error.choices
        ],
    }
