"""Published numbers and words, a row a fact, a source a row; read once, never written to.

Every table has a `source` column (a key of sources.csv, or "common practice, no source",
"derived" or "own default") and a `mark` column: read (seen in the work named), read* (seen in
others' transcriptions of it), memory, common practice or derived.
"""

from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

from climlog.errors import ClimlogError

if TYPE_CHECKING:
    import pandas as pd


@cache
def load_table(name: str) -> "pd.DataFrame":
    """Read one table of this folder, indexed by its first column.

    Parameters
    ----------
    name : str
        File name without ".csv".

    Returns
    -------
    pandas.DataFrame
        Shared between all callers: copy it before changing it.

    Raises
    ------
    ClimlogError
        If a key stands twice or a row has no source.
    """
    import pandas as pd

    with (files(__package__) / f"{name}.csv").open(encoding="utf-8") as stream:
        table = pd.read_csv(stream, index_col=0)
    if table.index.has_duplicates or table["source"].isna().any():
        raise ClimlogError(f"tables/{name}.csv: repeated key or row without a source")
    return table
