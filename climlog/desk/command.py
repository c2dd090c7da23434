"""The line that gets the same answer from a command, to copy."""

from climlog.desk.answers import piece_sheet, stock_sheet
from climlog.desk.asked import Job, Question, Role
from climlog.desk.uploads import Uploads, safe_name
from climlog.errors import cleaned, quoted
from climlog.importer.months import is_months
from climlog.importer.options import ImportOptions
from climlog.tables import ORDINARY_HOME

ROLE_OPTIONS = {
    Job.PLACE: {Role.SHOP: "--made-in", Role.OUTDOOR: "--outdoor"},
    Job.CRACK: {Role.SHOP: "--made-in", Role.OUTDOOR: "--outdoor"},
    Job.ROOM: {Role.CLIENT: "--for", Role.SECOND: "--second"},
}
PLAIN = ImportOptions()
RUN_IN_QUOTES = '"`$\\!'
"""What a shell obeys inside double quotes."""


def command_line(question: Question, uploads: Uploads) -> str:
    """Write the command; files are named without folders, for only the person knows those."""
    words = ["climlog", str(question.job)]
    words += [_word(uploads.get(key).name) for key in question.keys(Role.HERE)]
    for role, option in ROLE_OPTIONS[question.job].items():
        for key in question.keys(role):
            of_months = role is Role.OUTDOOR and is_months(uploads.get(key).path)
            words += [f"{option}-months" if of_months else option, _word(uploads.get(key).name)]
    words += _sheets(question)
    words += _extras(question)
    words += _reading(question.how)
    words += ["--units", question.units]
    return " ".join(words)


def _sheets(question: Question) -> list[str]:
    words = []
    if question.job is Job.ROOM and question.stock:
        words += ["--stock", _word(safe_name(stock_sheet(question)[0]))]
    needs_piece = question.job is not Job.ROOM or bool(question.keys(Role.CLIENT))
    if needs_piece and question.tables:
        words += ["--piece", _word(safe_name(piece_sheet(question)[0]))]
    return words


def _extras(question: Question) -> list[str]:
    if question.job is Job.ROOM:
        own = () if question.keys(Role.CLIENT) else ("target",)
        keys = (*own, "try_rh", "try_temp")
        named = ((key, question.extras.get(key)) for key in keys)
        return [
            word
            for key, value in named
            if value
            for word in (f"--{key.replace('_', '-')}", _word(value))
        ]
    if not question.keys(Role.OUTDOOR):
        return []
    house = question.extras.get("house") or (None if question.keys(Role.HERE) else ORDINARY_HOME)
    words = ["--house", _word(house)] if house else []
    return [*words, *(["--outdoor-elsewhere"] if "elsewhere" in question.extras else [])]


def _reading(how: ImportOptions) -> list[str]:
    words = []
    for name, usual in vars(PLAIN).items():
        value = getattr(how, name)
        if name in ("for_files", "by_file") or value == usual:
            continue
        for one in value if isinstance(value, tuple) else (value,):
            written = f"{one:g}" if isinstance(one, float) else str(one)
            words += [f"--{name.replace('_', '-')}", _word(written)]
    for one in how.for_files:
        words += ["--for-file", _word(f"{one.file}: {one.option.replace('_', '-')} {one.value}")]
    return words


def _word(text: str) -> str:
    """Quote a word for a shell; what a shell would run inside quotes is told apart from it."""
    clean = " ".join(cleaned(text).split())
    if any(mark in clean for mark in RUN_IN_QUOTES):
        return "'" + clean.replace("'", "'\\''") + "'"
    return quoted(clean)
