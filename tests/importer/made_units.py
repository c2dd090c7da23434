"""Made files on units: what air can do decides, kilns, attics and cold stores are places too."""

from datetime import datetime, timedelta

from tests.importer.made_logs import ISO, End, Shelf, air, comma, dew_c, fahrenheit, iso, lines

HEAD = "Time,Temp,RH\n"
HOUR = timedelta(hours=1)


def at_f(one, places=1):
    return f"{one.at:{ISO}},{fahrenheit(one.temp_c, places)},{one.rh_pct}"


def long_run(kind, days=120, start=datetime(2023, 11, 1)):
    return air(kind, rows=days * 8, start=start, step=3 * HOUR)


KILN, HOT = air("kiln", rows=300, step=HOUR), air("hot kiln", rows=300, step=HOUR)
ATTIC = air("attic", rows=300, start=datetime(2024, 7, 2), step=HOUR)
STORE, FREEZER = air("cold store", rows=300), air("freezer", rows=300)
SUMMER = air("summer", rows=480, start=datetime(2024, 6, 11), step=HOUR)
WINTER = air("winter", rows=480, start=datetime(2024, 1, 11), step=HOUR)
TROPICS = air("tropics", rows=300, step=HOUR)
ROOM, HEATED, CELLAR = air("room", rows=300), air("heated", rows=300), air("cellar", rows=300)
WORKSHOP = air("workshop", rows=300)

units = Shelf("units by what air can do")
for kind, readings in {
    "a room": ROOM, "a cellar": CELLAR, "a summer outdoors": SUMMER, "a workshop": WORKSHOP,
    "the tropics": TROPICS, "a winter outdoors": WINTER,
}.items():  # fmt: skip
    units.add(
        f"{kind} in °C, no unit written",
        HEAD + lines(iso, readings),
        readings,
        ends=End.READ if kind != "the tropics" else End.EITHER,
    )
for kind, readings in {
    "a room": ROOM, "a heated flat": HEATED, "the tropics": TROPICS,
}.items():  # fmt: skip
    units.add(
        f"{kind} in °F, no unit written",
        HEAD + lines(at_f, readings),
        readings,
        ends=End.READ,
    )
for kind, readings in {
    "a cellar": CELLAR, "a workshop": WORKSHOP, "a cold store": STORE, "a freezer": FREEZER,
    "a winter outdoors": WINTER,
}.items():  # fmt: skip
    units.add(
        f"{kind} in °F, no unit written",
        HEAD + lines(at_f, readings),
        readings,
        ends=End.ASK,
    )
for kind, readings in {"a kiln": KILN, "a hot kiln": HOT, "an attic": ATTIC}.items():
    units.add(
        f"{kind} in °C, no unit written",
        HEAD + lines(iso, readings),
        readings,
        ends=End.EITHER,
    )
units.add("a freezer in °C, no unit written", HEAD + lines(iso, FREEZER), FREEZER, ends=End.EITHER)
units.add("a cold store in °C, no unit written", HEAD + lines(iso, STORE), STORE, ends=End.EITHER)
for kind, readings in {
    "a kiln": KILN, "a hot kiln": HOT, "an attic": ATTIC, "a freezer": FREEZER,
}.items():  # fmt: skip
    units.add(
        f"{kind} in °C as its title says",
        "Time,Temp (°C),RH (%)\n" + lines(iso, readings),
        readings,
    )
units.add(
    "a kiln in °F as its title says",
    "Time,Dry bulb (deg F),RH (%)\n" + lines(at_f, KILN),
    KILN,
)
units.add(
    "the dew point tells the unit",
    "Time,Temp,Dew point,RH\n"
    + lines(
        lambda o: f"{o.at:{ISO}},{fahrenheit(o.temp_c, 2)},{fahrenheit(dew_c(o), 2)},{o.rh_pct}",
        CELLAR,
    ),
    CELLAR,
)
units.add(
    "kelvin, no unit written",
    HEAD + lines(lambda o: f"{o.at:{ISO}},{o.temp_c + 273.15:.2f},{o.rh_pct}", WINTER),
    WINTER,
)
units.add(
    "a share of one, no unit written",
    HEAD + lines(lambda o: f"{o.at:{ISO}},{o.temp_c},{o.rh_pct / 100:.3f}", CELLAR),
    CELLAR,
)
units.add(
    "the unit in a legend line",
    "T: air temperature in degrees Fahrenheit\nRH: relative humidity in percent\n\nTime;T;RH\n"
    + lines(lambda o: f"{o.at:{ISO}};{fahrenheit(o.temp_c)};{o.rh_pct}", CELLAR),
    CELLAR,
)
units.add(
    "the unit in a preamble line",
    "Temperature unit,F\nHumidity unit,%RH\n" + HEAD + lines(at_f, CELLAR),
    CELLAR,
    ends=End.EITHER,
)
units.add(
    "the dew point in place of the humidity",
    "Time,Temp (°C),Dew point (°C)\n"
    + lines(lambda o: f"{o.at:{ISO}},{o.temp_c},{dew_c(o):.2f}", ROOM),
    ROOM,
    rh_within=0.2,
)
units.add(
    "a winter in °F as its title says, decimal commas",
    "Zeit;Temperatur (°F);Feuchte (%)\n"
    + lines(
        lambda o: f"{o.at:%d.%m.%Y %H:%M};{comma(fahrenheit(o.temp_c))};{comma(o.rh_pct)}", WINTER
    ),
    WINTER,
)
units.add(
    "codes in Fahrenheit of a lost probe",
    "Time,Temp (F),RH\n"
    + "".join(
        f"{o.at:{ISO}},{'-196.6' if n % 25 == 3 else fahrenheit(o.temp_c)},{o.rh_pct}\n"
        for n, o in enumerate(ROOM)
    ),
    [one for n, one in enumerate(ROOM) if n % 25 != 3],
    left_out=12,
)
units.add(
    "a long heated season in °F, no unit written",
    HEAD + lines(at_f, long_run("heated")),
    long_run("heated"),
)
units.add(
    "a year outdoors in °C, no unit written",
    HEAD
    + lines(
        iso,
        air("winter", rows=240, start=datetime(2023, 1, 3), step=8 * HOUR)
        + air("summer", rows=240, start=datetime(2023, 6, 3), step=8 * HOUR),
    ),
    air("winter", rows=240, start=datetime(2023, 1, 3), step=8 * HOUR)
    + air("summer", rows=240, start=datetime(2023, 6, 3), step=8 * HOUR),
)
units.add(
    "no titles, a cold workshop in °F",
    lines(at_f, WORKSHOP),
    WORKSHOP,
    ends=End.ASK,
)
units.add(
    "no titles, a damp cellar in °C",
    lines(iso, CELLAR),
    CELLAR,
    ends=End.EITHER,
)
units.add(
    "no titles, humidity first, saturated winter air",
    lines(lambda o: f"{o.at:{ISO}},{o.rh_pct},{o.temp_c}", WINTER),
    WINTER,
    ends=End.EITHER,
)
SHELVES = (units,)
