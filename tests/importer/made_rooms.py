"""Made files on sensors: which column is a name, which belong together, which room is which."""

from datetime import timedelta

from tests.importer.made_logs import (
    ISO,
    START,
    End,
    Shelf,
    air,
    comma,
    dew_c,
    fahrenheit,
    grams,
    iso,
    lines,
)

ROOM, BEDROOM, CELLAR = air("room"), air("bedroom"), air("cellar")
WORKSHOP, WINTER, MUSEUM = air("workshop"), air("winter"), air("museum")
THREE = list(zip(ROOM, BEDROOM, CELLAR, strict=True))
PAIR = list(zip(ROOM, BEDROOM, strict=True))


def two(one, other, mark=","):
    """The cells of two sensors after one time."""
    return mark.join(str(v) for v in (one.temp_c, one.rh_pct, other.temp_c, other.rh_pct))


names = Shelf("a split makes each part steadier")
names.add(
    "rooms by turns, named in a column",
    "Time,Room,Temp,RH\n"
    + lines(
        lambda p: (
            f"{p[0].at:{ISO}},Kitchen,{p[0].temp_c},{p[0].rh_pct}\n"
            f"{p[1].at:{ISO}},Bedroom,{p[1].temp_c},{p[1].rh_pct}"
        ),
        PAIR,
    ),
    [("Kitchen", ROOM), ("Bedroom", BEDROOM)],
)
names.add(
    "addresses by turns under a strange title",
    "Time;Source;Hum;Temp\n"
    + lines(
        lambda t: "\n".join(
            f"{o.at + timedelta(seconds=7 * n):{ISO}};a4:c1:38:0{n};{o.rh_pct};{o.temp_c}"
            for n, o in enumerate(t)
        ),
        THREE,
    ),
    [
        (
            f"a4:c1:38:0{n}",
            [type(o)(o.at + timedelta(seconds=7 * n), o.temp_c, o.rh_pct) for o in one],
        )
        for n, one in enumerate((ROOM, BEDROOM, CELLAR))
    ],
)
names.add(
    "numbers of sensors by turns",
    "ts,node,temp,hum\n"
    + lines(
        lambda t: "\n".join(
            f"{o.at:{ISO}},{n},{o.temp_c},{o.rh_pct}" for n, o in zip((3, 5, 9), t, strict=True)
        ),
        THREE,
    ),
    [("3", ROOM), ("5", BEDROOM), ("9", CELLAR)],
)
names.add(
    "one room after the other, named in a column",
    "Place,Time,Temp,RH\n"
    + lines(lambda o: f"Attic stairs,{iso(o)}", ROOM)
    + lines(lambda o: f"Cellar,{iso(o)}", CELLAR),
    [("Attic stairs", ROOM), ("Cellar", CELLAR)],
)
names.add(
    "a logger carried from one room to another, named in a column",
    "Time,Location,Temp,RH\n"
    + lines(lambda o: f"{o.at:{ISO}},Shop,{o.temp_c},{o.rh_pct}", WORKSHOP[:80])
    + lines(lambda o: f"{o.at:{ISO}},Flat,{o.temp_c},{o.rh_pct}", ROOM[80:]),
    [("Shop", WORKSHOP[:80]), ("Flat", ROOM[80:])],
)
LAMP = [f"{iso(o)},{'on' if 8 <= o.at.hour < 18 else 'off'}" for o in ROOM]
names.add("a lamp on and off", "Time,Temp,RH,Lamp\n" + "\n".join(LAMP) + "\n", ROOM)
names.add(
    "a flag of nought and one",
    "Time,Temp,RH,Door\n" + "".join(f"{iso(o)},{int(n % 7 == 3)}\n" for n, o in enumerate(ROOM)),
    ROOM,
)
names.add(
    "a battery that falls",
    "Time,Temp,RH,Sensor battery\n"
    + "".join(f"{iso(o)},{100 - n // 40}\n" for n, o in enumerate(ROOM)),
    ROOM,
)
names.add(
    "a counter that runs round",
    "Time,Sample,Temp,RH\n"
    + "".join(f"{o.at:{ISO}},{n % 4},{o.temp_c},{o.rh_pct}\n" for n, o in enumerate(ROOM)),
    ROOM,
)
names.add(
    "the sensor's state in words",
    "Time,Sensor status,Temp,RH\n"
    + "".join(
        f"{o.at:{ISO}},{'LOW BATTERY' if n % 11 == 4 else 'OK'},{o.temp_c},{o.rh_pct}\n"
        for n, o in enumerate(ROOM)
    ),
    ROOM,
)
names.add(
    "day and night in words, by turns",
    "Time,Period,Temp,RH\n"
    + "".join(
        f"{o.at:{ISO}},{'day' if 7 <= o.at.hour < 19 else 'night'},{o.temp_c},{o.rh_pct}\n"
        for o in ROOM
    ),
    ROOM,
)
names.add(
    "names of weekdays beside the time",
    "Day,Time,Temp,RH\n" + lines(lambda o: f"{o.at:%A},{iso(o)}", ROOM),
    ROOM,
)
names.add(
    "a heater's mode under the title device",
    "Time,Device,Temp,RH\n"
    + "".join(
        f"{o.at:{ISO}},{'heating' if n % 5 < 2 else 'idle'},{o.temp_c},{o.rh_pct}\n"
        for n, o in enumerate(ROOM)
    ),
    ROOM,
)
names.add(
    "a device column with one name",
    "Device,Time,Temp,RH\n" + lines(lambda o: f"shelf logger,{iso(o)}", ROOM),
    ROOM,
)
names.add(
    "two sensors and no name",
    "Time,Temp,RH\n" + lines(lambda p: f"{iso(p[0])}\n{iso(p[1])}", PAIR),
    [],
    ends=End.REFUSE,
    word="several sensors",
)
names.add(
    "rooms in sections, each with a line of its own",
    "Room: Kitchen\nTime,Temp,RH\n"
    + lines(iso, ROOM)
    + "\nRoom: Cellar\nTime,Temp,RH\n"
    + lines(iso, CELLAR),
    [("Kitchen", ROOM), ("Cellar", CELLAR)],
)
names.add(
    "rooms in sections, titles once",
    "Time;Temp;RH\n== Kitchen ==\n"
    + lines(lambda o: f"{o.at:{ISO}};{o.temp_c};{o.rh_pct}", ROOM)
    + "== Cellar ==\n"
    + lines(lambda o: f"{o.at:{ISO}};{o.temp_c};{o.rh_pct}", CELLAR),
    [("Kitchen", ROOM), ("Cellar", CELLAR)],
)
names.add(
    "a flag of quality between day and night",
    "Time,Quality,Temp,RH\n"
    + "".join(
        f"{o.at:{ISO}},{'B' if o.at.hour < 6 else 'A'},{o.temp_c},{o.rh_pct}\n" for o in ROOM
    ),
    ROOM,
)

pairs = Shelf("pair everything or ask")
pairs.add(
    "T1 with RH_1, T2 with RH_2",
    "Time,T1,T2,RH_1,RH_2\n"
    + lines(
        lambda p: f"{p[0].at:{ISO}},{p[0].temp_c},{p[1].temp_c},{p[0].rh_pct},{p[1].rh_pct}", PAIR
    ),
    [("1", ROOM), ("2", BEDROOM)],
)
pairs.add(
    "numbers that pair in another order",
    "Time,RH 2,RH 1,Temp 1,Temp 2\n"
    + lines(
        lambda p: f"{p[0].at:{ISO}},{p[1].rh_pct},{p[0].rh_pct},{p[0].temp_c},{p[1].temp_c}", PAIR
    ),
    [("1", ROOM), ("2", BEDROOM)],
)
pairs.add(
    "a stray temperature among clean pairs",
    "Time,Kitchen T,Kitchen RH,Cellar T,Cellar RH,Pipe T\n"
    + lines(lambda t: f"{t[0].at:{ISO}},{two(t[0], t[2])},48.5", THREE),
    [("Kitchen", ROOM), ("Cellar", CELLAR)],
)
pairs.add(
    "a stray floor probe among numbered pairs",
    "Time;T1;RH1;T2;RH2;T3\n"
    + lines(lambda t: f"{t[0].at:{ISO}};{two(t[0], t[1], ';')};{t[2].temp_c}", THREE),
    [("1", ROOM), ("2", BEDROOM)],
)
pairs.add(
    "neighbours with titles alike",
    "Time,Temperature,Humidity,Temperature,Humidity\n"
    + lines(lambda p: f"{p[0].at:{ISO}},{two(*p)}", PAIR),
    [("", ROOM), ("", BEDROOM)],
)
pairs.add(
    "one pair by words, the rest with each other",
    "Time,Kitchen temp,Kitchen hum,Temperature,Humidity\n"
    + lines(lambda p: f"{p[0].at:{ISO}},{two(*p)}", PAIR),
    [("Kitchen", ROOM), ("", BEDROOM)],
)
pairs.add(
    "indoors and outdoors",
    "Time,Outdoor temperature,Outdoor humidity,Indoor temperature,Indoor humidity\n"
    + lines(lambda p: f"{p[1].at:{ISO}},{two(p[1], p[0])}", zip(ROOM, WINTER, strict=True)),
    [("Indoor", ROOM), ("Outdoor", WINTER)],
)
pairs.add(
    "in and out in short words",
    "date,T_out,T_in,RH_out,RH_in\n"
    + lines(
        lambda p: f"{p[0].at:{ISO}},{p[1].temp_c},{p[0].temp_c},{p[1].rh_pct},{p[0].rh_pct}",
        zip(ROOM, WINTER, strict=True),
    ),
    [("in", ROOM), ("out", WINTER)],
)
pairs.add(
    "one humidity and a temperature outdoors too",
    "Time,Outside Temp (°C),Temp (°C),Humidity (%)\n"
    + lines(
        lambda p: f"{p[0].at:{ISO}},{p[1].temp_c},{p[0].temp_c},{p[0].rh_pct}",
        zip(ROOM, WINTER, strict=True),
    ),
    ROOM,
)
pairs.add(
    "two probes and one humidity",
    "Time,Shelf temp,Floor temp,RH\n"
    + lines(lambda p: f"{p[0].at:{ISO}},{p[0].temp_c},{p[1].temp_c},{p[0].rh_pct}", PAIR),
    ROOM,
    ends=End.ASK,
)
pairs.add(
    "an indoor temperature whose humidity is only outdoors",
    "Time,Indoor temp,Outdoor temp,Outdoor RH\n"
    + lines(
        lambda p: f"{p[0].at:{ISO}},{p[0].temp_c},{p[1].temp_c},{p[1].rh_pct}",
        zip(ROOM, WINTER, strict=True),
    ),
    WINTER,
    ends=End.ASK,
)
pairs.add(
    "different words over temperature and humidity",
    "Time,Library temperature,Archive humidity\n" + lines(iso, MUSEUM),
    MUSEUM,
    ends=End.ASK,
)
pairs.add(
    "Celsius and Fahrenheit of the same air",
    "Time,Temp (°F),Temp (°C),RH (%)\n"
    + lines(lambda o: f"{o.at:{ISO}},{fahrenheit(o.temp_c, 2)},{o.temp_c},{o.rh_pct}", ROOM),
    ROOM,
)
pairs.add(
    "the dew point under a like title",
    "Time,Temp 1 (°C),Temp 2 (°C),RH (%)\n"
    + lines(lambda o: f"{o.at:{ISO}},{dew_c(o):.1f},{o.temp_c},{o.rh_pct}", ROOM),
    ROOM,
)
pairs.add(
    "absolute humidity under a like title",
    "Time,T,H 1,H 2\n"
    + lines(lambda o: f"{o.at:{ISO}},{o.temp_c},{grams(o):.2f},{o.rh_pct}", ROOM),
    ROOM,
)
pairs.add(
    "least, greatest and mean of every half hour",
    "Time,Temp min,Temp max,Temp avg,RH min,RH max,RH avg\n"
    + lines(
        lambda o: (
            f"{o.at:{ISO}},{o.temp_c - 0.3:.1f},{o.temp_c + 0.4:.1f},{o.temp_c},"
            f"{o.rh_pct - 1:.1f},{o.rh_pct + 1:.1f},{o.rh_pct}"
        ),
        ROOM,
    ),
    ROOM,
)
pairs.add(
    "nine rooms, one without humidity",
    "Time,"
    + ",".join(f"T{n}" for n in range(1, 10))
    + ","
    + ",".join(f"RH_{n}" for n in range(1, 10) if n != 4)
    + "\n"
    + "".join(
        f"{ROOM[n].at:{ISO}},"
        + ",".join(f"{air('room', seed=k)[n].temp_c}" for k in range(1, 10))
        + ","
        + ",".join(f"{air('room', seed=k)[n].rh_pct}" for k in range(1, 10) if k != 4)
        + "\n"
        for n in range(40)
    ),
    [(str(k), air("room", seed=k)[:40]) for k in range(1, 10) if k != 4],
)
pairs.add(
    "wanted and measured temperature",
    "Time;Target temp;Actual temp;Humidity\n"
    + lines(lambda o: f"{o.at:{ISO}};21.0;{o.temp_c};{o.rh_pct}", ROOM),
    ROOM,
)
pairs.add(
    "humidity of wood beside that of air",
    "Time,Wood moisture (%),Air temp (°C),Air humidity (%)\n"
    + lines(lambda o: f"{o.at:{ISO}},9.4,{o.temp_c},{o.rh_pct}", WORKSHOP),
    WORKSHOP,
)
pairs.add(
    "channels by number and their quantity",
    "Time,CH1 Temperature,CH2 Temperature,CH1 Humidity,CH2 Humidity,CH1 Battery,CH2 Battery\n"
    + lines(
        lambda p: f"{p[0].at:{ISO}},{p[0].temp_c},{p[1].temp_c},{p[0].rh_pct},{p[1].rh_pct},91,78",
        PAIR,
    ),
    [("1", ROOM), ("2", BEDROOM)],
)
pairs.add(
    "blocks with a time of their own",
    "Time,Kitchen T,Kitchen RH,Time,Cellar T,Cellar RH\n"
    + lines(
        lambda p: f"{iso(p[0])},{p[1].at + timedelta(minutes=4):{ISO}},{p[1].temp_c},{p[1].rh_pct}",
        zip(ROOM, CELLAR, strict=True),
    ),
    [
        ("Kitchen", ROOM),
        ("Cellar", [type(o)(o.at + timedelta(minutes=4), o.temp_c, o.rh_pct) for o in CELLAR]),
    ],
)
pairs.add(
    "channels without a word of what they are",
    "Time,Ch1,Ch2\n" + lines(iso, BEDROOM),
    BEDROOM,
    ends=End.ASK,
)

long = Shelf("every row once, in long tables too")
long.add(
    "a quantity in every row",
    "time,what,value\n"
    + lines(
        lambda o: f"{o.at:{ISO}},temperature,{o.temp_c}\n{o.at:{ISO}},humidity,{o.rh_pct}", ROOM
    ),
    ROOM,
    left_out=0,
)
long.add(
    "a quantity in every row, some humidities lost",
    "time;quantity;value;unit\n"
    + "".join(
        f"{o.at:{ISO}};Temperature;{o.temp_c};°C\n"
        + ("" if n % 20 == 6 else f"{o.at:{ISO}};Relative humidity;{o.rh_pct};%\n")
        for n, o in enumerate(ROOM)
    ),
    [one for n, one in enumerate(ROOM) if n % 20 != 6],
    left_out=8,
)
long.add(
    "a room and a quantity in every row",
    "place,time,parameter,reading\n"
    + lines(
        lambda p: "".join(
            f"{name},{o.at:{ISO}},T,{o.temp_c}\n{name},{o.at:{ISO}},RH,{o.rh_pct}\n"
            for name, o in zip(("Kitchen", "Bedroom"), p, strict=True)
        ).rstrip("\n"),
        PAIR,
    ),
    [("Kitchen", ROOM), ("Bedroom", BEDROOM)],
    left_out=0,
)
long.add(
    "room and quantity in one word",
    "time,name,state\n"
    + lines(
        lambda p: "".join(
            f"{o.at:{ISO}},sensor.{name}_temperature,{o.temp_c}\n"
            f"{o.at:{ISO}},sensor.{name}_humidity,{o.rh_pct}\n"
            for name, o in zip(("kitchen", "bedroom"), p, strict=True)
        ).rstrip("\n"),
        PAIR,
    ),
    [("kitchen", ROOM), ("bedroom", BEDROOM)],
    left_out=0,
)
long.add(
    "pressure among the quantities",
    "time,what,value\n"
    + lines(
        lambda o: (
            f"{o.at:{ISO}},pressure,1013\n{o.at:{ISO}},humidity,{o.rh_pct}\n"
            f"{o.at:{ISO}},temperature,{o.temp_c}"
        ),
        ROOM,
    ),
    ROOM,
    left_out=160,
)
long.add(
    "temperatures in Fahrenheit by their unit",
    "time;what;value;unit\n"
    + lines(
        lambda o: (
            f"{o.at:{ISO}};temp;{comma(float(fahrenheit(o.temp_c)))};F\n"
            f"{o.at:{ISO}};hum;{comma(o.rh_pct)};%"
        ),
        ROOM,
    ),
    ROOM,
    left_out=0,
)
long.add(
    "two sensors, one of them without humidity",
    "sensor,time,quantity,value\n"
    + lines(
        lambda p: (
            f"desk,{p[0].at:{ISO}},temperature,{p[0].temp_c}\n"
            f"desk,{p[0].at:{ISO}},humidity,{p[0].rh_pct}\npipe,{p[1].at:{ISO}},temperature,{p[1].temp_c}"
        ),
        PAIR,
    ),
    ROOM,
    left_out=160,
)

clocks = Shelf("a clock is never a name")
SHORT = air("room", rows=96, start=START.replace(hour=0), step=timedelta(hours=1))
clocks.add(
    "a clock with a zone word",
    "Date,Time,Temp,RH\n"
    + lines(lambda o: f"{o.at:%Y-%m-%d},{o.at:%H:%M} EST,{o.temp_c},{o.rh_pct}", SHORT),
    SHORT,
)
clocks.add(
    "a clock with a and p",
    "Date,Time,Temp,RH\n"
    + lines(
        lambda o: f"{o.at:%m/%d/%Y},{o.at:%I:%M}{o.at:%p}".lower()[:-1] + f",{o.temp_c},{o.rh_pct}",
        SHORT,
    ),
    SHORT,
)
clocks.add(
    "a clock as a bare number",
    "Date,Time,Temp,RH\n"
    + lines(
        lambda o: f"{o.at:%d/%m/%Y},{o.at.hour * 100 + o.at.minute},{o.temp_c},{o.rh_pct}", ROOM
    ),
    ROOM,
)
clocks.add(
    "a clock as a bare number without its title",
    "Date,,RH,Temp\n" + lines(lambda o: f"{o.at:%Y-%m-%d},{o.at:%H%M},{o.rh_pct},{o.temp_c}", ROOM),
    ROOM,
)
clocks.add(
    "an hour with h behind it",
    "Date,Hour,Temp,RH\n"
    + lines(lambda o: f"{o.at:%Y-%m-%d},{o.at.hour}h,{o.temp_c},{o.rh_pct}", SHORT),
    SHORT,
)
clocks.add(
    "hours ending, one to twenty-four",
    "Date,Hour,Temp,RH\n"
    + lines(
        lambda o: (
            f"{o.at - timedelta(minutes=1):%Y-%m-%d},"
            f"{(o.at - timedelta(minutes=1)).hour + 1},{o.temp_c},{o.rh_pct}"
        ),
        SHORT[1:],
    ),
    SHORT[1:],
)
clocks.add(
    "a day alone for many rows",
    "Date,Temp,RH\n" + lines(lambda o: f"{o.at:%Y-%m-%d},{o.temp_c},{o.rh_pct}", ROOM),
    [],
    ends=End.REFUSE,
    word="time of day",
)
clocks.add(
    "hours of twelve without halves",
    "Time,Temp,RH\n" + lines(lambda o: f"{o.at:%Y-%m-%d %I:%M},{o.temp_c},{o.rh_pct}", ROOM),
    [],
    ends=End.REFUSE,
    word="AM",
)
clocks.add(
    "a spoken slot of the day as a name",
    "Date,Slot,Temp,RH\n"
    + lines(
        lambda o: (
            f"{o.at:%Y-%m-%d},{'morning' if o.at.hour < 12 else 'evening'},{o.temp_c},{o.rh_pct}"
        ),
        air("room", rows=60, start=START.replace(hour=8), step=timedelta(hours=12)),
    ),
    [],
    ends=End.REFUSE,
    word="time of day",
)
clocks.add(
    "year, day of the year and a clock titled by its zone",
    "Year,DOY,MST,Temp,RH\n"
    + lines(
        lambda o: (
            f"{o.at:%Y},{o.at.timetuple().tm_yday},{o.at.hour * 100 + o.at.minute},"
            f"{o.temp_c},{o.rh_pct}"
        ),
        ROOM,
    ),
    ROOM,
)
SHELVES = (names, pairs, long, clocks)
