"""How --help reads: options under headings, ranges in words, no line cut short or too long."""

import re

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
        "air", "outdoor", "outdoor_months", "outdoor_elsewhere", "house", "heating", "cooling",
        "humidifier", "what_ifs",
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
REMARK = "    "
"""Between what is typed and what it answers: wider than any space in it."""
DEEPER = "    "
GOES_ON = "A line set in further goes on from the one above: type both as one."
UNBROKEN = re.compile(r'(?:--?[\w-]+ (?!--))?(?:[^\s"]*"[^"]*"|\S+)')
"""One word of a command line, quotes and all, with the option that it belongs to."""


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


def examples(*lines: str | tuple[str, str]) -> str:
    """Write the examples that stand at the end of a command's help.

    Parameters
    ----------
    *lines : str or tuple of two str
        What to type, on one line; in a tuple with what it answers.
    """
    return "\n".join(line if isinstance(line, str) else REMARK.join(line) for line in lines)


def write_examples(text: str, formatter: click.HelpFormatter) -> None:
    """Write examples so that they fit the width: remarks in a column, or each below its example.

    No sign at a line's end means "goes on" to every shell, so a line that is broken goes on
    further in, and a last line says so.
    """
    rows = [line.partition(REMARK)[::2] for line in text.splitlines()]
    with formatter.section("Examples"):
        room = formatter.width - formatter.current_indent
        column = max(len(typed) for typed, _ in rows) + len(REMARK)
        in_columns = all(column + len(remark) <= room for _, remark in rows)
        broken = False
        for typed, remark in rows:
            if in_columns:
                lines = [f"{typed:{column}}{remark}".rstrip()]
            else:
                lines = broken_line(typed, room)
                broken = broken or len(lines) > 1
                lines += [f"{DEEPER}({remark})"] if remark else []
            _write_lines(lines, formatter)
    if broken:
        formatter.write_paragraph()
        formatter.write_text(GOES_ON)


def broken_line(typed: str, room: int) -> list[str]:
    """Break what is typed to fit, never inside quotes nor between an option and its value.

    Examples
    --------
    >>> broken_line('climlog place a.csv --width "38 in"', 30)
    ['climlog place a.csv', '    --width "38 in"']
    """
    lines = [""]
    for part in UNBROKEN.findall(typed):
        longer = f"{lines[-1]} {part}" if lines[-1].strip() else lines[-1] + part
        if len(longer) > room and lines[-1].strip():
            lines.append(DEEPER + part)
        else:
            lines[-1] = longer
    return lines


def _write_lines(lines: list[str], formatter: click.HelpFormatter) -> None:
    for line in lines:
        formatter.write(f"{'':{formatter.current_indent}}{line}\n")


class PlainCommand(click.Command):
    """A command whose examples fit the width."""

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the examples."""
        if self.epilog:
            write_examples(self.epilog, formatter)


class GroupedCommand(PlainCommand):
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
