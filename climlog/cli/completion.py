"""What Tab completes beyond commands, options and files: woods, kinds, finishes, houses, signs.

Blanks of a name are written as hyphens, which it is found by too: no shell need quote it.
Tables are read when somebody presses Tab, not before.
"""

from collections.abc import Callable, Iterable

import click
from click.shell_completion import CompletionItem

Complete = Callable[[click.Context, click.Parameter, str], list[CompletionItem]]
MEASURED_BY = ("oven", "pin meter", "guess")


def names_in(table: str, others: str | None = None) -> Complete:
    """Complete the keys of a table, and with `others` those of that column too.

    Parameters
    ----------
    table : str
    others : str, optional
        A column with more names, apart by "|".
    """

    def complete(_: click.Context, __: click.Parameter, incomplete: str) -> list[CompletionItem]:
        from climlog.tables import load_table, names_of

        if others is None:
            return _beginning(map(str, load_table(table).index), incomplete)
        known = names_of(table, others)
        own = _beginning(known, incomplete)
        return own or _beginning((one for each in known.values() for one in each), incomplete)

    return complete


def finishes(_: click.Context, __: click.Parameter, incomplete: str) -> list[CompletionItem]:
    """Complete a finish by its common words, then by the kinds measured."""
    from climlog.tables import load_table

    words = map(str, load_table("finish_words").index)
    kinds = dict.fromkeys(map(str, load_table("finishes")["kind"]))
    return _beginning(("none", *words, *kinds), incomplete)


def signs(_: click.Context, __: click.Parameter, incomplete: str) -> list[CompletionItem]:
    """Complete a sign, then behind its "=" the answer."""
    from climlog.sheets.crack import known_signs

    known = known_signs()
    name, equals, _answer = incomplete.partition("=")
    if equals:
        return _beginning((f"{name}={one}" for one in known.get(name, ())), incomplete)
    return _beginning((f"{one}=" if answers else one for one, answers in known.items()), incomplete)


def measured_by(_: click.Context, __: click.Parameter, incomplete: str) -> list[CompletionItem]:
    """Complete how the moisture was measured."""
    return _beginning(MEASURED_BY, incomplete)


def of_kind(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
    """Complete the words of `climlog tables KIND`."""
    by_kind = {"wood": woods, "finish": finishes, "fastening": fastenings}
    complete = by_kind.get(str(ctx.params.get("kind")))
    return complete(ctx, param, incomplete) if complete else []


def _beginning(names: Iterable[str], incomplete: str) -> list[CompletionItem]:
    begun = incomplete.strip("'\"").casefold().replace(" ", "-")
    spelt = dict.fromkeys(name.replace(",", "").replace(" ", "-") for name in names)
    return [CompletionItem(one) for one in spelt if one.casefold().startswith(begun)]


woods = names_in("woods", "other_names")
fastenings = names_in("fastening_kinds", "other_names")
layouts = names_in("layouts", "other_names")
cuts = names_in("cuts")
houses = names_in("indoor_classes")
