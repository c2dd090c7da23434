"""What the shells do with an "=": bash takes it for a word of its own, zsh and fish for a part.

Loaded only when a shell asks for a completion. Without this Tab behind `--sign where=` offered
every program on the path in bash, and behind `--wood=` dropped the option in zsh and fish.
"""

import os
import re
from typing import Any

from click.shell_completion import (
    BashComplete,
    CompletionItem,
    FishComplete,
    ZshComplete,
    add_completion_class,
    split_arg_string,
)

NO_BLANK = "            COMPREPLY+=($value)\n            [[ $value == *= ]] && compopt -o nospace\n"
PLAIN = re.compile(r"^ *COMPREPLY\+=\(\$value\)\n", re.MULTILINE)
AN_OPTION = re.compile(r"--[\w-]+=")


def joined(words: list[str]) -> list[str]:
    """Join what bash took apart at an "=".

    Examples
    --------
    >>> joined(["--sign", "where", "=", "mi"]), joined(["--sign", "where", "="])
    (['--sign', 'where=mi'], ['--sign', 'where='])
    """
    out: list[str] = []
    for word in words:
        if out and (word == "=" or out[-1].endswith("=")):
            out[-1] += word
        else:
            out.append(word)
    return out


class Bash(BashComplete):
    """Bash, which replaces only what stands behind the "="; behind a sign no blank is put."""

    source_template = PLAIN.sub(NO_BLANK, BashComplete.source_template)
    behind = ""

    def get_completion_args(self) -> tuple[list[str], str]:
        """Give the words before, and the one that is begun."""
        at = int(os.environ["COMP_CWORD"])
        words = split_arg_string(os.environ["COMP_WORDS"])[: at + 1]
        if len(words) <= at:
            return joined(words)[1:], ""
        together = joined(words)
        if len(together) < len(words) and together[-1] != words[-1]:
            self.behind = together[-1].rpartition("=")[0] + "="
        return together[1:-1], together[-1]

    def format_completion(self, item: CompletionItem) -> str:
        """Write one completion, as bash puts it in place of its own word."""
        item.value = str(item.value).removeprefix(self.behind)
        return super().format_completion(item)


class _Whole:
    """A shell that puts a completion in place of the option and its value together."""

    behind = ""

    def get_completion_args(self) -> tuple[list[str], str]:
        """Give the words before, and the one that is begun."""
        args, incomplete = super().get_completion_args()  # type: ignore[misc]
        found = AN_OPTION.match(incomplete)
        self.behind = found[0] if found else ""
        return args, incomplete

    def format_completion(self, item: CompletionItem) -> str:
        """Write one completion, with the option before it."""
        if item.type == "plain":
            item.value = f"{self.behind}{item.value}"
        said: Any = super().format_completion(item)  # type: ignore[misc]
        return str(said)


class Zsh(_Whole, ZshComplete):
    """Zsh."""


class Fish(_Whole, FishComplete):
    """Fish."""


for shell in (Bash, Zsh, Fish):
    add_completion_class(shell)
