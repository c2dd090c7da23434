"""A piece from a few words, without a sheet: the words become a sheet, then are read as one.

So the quick form and the sheet have one reader, one set of checks, and `--save-sheet` writes down
exactly what was used.
"""

import json
import tomllib
from dataclasses import dataclass, replace

from climlog.model.board import ACROSS, Piece
from climlog.sheets.piece import piece_from

USUAL_COUNT = 3


@dataclass(frozen=True)
class QuickPiece:
    """What a person gave on the command line; None where nothing was said."""

    wood: str
    width: str
    thickness: str
    cut: str | None = None
    length: str | None = None
    finish: str | None = None
    fastenings: tuple[str, ...] = ()
    fixed_on: str | None = None
    moisture_when_fixed: str | None = None

    def sheet(self) -> str:
        """Write it as a piece sheet (TOML text)."""
        lines = ["[piece]", _line("name", f"{self.wood} top")]
        for key in ("wood", "width", "thickness", "cut", "length", "moisture_when_fixed"):
            value = getattr(self, key)
            if value is not None:
                lines.append(_line(key, value))
        if self.fixed_on is not None:
            lines.append(_line("fixed_on", self.fixed_on))
        if self.finish is not None:
            lines += ["[finish]", _line("show_face", self.finish), _line("hidden_face", "none")]
        for kind in self.fastenings:
            lines += ["[[fastening]]", _line("kind", kind), _line("rail", ACROSS)]
            lines.append(f"count = {USUAL_COUNT}")
        return "\n".join(lines) + "\n"

    def piece(self) -> Piece:
        """Read that sheet, and add what the quick form assumed."""
        text = self.sheet()
        piece = piece_from("the options", "", tomllib.loads(text))
        said = tuple(
            f"{kind}: {USUAL_COUNT} on each of two rails across the grain, spread over the width"
            for kind in self.fastenings
        )
        return replace(piece, assumed=piece.assumed + said)


def _line(key: str, value: str) -> str:
    return f"{key} = {json.dumps(value, ensure_ascii=True)}"
