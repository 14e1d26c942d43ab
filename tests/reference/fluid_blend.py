"""Writes fluid_blend.csv and fluid_blend_phases.csv: R-134a and R-1234yf mixed.

Run in an environment with CoolProp 8.0.0 from PyPI:

    python -m venv venv && venv/bin/pip install CoolProp==8.0.0
    venv/bin/python tests/reference/fluid_blend.py

fluid_blend.csv holds the pressures of first boiling (bubble) and first condensing (dew)
with the densities and enthalpies there; fluid_blend_phases.csv holds single phases by
temperature and density. The mixture model is that of Bell, J. Phys. Chem. Ref. Data
51(1):013103 (2022). The row R-513A is CoolProp's predefined mixture of that name, 44 %
R-134a by mass. Enthalpies count from the bubble at 0 °C.
"""

import pathlib

import CoolProp
from CoolProp import AbstractState
from CoolProp.CoolProp import DmassT_INPUTS, QT_INPUTS

VERSION = "8.0.0"
HERE = pathlib.Path(__file__).parent
MOLAR_MASS = (0.102032, 0.1140416)
PHASES = [(280.0, 10.0), (280.0, 1300.0), (320.0, 40.0), (320.0, 1180.0), (390.0, 300.0),
          (400.0, 500.0)]


def blends():
    for fraction in (0.25, 0.5, 0.75):  # mole fraction of R-134a
        state = AbstractState("HEOS", "R134a&R1234yf")
        state.set_mole_fractions([fraction, 1.0 - fraction])
        yield "", fraction, state
    state = AbstractState("HEOS", "R513A.mix")
    fractions = dict(zip(state.fluid_names(), state.get_mole_fractions()))
    yield "R-513A", fractions["R134a"], state


def share(fraction):
    """The mass fraction of R-1234yf at a mole fraction of R-134a."""
    other = (1.0 - fraction) * MOLAR_MASS[1]
    return other / (other + fraction * MOLAR_MASS[0])


def saturation():
    yield "name,mole_fraction_of_r134a,mass_fraction_of_r1234yf,temperature_k,bubble_pa," \
        "dew_pa,liquid_density_kg_per_m3,vapour_density_kg_per_m3," \
        "liquid_enthalpy_j_per_kg,vapour_enthalpy_j_per_kg"
    for name, fraction, state in blends():
        state.update(QT_INPUTS, 0.0, 273.15)
        zero = state.hmass()
        for temperature in (273.15, 313.15):
            state.update(QT_INPUTS, 0.0, temperature)
            bubble = (state.p(), state.rhomass(), state.hmass() - zero)
            state.update(QT_INPUTS, 1.0, temperature)
            cells = [fraction, share(fraction), temperature, bubble[0], state.p(), bubble[1],
                     state.rhomass(), bubble[2], state.hmass() - zero]
            yield ",".join([name] + [repr(float(c)) for c in cells])


def phases():
    yield "mass_fraction_of_r1234yf,temperature_k,density_kg_per_m3,pressure_pa," \
        "cv_j_per_kg_k,cp_j_per_kg_k,speed_of_sound_m_per_s"
    for name, fraction, state in blends():
        if name:
            continue
        state.specify_phase(CoolProp.iphase_gas)
        for temperature, density in PHASES:
            state.update(DmassT_INPUTS, density, temperature)
            cells = [share(fraction), temperature, density, state.p(), state.cvmass(),
                     state.cpmass(), state.speed_sound()]
            yield ",".join(repr(float(c)) for c in cells)


def write(name, lines):
    head = f"# CoolProp {CoolProp.__version__} (PyPI), written by fluid_blend.py"
    (HERE / name).write_text("\n".join([head, *lines]) + "\n", encoding="utf-8")


if __name__ == "__main__":
    assert CoolProp.__version__ == VERSION, CoolProp.__version__
    write("fluid_blend.csv", saturation())
    write("fluid_blend_phases.csv", phases())
