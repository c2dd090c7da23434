"""How --help reads: options under headings, ranges in words, no line cut short."""

import click

GROUPS: dict[str, tuple[str, ...]] = {
    "The piece": (
        "sheets", "sheet", "made_in", "seen", "gap_seen", "signs", "list_signs", "delivered",
    ),
    "The piece in a few words, without a sheet": (
        "wood", "width", "thickness", "cut", "length", "finish", "hidden_finish", "board_width",
        "layout", "fastenings", "rails", "count", "gap", "rail_thickness", "fixed_on",
        "moisture_when_fixed", "measured_by",
    ),
    "The room and its stock": (
        "stock", "target", "client", "pieces", "second", "try_rh", "try_temp",
    ),
    "The log": (
        "date_order", "time_column", "time_format", "temp_column", "rh_column", "temp_unit",
        "sensor", "decimal_mark", "delimiter", "encoding", "for_files", "rh_gain", "rh_offset",
        "temp_offset",
    ),
    "The year ahead": (
        "air", "outdoor", "outdoor_elsewhere", "house", "heating", "cooling", "humidifier",
        "what_ifs",
    ),
    "What to write": (
        "picture", "picture_of", "letter", "hourly", "save_sheet", "json_file", "out", "units",
        "maker_name", "client_name", "replace", "full", "quiet",
    ),
}  # fmt: skip
"""Headings in their order, and the options under each by the name of their parameter."""
REST = "Others"
LONGEST_SHORT = 200
"""Letters of a command's line in the list of commands: its whole first sentence."""


def range_words(kind: click.IntRange | click.FloatRange) -> str:
    """Say what a number may be.

    Examples
    --------
    >>> range_words(click.IntRange(1)), range_words(click.FloatRange(0, 100))
    ('1 or more', '0 to 100')
    """
    if kind.min is None and kind.max is None:
        return ""
    if kind.max is None:
        return f"{kind.min:g} or more"
    return f"up to {kind.max:g}" if kind.min is None else f"{kind.min:g} to {kind.max:g}"


class PlainOption(click.Option):
    """An option whose range is told in words, not as an inequality."""

    def get_help_extra(self, ctx: click.Context) -> click.types.OptionHelpExtra:
        """Say the range as a maker would."""
        extra = super().get_help_extra(ctx)
        if isinstance(self.type, click.IntRange | click.FloatRange):
            words = range_words(self.type)
            extra.pop("range", None)
            if words:
                extra["range"] = words
        return extra


class GroupedCommand(click.Command):
    """A command whose help lists its options under headings."""

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write each heading with its options."""
        heading = {name: title for title, names in GROUPS.items() for name in names}
        rows: dict[str, list[tuple[str, str]]] = {title: [] for title in (*GROUPS, REST)}
        for param in self.get_params(ctx):
            record = param.get_help_record(ctx)
            if record is not None and isinstance(param, click.Option):
                rows[heading.get(param.name or "", REST)].append(record)
        for title, records in rows.items():
            if records:
                with formatter.section(title):
                    formatter.write_dl(records)


def write_commands(group: click.Group, ctx: click.Context, formatter: click.HelpFormatter) -> None:
    """Write a line a command, its whole first sentence."""
    found = [(name, group.get_command(ctx, name)) for name in group.list_commands(ctx)]
    rows = [
        (name, command.get_short_help_str(LONGEST_SHORT))
        for name, command in found
        if command is not None
    ]
    with formatter.section("Commands"):
        formatter.write_dl(rows)
