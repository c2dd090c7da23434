"""A sheet dropped on the page, as tables: read as any sheet is, run by nobody."""

import tempfile
from datetime import date, datetime
from pathlib import Path

from climlog.desk.asked import tables_in
from climlog.desk.uploads import safe_name
from climlog.errors import UnusableInputError, shown
from climlog.sheets.sheet import LARGEST_SHEET_BYTES, load_toml

PIECE_TABLES = {"piece", "finish", "base", "fastening", "crack", "measured", "what_if"}


def dropped_sheet(name: str, text: str) -> dict[str, object]:
    """Read the text of a sheet.

    Returns
    -------
    dict
        "sort": "piece" or "stock"; "tables": with days as text.

    Raises
    ------
    UnusableInputError
        If it is no sheet.
    """
    if len(text) > LARGEST_SHEET_BYTES:
        raise UnusableInputError(f"{shown(name)}: too large for a sheet; is this a log?")
    with tempfile.TemporaryDirectory(prefix="climlog-sheet-") as folder:
        path = Path(folder) / safe_name(name, ".toml")
        path.write_bytes(text.encode("utf-8", "replace"))
        _, tables = load_toml(path)
    plain = tables_in({"tables": _plain(tables)}, "tables")
    sort = "stock" if "stock" in plain else "piece" if PIECE_TABLES & plain.keys() else ""
    if not sort and "board" in plain:
        sort = "stock"
    if not sort:
        raise UnusableInputError(
            f"{shown(name)}: neither a piece nor stock: it has no [piece] and no [stock]"
        )
    return {"sort": sort, "tables": plain}


def _plain(value: object) -> object:
    """Write days as text; the page knows no others."""
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    if isinstance(value, list):
        return [_plain(one) for one in value]
    return value if isinstance(value, str | int | float | bool) else str(value)
