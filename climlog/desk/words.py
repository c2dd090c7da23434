"""What an answer or an error tells to type, in words of the page: it has no command line."""

import re

from climlog.tables import ORDINARY_HOME

PAGE_WORDS = (
    (r"; climlog sheet(?: piece)? writes (?:a sheet to start from|the keys)", ""),
    (r"climlog tables \w+ lists (?:them|it)(?: all)?", "its field on this page lists them all"),
    (
        r"add --seen [-\d]+, or seen = [-\d]+ under \[crack\](?: in the sheet)?",
        "fill it in at Question",
    ),
    (
        r"(?:add|give) --made-in(?: with the log of the shop| SHOPLOG)",
        "drop the log of the shop too",
    ),
    (r"leave --made-in out", "take the log of the shop away"),
    (r"fill the year up with --outdoor", "drop a log of the air outdoors too"),
    (
        r"(?:add|give) --outdoor FILE(?: (?:with )?--house \w+)?",
        "drop a log of the air outdoors too",
    ),
    (r"leave --delivered out", "empty the day it was delivered"),
    (r" or name another with --encoding", ""),
    (
        r"fill it up with --outdoor FILE, a typical year (.*?), or --outdoor-months FILE, the",
        r"drop the air outdoors too: a log, a typical year \1, or the",
    ),
    (
        r"--outdoor FILE \((.*?)\) or --outdoor-months FILE",
        r"drop the air outdoors too: a log, \1, or a climate table",
    ),
    (
        r"If so, give --heating TEMP; if not, --house ([\w-]+(?: or [\w-]+)*)",
        r"Choose its kind of house: an ordinary home if so, \1 if not",
    ),
    (r"[Gg]ive (?:--house [\w-]+ )?--cooling TEMP", "run climlog place with --cooling TEMP"),
    (r" or --heating TEMP", f" or {ORDINARY_HOME}"),
    (r"(--house [\w-]+),? or --house ([\w-]+)", r"\1 or \2"),
    (r"give --house ([\w-]+(?: or [\w-]+)*)", r"choose its kind of house: \1"),
    (r": --sign [\w-]+=\S+", ": its field at Question"),
    (r", --sign [\w-]+=\S+", ""),
    (r"--sign [\w-]+=\S+", "its field at Question"),
    (r"add --gap WIDTH", "fill it in at Question"),
    (r"from the log of the shop with --made-in", "from the log of the shop, dropped too"),
    (
        r"--moisture-when-fixed or the sheet(?:'s moisture_when_fixed)?",
        "it in its field at Piece",
    ),
    (r"give --moisture-when-fixed", "give it in its field at Piece"),
    (
        r"a sheet with \[\[fastening\]\], or --fastening KIND|\[\[fastening\]\]",
        "fastenings at Piece",
    ),
    (r"; --save-sheet FILE writes it down as a sheet, --picture FILE\.pdf draws it[^.;]*", ""),
    (r"(?:with|give) --house [\w-]+", "with that kind of house chosen"),
    (r"name its kind with --house", "choose its kind of house"),
    (r"add --target PERCENT, --stock SHEET or --for LOG", "fill in a target or the boards"),
)
"""Each way of naming an option or a command, and what does the same on the page."""


def in_page_words(message: str) -> str:
    """Say what to do on the page where a command would name an option.

    Examples
    --------
    >>> in_page_words("check both, or add --made-in with the log of the shop")
    'check both, or drop the log of the shop too'
    """
    for pattern, words in PAGE_WORDS:
        message = re.sub(pattern, words, message)
    return message
