"""The questions that fill in a piece sheet one by one, each read by the table of fields."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from climlog.model.board import ACROSS, ALONG, Rail
from climlog.sheets.fields import BASE, FASTENING, FINISH, PIECE, as_kind, size_fields
from climlog.sheets.layouts import (
    Layout,
    belongs,
    layout_named,
    layout_names,
    piece_name,
    through_rail,
)
from climlog.sheets.piece import FLOOR, piece_of
from climlog.sheets.places import Lines
from climlog.sheets.placing import (
    GAPPED,
    LEAST_RAIL_SHARE,
    RAIL_KEYS,
    USUAL_OVERHANG_MM,
)
from climlog.sheets.reading import as_size_mm, as_text
from climlog.sheets.section import Field
from climlog.sheets.sheet import Sheet
from climlog.sheets.written import sheet_text
from climlog.units import MM_PER_INCH, inches_text, mm_text

OWN_RAILS = "none of these"
NOTHING = "none"
NOT_SAID = ("later", "unknown", "")
BOTH = "both"
Answers = Mapping[str, str]


@dataclass(frozen=True)
class Question:
    """One question.

    Attributes
    ----------
    key : str
        Where its answer is kept.
    asks : str
    usual : str
        What Enter gives.
    choices : mapping of str to str
        Answers to choose from by number, each with what it means; empty where any may be given.
    read : function
        Raises ClimlogError for an answer that cannot be meant.
    may_be_left : bool
        Whether "later" and "unknown" are answers.
    """

    key: str
    asks: str
    usual: str
    read: Callable[[object], object]
    choices: Mapping[str, str]
    may_be_left: bool = False

    def answer(self, said: str) -> str:
        """Take an answer, or the number of a choice.

        Raises
        ------
        ClimlogError
            If it cannot be meant.
        """
        said = said.strip()
        names = list(self.choices)
        if said.isdigit() and names and 1 <= int(said) <= len(names):
            return names[int(said) - 1]
        if not (said in names or (self.may_be_left and said in NOT_SAID)):
            self.read(said)
        return said


def next_question(answers: Answers, before: Answers) -> Question | None:
    """Give the first question that is not answered and decides something; None when done.

    Parameters
    ----------
    answers : mapping
        So far.
    before : mapping
        Of an earlier round, offered as the usual ones.
    """
    for question in _questions(answers):
        if question.key not in answers:
            usual = before.get(question.key, question.usual)
            return replace(question, usual=usual)
    return None


def _questions(answers: Answers) -> list[Question]:
    """Every question that the answers so far lead to, in order."""
    asked = [_of(PIECE.name, PIECE.field(key)) for key in ("wood", "width", "length", "thickness")]
    asked += [_of(PIECE.name, PIECE.field("cut"))]
    asked += [_of(FINISH.name, FINISH.field(key)) for key in ("show_face", "hidden_face")]
    asked += [_layout_question(), *_held_by(answers)]
    asked += [_of(PIECE.name, PIECE.field(key)) for key in ("fixed_on", "moisture_when_fixed")]
    if answers.get("piece.moisture_when_fixed", "") not in NOT_SAID:
        asked.append(_of(PIECE.name, PIECE.field("measured_by")))
    return asked


def _of(table: str, one: Field) -> Question:
    left = one.usual in NOT_SAID
    return Question(f"{table}.{one.key}", one.question, one.usual, one.value, {}, left)


def _layout_question() -> Question:
    choices = {name: layout_named(name).words for name in layout_names()}
    choices[OWN_RAILS] = "you say where its rails are"
    one = BASE.field("layout")
    return Question("base.layout", one.question, "apron", one.value, choices)


def _held_by(answers: Answers) -> list[Question]:
    """Ask what holds it, as far as the layout does not tell."""
    layout = _layout(answers)
    if layout is not None and layout.main_kind:
        boards = [_of(PIECE.name, PIECE.field("board_width"))]
        return [*(boards if layout.main_kind == FLOOR else []), *_gap(layout.main_kind, layout)]
    kind = _kind(answers)
    asked = [_of(FASTENING.name, FASTENING.field("kind"))]
    if kind is None:
        return asked
    if layout is None:
        asked += _rails_questions(answers, kind)
    rails = _rails(answers, kind)
    if ALONG in rails or layout is not None:
        asked += _gap(kind, layout)
    if ALONG in rails and layout is None and through_rail(kind):
        asks = "How thick are the rails along the grain"
        asked.append(Question("base.thickness", asks, "3/4 in", as_size_mm, {}))
    return asked


def _layout(answers: Answers) -> Layout | None:
    name = answers.get("base.layout", OWN_RAILS)
    return None if name == OWN_RAILS else layout_named(str(BASE.field("layout").read(name)))


def _kind(answers: Answers) -> str | None:
    said = answers.get("fastening.kind", NOTHING)
    return None if said == NOTHING else as_kind(said)


def _rails(answers: Answers, kind: str) -> tuple[Rail, ...]:
    home = belongs(kind).rail
    if home is not None:
        return (home,)
    said = answers.get("fastening.rail")
    return () if said is None else (ACROSS, ALONG) if said == BOTH else (Rail(said),)


def _rails_questions(answers: Answers, kind: str) -> list[Question]:
    asked = []
    if belongs(kind).rail is None:
        choices = {str(rail): f"on the rails that run {rail}" for rail in (ACROSS, ALONG)}
        choices[BOTH] = "on all of them"
        one = FASTENING.field("rail")
        asked.append(Question("fastening.rail", one.question, str(ACROSS), as_text, choices))
    for rail in _rails(answers, kind):
        if belongs(kind).at == "rails" or belongs(kind).rail is None:
            one = BASE.field(RAIL_KEYS[rail])
            usual = _usual_rail(answers, rail)
            asked.append(Question(f"base.{one.key}", one.question, usual, one.value, {}))
        if belongs(kind).at != "edges":
            count = FASTENING.field("count")
            asks = f"{count.question} {rail}"
            asked.append(Question(f"fastening.count {rail}", asks, count.usual, count.value, {}))
    return asked


def _usual_rail(answers: Answers, rail: Rail) -> str:
    """Three inches in from the edge, in the unit in which the sizes were given."""
    size = answers.get("piece.length" if rail is ACROSS else "piece.width", "38 in")
    size_mm = as_size_mm(size)
    at_mm = max(LEAST_RAIL_SHARE * size_mm, size_mm / 2 - USUAL_OVERHANG_MM)
    if "m" in size.lower():
        return mm_text(at_mm)
    return inches_text(round(at_mm / MM_PER_INCH * 4) / 4 * MM_PER_INCH)


def _gap(kind: str, layout: Layout | None) -> list[Question]:
    """Ask for the gap, where the kind leaves one and it decides."""
    gap = [one for one in size_fields(kind) if one.key == "gap"]
    if not gap or (layout is None and kind not in GAPPED):
        return []
    return [Question("fastening.gap", f"Gap: {gap[0].comment}", "1/8 in", gap[0].value, {})]


def sheet_of(answers: Answers) -> str:
    """Write the answers as a sheet.

    Raises
    ------
    ClimlogError
        If they do not go together.
    """
    text = sheet_text(_tables(answers))
    piece_of(Sheet("the answers", _tables(answers), Lines("the answers", text)))
    return text


def _tables(answers: Answers) -> dict[str, object]:
    said = {key: value for key, value in answers.items() if value not in NOT_SAID}
    base: dict[str, object] = {}
    if _layout(answers) is not None:
        base["layout"] = said["base.layout"]
    for key in RAIL_KEYS.values():
        if f"base.{key}" in said:
            base[key] = {"at": said[f"base.{key}"]}
    if "base.thickness" in said:
        along = base.setdefault(RAIL_KEYS[ALONG], {})
        base[RAIL_KEYS[ALONG]] = {
            **(along if isinstance(along, dict) else {}),
            "thickness": said["base.thickness"],
        }
    return {
        "piece": {
            "name": piece_name(said["piece.wood"], _layout(answers)),
            **_under("piece", said),
        },
        "finish": _under("finish", said),
        "base": base,
        "fastening": _fastenings(answers, said),
    }


def _under(table: str, said: Answers) -> dict[str, object]:
    start = f"{table}."
    return {key.removeprefix(start): one for key, one in said.items() if key.startswith(start)}


def _fastenings(answers: Answers, said: Answers) -> list[dict[str, object]]:
    gap = {"gap": said["fastening.gap"]} if "fastening.gap" in said else {}
    layout, kind = _layout(answers), _kind(answers)
    if layout is not None and layout.main_kind:
        return [{"kind": layout.main_kind, **gap}]
    if kind is None:
        return []
    if layout is not None:
        return [{"kind": kind, **gap}]
    counts = {rail: said.get(f"fastening.count {rail}") for rail in _rails(answers, kind)}
    return [
        {
            "kind": kind,
            "rail": str(rail),
            **({"count": int(count)} if count else {}),
            **(gap if rail is ALONG else {}),
        }
        for rail, count in counts.items()
    ]
