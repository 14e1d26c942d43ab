"""Writes fluid_states.csv and fluid_check_points.csv from CoolProp.

Run in an environment with CoolProp 8.0.0 from PyPI:

    python -m venv venv && venv/bin/pip install CoolProp==8.0.0
    venv/bin/python tests/reference/fluid_states.py

fluid_states.csv holds equilibrium states; the column `pairs` lists the pairs of inputs
that lead to this state and to no other one that Equation::state would prefer (of
pressure p, temperature T, enthalpy h, entropy s and quality x). fluid_check_points.csv
holds single-phase points by temperature and density with the residual Helmholtz energy
and its derivatives with respect to tau and delta.
"""

import pathlib

import CoolProp
from CoolProp import AbstractState
from CoolProp.CoolProp import DmassT_INPUTS, PQ_INPUTS, PT_INPUTS, QT_INPUTS
from CoolProp.CoolProp import set_reference_state

VERSION = "8.0.0"
HERE = pathlib.Path(__file__).parent
# CoolProp name, our name.
FLUIDS = [("R134a", "R-134a"), ("R1234yf", "R-1234yf")]

LIQUID = [  # (T in K, p in Pa)
    (180.0, 1e5), (213.15, 2e5), (233.15, 1e6), (253.15, 3e6), (273.15, 5e5),
    (293.15, 8e5), (303.15, 9e5), (313.15, 2e6), (323.15, 1.5e6), (333.15, 2.5e6),
    (343.15, 3e6), (300.0, 5e6), (300.0, 30e6), (350.0, 10e6), (250.0, 60e6),
]
VAPOUR = [
    (200.0, 1e3), (223.15, 2e4), (253.15, 1e5), (263.15, 1.4e5), (278.15, 2e5),
    (288.15, 3.4e5), (300.0, 1e2), (300.0, 1e5), (323.15, 8e5), (343.15, 1.2e6),
    (353.15, 1.5e6), (363.15, 2e6), (383.15, 2.5e6), (400.0, 3e6), (405.0, 1e6),
]
SUPERCRITICAL = [(385.0, 8e6), (395.0, 6e6), (400.0, 20e6), (405.0, 50e6)]
TWO_PHASE = [  # (T in K, quality)
    (200.0, 0.3), (233.15, 0.0), (233.15, 0.7), (253.15, 0.1), (263.15, 1.0),
    (273.15, 0.0), (273.15, 0.5), (278.15, 0.33), (278.15, 0.95), (293.15, 0.25),
    (313.15, 0.05), (313.15, 1.0), (328.15, 0.4), (338.15, 0.0), (343.15, 0.8),
    (353.15, 0.2), (360.15, 0.6),
]
CHECK_POINTS = [  # (T in K, density in kg/m3)
    (250.0, 1.0), (280.0, 10.0), (300.0, 4.0), (330.0, 60.0), (350.0, 5.0),
    (380.0, 400.0), (400.0, 100.0),
]
LIQUID_CHECK_POINTS = {
    "R-134a": [(300.0, 1250.0), (320.0, 1180.0)],
    "R-1234yf": [(300.0, 1120.0), (320.0, 1060.0)],
}


def along_quality(state, reached, quality, want, value):
    """Whether no colder state of this quality has the value."""
    cold = state.Tmin() + 0.05
    sign = None
    for step in range(400):
        temperature = cold + (reached - 0.02 - cold) * step / 399
        state.update(QT_INPUTS, quality, temperature)
        now = (state.hmass() if want == "h" else state.smass()) > value
        if sign is not None and now != sign:
            return False
        sign = now
    return True


def single_pairs(state, temperature, pressure, phase):
    pairs = ["pT", "ph", "ps", "Ts", "hs"]
    # Enthalpy falls and then rises with pressure along an isotherm; only on the falling
    # side, and for liquid below the saturated one, does it lead here first.
    enthalpy = state.hmass()
    falls = state.first_partial_deriv(CoolProp.iHmass, CoolProp.iP, CoolProp.iT) < 0
    if phase != "liquid":
        return pairs + (["Th"] if falls else [])
    state.update(QT_INPUTS, 0.0, temperature)
    below = enthalpy < state.hmass()
    state.update(PT_INPUTS, pressure, temperature)
    return pairs + (["Th"] if falls and below else [])


def row(state, name, quality, phase, pairs):
    values = [state.T(), state.p(), state.hmass(), state.smass(), state.rhomass()]
    single = quality == ""
    extra = [state.cpmass(), state.cvmass(), state.speed_sound()] if single else ["", "", ""]
    cells = [name, phase, quality, *values, *extra, " ".join(pairs)]
    return ",".join(repr(c) if isinstance(c, float) else str(c) for c in cells)


def states():
    yield "fluid,phase,quality,temperature_k,pressure_pa,enthalpy_j_per_kg," \
        "entropy_j_per_kg_k,density_kg_per_m3,cp_j_per_kg_k,cv_j_per_kg_k," \
        "speed_of_sound_m_per_s,pairs"
    for theirs, ours in FLUIDS:
        set_reference_state(theirs, "IIR")
        state = AbstractState("HEOS", theirs)
        for phase, points in [("liquid", LIQUID), ("vapour", VAPOUR),
                              ("supercritical", SUPERCRITICAL)]:
            for temperature, pressure in points:
                state.update(PT_INPUTS, pressure, temperature)
                pairs = single_pairs(state, temperature, pressure, phase)
                yield row(state, ours, "", phase, pairs)
        for temperature, quality in TWO_PHASE:
            state.update(QT_INPUTS, quality, temperature)
            pairs = ["px", "Tx"]
            if 0.0 < quality < 1.0:
                # On the line itself rounding decides between one phase and two.
                pairs += ["ph", "ps", "Th", "Ts", "hs"]
            for want in "hs":
                value = state.hmass() if want == "h" else state.smass()
                if along_quality(state, temperature, quality, want, value):
                    pairs.append(want + "x")
                state.update(QT_INPUTS, quality, temperature)
            yield row(state, ours, float(quality), "two-phase", pairs)


def check_points():
    yield "fluid,temperature_k,density_kg_per_m3,tau,delta,pressure_pa,enthalpy_j_per_kg," \
        "entropy_j_per_kg_k,cv_j_per_kg_k,cp_j_per_kg_k,speed_of_sound_m_per_s," \
        "alphar,dalphar_ddelta,dalphar_dtau,d2alphar_ddelta2,d2alphar_ddelta_dtau,d2alphar_dtau2"
    for theirs, ours in FLUIDS:
        set_reference_state(theirs, "IIR")
        state = AbstractState("HEOS", theirs)
        for temperature, density in CHECK_POINTS + LIQUID_CHECK_POINTS[ours]:
            state.specify_phase(CoolProp.iphase_gas)
            state.update(DmassT_INPUTS, density, temperature)
            cells = [state.T(), state.rhomass(), state.tau(), state.delta(), state.p(),
                     state.hmass(), state.smass(), state.cvmass(), state.cpmass(),
                     state.speed_sound(), state.alphar(), state.dalphar_dDelta(),
                     state.dalphar_dTau(), state.d2alphar_dDelta2(),
                     state.d2alphar_dDelta_dTau(), state.d2alphar_dTau2()]
            yield ",".join([ours] + [repr(c) for c in cells])


def write(name, lines):
    head = f"# CoolProp {CoolProp.__version__} (PyPI), written by fluid_states.py; " \
        "reference state IIR: h = 200 kJ/kg, s = 1 kJ/(kg K) for saturated liquid at 0 °C"
    (HERE / name).write_text("\n".join([head, *lines]) + "\n", encoding="utf-8")


if __name__ == "__main__":
    assert CoolProp.__version__ == VERSION, CoolProp.__version__
    write("fluid_states.csv", states())
    write("fluid_check_points.csv", check_points())
