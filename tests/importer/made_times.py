"""Made files on time: dates by agreement of rows and columns, and what is missing is said."""

from datetime import datetime, timedelta

from tests.importer.made_logs import ISO, START, End, Shelf, air, comma, lines

ROOM, CELLAR = air("room"), air("cellar")
HOUR = timedelta(hours=1)
YEAR_DAYS = air("room", rows=200, start=datetime(2023, 11, 3), step=timedelta(days=1))
HEAD = "Time,Temp,RH\n"


def cells(one):
    return f"{one.temp_c},{one.rh_pct}"


def begins_day(one):
    return one.at.hour == one.at.minute == 0


def short(kind="room", rows=40, start=START, step=HOUR):
    return air(kind, rows=rows, start=start, step=step)


dates = Shelf("dates by agreement")
dates.add("six digits and six digits", "Date,Time,Temp,RH\n"
          + lines(lambda o: f"{o.at:%y%m%d},{o.at:%H%M%S},{cells(o)}", ROOM), ROOM)  # fmt: skip
SIX = air("room", rows=200, start=datetime(2024, 3, 27, 6), step=HOUR)
dates.add(
    "six digits, day first",
    "Date;Time;Temp;RH\n"
    + lines(lambda o: f"{o.at:%d%m%y};{o.at:%H:%M};{comma(o.temp_c)};{comma(o.rh_pct)}", SIX),
    SIX,
)
dates.add(
    "eight digits, month first",
    "Date,Time,Temp,RH\n" + lines(lambda o: f"{o.at:%m%d%Y},{o.at:%H:%M},{cells(o)}", SIX),
    SIX,
)
dates.add(
    "eight digits and a bare clock",
    "day,hhmm,temp,rh\n" + lines(lambda o: f"{o.at:%Y%m%d},{o.at:%H%M},{cells(o)}", ROOM),
    ROOM,
)
dates.add(
    "year and day of the year in one",
    HEAD + lines(lambda o: f"{o.at:%Y-%j %H:%M},{cells(o)}", ROOM),
    ROOM,
)
dates.add(
    "year and day of the year in seven digits",
    "yyyyddd,hhmm,temp,rh\n" + lines(lambda o: f"{o.at:%Y%j},{o.at:%H%M},{cells(o)}", ROOM),
    ROOM,
)
dates.add(
    "year, day of the year and minute of the day",
    "Year,Day of year,Minute of day,Temp,RH\n"
    + lines(lambda o: f"{o.at:%Y,%j},{o.at.hour * 60 + o.at.minute},{cells(o)}", ROOM),
    ROOM,
)
dates.add(
    "weeks by ISO", HEAD + lines(lambda o: f"{o.at:%G-W%V-%u}T{o.at:%H:%M},{cells(o)}", ROOM), ROOM
)
dates.add(
    "weeks by ISO without hyphens, clock apart",
    "week,clock,temp,rh\n" + lines(lambda o: f"{o.at:%GW%V%u},{o.at:%H:%M},{cells(o)}", ROOM),
    ROOM,
)
dates.add(
    "a zone word between day and clock",
    HEAD + lines(lambda o: f"{o.at:%Y-%m-%d} CET {o.at:%H:%M},{cells(o)}", ROOM),
    ROOM,
)
dates.add(
    "a zone word before the year",
    HEAD + lines(lambda o: f"{o.at:%a %b %d %H:%M:%S} CET {o.at:%Y},{cells(o)}", ROOM),
    ROOM,
)
dates.add(
    "a zone word behind",
    HEAD + lines(lambda o: f"{o.at:%d.%m.%Y %H:%M} MEZ,{cells(o)}", ROOM),
    ROOM,
)
dates.add(
    "a day once for many rows",
    "Day,Clock,Temp,RH\n"
    + "".join(
        f"{o.at.strftime('%d %B %Y') if n == 0 or o.at.hour == o.at.minute == 0 else ''},"
        f"{o.at:%H:%M},{cells(o)}\n"
        for n, o in enumerate(ROOM)
    ),
    ROOM,
)
dates.add(
    "the day before the first clock of each day",
    HEAD
    + "".join(
        f"{o.at:{'%Y-%m-%d %H:%M' if n == 0 or begins_day(o) else '%H:%M'}},{cells(o)}\n"
        for n, o in enumerate(ROOM)
    ),
    ROOM,
)
dates.add(
    "a line with the day above each day",
    "".join(
        (f"Date: {o.at:%d.%m.%Y}\n" if n == 0 or o.at.hour == o.at.minute == 0 else "")
        + ("Clock;Temp;RH\n" if n == 0 else "")
        + f"{o.at:%H:%M};{o.temp_c};{o.rh_pct}\n"
        for n, o in enumerate(ROOM)
    ),
    ROOM,
)
dates.add(
    "a heading with the day and titles above each day",
    "".join(
        (
            f"\n=== {o.at:%A, %d %B %Y} ===\ntime,temp,rh\n"
            if n == 0 or o.at.hour == o.at.minute == 0
            else ""
        )
        + f"{o.at:%H:%M},{cells(o)}\n"
        for n, o in enumerate(ROOM)
    ),
    ROOM,
)
dates.add(
    "hours passed since a start in the preamble",
    f"Start: {START:%d %b %Y %H:%M}\nElapsed (h),Temp,RH\n"
    + "".join(f"{n * 0.5:.1f},{cells(o)}\n" for n, o in enumerate(ROOM)),
    ROOM,
)
dates.add(
    "seconds passed since a start in the preamble",
    f"# started,{START:{ISO}}\n# every,1800 s\nseconds,rh,temp\n"
    + "".join(f"{n * 1800},{o.rh_pct},{o.temp_c}\n" for n, o in enumerate(ROOM)),
    ROOM,
)
dates.add(
    "a running clock past twenty-four hours since a start",
    f"Logging started {START:%Y-%m-%d %H:%M:%S}\nElapsed time;Temp;RH\n"
    + "".join(
        f"{n // 2}:{30 * (n % 2):02d}:00;{comma(o.temp_c)};{comma(o.rh_pct)}\n"
        for n, o in enumerate(ROOM)
    ),
    ROOM,
)
dates.add(
    "numbered readings with start and interval in the preamble",
    f"Start time,{START:%Y-%m-%d %H:%M}\nInterval,30 min\n\nNo,Temp,RH\n"
    + "".join(f"{n},{cells(o)}\n" for n, o in enumerate(ROOM, 1)),
    ROOM,
)
dates.add(
    "clocks alone that run on from a day in the preamble",
    f"Date of first reading: {START:%Y-%m-%d}\nClock,Temp,RH\n"
    + lines(lambda o: f"{o.at:%H:%M},{cells(o)}", ROOM),
    ROOM,
)
DAILY = air("cellar", rows=9, start=datetime(2024, 2, 3), step=timedelta(days=1))
TEN = air("room", rows=60, start=datetime(2024, 3, 4, 8), step=timedelta(minutes=10))
dates.add(
    "a few hours of one day that can be two days",
    HEAD + lines(lambda o: f"{o.at:%d/%m/%Y %H:%M},{cells(o)}", TEN),
    TEN,
    ends=End.ASK,
)
dates.add(
    "day and month settled by the name of the weekday",
    HEAD + lines(lambda o: f"{o.at:%a %d/%m/%Y %H:%M},{cells(o)}", TEN),
    TEN,
)
dates.add(
    "day and month settled by a second time column",
    "Time,Temp,RH,Stored at\n"
    + lines(lambda o: f"{o.at:%d/%m/%Y %H:%M},{cells(o)},{o.at:%Y-%m-%dT%H:%M:%S}", TEN),
    TEN,
)
dates.add(
    "day and month settled by the preamble",
    "Downloaded: 27/03/2024 17:20\n"
    + HEAD
    + lines(lambda o: f"{o.at:%d/%m/%Y %H:%M},{cells(o)}", TEN),
    TEN,
    ends=End.EITHER,
)
dates.add(
    "once a day, both orders possible, only one of them even",
    HEAD + lines(lambda o: f"{o.at:%d/%m/%Y},{cells(o)}", DAILY),
    DAILY,
)
dates.add(
    "two digits for every part",
    HEAD + lines(lambda o: f"{o.at:%y/%m/%d %H:%M},{cells(o)}", SIX),
    SIX,
)
dates.add("parts in columns of their own, no titles but two",
          "yr,mo,dy,hr,mi,temp,rh\n"
          + lines(lambda o: ",".join(map(str, o.at.timetuple()[:5])) + f",{cells(o)}", ROOM),
          ROOM)  # fmt: skip
dates.add(
    "serial days of a spreadsheet",
    HEAD
    + lines(
        lambda o: f"{(o.at - datetime(1899, 12, 30)).total_seconds() / 86400:.6f},{cells(o)}", ROOM
    ),
    ROOM,
)
dates.add(
    "serial days with decimal commas, newest first",
    "Zeit;Temp;Feuchte\n"
    + lines(
        lambda o: (
            comma(f"{(o.at - datetime(1899, 12, 30)).total_seconds() / 86400:.6f}")
            + f";{comma(o.temp_c)};{comma(o.rh_pct)}"
        ),
        ROOM[::-1],
    ),
    ROOM,
)
dates.add(
    "milliseconds since 1970 in a late column",
    "temp,rh,battery,timestamp\n"
    + lines(
        lambda o: (
            f"{o.temp_c},{o.rh_pct},3.1,{int((o.at - datetime(1970, 1, 1)).total_seconds()) * 1000}"
        ),
        ROOM,
    ),
    ROOM,
)
dates.add(
    "a quoted date with a comma in it",
    HEAD + lines(lambda o: f'"{o.at:%b %d, %Y, %I:%M %p}",{cells(o)}', ROOM),
    ROOM,
)
dates.add(
    "offsets that change with the season",
    HEAD
    + lines(
        lambda o: (
            (
                f"{o.at:%Y-%m-%dT%H:%M:%S}+01:00"
                if o.at < datetime(2024, 3, 31, 2)
                else f"{o.at + HOUR:%Y-%m-%dT%H:%M:%S}+02:00"
            )
            + f",{cells(o)}"
        ),
        SIX,
    ),
    SIX,
)
dates.add(
    "the clock in a word of hours and minutes",
    "Date,Time,Temp,RH\n"
    + lines(lambda o: f"{o.at:%Y-%m-%d},{o.at.hour}h{o.at:%M},{cells(o)}", ROOM),
    ROOM,
)
dates.add(
    "twenty-four hundred at the end of the day",
    "Date,Time,Temp,RH\n"
    + lines(
        lambda o: (
            (
                f"{o.at - timedelta(minutes=30):%d/%m/%Y},24:00"
                if o.at.hour == o.at.minute == 0
                else f"{o.at:%d/%m/%Y},{o.at:%H:%M}"
            )
            + f",{cells(o)}"
        ),
        SIX,
    ),
    SIX,
)
dates.add(
    "points everywhere",
    "Zeit;T;F\n" + lines(lambda o: f"{o.at:%d.%m.%Y %H.%M.%S};{o.temp_c};{o.rh_pct}", ROOM),
    ROOM,
    ends=End.EITHER,
)

dates.add(
    "parts side by side and no titles at all",
    lines(
        lambda o: (
            f"{o.at:%Y} {o.at.timetuple().tm_yday:3d} {o.at.month:2d} {o.at.day:2d} "
            f"{o.at.hour:2d} {o.at.minute:2d} {o.temp_c:6.1f} {o.rh_pct:6.1f}"
        ),
        ROOM,
    ),
    ROOM,
    ends=End.ASK,
)

missing = Shelf("what is missing is said")
missing.add(
    "days and months without a year",
    HEAD + lines(lambda o: f"{o.at:%d %b %H:%M},{cells(o)}", ROOM),
    [],
    ends=End.REFUSE,
    word="year",
)
missing.add(
    "numbers of day and month without a year",
    HEAD + lines(lambda o: f"{o.at:%d/%m %H:%M},{cells(o)}", ROOM),
    [],
    ends=End.REFUSE,
    word="year",
)
missing.add(
    "clocks without a day",
    HEAD + lines(lambda o: f"{o.at:%H:%M},{cells(o)}", ROOM),
    [],
    ends=End.REFUSE,
    word="day",
)
missing.add(
    "hours passed without a start",
    "Elapsed (h),Temp,RH\n" + "".join(f"{n * 0.5},{cells(o)}\n" for n, o in enumerate(ROOM)),
    [],
    ends=End.REFUSE,
    word="start",
)
missing.add(
    "numbered readings without a time",
    "No,Temp,RH\n" + "".join(f"{n},{cells(o)}\n" for n, o in enumerate(ROOM)),
    [],
    ends=End.REFUSE,
    word="time",
)
missing.add(
    "no humidity",
    "Time,Temp (°C),CO2 (ppm)\n"
    + lines(lambda o: f"{o.at:{ISO}},{o.temp_c},{600 + o.at.hour}", ROOM),
    [],
    ends=End.REFUSE,
    word="humidity",
)
missing.add(
    "no temperature",
    "Time,RH (%),Light (lx)\n"
    + lines(lambda o: f"{o.at:{ISO}},{o.rh_pct},{100 + o.at.hour}", ROOM),
    [],
    ends=End.REFUSE,
    word="temperature",
)
missing.add(
    "no decimal points",
    HEAD + lines(lambda o: f"{o.at:{ISO}},{round(o.temp_c * 10)},{round(o.rh_pct * 10)}", ROOM),
    [],
    ends=End.REFUSE,
    word="decimal",
)
missing.add(
    "titles and no readings",
    HEAD,
    [],
    ends=End.REFUSE,
    word="readings",
)
missing.add(
    "order and unit both open",
    HEAD
    + "".join(
        f"{o.at:%d/%m/%Y %H:%M},{o.temp_c * 1.8 + 32:.1f},{o.rh_pct}\n"
        for o in air("cellar", rows=40, start=datetime(2024, 3, 4, 8), step=timedelta(minutes=15))
    ),
    air("cellar", rows=40, start=datetime(2024, 3, 4, 8), step=timedelta(minutes=15)),
    ends=End.ASK,
)
missing.add(
    "the year in the preamble alone",
    "Year: 2024\n" + HEAD + lines(lambda o: f"{o.at:%d %b %H:%M},{cells(o)}", ROOM),
    ROOM,
    ends=End.EITHER,
    word="year",
)
missing.add(
    "absolute humidity alone",
    "Time,Temp (°C),Absolute humidity (g/m3)\n"
    + lines(lambda o: f"{o.at:{ISO}},{o.temp_c},{6 + o.at.hour / 24:.2f}", ROOM),
    [],
    ends=End.REFUSE,
    word="humidity",
)
SHELVES = (dates, missing)
