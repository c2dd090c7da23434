"""look: every sensor of every file, read and measured, nothing merged."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from climlog.analysis.warned import collected
from climlog.arguments import Paths, paths_of
from climlog.importer.folder import expand_paths
from climlog.importer.log import Log
from climlog.importer.options import ImportOptions
from climlog.importer.read import NO_OPTIONS, read_file
from climlog.model.emc import equilibrium_moisture

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True, eq=False)
class SensorLook:
    """One sensor's log and the equilibrium moisture of every reading, in %."""

    log: Log
    emc_pct: "NDArray[np.float64]"


@dataclass(frozen=True, eq=False)
class FileLook:
    """One file, its sensors, and where the figures go beyond what they were fitted for."""

    file: str
    sensors: tuple[SensorLook, ...]
    limits: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class LookResult:
    """Everything that a `look` run found, file by file."""

    logs: tuple[FileLook, ...]


def analyse_look(logs: Paths | Log, how: ImportOptions = NO_OPTIONS) -> LookResult:
    """Read every sensor of every file, nothing merged, and measure the air of each.

    Parameters
    ----------
    logs : str or Path, several in a list, or Log
        Files and folders; a folder stands for the logs in it. A Log is measured as it is.
    how : ImportOptions
        What the user settled.

    Raises
    ------
    ClimlogError
        If a file cannot be read as a log, or a folder holds none.
    """
    if isinstance(logs, Log):
        return LookResult((_look(", ".join(logs.files), (logs,)),))
    files = expand_paths(paths_of(logs, "analyse_look"))
    return LookResult(tuple(_look(path.name, read_file(path, how)) for path in files))


def _look(name: str, logs: Sequence[Log]) -> FileLook:
    with collected() as limits:
        sensors = tuple(
            SensorLook(log, equilibrium_moisture(log.temp_c, log.rh_pct)) for log in logs
        )
    return FileLook(name, sensors, tuple(limits))
