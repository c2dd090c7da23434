"""The plan for a piece without fastenings, as a record: what to fit, and what it comes to."""

from dataclasses import dataclass

from climlog.analysis.place.verdict import Verdict, travel_over_width
from climlog.model.board import Fastening, Piece
from climlog.model.fastening.bench import Step
from climlog.model.fastening.fasteners import Travel
from climlog.model.fastening.plans import Proposal
from climlog.model.fastening.set_travel import SetTravel
from climlog.told import told


@told(
    {"share_of_draws": "odds", "has_mm": "has"},
    also="kinds fastenings slip_mm",
    without="piece proposal travel",
)
@dataclass(frozen=True)
class Plan:
    """Fastenings proposed for a piece, judged by the piece's own cases.

    Attributes
    ----------
    steps : tuple of Step
        What to fit and with which sizes; fastenings are places in `piece.fastenings`.
    proposal : Proposal
        As it was drawn up, with which a sheet is written.
    piece : Piece
        The same piece with the plan's fastenings and rails, as read from its sheet.
    travel : SetTravel
    odds : float
        Share of the likely cases in which it runs out, 0 to 1.
    verdict : Verdict
    unheld_mm : float
        Longest stretch of edge without a fastening near it. [mm]
    alternative : Plan or None
        The next simplest of another kind; itself without one.
    """

    steps: tuple[Step, ...]
    proposal: Proposal
    piece: Piece
    travel: SetTravel
    odds: float
    verdict: Verdict
    unheld_mm: float
    alternative: "Plan | None" = None

    @property
    def has(self) -> Travel:
        """Travel over the whole width. [mm]."""
        return travel_over_width(self.travel, self.piece.width_mm)

    @property
    def slip_mm(self) -> float:
        """How far the top has to slip along its length for it. [mm]."""
        return self.travel.slip_mm

    @property
    def fastenings(self) -> tuple[Fastening, ...]:
        """Every fastening with its place and sizes."""
        return self.piece.fastenings

    @property
    def kinds(self) -> tuple[str, ...]:
        """Kinds that it uses, the one that moves first."""
        return tuple(dict.fromkeys(one.kind for one in reversed(self.proposal.rows)))
