"""Every number of the what-ifs of a `place` run."""

from dataclasses import dataclass
from datetime import date, datetime

import pandas as pd

from climlog.analysis.air.air import Air
from climlog.analysis.air.outdoors import OutdoorsFrom
from climlog.analysis.board.simulation import Course
from climlog.analysis.place.verdict import Judgement
from climlog.sheets.what_ifs import WhatIf
from climlog.told import told


@dataclass(frozen=True)
class OutdoorsDuring:
    """The air outdoors while an event lasts.

    Attributes
    ----------
    temp_c, rh_pct : float
        Means. [°C], [%]
    known_from : OutdoorsFrom
    is_south : bool
        Whether the room's months were taken for those of the southern half of the earth.
    """

    temp_c: float
    rh_pct: float
    known_from: OutdoorsFrom
    is_south: bool


@dataclass(frozen=True)
class AirDuring:
    """The room's air while an event lasts.

    Attributes
    ----------
    temp_c, rh_pct : float
        Means. [°C], [%]
    dampest_rh_pct : float
        Highest daily mean. [%]
    mould_days : int
        Days damp enough for mould to grow on wood.
    """

    temp_c: float
    rh_pct: float
    dampest_rh_pct: float
    mould_days: int


@told(
    {
        "": "as_a_set",
        "kind": "what_if.kind",
        "start": "what_if.start",
        "days": "what_if.days",
        "temp_c": "what_if.temp_c",
        "rh_pct": "what_if.rh_pct",
        "log": "what_if.log",
        "usual_air_of_the_table": "assumed",
        "outdoors_during": "outdoors",
        "room_during": "during",
        "width_mm.min": "width_mm.0",
        "width_mm.min_on": "narrowest_on",
        "width_mm.max": "width_mm.1",
        "width_mm.max_on": "widest_on",
    },
    without="what_if air course width_mm",
)
@dataclass(frozen=True, eq=False)
class WhatIfRow:
    """What one event does to a piece; the row without an event has `what_if` None.

    Attributes
    ----------
    width_mm : pair of float
        Narrowest and widest. [mm]
    narrowest_on, widest_on : datetime
    as_a_set : Judgement
        Travel of all fastenings together.
    departure_mm : float
        Largest difference of width from the course without the event, with its sign. [mm]
    days_to_come_back : float or None
        From the end of the event until nine tenths of that difference are gone for good; None
        where that is not within the record and a year more, or the event does not end.
    back_on : date or None
        The day that this is.
    days_to_run_out : float or None
        From the beginning of the event until its travel runs out; None where the event does not
        make it run out.
    outdoors : OutdoorsDuring or None
        That the event let in.
    during : AirDuring or None
        The room's air while it lasts.
    months_tried : int
        Of how many months this is the worst; 0 where the time was given.
    """

    what_if: WhatIf | None
    air: Air
    course: Course
    width_mm: tuple[float, float]
    narrowest_on: datetime
    widest_on: datetime
    as_a_set: Judgement
    departure_mm: float
    days_to_come_back: float | None
    back_on: date | None = None
    days_to_run_out: float | None = None
    outdoors: OutdoorsDuring | None = None
    during: AirDuring | None = None
    months_tried: int = 0

    @property
    def days_beyond(self) -> float:
        """Days of the event that lie beyond the record, and so are left out; 0 where none do."""
        if self.what_if is None or self.what_if.days is None:
            return 0.0
        end = self.air.times[-1] + pd.Timedelta(hours=self.air.step_hours)
        known = (end - pd.Timestamp(self.what_if.first_day)) / pd.Timedelta(days=1)
        return max(0.0, float(self.what_if.days - known))

    @property
    def assumed(self) -> bool:
        """Whether the outdoors are the table's, for want of readings that tell them."""
        return self.outdoors is not None and self.outdoors.known_from is OutdoorsFrom.USUAL


@dataclass(frozen=True, eq=False)
class WhatIfTable:
    """The row without any event, and a row each."""

    as_it_is: WhatIfRow
    rows: tuple[WhatIfRow, ...]
