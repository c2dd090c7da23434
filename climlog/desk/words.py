"""What an error tells to type, in the words of the page: there is no command line on it."""

import re

PAGE_WORDS = (
    (r"; climlog sheet(?: piece)? writes (?:a sheet to start from|the keys)", ""),
    (r"climlog tables \w+ lists (?:them|it)(?: all)?", "its field on this page lists them all"),
    (r"add --seen [-\d]+, or seen = [-\d]+ under \[crack\] in the sheet", "fill it in at Question"),
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
