"""Sheets to start from: commented TOML that reads as it stands, and questions that fill one in."""

from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files

from climlog.sheets.quick import QuickPiece


def blank_sheet(kind: str) -> str:
    """Give the commented starting sheet of "piece" or "stock" as TOML text."""
    return (files("climlog.tables") / f"blank_{kind}.toml").read_text(encoding="utf-8")


@dataclass(frozen=True)
class Question:
    """One line of a quick piece: its key, what to ask, and the usual answer."""

    key: str
    words: str
    usual: str


QUESTIONS = (
    Question("wood", "Which wood (climlog tables wood lists them)", "red oak"),
    Question("width", "Width across the grain, with its unit", "38 in"),
    Question("length", "Length along the grain", "72 in"),
    Question("thickness", "Thickness", "7/8 in"),
    Question(
        "cut", "Cut: flat-sawn, rift, quartersawn, or a ring angle such as 35 deg", "flat-sawn"
    ),
    Question("finish", "Finish on the show face, or none", "none"),
    Question("fastening", "Kind of fastening (climlog tables fastening lists them)", "slot"),
    Question("fixed_on", "Day it is fixed down, or later", "later"),
    Question("moisture_when_fixed", "Its moisture that day, in %, or unknown", "unknown"),
)
NOT_SAID = {"later", "unknown", ""}


def quick_piece_from(answers: Mapping[str, str]) -> QuickPiece:
    """Make a quick piece of the answers so far, with the usual answer to what is still to ask."""
    usual = {one.key: one.usual for one in QUESTIONS}
    given = {
        key: None if value.strip().lower() in NOT_SAID else value.strip()
        for key, value in {**usual, **answers}.items()
    }
    fastening = given.pop("fastening")
    return QuickPiece(
        wood=given.pop("wood") or "",
        width=given.pop("width") or "",
        thickness=given.pop("thickness") or "",
        fastenings=(fastening,) if fastening else (),
        **given,
    )
