"""look: every sensor of every file, read and measured, nothing merged."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from climlog.analysis.warned import collected
from climlog.importer.folder import expand_paths
from climlog.importer.log import Log
from climlog.importer.options import ImportOptions
from climlog.importer.read import read_file
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


def look_at(paths: Sequence[Path], how: ImportOptions) -> tuple[FileLook, ...]:
    """Read every sensor of every file; a folder stands for the logs in it.

    Raises
    ------
    UnusableInputError
        If a file cannot be read as a log, or a folder holds none.
    """
    return tuple(_look(path, how) for path in expand_paths(paths))


def _look(path: Path, how: ImportOptions) -> FileLook:
    logs = read_file(path, how)
    with collected() as limits:
        sensors = tuple(
            SensorLook(log, equilibrium_moisture(log.temp_c, log.rh_pct)) for log in logs
        )
    return FileLook(path.name, sensors, tuple(limits))
