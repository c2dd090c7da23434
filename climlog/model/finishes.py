"""Finishes by the names people use: how much vapour each lets through.

The permeances are derived from the published moisture-excluding tests (30 to 90 % relative
humidity, pine, every side coated); a finish nobody measured is stood in for by the nearest
measured one, and its mark says so.
"""

from functools import cache

from climlog.errors import UnknownNameError
from climlog.model.board import BARE, Finish
from climlog.tables import find, load_table

USUAL_COATS = 2
"""What most cans ask for; the mark of a finish says where it was assumed."""
LISTED = 'write "none" or a kind of "climlog tables finish"'


def finish_named(kind: str, coats: int | None = None) -> Finish:
    """Look a finish up.

    Parameters
    ----------
    kind : str
        A kind of tables/finishes.csv or a word of tables/finish_words.csv, in any case; "none"
        is bare wood.
    coats : int, optional
        More coats than were ever measured count as the most that were. Left out: 2, or the
        measured number nearest to it. The mark tells either.

    Returns
    -------
    Finish
        Its permeance is per coated face, in kg/(m² s Pa), at about 27 °C.

    Raises
    ------
    UnknownNameError
        If no table holds the word, or nobody measured so few coats.

    References
    ----------
    .. [1] Forest Products Laboratory, "Wood Handbook", FPL-GTR-190, 2010, table 16-3.
    .. [2] Feist, Little and Wennesheimer, Research Paper FPL 462, 1985.

    Examples
    --------
    >>> finish_named("Shellac", 2).permeance_kg_m2_s_pa
    3.64e-10
    >>> finish_named("shellack", 2)
    Traceback (most recent call last):
    climlog.errors.UnknownNameError: no finish is called "shellack"; did you mean "shellac"?
    """
    word = find(_names(), kind, "finish", LISTED)
    if word == BARE.kind or coats == 0:
        return BARE
    known, measured = _kinds_of_words()[word]
    rows = {one.coats: one for one in all_finishes() if one.kind == known}
    wanted = min(rows, key=lambda n: abs(n - USUAL_COATS)) if coats is None else coats
    if wanted < min(rows):
        raise UnknownNameError(
            f'nobody measured "{known}" in a coat count of {wanted}: give '
            f"{' or '.join(str(n) for n in rows)}, or leave the coats out"
        )
    row = rows[min(wanted, max(rows))]
    remarks = [row.mark]
    if coats is None:
        remarks.append(f"coats not given, {wanted} assumed")
    if wanted not in rows:
        remarks.append(f"{wanted} coats not measured, figure of {row.coats} used")
    if not measured:
        remarks.append(f'"{word}" not measured, {known} stands in')
    return Finish(word, wanted, row.permeance_kg_m2_s_pa, "; ".join(remarks), row.source)


def measured_kind(word: str) -> str:
    """Name the measured finish behind a word that `finish_named` understands.

    Parameters
    ----------
    word : str
        The kind of a Finish.

    Returns
    -------
    str
        A kind of tables/finishes.csv; the word itself for bare wood and where it is unknown.

    Examples
    --------
    >>> measured_kind("danish oil"), measured_kind("none")
    ('linseed oil', 'none')
    """
    return _kinds_of_words().get(word, (word, True))[0]


@cache
def all_finishes() -> tuple[Finish, ...]:
    """List every measured finish, kind by kind, fewest coats first; bare wood is not among them.

    Returns
    -------
    tuple of Finish
        The mark of each tells whether the test's figures were read or remembered, and how well
        one permeance explains them.
    """
    return tuple(
        Finish(
            row["kind"],
            row["coats"],
            row["permeance_kg_m2_s_pa"],
            f"{row['mark']} from a test ({row['data_mark']}), {row['quality']}",
            row["source"],
        )
        for row in load_table("finishes").to_dict("records")
    )


@cache
def _kinds_of_words() -> dict[str, tuple[str, bool]]:
    """Every word that is understood, with its kind and whether that very finish was measured."""
    words = {one.kind: (one.kind, True) for one in all_finishes()}
    for word, row in load_table("finish_words").to_dict("index").items():
        words[str(word)] = (row["kind"], row["measured"] == "yes")
    return words


def _names() -> dict[str, tuple[str, ...]]:
    return {BARE.kind: ("bare",), **dict.fromkeys(_kinds_of_words(), ())}
