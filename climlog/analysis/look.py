"""look: every sensor of every file, read and measured, nothing merged."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from climlog.analysis.air.spread import Spread
from climlog.analysis.warned import collected
from climlog.arguments import Paths, paths_of, require_kind
from climlog.importer.choose import sensor_named
from climlog.importer.log import Account, Log
from climlog.importer.options import ImportOptions
from climlog.importer.read import NO_OPTIONS, read_files
from climlog.model.emc import equilibrium_moisture
from climlog.told import told

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@told({"": "log.sensor apart", "emc_pct": "emc"}, also="temp_c rh_pct", without="log")
@dataclass(frozen=True, eq=False)
class SensorLook:
    """One sensor's log and the air of its readings; ranges leave out spikes and stuck readings.

    Attributes
    ----------
    emc_pct : array, shape (n,)
        Equilibrium moisture of every reading. [%]
    apart : Log or None
        The same log where its rows differ from those told for the whole file.
    """

    log: Log
    emc_pct: "NDArray[np.float64]"
    apart: Log | None = None

    @property
    def temp_c(self) -> Spread:
        """Range of the temperature. [°C]."""
        return Spread.of(self._sound(self.log.temp_c))

    @property
    def rh_pct(self) -> Spread:
        """Range of the humidity. [%]."""
        return Spread.of(self._sound(self.log.rh_pct))

    @property
    def emc(self) -> Spread:
        """Range of the equilibrium moisture. [%]."""
        return Spread.of(self._sound(self.emc_pct))

    def _sound(self, values: "NDArray[np.float64]") -> "NDArray[np.float64]":
        """Leave out readings that are none of the air, unless that is all of them."""
        doubtful = self.log.doubtful
        return values if doubtful is None or doubtful.all() else values[~doubtful]


@told({"": "widest account"})
@dataclass(frozen=True, eq=False)
class FileLook:
    """One file, its sensors, and where the figures go beyond what they were fitted for."""

    file: str
    sensors: tuple[SensorLook, ...]
    limits: tuple[str, ...] = ()

    @property
    def widest(self) -> Log:
        """The sensor with most readings, whose rows are told for the file."""
        return max((one.log for one in self.sensors), key=lambda log: log.rows_used)

    @property
    def account(self) -> Account:
        """Every row of the file once, whatever sensors stand in it."""
        return self.widest.account


@dataclass(frozen=True, eq=False)
class LookResult:
    """Everything that a `look` run found, file by file.

    Attributes
    ----------
    logs : tuple of FileLook
        Each file's account, guesses, gaps, faults, and the air of each of its sensors.
    passed_over : tuple of str
        Names of files of a folder that hold no readings.
    """

    logs: tuple[FileLook, ...]
    passed_over: tuple[str, ...] = ()


def analyse_look(logs: Paths | Log, how: ImportOptions = NO_OPTIONS) -> LookResult:
    """Read every sensor of every file, nothing merged, and measure the air of each.

    Parameters
    ----------
    logs : str or Path, several in a list, or Log
        Files and folders; a folder stands for the logs in it. A Log is measured as it is.
    how : ImportOptions
        What the user settled.

    Returns
    -------
    LookResult
        A file each, in the order given; every row of it is counted as used or left out.

    Raises
    ------
    ClimlogError
        If a file cannot be read as a log, or a folder holds none.
    """
    require_kind(how, ImportOptions, "analyse_look", "ImportOptions(...)")
    if isinstance(logs, Log):
        return LookResult((_look(logs.file, (logs,)),))
    read, passed_over = read_files(paths_of(logs, "analyse_look"), how)
    return LookResult(
        tuple(_look(path.name, _chosen(found, how.sensor)) for path, found in read), passed_over
    )


def _chosen(logs: Sequence[Log], sensor: str | None) -> Sequence[Log]:
    return logs if sensor is None else (sensor_named(logs, sensor),)


def _look(name: str, logs: Sequence[Log]) -> FileLook:
    with collected() as limits:
        sensors = tuple(
            SensorLook(log, equilibrium_moisture(log.temp_c, log.rh_pct)) for log in logs
        )
    found = FileLook(name, sensors, tuple(limits))
    return replace(found, sensors=tuple(_apart(one, found.widest) for one in sensors))


def _apart(look: SensorLook, widest: Log) -> SensorLook:
    """Mark a sensor whose rows are not those told for the whole file."""
    same = _rows(look.log) == _rows(widest, widest.account)
    return look if same else replace(look, apart=look.log)


def _rows(log: Log, of: Log | Account | None = None) -> tuple[object, ...]:
    """List what is told of a log's rows, counted for itself or for its file."""
    account = of or log
    counted = account.rows_read, account.rows_used, dict(account.rows_left_out)
    found = log.gaps, log.guesses, log.flags
    return (*counted, log.first, log.last, log.median_step_minutes, *found)
