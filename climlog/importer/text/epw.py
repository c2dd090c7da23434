"""The EPW weather file format: what its first line is and what its fields are, known once.

References
----------
.. [1] EnergyPlus documentation, "Auxiliary Programs", weather data dictionary.
"""

FIRST_WORD = "LOCATION"
HEADER_LINES = 8
PERIODS = "DATA PERIODS"
EPW_TITLES = ("Year", "Month", "Day", "Hour", "Minute", "Data source",
              "Dry bulb temperature (°C)", "Dew point temperature (°C)",
              "Relative humidity (%)")  # fmt: skip
FIELDS = {"year": 0, "month": 1, "day": 2, "hour": 3, "temp": 6, "rh": 8}
TEMP_MISSING, RH_MISSING = 99.9, 999.0


def is_epw(first_line: str) -> bool:
    """Say whether a file that begins so is an EPW weather file."""
    return first_line.split(",")[0].strip().upper() == FIRST_WORD
