"""Options drawn at random, many of them nonsense, for every command."""

from tests.sheets.hostile import VALUES

OPTIONS = {
    "place": {
        "--piece": ("SHEET", "missing.toml", "."), "--wood": ("red oak", "oak", "cherry"),
        "--width": ("38 in", "900 mm"), "--thickness": ("7/8 in", "20 mm"), "--cut": ("rift",),
        "--length": ("72 in",), "--finish": ("shellac",), "--hidden-finish": ("none",),
        "--fastening": ("slot", "clip", "door", "floor"), "--layout": ("apron", "door"),
        "--rails": ("across", "along", "all"), "--count": ("3", "1000000", "-1"),
        "--gap": ("3 mm",), "--rail-thickness": ("3/4 in",), "--fixed-on": ("2025-01-10",),
        "--moisture-when-fixed": ("7.5 %",), "--measured-by": ("oven",),
        "--made-in": ("LOG", "missing.csv"), "--outdoor": ("LOG",), "--house": ("palace",),
        "--heating": ("20 C", "900 C"), "--humidifier": ("40 %", "140 %"),
        "--what-if": ("cooling fails, 2025-01-05, 3 days", "shut up, 0001-01-01, 1 day"),
        "--save-sheet": ("out/s.toml",), "--hourly": ("out/h.csv", "LOG"),
        "--picture": ("out/p.svg", "out/p.jpeg"), "--picture-of": ("year", "setting-out"),
        "--letter": ("out/l.txt", "SHEET"), "--cooling": ("25 C", "-90 C"),
        "--air": ("30 to 60 % RH at 20 C", "60 to 30", "0.3 to 0.6 at 900 C"),
        "--outdoor-elsewhere": (None,), "--board-width": ("120 mm",),
    },
    "room": {
        "--stock": ("STOCK", "SHEET"), "--target": ("7", "nan", "1e9"), "--for": ("LOG",),
        "--piece": ("SHEET",), "--second": ("LOG",), "--try-rh": ("30", "-5"),
        "--try-temp": ("20", "1e9"), "--picture": ("out/p.png", "out/p.jpeg"),
        "--letter": ("out/l.txt", "out"),
    },
    "crack": {
        "--piece": ("SHEET",), "--seen": ("2025-01-20", "9999-12-31"), "--gap": ("3 mm",),
        "--sign": ("where=middle", "heat"), "--made-in": ("LOG",),
        "--delivered": ("2025-01-10", "2035-01-01"), "--outdoor": ("LOG",), "--house": ("palace",),
        "--picture": ("out/p.pdf",), "--letter": ("out/l.txt", "LOG"), "--list-signs": (None,),
    },
    "round": {"--out": ("out", "LOG", "p.html")}, "tables": {"--units": ("metric", "cubits")},
    "look": {"--sensor": ("a",), "--temp-column": ("1", "99999")},
    "salt": {"--at": ("20 C", "900 C"), "--jar": ("NaCl=73.5", "NaCl=1e9", "=")},
    "sheet": {},
}  # fmt: skip
SHARED = {
    "--json": ("-", "out/n.json", "LOG", "/dev/null", "out"), "--units": ("metric", "miles"),
    "--replace": (None,), "--quiet": (None,), "--full": (None,), "--maker": ("Alder Lane",),
    "--out": ("out", "LOG", "out/p.html", "p.HTM"),
    "--date-order": ("day-first",), "--temp-unit": ("F", "K"), "--rh-offset": ("3", "inf"),
    "--rh-gain": ("1.1", "0"), "--delimiter": (";",), "--encoding": ("utf-8", "nonsense"),
}  # fmt: skip
LOGGED = ("place", "room", "crack", "look")
OF_LOOK = ("--json", "--units", "--replace", "--full", "--date-order", "--temp-unit", "--encoding")
NO_LOG_BY = {
    "sheet": ("piece", "stock", "round"),
    "tables": ("wood", "finish", "fastening", "wod"),
    "round": ("ROUND", "ROUND", "LOG", "missing.toml", "."),
}
"""What goes behind a command that reads no log."""


def drawn(rng):
    """Draw the words of one command; LOG, SHEET, STOCK and ROUND are files that are there."""
    command = rng.choice(list(OPTIONS))
    words = [command, *_read_by(command, rng)]
    own = OPTIONS[command]
    if command == "place" and rng.random() < 0.6:
        for name in ("--wood", "--width", "--thickness"):
            words += [name, own[name][0]]
    elif "--piece" in own and rng.random() < 0.7:
        words += ["--piece", "SHEET"]
    if command == "crack":
        words += ["--seen", "2025-01-20"]
    pool = list({**own, **_shared_by(command)}.items())
    for name, values in rng.sample(pool, min(len(pool), rng.randrange(4))):
        usual, odd = rng.random() < 0.5, rng.random() < 0.5
        value = values[0] if usual else rng.choice(values if odd else VALUES)
        words += [name] if None in values else [name, str(value).replace("\x00", "0")]
    return words


def _read_by(command, rng):
    """Draw what stands behind a command's name."""
    if command in LOGGED:
        return [rng.choice(("LOG", "LOG", "LOG", "missing.csv", "."))] if rng.random() < 0.9 else []
    words = [rng.choice(NO_LOG_BY[command])] if command in NO_LOG_BY else []
    if command == "tables" and rng.random() < 0.7:
        words.append(rng.choice((*VALUES, "oak", "shelac", "clip")).replace("\x00", "0"))
    if command == "sheet":
        words += rng.choice(([], [], ["--ask"], ["--out", "out/s.toml"], ["--out", "LOG"]))
    return words


def _shared_by(command):
    if command == "look":
        return {name: SHARED[name] for name in OF_LOOK}
    return SHARED if command in LOGGED else {"--json": SHARED["--json"]}


def wrong_with(words, run, kept):
    """Name what is wrong with how a command dealt with its words; None where nothing.

    Parameters
    ----------
    words : list of str
    run : click.testing.Result
    kept : bool
        Whether every file that was there before is as it was, and nothing half done was left.
    """
    if run.exception is not None and not isinstance(run.exception, SystemExit):
        return f"{type(run.exception).__name__}: {run.exception}"
    if run.exit_code not in (0, 1, 2):
        return f"exit status {run.exit_code}"
    if "x" * 61 in run.stderr:
        return "input repeated as it is"
    if any(not (one.isprintable() or one in "\n\t") for one in run.stdout + run.stderr):
        return "a mark that a terminal obeys"
    said = [line for line in run.stderr.splitlines() if not line.startswith("Written: ")]
    if run.exit_code == 1 and len(said) != 1 and "--ask" not in words:
        return f"{len(said)} lines: {run.stderr[:300]}"
    return None if kept else "a file is changed, or left behind"
