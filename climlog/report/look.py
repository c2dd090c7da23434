"""What `look` found in each log, as documents: one a file."""

from collections.abc import Iterator, Sequence

from climlog.analysis.look import FileLook, LookResult, SensorLook
from climlog.importer.folder import Folder
from climlog.report.document import (
    Answer,
    Block,
    Document,
    Facts,
    Lines,
    Section,
    Sign,
    Table,
    in_a_headline,
)
from climlog.report.json import Sentences
from climlog.report.phrases import Say, gap_text, hours_text, step_text
from climlog.report.provenance import fault_text, log_blocks
from climlog.report.shape import Shape
from climlog.report.terminal import told, wrapped

READ, DOUBTED = Sign("read", Shape.HOLDS), Sign("read, with readings to doubt", Shape.CLOSE)
MOST_DOUBTS = 2
"""Faults told in the answer; the log's own part has them all."""
MOST_NAMED = 8
OVERVIEW_HEADS = ("File", "Rows used", "Gaps", "To doubt", "Humidity", "Holds wood at")


def sentences(_: LookResult, say: Say) -> Sentences:
    """Tell, for each kind of record, what is said beside it."""
    return {FileLook: lambda one: {"answer": _answer(one, say)}}


def look_text(seen: LookResult, folders: Sequence[Folder], say: Say, full: bool = False) -> str:
    """Say what is in each log, and first which files of a folder are taken for logs."""
    found = "".join(f"{wrapped(_folder_text(one, seen.passed_over))}\n\n" for one in folders)
    return found + told(documents(seen.logs, say), overview(seen.logs), full)


def _folder_text(folder: Folder, empty: Sequence[str]) -> str:
    """Name the files of a folder that are logs, and why the others are not."""
    others = [one.name for one in folder.passed_over]
    without = [one.name for one in folder.logs if one.name in empty]
    logs = [one.name for one in folder.logs if one.name not in empty]
    over = f" Passed over, no log by its ending: {named(others)}." if others else ""
    over += f" Passed over, no line of readings in it: {named(without)}." if without else ""
    return f"{folder.path}: {len(logs)} of its files are read as logs: {named(logs)}.{over}"


def named(names: Sequence[str]) -> str:
    """Name some files, and say how many more there are."""
    rest = len(names) - MOST_NAMED
    return ", ".join(names[:MOST_NAMED]) + (f" and {rest} more" if rest > 0 else "")


def documents(files: Sequence[FileLook], say: Say) -> tuple[Document, ...]:
    """Say what is in each log."""
    return tuple(_document(one, say) for one in files)


def overview(files: Sequence[FileLook]) -> Table:
    """Lay several files side by side, a row each."""
    return Table(f"{len(files)} files", OVERVIEW_HEADS, tuple(_row(one) for one in files))


def _row(look: FileLook) -> tuple[str, ...]:
    one = look.sensors[0]
    several = f" ({len(look.sensors)} sensors)" if len(look.sensors) > 1 else ""
    return (
        f"{look.file}{several}",
        f"{look.account.rows_used:,} of {look.account.rows_read:,}",
        str(len(one.log.gaps)),
        str(len(one.log.flags)),
        _humidity(one),
        _held(one),
    )


def _document(look: FileLook, say: Say) -> Document:
    return Document(
        job="look",
        subject=look.file,
        question=f"{look.file}: what is in this log?",
        answer=_answer(look, say),
        pictures=(),
        facts=Facts((_span(look, say), *_all_facts(look, say))),
        sections=(
            *(
                Section(f"sensor-{n}", _title(one, look), log_blocks(one.log, say))
                for n, one in enumerate(look.sensors, start=1)
            ),
            Section("limits", "Limits", _limits(look)),
        ),
    )


def days_read(look: FileLook, say: Say) -> str:
    """Say from which day to which it was read."""
    log = look.sensors[0].log
    return f"{say.day(log.times[0])} to {say.day(log.times[-1])}"


def _span(look: FileLook, say: Say) -> tuple[str, str]:
    every = step_text(look.sensors[0].log.median_step_minutes)
    return "Readings", f"{days_read(look, say)}, one every {every}"


def _all_facts(look: FileLook, say: Say) -> Iterator[tuple[str, str]]:
    for one in look.sensors:
        yield from _facts(one, look, say)


def _limits(look: FileLook) -> tuple[Block, ...]:
    return (Lines(tuple(f"{one}." for one in look.limits)),) if look.limits else ()


def _title(one: SensorLook, look: FileLook) -> str:
    return f'Sensor "{one.log.sensor.name}"' if len(look.sensors) > 1 else "Every row"


def _answer(look: FileLook, say: Say) -> Answer:
    log = look.sensors[0].log
    flags = list(dict.fromkeys(flag for one in look.sensors for flag in one.log.flags))
    sensors = f"{len(look.sensors)} sensors, " if len(look.sensors) > 1 else ""
    account = look.account
    used = f"{account.rows_used:,} of {account.rows_read:,} rows used"
    every = f", one every {step_text(log.median_step_minutes)}"
    sign = DOUBTED if flags else READ
    lead = sign.word.capitalize()
    doubts = [f"Check: {fault_text(flag)}" for flag in flags[:MOST_DOUBTS]]
    left = len(flags) - MOST_DOUBTS
    if left > 0:
        doubts.append(f"{left} more fault{'' if left == 1 else 's'}: --full lists them.")
    return Answer(
        verdict=sign,
        says=in_a_headline(f"{lead}: {sensors}{used}{every}.", f"{lead}: {sensors}{used}."),
        do=tuple(doubts),
        not_known=_gaps(look),
    )


def _gaps(look: FileLook) -> tuple[str, ...]:
    gaps = sorted(look.sensors[0].log.gaps, key=lambda gap: -gap.hours)
    if len(gaps) <= 1:
        return tuple(f"{gap_text(gap)}." for gap in gaps)
    total = hours_text(sum(gap.hours for gap in gaps))
    return (f"{len(gaps)} gaps, {total} in all.",)


def _facts(one: SensorLook, look: FileLook, say: Say) -> list[tuple[str, str]]:
    sensor = one.log.sensor
    named = f" of {sensor.name}" if len(look.sensors) > 1 else ""
    temp_c = one.temp_c
    return [
        (
            f"Temperature{named}",
            f"{say.temp(temp_c.low)} to {say.temp(temp_c.high)}, from "
            f'"{sensor.temperature_column}" ({sensor.temperature_unit})',
        ),
        (
            f"Humidity{named}",
            f'{_humidity(one)}, from "{sensor.humidity_column}" ({sensor.humidity_unit})',
        ),
        (
            f"Moisture that air holds wood at (EMC){named}",
            f"{_held(one)}, {one.emc.mean:.1f} % on average",
        ),
    ]


def _humidity(one: SensorLook) -> str:
    return f"{one.rh_pct.low:.0f} to {one.rh_pct.high:.0f} %"


def _held(one: SensorLook) -> str:
    return f"{one.emc.low:.1f} to {one.emc.high:.1f} %"
