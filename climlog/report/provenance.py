"""What an answer stands on: the log's account, what was assumed, limits of the method, sources."""

from collections.abc import Iterator
from dataclasses import dataclass

from climlog.analysis.place.result import PlaceResult
from climlog.importer.log import Flag, Log
from climlog.model.board import Finish, Piece
from climlog.report.citations import SourceRow, rows_by_work
from climlog.report.phrases import day_text, gap_text, joined, plural_of, sentence
from climlog.report.place.captions import finish_text
from climlog.tables import load_table

MOST_LISTED = 12
TABLES_USED = {
    "air to equilibrium moisture": "emc_coefficients",
    "lag through the thickness": "transport",
    "doubt of each figure": "doubts",
    "air to ask a client for": "client_air",
    "humidity and cold windows": "winter_humidity",
}
LIMITS = (
    "One sorption curve serves all woods, and wood that is wetting and drying lags between two "
    "curves (hysteresis): the drawn cases let it follow three quarters to all of the change.",
    "The movement figures are means of a species, inside 6 to 14 % moisture; a board differs by "
    "15 % either way as a matter of course, and wide glued-up tops tend to move a little less.",
    "The board is taken as flat, even in thickness, exchanging moisture through its two faces; "
    "end grain, cup, cracks and knots are left out. Near the ends a top follows the air faster.",
    "The air at the piece is taken to be the air at the logger. Sun, a vent, a stove or a heated "
    "floor makes its own climate: 5 °C warmer at the surface turns 50 % into about 37 %.",
)


@dataclass(frozen=True)
class LogAccount:
    """What was read, left out, guessed and doubted, in words."""

    lead: str
    left_out: tuple[tuple[str, int], ...]
    gaps: tuple[str, ...]
    more_gaps: int
    guesses: tuple[tuple[str, str, str], ...]
    faults: tuple[str, ...]
    more_faults: int
    notes: tuple[str, ...]


def log_account(log: Log) -> LogAccount:
    """Account for every row of a log."""
    offset = f" The times are {log.utc_offset} from UTC, as stated." if log.utc_offset else ""
    sensor = log.sensor
    gaps = sorted(log.gaps, key=lambda gap: -gap.hours)
    return LogAccount(
        lead=f"{joined(log.files)}: {log.rows_used} of {log.rows_read} rows used, from "
        f"{day_text(log.times[0])} {log.times[0]:%H:%M} to {day_text(log.times[-1])} "
        f"{log.times[-1]:%H:%M}, one every {log.median_step_minutes:g} minutes. Temperature from "
        f'"{sensor.temperature_column}" ({sensor.temperature_unit}), humidity from '
        f'"{sensor.humidity_column}" ({sensor.humidity_unit}).{offset}',
        left_out=tuple(log.rows_left_out.items()),
        gaps=tuple(gap_text(gap) for gap in gaps[:MOST_LISTED]),
        more_gaps=max(0, len(gaps) - MOST_LISTED),
        guesses=tuple((one.what, one.value, one.because) for one in log.guesses),
        faults=tuple(_fault(flag) for flag in log.flags[:MOST_LISTED]),
        more_faults=max(0, len(log.flags) - MOST_LISTED),
        notes=log.notes,
    )


def _fault(flag: Flag) -> str:
    return f"{flag.kind}: {flag.says}"


def assumed_lines(result: PlaceResult) -> tuple[str, ...]:
    """List what nobody gave and the tables or the log stand in for."""
    lines = list(result.piece.assumed)
    sizes = load_table("fastening_sizes")["words"]
    groups: dict[tuple[str, str], list[str]] = {}
    for one in result.piece.fastenings:
        words = [
            f"{sizes[f'{one.kind}.{size}']} {_size(size, one.sizes_mm[size])}"
            for size in one.assumed
        ]
        if words:
            groups.setdefault((one.kind, "; ".join(words)), []).append(one.name)
    lines += [
        f"{plural_of(kind)} ({len(names)}), typical sizes: {words}"
        for (kind, words), names in groups.items()
    ]
    return tuple(dict.fromkeys(lines))


def _size(size: str, value: float) -> str:
    unit = " mm" if size.endswith("_mm") else "°" if size.endswith("_deg") else ""
    return f"{value:g}{unit}"


def piece_rows(piece: Piece) -> tuple[tuple[str, str], ...]:
    """Describe the piece's wood and faces."""
    botanical = f" ({piece.wood.botanical_name})" if piece.wood.botanical_name else ""
    return (
        ("Wood", f"{piece.wood.name}{botanical}, {piece.cut}"),
        ("Faces", f"show {face_text(piece.show_face)}; hidden {face_text(piece.hidden_face)}"),
    )


def face_text(finish: Finish) -> str:
    """Name a finish with its coats."""
    if finish.kind == "none":
        return finish_text(finish.kind)
    coats = "1 coat" if finish.coats == 1 else f"{finish.coats} coats"
    return f"{finish.kind}, {coats}"


def source_rows(result: PlaceResult) -> tuple[SourceRow, ...]:
    """Say which figures come from which work, and how well each is known."""
    return rows_by_work(cited_of(result))


def _beyond(result: PlaceResult) -> dict[str, str]:
    """Tables used for what was not read, or for a long record."""
    tables = {}
    if result.projection is not None:
        tables["room air from outdoor air"] = "house_figures"
    if result.projection is not None and result.projection.house is not None:
        tables["kinds of house"] = "indoor_classes"
    if result.what_ifs is not None:
        tables["what-ifs"] = "what_ifs"
    if result.climate is not None:
        tables["season and short fluctuations"] = "climate_band"
    return tables


def limit_lines(result: PlaceResult) -> tuple[str, ...]:
    """Say the limits of the method, and where this run goes beyond what a figure was fitted to."""
    beyond = (f"{sentence(one)}, beyond what the figure was fitted to." for one in result.limits)
    return (*LIMITS, *beyond)


def cited_of(result: PlaceResult) -> Iterator[tuple[str, str, str]]:
    """Every figure used, by what it is for: (what, source, mark)."""
    piece = result.piece
    for mark in set(piece.wood.marks.values()):
        yield f"movement of {piece.wood.name}", piece.wood.source, mark
    for face, finish in (("show", piece.show_face), ("hidden", piece.hidden_face)):
        if finish.kind != "none":
            yield f"finish of the {face} face", finish.source, finish.mark
    kinds = {one.kind for one in piece.fastenings}
    sizes = load_table("fastening_sizes")
    used = [str(key).split(".")[0] in kinds for key in sizes.index]
    tables = {
        "geometry of the fastenings": load_table("fastening_kinds").loc[sorted(kinds)],
        "sizes of the fastenings": sizes.loc[used],
        **{what: load_table(name) for what, name in (TABLES_USED | _beyond(result)).items()},
    }
    for what, table in tables.items():
        for source, mark in zip(table["source"], table["mark"], strict=True):
            yield what, str(source), str(mark)
