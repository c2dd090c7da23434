"""Dropped logs as they were read last, so that an answer does not read them again."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from climlog.desk.asked import Question, Role
from climlog.desk.uploads import Uploads
from climlog.desk.words import in_page_words
from climlog.importer.options import ImportOptions

if TYPE_CHECKING:
    from climlog.importer.log import Log
    from climlog.importer.weather import Weather

KEPT_LOGS = 12


@dataclass(eq=False)
class Shelf:
    """Logs read so far, so that an answer does not read them again."""

    uploads: Uploads
    _read: Callable[[tuple[str, ...], ImportOptions], "Log"] = field(init=False)
    _weather: Callable[[str, ImportOptions], "Weather"] = field(init=False)

    def __post_init__(self) -> None:
        """Keep the last few logs of this desk."""
        self._read = lru_cache(KEPT_LOGS)(self._read_log)
        self._weather = lru_cache(KEPT_LOGS)(self._read_weather)

    def _read_log(self, keys: tuple[str, ...], how: ImportOptions) -> "Log":
        from climlog.importer.read import read_log

        return read_log([self.uploads.get(key).path for key in keys], how)

    def _read_weather(self, key: str, how: ImportOptions) -> "Weather":
        from climlog.importer.months import read_outdoors

        return read_outdoors(self.uploads.get(key).path, how)

    def log(self, question: Question, role: Role) -> "Log | None":
        """Read the logs of a role as one; None where there are none."""
        keys = question.keys(role)
        how = question.how if role is Role.HERE else question.how.beside()
        return self._read(keys, how) if keys else None

    def weather(self, question: Question) -> "Weather | None":
        """Read the air outdoors; None where none was given."""
        keys = question.keys(Role.OUTDOOR)
        if not keys:
            return None
        how = replace(question.how.beside(), date_order=question.how.date_order)
        return self._weather(keys[0], how)

    def named(self, question: Question, name: str) -> "Log | None":
        """Read the dropped log of a name, for an event that moves a piece there."""
        for one in question.logs:
            if self.uploads.get(one.key).name == name:
                return self._read((one.key,), question.how.beside())
        return None

    def paths(self, question: Question, role: Role) -> list[Path]:
        """Name the files of a role."""
        return [self.uploads.get(key).path for key in question.keys(role)]

    def without_folder(self, message: str) -> str:
        """Say a message as the page does: files by their names, no folder of ours, no options."""
        for upload in self.uploads.all():
            message = message.replace(f"{upload.path.parent}/", "")
            message = message.replace(f"{upload.path.parent}\\", "")
        return in_page_words(message)
