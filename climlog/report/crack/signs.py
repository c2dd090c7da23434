"""The signs of a crack that can be told, as a list for the terminal."""

from climlog.report.terminal import wrapped
from climlog.sheets.crack import known_signs
from climlog.tables import load_table


def signs_text() -> str:
    """List every sign with its answers and what to look at, the most telling first."""
    asks = load_table("crack_questions")["ask"]
    lines = [
        f"{name}={'|'.join(answers)}\n{wrapped(str(asks[name]), '    ')}"
        for name, answers in known_signs().items()
    ]
    return "\n".join(lines)
