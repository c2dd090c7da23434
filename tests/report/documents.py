"""Small documents for tests of the renderers: one of everything that a document may hold."""

from dataclasses import fields, is_dataclass

from climlog.report.document import (
    ON_THE_PAGE,
    Answer,
    Blanks,
    Card,
    Columns,
    Document,
    Facts,
    Lines,
    Paragraph,
    Part,
    Picture,
    Section,
    Sign,
    Signed,
    Table,
    Tone,
)
from climlog.report.drawing.axes import Tick
from climlog.report.drawing.bar import AirBar
from climlog.report.drawing.cases import CaseCount
from climlog.report.drawing.chart import Block, Chart, Curve, Mark, Panel
from climlog.report.drawing.plan import Gauge, HeldLine, Plan, Rail, Seat
from climlog.report.drawing.sketch import Sketch

HOLDS, RUNS_OUT = Sign("holds", "holds"), Sign("runs out", "runs-out")

CHART = Chart(
    name="width",
    title="Width",
    says="It widens.",
    height=120.0,
    panels=(
        Panel(
            18.0, 98.0, "mm", (Tick(58.0, "0"),),
            areas=(Curve("doubt", "M62 40L700 50L700 60L62 50Z"),),
            blocks=(Block("beyond upper", 62.0, 18.0, 638.0, 10.0, "no room left", 300.0),),
            curves=(Curve("middle", "M62 50L300 55M400 55L700 52"),),
            marks=(Mark("widest", 300.0, 55.0, "widest", "middle", -12.0),),
        ),
    ),
    time_ticks=(Tick(100.0, "Feb"),),
    key=(("line middle", "middle case"),),
    readings=((62.0, "1 Feb 2025: 900 mm"), (700.0, "1 Mar 2025: 901 mm")),
)  # fmt: skip
PLAN = Plan(
    name="plan", title="From below", lies="Turned over.", says="Two fastenings.", width=300.0,
    height=200.0, joints=("M40 60H240",),
    top=(40.0, 20.0, 200.0, 120.0), foot=140.0, grain=("M40 40C60 38 80 42 100 40",),
    rails=(Rail(60.0, 30.0, 9.0, 100.0, "rail across the grain"),),
    seats=(Seat(1, 64.0, 40.0, "slot", "holds", "1: holds", True, 1.0, False, -8.0),),
    gauges=(
        Gauge(
            "1: slot", (60.0, 140.0), (80.0, 160.0), (False, True), ((140.0, 160.0),), 100.0,
            "holds", "holds",
            "needs 4 mm",
        ),
    ),
    more="",
    held=(HeldLine(80.0, "stays put", 140.0),), width_words="900 mm", length_words="1500 mm",
    key=(("line held", "stays put"),),
)  # fmt: skip
BAR = AirBar(
    "steady", "Steady air", "From 30 to 60 %.", (200.0, 400.0), (Tick(200.0, "30 %"),),
    (100.0, 600.0), (200.0, 500.0), (Tick(62.0, "0 %"),), (("line hours", "its hours"),),
)  # fmt: skip
CASES = CaseCount("cases", "100 likely cases", "12 of 100 run out.", 12)
SKETCH = Sketch("sketch", "A top and the way it moves")

ANSWER = Answer(
    RUNS_OUT,
    "Runs out about 3 May 2025: the clips stop it swelling.",
    set=("Gap at the clips: 1/8 in.",),
    do=("Lengthen the kerfs.", "Log a summer."),
    odds="Runs out in 72 of 100 likely cases, by June 2025.",
    not_known=("Summer: leave the logger running.",),
)


def document_of(answer=ANSWER, **changed):
    """Make a document that holds one of every block."""
    held = {
        "job": "place",
        "subject": "Oak table",
        "question": "Oak table: will its fastenings let it move?",
        "answer": answer,
        "pictures": (Picture(CHART, "Drawn hour by hour."), Picture(PLAN)),
        "facts": Facts((("Wood", "red oak"), ("Width", "35 7/16 in (900 mm)"))),
        "sections": (
            Section(
                "fastenings",
                "Fastenings",
                (
                    Table(
                        "Each alone, the worst first.",
                        ("Number", "Needs", "Verdict"),
                        (
                            ("1-3", "1/4 in (6.4 mm)", Signed(RUNS_OUT)),
                            ("4", ("none at all", "truly"), Signed(HOLDS, "holds, 12 % used")),
                        ),
                    ),
                    Part("All together", (Lines(("First.", "Second."), ordered=True),)),
                ),
            ),
            Section(
                "air",
                "Air",
                (
                    Columns(((Paragraph("Left."), Picture(BAR)), (Lines(("Right.",)),))),
                    Picture(CASES),
                ),
            ),
            Section("empty", "Nothing to say", ()),
            Section("picture", "Only to look at", (Picture(SKETCH),), ON_THE_PAGE),
        ),
        "cards": (
            Card(
                "card", "Care card", "Prints on half a sheet.", "Oak table",
                (Paragraph("Not yet.", Tone.NOTE), Part("The room", (Paragraph("Keep it even."),)),
                 Blanks(("Maker", "Telephone"))),
                half_sheet=True,
            ),
        ),
    }  # fmt: skip
    return Document(**(held | changed))


HIDDEN = {"key", "shape", "tone", "job", "media"}


def said_by(record):
    """Every sentence of a document's own records; drawings are left out."""
    if isinstance(record, str):
        return [record]
    if isinstance(record, tuple):
        return [text for one in record for text in said_by(one)]
    if is_dataclass(record) and not type(record).__module__.startswith("climlog.report.drawing"):
        kept = [one.name for one in fields(record) if one.name not in HIDDEN]
        return [text for name in kept for text in said_by(getattr(record, name))]
    return []
