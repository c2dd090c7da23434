"""climlog: what the air in a hygrometer log does to solid wood, and whether it is free to move.

The public names below are imported on first use, so that importing climlog loads nothing heavy.

Examples
--------
>>> import climlog
>>> round(float(climlog.equilibrium_moisture(21.1, 50)), 1)
9.2
"""

import importlib

__version__ = "0.2.0"

_HOMES = {
    "ImportOptions": "climlog.importer.options",
    "Log": "climlog.importer.log",
    "Piece": "climlog.model.board",
    "PlaceResult": "climlog.analysis.place.result",
    "Slab": "climlog.model.diffusion",
    "analyse_place": "climlog.analysis.place.place",
    "equilibrium_moisture": "climlog.model.emc",
    "humidity_holding": "climlog.model.emc",
    "read_file": "climlog.importer.read",
    "read_log": "climlog.importer.read",
    "read_piece": "climlog.sheets.piece",
    "strain_across": "climlog.model.movement",
    "travel_as_a_set": "climlog.model.fastening.set_travel",
}

__all__ = ["__version__", *_HOMES]


def __getattr__(name: str) -> object:
    """Import a public name on first use."""
    if name not in _HOMES:
        raise AttributeError(f"module 'climlog' has no attribute {name!r}")
    return getattr(importlib.import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    """List the public names."""
    return sorted(__all__)
