"""What a building was taken for, beside every odds that hang on it, and the odds of the other kind.

Empty where nothing that a maker does hangs on it.
"""

from typing import TYPE_CHECKING

from climlog.analysis.place.result import Lacks, PlaceResult, Rival
from climlog.analysis.place.verdict import of_100
from climlog.model.indoor import HouseKind, house_named

if TYPE_CHECKING:
    from climlog.model.indoor import HouseClass

LIKELY = "of 100 likely cases"
HEATED, NOT_HEATED = "heated", "not"
COLD_WORDS = {
    HouseKind.BARELY_HEATED: "barely heated",
    HouseKind.UNHEATED: "never heated",
    HouseKind.ROOF_SPACE: "under the roof and never heated",
}
"""What a client calls a kind; any other is heated."""


def is_heating_asked(result: PlaceResult) -> bool:
    """Whether it was taken for heated only because no cold day was read."""
    return result.projection is not None and result.projection.is_heating_open


def taken(result: PlaceResult) -> str:
    """Say under which condition odds stand, for the end of a phrase, with a space before it."""
    fit = None if result.projection is None else result.projection.fit
    if result.rival is None or fit is None:
        return ""
    return f" if {HEATED}" if is_heating_asked(result) else f' if "{fit.house.name}"'


def likely(result: PlaceResult) -> str:
    """Say that phrase of odds with its condition."""
    return f"{LIKELY}{taken(result)}"


def elsewise(result: PlaceResult) -> str:
    """Say the odds in the other kind, as drawn, after a comma; empty where nothing hangs on it."""
    rival = result.rival
    if rival is None or not result.fastenings:
        return ""
    return f", {of_100(rival.share_of_draws)} if {_other(result, rival)}"


def changed_elsewise(result: PlaceResult) -> str:
    """Say the odds that the first change, or the plan, leaves in the other kind."""
    rival = result.rival
    if rival is None or rival.changed_share is None:
        return ""
    left = of_100(rival.changed_share)
    return f" and {left}" if result.fastenings else f", {left} if {_other(result, rival)}"


def _other(result: PlaceResult, rival: Rival) -> str:
    """Name the other kind, for the end of a phrase with "if"."""
    return NOT_HEATED if is_heating_asked(result) else f'"{rival.kind}"'


def client_words(house: "HouseClass") -> str:
    """Name a kind for a client."""
    return COLD_WORDS.get(house.kind, "heated in winter")


def taken_for_client(result: PlaceResult) -> str:
    """Say to a client what the room was taken for, after a comma."""
    fit = None if result.projection is None else result.projection.fit
    if result.rival is None or fit is None:
        return ""
    return f", taking the room to be {client_words(fit.house)}"


def elsewise_for_client(result: PlaceResult, is_changed: bool = False) -> str:
    """Say to a client the odds in the other kind, as drawn or changed, in brackets."""
    rival = result.rival
    share = None if rival is None else rival.share_of_draws
    if rival is not None and is_changed:
        share = rival.changed_share
    if rival is None or share is None:
        return ""
    return f" ({of_100(share)} if it is {client_words(house_named(rival.kind))})"


def is_settled_by_kind(result: PlaceResult) -> bool:
    """Whether what to do hangs on the kind of building."""
    return bool({Lacks.HEATING, Lacks.KIND} & set(result.lacks))
