"""Write evaporator_duty.csv: what an evaporator takes from moist air, by PsychroLib 2.5.0.

    pip install PsychroLib==2.5.0
    python tests/reference/evaporator_duty.py > tests/reference/evaporator_duty.csv

Air leaves at 95 % humidity, condensate at the temperature of the air leaving; the flow is
a volume of the air entering.
"""

from importlib.metadata import version

import psychrolib as p

assert version("PsychroLib") == "2.5.0", "evaporator_duty.csv is defined by PsychroLib 2.5.0"
p.SetUnitSystem(p.SI)

PRESSURE = 101325.0
WATER = 4186.0  # J/(kg K), ASHRAE 2017, ch. 1, eq. 33

print("# Made by evaporator_duty.py with PsychroLib", version("PsychroLib"))
print(
    "inlet_c,inlet_rh,off_c,flow_m3_per_h,duty_w,sensible_share,condensate_kg_per_h"
)
for inlet, rh, off, flow in (
    (25, 0.5, 8, 400),
    (30, 0.6, 12, 400),
    (35, 0.4, 12, 400),
    (35, 0.4, 10, 500),
    (40, 0.3, 12, 500),
):
    w_on = p.GetHumRatioFromRelHum(inlet, rh, PRESSURE)
    w_off = p.GetHumRatioFromRelHum(off, 0.95, PRESSURE)
    dry = flow / 3600 / p.GetMoistAirVolume(inlet, w_on, PRESSURE)
    on = p.GetMoistAirEnthalpy(inlet, w_on)
    water = dry * (w_on - w_off)
    duty = dry * (on - p.GetMoistAirEnthalpy(off, w_off)) - water * WATER * off
    sensible = dry * (on - p.GetMoistAirEnthalpy(off, w_on))
    row = (duty, sensible / duty, water * 3600)
    print(inlet, rh, off, flow, *(f"{value:.6g}" for value in row), sep=",")
