"""An answer to an open question, put where it goes in the tables of a sheet."""

from climlog.errors import shown
from climlog.sheets.places import Path


def put_answer(tables: dict[str, object], place: Path, value: str) -> None:
    """Put an answer where it goes in the tables of a sheet.

    Parameters
    ----------
    tables : dict
        Changed in place.
    place : path of the key that it answers
    value : str
        As it was given; a whole number becomes one.
    """
    *way, key = place
    here: object = tables
    for part, after in zip(way, [*way[1:], key], strict=True):
        if isinstance(part, int) and isinstance(here, list):
            here = here[part - 1]
        elif isinstance(here, dict):
            kind: object = [] if isinstance(after, int) else {}
            if isinstance(after, str) and isinstance(here.get(part), str):
                here[part] = {"at": here[part]}
            here = here.setdefault(part, kind)
    if not isinstance(here, dict):
        raise TypeError(f"no table at {shown(place)}")
    here[str(key)] = int(value) if value.isdigit() else value
