"""Types of numbers with their unit in the annotation.

A field annotated with one of these is written to JSON with its unit, and described with it in the schema.
Names that end in ``Value`` are plain floats, the others carry a standard uncertainty.
"""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta
from uncertainties import UFloat

PH = Annotated[UFloat, Meta(extra={"unit": "pH"})]
PHPerMonth = Annotated[UFloat, Meta(extra={"unit": "pH/month"})]
PercentPerMonth = Annotated[UFloat, Meta(extra={"unit": "%/month"})]
MilliVolt = Annotated[UFloat, Meta(extra={"unit": "mV"})]
MilliVoltPerMonth = Annotated[UFloat, Meta(extra={"unit": "mV/month"})]
MilliVoltPerPH = Annotated[UFloat, Meta(extra={"unit": "mV/pH"})]
Percent = Annotated[UFloat, Meta(extra={"unit": "%"})]
MilliLitre = Annotated[UFloat, Meta(extra={"unit": "mL"})]
Gram = Annotated[UFloat, Meta(extra={"unit": "g"})]
MicroSiemensPerCm = Annotated[UFloat, Meta(extra={"unit": "uS/cm"})]
MicroSiemensPerCmPerMonth = Annotated[UFloat, Meta(extra={"unit": "uS/cm/month"})]
Number = Annotated[UFloat, Meta(extra={"unit": "1"})]

PHValue = Annotated[float, Meta(extra={"unit": "pH"})]
MilliVoltValue = Annotated[float, Meta(extra={"unit": "mV"})]
PercentValue = Annotated[float, Meta(extra={"unit": "%"})]
MilliLitreValue = Annotated[float, Meta(extra={"unit": "mL"})]
GramValue = Annotated[float, Meta(extra={"unit": "g"})]
CentimetreValue = Annotated[float, Meta(extra={"unit": "cm"})]
DegCValue = Annotated[float, Meta(extra={"unit": "degC"})]
MinuteValue = Annotated[float, Meta(extra={"unit": "min"})]
MicroSiemensPerCmValue = Annotated[float, Meta(extra={"unit": "uS/cm"})]
MonthValue = Annotated[float, Meta(extra={"unit": "month"})]
NumberValue = Annotated[float, Meta(extra={"unit": "1"})]
