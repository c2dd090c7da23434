"""Tables of a sheet to TOML text, as somebody would write it."""

import json
from collections.abc import Mapping


def sheet_text(tables: Mapping[str, object]) -> str:
    """Write tables as a sheet.

    Examples
    --------
    >>> print(sheet_text({"piece": {"width": "38 in"}, "fastening": [{"count": 3}]}), end="")
    [piece]
    width = "38 in"
    <BLANKLINE>
    [[fastening]]
    count = 3
    """
    blocks = []
    for name, value in tables.items():
        many = isinstance(value, list)
        for row in value if isinstance(value, list) else [value]:
            if isinstance(row, Mapping) and row:
                lines = [f"{key} = {toml_value(one)}" for key, one in row.items()]
                blocks.append("\n".join([f"[[{name}]]" if many else f"[{name}]", *lines]))
    return "\n\n".join(blocks) + "\n"


def toml_value(value: object) -> str:
    """Write one value as TOML."""
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {toml_value(one)}" for key, one in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(toml_value(one) for one in value) + "]"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=True)
    return str(value).lower() if isinstance(value, bool) else str(value)
