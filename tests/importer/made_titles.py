"""Made files on titles, rows and dialects: nothing shifts, nothing is cut, nothing is lost."""

from datetime import timedelta

from tests.importer.made_logs import (
    ISO,
    End,
    Shelf,
    air,
    comma,
    dew_c,
    fahrenheit,
    iso,
    lines,
)

ROOM = air("room")
BEDROOM = air("bedroom")
HEATED = air("heated")
CELLAR = air("cellar")
HEAD = "Time,Temp (°C),RH (%)\n"
PAIR = list(zip(ROOM, BEDROOM, strict=True))

titles = Shelf("titles over cells")
titles.add(
    "a lone comment mark before titles between blanks",
    "# date time temp rh\n" + lines(lambda o: f"{o.at:{ISO}} {o.temp_c} {o.rh_pct}", ROOM),
    ROOM,
)
titles.add("a comment mark glued to the first title", "#time,temp_c,rh\n" + lines(iso, ROOM), ROOM)
titles.add(
    "a comment mark in a cell of its own",
    "#;Zeit;Temperatur;Feuchte\n" + lines(lambda o: f"{o.at:{ISO}};{o.temp_c};{o.rh_pct}", ROOM),
    ROOM,
)
titles.add(
    "a preamble and titles all marked as comments",
    "# station: attic stairs\n# height: 2 m\n# interval: 1800\n# time,rh,temp\n"
    + lines(lambda o: f"{o.at:{ISO}},{o.rh_pct},{o.temp_c}", ROOM),
    ROOM,
)
titles.add(
    "titles that number their columns",
    "1:Time;2:Humidity;3:Temperature;4:Battery\n"
    + lines(lambda o: f"{o.at:{ISO}};{o.rh_pct};{o.temp_c};3.05", ROOM),
    ROOM,
)
titles.add(
    "numbers in brackets before titles between blanks",
    "[1] date [2] time [3] rh [4] temp\n"
    + lines(lambda o: f"{o.at:{ISO}}  {o.rh_pct}  {o.temp_c}", ROOM),
    ROOM,
)
titles.add(
    "columns listed one a line above the readings",
    "# column 1: time\n# column 2: relative humidity (%)\n# column 3: temperature (°C)\n"
    + lines(lambda o: f"{o.at:{ISO}},{o.rh_pct},{o.temp_c}", ROOM),
    ROOM,
)
titles.add(
    "a line of facts above the titles",
    "Logger,88213,Interval 30 min\n" + HEAD + lines(iso, ROOM),
    ROOM,
)
titles.add(
    "a line of facts filled up with commas",
    "Serial,88213,,\nNo,Time,RH,Temp\n"
    + lines(lambda o: f"{o.at:%H%M},{o.at:{ISO}},{o.rh_pct},{o.temp_c}", ROOM),
    ROOM,
)
titles.add(
    "a line of facts that speaks of temperature and humidity",
    "Temperature sensor 0.3 °C,humidity sensor 2 %,calibrated 2023\nwhen,hum,tmp\n"
    + lines(lambda o: f"{o.at:{ISO}},{o.rh_pct},{o.temp_c}", ROOM),
    ROOM,
)
titles.add(
    "rooms once above their columns",
    ",Kitchen,,Bedroom,\nTime,Temp,RH,Temp,RH\n"
    + lines(
        lambda p: f"{p[0].at:{ISO}},{p[0].temp_c},{p[0].rh_pct},{p[1].temp_c},{p[1].rh_pct}", PAIR
    ),
    [("Kitchen", ROOM), ("Bedroom", BEDROOM)],
)
titles.add(
    "rooms above every column",
    "Room;Kitchen;Kitchen;Bedroom;Bedroom\nTime;Temp;RH;Temp;RH\n"
    + lines(
        lambda p: f"{p[0].at:{ISO}};{p[0].temp_c};{p[0].rh_pct};{p[1].temp_c};{p[1].rh_pct}", PAIR
    ),
    [("Kitchen", ROOM), ("Bedroom", BEDROOM)],
)
titles.add(
    "units above the titles",
    ",°F,%\nTime,Temperature,Humidity\n"
    + lines(lambda o: f"{o.at:{ISO}},{fahrenheit(o.temp_c)},{o.rh_pct}", HEATED),
    HEATED,
)
titles.add(
    "units below the titles, in brackets",
    "Time,Temperature,Humidity\n[-],[F],[%]\n"
    + lines(lambda o: f"{o.at:{ISO}},{fahrenheit(o.temp_c)},{o.rh_pct}", CELLAR),
    CELLAR,
)
titles.add(
    "a remark under the titles",
    "Time,RH (%),Temp (°F)\nrecording begins here\n"
    + lines(lambda o: f"{o.at:{ISO}},{o.rh_pct},{fahrenheit(o.temp_c)}", HEATED),
    HEATED,
)
titles.add(
    "a remark with commas under the titles",
    "Time,RH (%),Temp (°F)\nbattery changed, sensor cleaned, clock set\n"
    + lines(lambda o: f"{o.at:{ISO}},{o.rh_pct},{fahrenheit(o.temp_c)}", HEATED),
    HEATED,
)
titles.add(
    "dashes under the titles",
    "Time;RH;Temp °F\n----;----;----\n"
    + lines(lambda o: f"{o.at:{ISO}};{o.rh_pct};{fahrenheit(o.temp_c)}", HEATED),
    HEATED,
)
titles.add(
    "a first row cut off",
    f"Time,RH,Temp (F)\n{ROOM[0].at - timedelta(minutes=30):{ISO}},4\n"
    + lines(lambda o: f"{o.at:{ISO}},{o.rh_pct},{fahrenheit(o.temp_c)}", ROOM),
    ROOM,
    left_out=1,
)
titles.add(
    "a first row of words for missing",
    f"Time,RH,Temp (F)\n{ROOM[0].at - timedelta(minutes=30):{ISO}},no data,no data\n"
    + lines(lambda o: f"{o.at:{ISO}},{o.rh_pct},{fahrenheit(o.temp_c)}", ROOM),
    ROOM,
    left_out=1,
)
titles.add(
    "garbage in the first row",
    "Time,RH,Temp (F)\n\x7f?4-0\x7f,#\x7f,\x7f9\n"
    + lines(lambda o: f"{o.at:{ISO}},{o.rh_pct},{fahrenheit(o.temp_c)}", ROOM),
    ROOM,
)
titles.add(
    "a blank line and empty rows under the titles",
    "Time,RH,Temp (F)\n\n,,\n,,\n"
    + lines(lambda o: f"{o.at:{ISO}},{o.rh_pct},{fahrenheit(o.temp_c)}", ROOM),
    ROOM,
)
titles.add(
    "the time has no title",
    ",RH,Temp (F)\n" + lines(lambda o: f"{o.at:{ISO}},{o.rh_pct},{fahrenheit(o.temp_c)}", ROOM),
    ROOM,
)
titles.add(
    "row numbers and no title over them",
    "Time,RH,Temp\n"
    + "".join(f"{n},{o.at:{ISO}},{o.rh_pct},{o.temp_c}\n" for n, o in enumerate(ROOM, 1)),
    ROOM,
)
titles.add(
    "one title over the cells of day and clock",
    "Date/Time;RH;Temp\n" + lines(lambda o: f"{o.at:%Y-%m-%d;%H:%M};{o.rh_pct};{o.temp_c}", ROOM),
    ROOM,
)
titles.add(
    "a column of remarks without a title",
    "Time,RH,Temp\n"
    + "".join(
        f"{o.at:{ISO}},{o.rh_pct},{o.temp_c},{'door open' if n % 31 == 5 else ''}\n"
        for n, o in enumerate(ROOM)
    ),
    ROOM,
)
titles.add(
    "titles with commas inside quotes",
    '"Time, local","Humidity, relative","Air, temperature"\n'
    + lines(lambda o: f'"{o.at:{ISO}}",{o.rh_pct},{o.temp_c}', ROOM),
    ROOM,
)
titles.add(
    "titles in places of characters, two words each",
    "Date        Clock   Rel hum   Air temp\n"
    + lines(lambda o: f"{o.at:%Y-%m-%d}  {o.at:%H:%M}   {o.rh_pct:7.1f}   {o.temp_c:8.1f}", ROOM),
    ROOM,
)
titles.add(
    "places of characters with blanks for missing",
    "Date        Clock    Light    RH(%)  T(C)\n"
    + "".join(
        f"{o.at:%Y-%m-%d}  {o.at:%H:%M}  {'' if n % 3 else 140:>7}  {o.rh_pct:7.1f}  "
        f"{o.temp_c:4.1f}\n"
        for n, o in enumerate(ROOM)
    ),
    ROOM,
)
titles.add(
    "places of characters, blank readings left out",
    "Time                  Temp    RH\n"
    + "".join(
        f"{o.at:{ISO}}  {'    ' if n % 40 == 7 else f'{o.temp_c:5.1f}'[-5:]:>5}  {o.rh_pct:5.1f}\n"
        for n, o in enumerate(ROOM)
    ),
    [one for n, one in enumerate(ROOM) if n % 40 != 7],
    left_out=4,
)
titles.add(
    "places of characters, units under the titles",
    "Day        Time     Humidity    Temperature\n                    percent     deg F\n"
    + lines(
        lambda o: f"{o.at:%d.%m.%Y} {o.at:%H:%M:%S} {o.rh_pct:8.1f}    {fahrenheit(o.temp_c):>7}",
        HEATED,
    ),
    HEATED,
)
titles.add(
    "titles repeated every day",
    "".join(
        ("Time,RH,Temp\n" if n % 48 == 0 else "") + f"{o.at:{ISO}},{o.rh_pct},{o.temp_c}\n"
        for n, o in enumerate(ROOM)
    ),
    ROOM,
    left_out=3,
)
titles.add(
    "titles of numbers in words of a language, and a sum row at the end",
    "Fecha y hora;Humedad relativa;Temperatura\n"
    + lines(lambda o: f"{o.at:%d/%m/%Y %H:%M};{comma(o.rh_pct)};{comma(o.temp_c)}", ROOM)
    + "Promedio;41,9;20,5\n",
    ROOM,
)
titles.add(
    "a preamble of pairs whose values are numbers and times",
    "Start;17.01.2024 09:00:00\nEnd;20.01.2024 16:30:00\nMax;22,4\nMin;18,1\nCount;160\n\n"
    "Nr;Zeit;Feuchte;Temperatur\n"
    + "".join(
        f"{n};{o.at:%d.%m.%Y %H:%M:%S};{comma(o.rh_pct)};{comma(o.temp_c)}\n"
        for n, o in enumerate(ROOM, 1)
    ),
    ROOM,
)

rows = Shelf("no row shifts")
NOTED = [
    f"{iso(o)},door, then window\n" if n % 50 == 3 else f"{iso(o)},\n" for n, o in enumerate(ROOM)
]
rows.add(
    "a remark with a comma makes some rows longer",
    "Time,Temp,RH,Note\n" + "".join(NOTED),
    [one for n, one in enumerate(ROOM) if n % 50 != 3],
    ends=End.EITHER,
)
rows.add(
    "one longer row among row numbers without a title",
    "Time,Temp,RH,Light\n"
    + "".join(f"{n},{iso(o)},0{',0' if n == 2 else ''}\n" for n, o in enumerate(ROOM, 1)),
    [one for n, one in enumerate(ROOM, 1) if n != 2],
    left_out=1,
)
rows.add(
    "a stray number before the readings of some rows",
    "Time,Temp,RH\n"
    + "".join(
        f"{o.at:{ISO}},{'7,' if n % 23 == 11 else ''}{o.temp_c},{o.rh_pct}\n"
        for n, o in enumerate(ROOM)
    ),
    [one for n, one in enumerate(ROOM) if n % 23 != 11],
    left_out=7,
)


def split(value: float) -> str:
    return f"{value}".replace(".", ",")


def split_whole(value: float) -> str:
    return f"{value:g}".replace(".", ",")


rows.add(
    "decimal commas between commas, in every reading",
    "Time,Temperature,Humidity\n"
    + lines(lambda o: f"{o.at:{ISO}},{split(o.temp_c)},{split(o.rh_pct)}", ROOM),
    ROOM,
    ends=End.EITHER,
    word="decimal",
)
WHOLE = [type(o)(o.at, o.temp_c, float(round(o.rh_pct))) for o in ROOM]
rows.add(
    "decimal commas between commas, in the temperature alone, whole numbers bare",
    "Time,Temperature (°C),Humidity (%)\n"
    + lines(lambda o: f"{o.at:{ISO}},{split_whole(o.temp_c)},{o.rh_pct:.0f}", WHOLE),
    WHOLE,
    ends=End.EITHER,
    word="decimal",
)
rows.add(
    "decimal commas between commas, the time at the end",
    "Temperature,Humidity,Time\n"
    + lines(lambda o: f"{split(o.temp_c)},{split(o.rh_pct)},{o.at:{ISO}}", ROOM),
    ROOM,
    ends=End.EITHER,
    word="decimal",
)
CODED = [n for n in range(len(ROOM)) if n % 45 == 9]
KEPT = [one for n, one in enumerate(ROOM) if n not in CODED]
rows.add(
    "no titles, codes of a lost probe",
    "".join(
        f"{o.at:{ISO}},{-127 if n in CODED else o.temp_c},{o.rh_pct}\n" for n, o in enumerate(ROOM)
    ),
    KEPT,
    ends=End.ASK,
)
rows.add(
    "codes in a humidity written as a share",
    "Time,Temp (C),Humidity\n"
    + "".join(
        f"{o.at:{ISO}},{o.temp_c},{999 if n % 20 == 9 else f'{o.rh_pct / 100:.3f}'}\n"
        for n, o in enumerate(ROOM)
    ),
    [one for n, one in enumerate(ROOM) if n % 20 != 9],
    left_out=8,
)
rows.add(
    "codes in a tenth of the temperatures, no unit",
    "Time,Temp,RH\n"
    + "".join(
        f"{o.at:{ISO}},{999.9 if n % 10 == 4 else o.temp_c},{o.rh_pct}\n"
        for n, o in enumerate(ROOM)
    ),
    [one for n, one in enumerate(ROOM) if n % 10 != 4],
    left_out=16,
)
rows.add(
    "one row of a clock that fell back to its first day",
    "Time,Temp,RH\n2000-01-01 00:00:00,20.1,45.0\n" + lines(iso, ROOM),
    ROOM,
    left_out=1,
)
rows.add(
    "one row from the far future",
    "Time,Temp,RH\n"
    + lines(iso, ROOM[:90])
    + "2099-01-17 10:00:00,20.1,45.0\n"
    + lines(iso, ROOM[90:]),
    ROOM,
    left_out=1,
)
rows.add(
    "a few rows of 1970 before the clock was set",
    "Time,Temp,RH\n"
    + "".join(f"1970-01-01 0{n}:00:00,20.{n},45.0\n" for n in range(5))
    + lines(iso, ROOM),
    ROOM,
    left_out=5,
)
rows.add(
    "a fan's per cent beside the temperature",
    "Time,Temp (°C),Fan (%)\n"
    + "".join(f"{o.at:{ISO}},{o.temp_c},{35 + n % 9}\n" for n, o in enumerate(ROOM)),
    [],
    ends=End.REFUSE,
    word="humidity",
)
rows.add(
    "a bare per cent sign over the humidity",
    "Time,°C,%\n" + lines(iso, ROOM),
    ROOM,
)
rows.add(
    "a valve's per cent before the humidity's",
    "Time,Valve (%),Temp (°C),RH (%)\n"
    + "".join(f"{o.at:{ISO}},{35 + n % 9},{o.temp_c},{o.rh_pct}\n" for n, o in enumerate(ROOM)),
    ROOM,
)

dialects = Shelf("dialects")
TAB = lines(lambda o: f"{o.at:%Y/%m/%d %H:%M}\t{o.rh_pct}\t{o.temp_c}", ROOM)
dialects.add("two-byte text with tabs", ("Time\tRH\tTemp\n" + TAB).encode("utf-16"), ROOM)
dialects.add(
    "decimal commas and semicolons, newest first",
    "Zeitpunkt;rel. Feuchte in %;Temperatur in °C\n"
    + lines(lambda o: f"{o.at:%d.%m.%Y %H:%M:%S};{comma(o.rh_pct)};{comma(o.temp_c)}", ROOM[::-1]),
    ROOM,
)
dialects.add(
    "decimal commas and tabs, a bad byte in the titles",
    "Heure\tHumidit\xe9 (%)\tTemp\xe9rature (\xb0C)\n".encode("cp1252")
    + lines(
        lambda o: f"{o.at:%d/%m/%Y %H:%M}\t{comma(o.rh_pct)}\t{comma(o.temp_c)}", ROOM
    ).encode(),
    ROOM,
)
dialects.add(
    "blanks after every comma and a mark at the line's end",
    "Time, Hum, Temp,\n" + lines(lambda o: f"{o.at:{ISO}}, {o.rh_pct}, {o.temp_c},", ROOM),
    ROOM,
)
dialects.add(
    "quoted cells with blanks and units",
    '"Time","RH","Temp"\n'
    + lines(lambda o: f'"{o.at:{ISO}}"," {o.rh_pct} %"," {o.temp_c} °C "', ROOM),
    ROOM,
)
dialects.add(
    "bars between cells and at both ends",
    "| Time | RH | Temp |\n" + lines(lambda o: f"| {o.at:{ISO}} | {o.rh_pct} | {o.temp_c} |", ROOM),
    ROOM,
)
dialects.add(
    "a table drawn with bars and dashes",
    "+---------------------+------+------+\n| Time                | RH   | Temp |\n"
    "|---------------------+------+------|\n"
    + lines(lambda o: f"| {o.at:{ISO}} | {o.rh_pct:4} | {o.temp_c:4} |", ROOM),
    ROOM,
)
dialects.add(
    "a sign for minus and thin blanks",
    "Time;RH;Temp\n"
    + lines(
        lambda o: f"{o.at:{ISO}};{o.rh_pct}\u2009%;{o.temp_c}\u2009°C".replace(";-", ";\u2212"),
        air("winter"),
    ),
    air("winter"),
)
dialects.add(
    "no titles, units in the cells",
    lines(lambda o: f"{o.at:{ISO}},{o.rh_pct}%,{fahrenheit(o.temp_c)}F", HEATED),
    HEATED,
)
dialects.add(
    "no titles, a room at 70 °F and 26 %",
    lines(lambda o: f"{o.at:{ISO}},{fahrenheit(o.temp_c)},{o.rh_pct}", HEATED),
    HEATED,
    ends=End.ASK,
)
dialects.add(
    "no titles, a room in °C",
    lines(iso, BEDROOM),
    BEDROOM,
    ends=End.EITHER,
)
dialects.add(
    "no titles, the dew point between",
    lines(lambda o: f"{o.at:{ISO}};{o.rh_pct};{dew_c(o):.1f};{o.temp_c}", CELLAR),
    CELLAR,
    ends=End.EITHER,
)
dialects.add(
    "no titles, Fahrenheit and Celsius side by side",
    lines(lambda o: f"{o.at:{ISO}};{fahrenheit(o.temp_c, 2)};{o.temp_c};{o.rh_pct}", HEATED),
    HEATED,
    ends=End.EITHER,
)
dialects.add(
    "cells with a letter for the state behind a blank",
    "Time;Temp;State;RH;State\n" + lines(lambda o: f"{o.at:{ISO}};{o.temp_c};G;{o.rh_pct};G", ROOM),
    ROOM,
)
dialects.add(
    "names before every value",
    lines(lambda o: f"time={o.at:{ISO}};temp={o.temp_c};rh={o.rh_pct}", ROOM),
    ROOM,
    ends=End.EITHER,
    word="readings",
)
dialects.add(
    "thousands of columns of other things",
    "Time,Temp (C),RH (%),"
    + ",".join(f"Register {n}" for n in range(300))
    + "\n"
    + lines(lambda o: iso(o) + ",7" * 300, ROOM[:20]),
    ROOM[:20],
)
dialects.add(
    "signs of a terminal in the titles",
    "Time,\x1b[31mTemp (C),RH\u202e (%)\n" + lines(iso, ROOM),
    ROOM,
)
rows.add(
    "three rows of many columns without titles",
    "".join(
        f"{n} {o.at:%Y-%m-%d %H:%M} {5.1 + n / 10:.1f} {o.temp_c} {24.9 + n:.1f} 25.{n} "
        f"{o.rh_pct} 99\n"
        for n, o in enumerate(ROOM[:3])
    ),
    [],
    ends=End.REFUSE,
    word="titles",
)
rows.add(
    "sunshine and wind, and no humidity",
    "Time,Global (W/m2),Sum (kWh/m2),Wind 10 m (m/s),Temp (°C)\n"
    + "".join(
        f"{o.at:{ISO}},{n * 7 % 90},{n / 9:.2f},{n % 8},{o.temp_c}\n" for n, o in enumerate(ROOM)
    ),
    [],
    ends=End.REFUSE,
    word="humidity",
)
rows.add(
    "readings scaled to one",
    "Time,temp,hum\n"
    + lines(lambda o: f"{o.at:{ISO}},{o.temp_c / 40:.4f},{o.rh_pct / 100:.4f}", ROOM),
    [],
    ends=End.REFUSE,
    word="scaled",
)
SHELVES = (titles, rows, dialects)
