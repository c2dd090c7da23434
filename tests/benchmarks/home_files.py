"""Daily means of open homes, a CSV a building: what homes_held_out and house_spreads read."""

import numpy as np
import pandas as pd

from climlog.model.psychrometrics import saturation_pressure

NORMAL_C = np.array([0.9, 1.7, 5.6, 9.5, 13.4, 17.0, 18.8, 18.3, 14.2, 10.0, 4.8, 1.6])
NORMAL_RH_PCT = np.array([83.0, 78.0, 72.0, 69.0, 71.0, 71.0, 71.0, 74.0, 79.0, 83.0, 85.0, 84.0])
"""Monthly normals of the Swiss lowland, from memory, for the flats: no humidity outdoors there."""
VAPOUR_PER_K = 0.04
"""How much more vapour a day warmer than its month holds: part of what saturation would."""
LONGEST_GAP_DAYS = 14


def building(path):
    """Daily frame without gaps longer than two weeks inside; shorter ones drawn straight."""
    frame = pd.read_csv(path, index_col=0, parse_dates=True).asfreq("D")
    if "out_vapour_pa" not in frame:
        month = frame.index.month.to_numpy() - 1
        normal = NORMAL_RH_PCT / 100.0 * saturation_pressure(NORMAL_C)
        warmer = np.exp(VAPOUR_PER_K * (frame["out_temp_c"] - NORMAL_C[month]))
        frame["out_vapour_pa"] = normal[month] * warmer
    wanted = ["in_temp_c", "in_vapour_pa", "out_temp_c", "out_vapour_pa"]
    return frame[wanted].interpolate(limit=LONGEST_GAP_DAYS, limit_area="inside")


def whole_year(frame, path):
    """The file's outdoors, and those of other files of the same country on days it lacks."""
    outdoors = frame[["out_temp_c", "out_vapour_pa"]]
    for other in sorted(path.parent.glob(f"{path.stem.split('_')[0]}_*.csv"), reverse=True):
        outdoors = outdoors.combine_first(building(other)[outdoors.columns])
    return outdoors
