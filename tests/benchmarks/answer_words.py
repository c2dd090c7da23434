"""How many words each answer has, headline and block, and how many lines its letter: a table.

python -m tests.benchmarks.answer_words

Words as blanks part them, names of boards and pieces apart; tests/report/test_blocks.py holds the
limits.
"""

from tests.report.test_blocks import (
    JOBS,
    SIGNED,
    document_of,
    letter_of,
    names_in,
    own_words,
    result_of,
    said,
)


def main() -> None:
    """Print a row a case."""
    print(f"{'case':45}{'headline':>9}{'block':>7}{'letter':>8}")
    for job, (cases, _) in JOBS.items():
        for name in cases:
            document, names = document_of(job, name), names_in(job, result_of(job, name))
            block = sum(own_words(line, names) for line in said(document.answer))
            letter = "" if document.letter is None else letter_of(document.signed(SIGNED))
            lines = sum(bool(line) for line in letter.splitlines()) or "none"
            headline = own_words(document.answer.headline, names)
            print(f"{f'{job}: {name}':45}{headline:>9}{block:>7}{lines:>8}")


if __name__ == "__main__":
    main()
