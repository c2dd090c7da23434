"""Every drawing that a document may hold; the template beside it draws each by its class name."""

from typing import TypeAlias

from climlog.report.drawing.bar import AirBar
from climlog.report.drawing.cases import CaseCount
from climlog.report.drawing.chart import Chart
from climlog.report.drawing.plan import Plan
from climlog.report.drawing.setting_out import SettingOut
from climlog.report.drawing.sketch import Sketch

Drawing: TypeAlias = Chart | Plan | AirBar | CaseCount | Sketch | SettingOut
"""Any record that drawings.j2 has a macro for."""
