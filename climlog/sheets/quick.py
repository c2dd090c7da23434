"""A piece from a few words, without a sheet: the words become a sheet, and are read as one.

So the quick form and the sheet have one reader, one set of checks, and `--save-sheet` writes down
exactly what was used.
"""

import contextlib
from collections.abc import Mapping
from dataclasses import dataclass

from climlog.errors import ClimlogError
from climlog.model.board import ACROSS, ALONG, Piece
from climlog.sheets.fields import as_kind, as_layout
from climlog.sheets.layouts import Layout, layout_named, layout_of_kind, piece_name
from climlog.sheets.piece import piece_of
from climlog.sheets.places import Options, Path
from climlog.sheets.sheet import Sheet
from climlog.sheets.written import sheet_text

WHERE = "the options"
RAILS = {"across": (ACROSS,), "along": (ALONG,), "all": (ACROSS, ALONG)}
OPTIONS: dict[Path, str] = {
    ("piece", "wood"): "--wood",
    ("piece", "width"): "--width",
    ("piece", "thickness"): "--thickness",
    ("piece", "cut"): "--cut",
    ("piece", "length"): "--length",
    ("piece", "board_width"): "--board-width",
    ("piece", "fixed_on"): "--fixed-on",
    ("piece", "moisture_when_fixed"): "--moisture-when-fixed",
    ("piece", "measured_by"): "--measured-by",
    ("finish", "show_face"): "--finish",
    ("finish", "hidden_face"): "--hidden-finish",
    ("base", "layout"): "--layout",
    ("base", "rails_along_grain"): "--rail-thickness",
    ("base", "rails_along_grain", "thickness"): "--rail-thickness",
    ("fastening", "kind"): "--fastening",
    ("fastening", "rail"): "--rails",
    ("fastening", "count"): "--count",
    ("fastening", "gap"): "--gap",
}
"""Which option gives which key of a sheet."""
WORDS = {str(rails[0]): name for name, rails in RAILS.items() if len(rails) == 1}


@dataclass(frozen=True)
class QuickPiece:
    """What a person gave on the command line; None where nothing was said.

    Attributes
    ----------
    rails : {"across", "along", "all"} or None
        On which rails the fastenings sit.
    count : int or None
        On each of them.
    """

    wood: str
    width: str
    thickness: str
    cut: str | None = None
    length: str | None = None
    board_width: str | None = None
    finish: str | None = None
    hidden_finish: str | None = None
    layout: str | None = None
    fastening: str | None = None
    rails: str | None = None
    count: int | None = None
    gap: str | None = None
    rail_thickness: str | None = None
    fixed_on: str | None = None
    moisture_when_fixed: str | None = None
    measured_by: str | None = None

    def tables(self) -> dict[str, object]:
        """Write it as the tables of a piece sheet."""
        piece = {
            "name": piece_name(self.wood, self._named_layout()),
            "wood": self.wood,
            "width": self.width,
            "length": self.length,
            "thickness": self.thickness,
            "cut": self.cut,
            "board_width": self.board_width,
            "fixed_on": self.fixed_on,
            "moisture_when_fixed": self.moisture_when_fixed,
            "measured_by": self.measured_by,
        }
        thick = None if self.rail_thickness is None else {"thickness": self.rail_thickness}
        base = {"layout": self._layout(), "rails_along_grain": thick}
        return {
            "piece": _said(piece),
            "finish": _said({"show_face": self.finish, "hidden_face": self.hidden_finish}),
            "base": _said(base),
            "fastening": self._fastenings(),
        }

    def _layout(self) -> str | None:
        """Give the layout named, or the one that the kind makes by itself."""
        if self.layout is not None or self.fastening is None or self.rails is not None:
            return self.layout
        with contextlib.suppress(ClimlogError):
            return layout_of_kind(as_kind(self.fastening))
        return None

    def _named_layout(self) -> Layout | None:
        """Look its layout up; none where there is none, or its name is refused later on."""
        name = self._layout()
        with contextlib.suppress(ClimlogError):
            return None if name is None else layout_named(as_layout(name))
        return None

    def _kind_of_layout(self) -> str | None:
        """Give the kind that the layout is held by anyhow, where its count, gap or rails are said.

        Without this they would be dropped unsaid, and the layout's own gap be judged.
        """
        if self.layout is None or (self.count, self.gap, self.rails) == (None, None, None):
            return None
        with contextlib.suppress(ClimlogError):
            return layout_named(as_layout(self.layout)).main_kind or None
        return None

    def _fastenings(self) -> list[dict[str, object]]:
        kind = self.fastening or self._kind_of_layout()
        if kind is None:
            return []
        own = {"kind": kind, "count": self.count, "gap": self.gap}
        if self.rails is None:
            return [_said(own)]
        return [_said({**own, "rail": str(rail)}) for rail in RAILS[self.rails]]

    def sheet(self) -> str:
        """Write it as a piece sheet (TOML text)."""
        return sheet_text(self.tables())

    def piece(self) -> Piece:
        """Read that sheet."""
        return piece_of(sheet_of_options(self.tables())).piece


def sheet_of_options(tables: Mapping[str, object]) -> Sheet:
    """Make a sheet of the tables of a quick piece, its places told as options."""
    return Sheet(WHERE, tables, Options(OPTIONS, WORDS))


def _said(given: Mapping[str, object]) -> dict[str, object]:
    return {key: value for key, value in given.items() if value is not None}
