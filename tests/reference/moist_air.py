"""Write moist_air.csv: moist air by PsychroLib 2.5.0 (ASHRAE ideal-gas formulation).

    pip install PsychroLib==2.5.0
    python tests/reference/moist_air.py > tests/reference/moist_air.csv
"""

from importlib.metadata import version

import psychrolib as p

assert version("PsychroLib") == "2.5.0", "moist_air.csv is defined by PsychroLib 2.5.0"
p.SetUnitSystem(p.SI)

print("# Made by moist_air.py with PsychroLib", version("PsychroLib"))
print(
    "altitude_m,pressure_pa,temperature_c,relative_humidity,humidity_ratio,"
    "saturated_humidity_ratio,saturation_pressure_pa,dew_point_c,wet_bulb_c,"
    "enthalpy_j_per_kg,volume_m3_per_kg"
)
for altitude in (0, 1500):
    pressure = p.GetStandardAtmPressure(altitude)
    for t in range(-20, 61, 4):
        for rh in (0.01, 0.1, 0.3, 0.5, 0.7, 0.9, 1.0):
            w = p.GetHumRatioFromRelHum(t, rh, pressure)
            row = (
                pressure,
                t,
                rh,
                w,
                p.GetSatHumRatio(t, pressure),
                p.GetSatVapPres(t),
                p.GetTDewPointFromHumRatio(t, w, pressure),
                p.GetTWetBulbFromHumRatio(t, w, pressure),
                p.GetMoistAirEnthalpy(t, w),
                p.GetMoistAirVolume(t, w, pressure),
            )
            print(altitude, *(f"{value:.10g}" for value in row), sep=",")
