"""The same work by CoolProp and TESPy; run by run.py, inside its environment."""

import ctypes
import json
import pathlib
import sys
import time

import CoolProp
import numpy as np
from CoolProp import AbstractState
from CoolProp.CoolProp import HmolarP_INPUTS, set_reference_state

NAMES = {"R-134a": "R134a", "R-1234yf": "R1234yf"}
# Temperature, density and entropy by the mole, as CoolProp keeps them, and the others that
# coolprop_loop.c asks for.
KEYS = [CoolProp.iT, CoolProp.iDmolar, CoolProp.iSmolar, CoolProp.iQ, CoolProp.iP,
        CoolProp.iHmolar]
LOT = 64


def capi():
    get = ctypes.pythonapi.PyCapsule_GetPointer
    get.restype, get.argtypes = ctypes.c_void_p, [ctypes.py_object, ctypes.c_char_p]
    name = ctypes.pythonapi.PyCapsule_GetName
    name.restype, name.argtypes = ctypes.c_char_p, [ctypes.py_object]
    capsule = CoolProp.CoolProp._capi
    return get(capsule, name(capsule))


class Compiled:
    """CoolProp's abstract state, looped over in C."""

    def __init__(self, library):
        self.library = ctypes.CDLL(library)
        self.library.loop.restype = ctypes.c_double
        self.api = capi()
        table = ctypes.cast(self.api, ctypes.POINTER(ctypes.c_void_p))
        make = ctypes.CFUNCTYPE(ctypes.c_void_p, ctypes.c_char_p, ctypes.c_char_p)
        self.make = make(table[0])

    def best(self, backend, fluid, points, repeats, every=False):
        """Seconds per state, and temperatures and densities; the best round counts. To the
        slow equation the points go in small lots, each over before other work can come
        between; to the tables all at once, as to ours, so that they are as random."""
        state = self.make(backend.encode(), fluid.encode())
        if not state:
            raise RuntimeError(f"no {backend} of {fluid}")
        values = np.zeros((len(points), 2))
        seconds = 0.0
        size = LOT if backend == "HEOS" else len(points)
        for start in range(0, len(points), size):
            lot, into = points[start:start + size], values[start:start + size]
            seconds += min(self.once(backend, state, lot, into, every) for _ in range(repeats))
        return seconds / len(points), values

    def once(self, backend, state, points, values, every):
        p, h = (np.ascontiguousarray(points[:, column]) for column in (0, 1))
        total, error = ctypes.c_double(), ctypes.c_char_p()
        keys = (ctypes.c_long * len(KEYS))(*KEYS)
        seconds = self.library.loop(
            ctypes.c_void_p(self.api), ctypes.c_void_p(state),
            ctypes.c_long(int(HmolarP_INPUTS)), ctypes.c_void_p(h.ctypes.data),
            ctypes.c_void_p(p.ctypes.data), ctypes.c_long(len(points)), keys,
            ctypes.c_long(every), ctypes.byref(total),
            ctypes.c_void_p(values.ctypes.data), ctypes.byref(error))
        if error.value:
            raise RuntimeError(f"{backend}: {error.value.decode()}")
        return seconds


def fast_evaluate(fluid, points, repeats):
    """CoolProp's batch function of its tables: one call for all points."""
    state = AbstractState("BICUBIC&HEOS", fluid)
    p, h = (np.ascontiguousarray(points[:, column]) for column in (0, 1))
    keys = np.array([int(key) for key in KEYS[:3]], dtype=np.int32)
    out = np.zeros((len(points), len(keys)))
    status = np.zeros(len(points), dtype=np.int32)
    best = 1e9
    for _ in range(repeats):
        start = time.perf_counter()
        state.fast_evaluate(HmolarP_INPUTS, h, p, keys, out, status)
        best = min(best, time.perf_counter() - start)
    return best / len(points), out, int((status != 0).sum())


def tespy_cycle(fluid):
    """Seconds to solve the cycle anew, and its COP: from scratch and from a solution."""
    import logging

    from tespy.components import Compressor, CycleCloser, SimpleHeatExchanger, Valve
    from tespy.connections import Connection
    from tespy.networks import Network

    logging.disable(logging.CRITICAL)

    def network():
        net = Network(iterinfo=False)
        net.units.set_defaults(temperature="degC", pressure="bar")
        closer, compressor = CycleCloser("closer"), Compressor("compressor")
        condenser, valve = SimpleHeatExchanger("condenser"), Valve("valve")
        evaporator = SimpleHeatExchanger("evaporator")
        suction = Connection(closer, "out1", compressor, "in1", label="1")
        discharge = Connection(compressor, "out1", condenser, "in1", label="2")
        liquid = Connection(condenser, "out1", valve, "in1", label="3")
        wet = Connection(valve, "out1", evaporator, "in1", label="4")
        back = Connection(evaporator, "out1", closer, "in1", label="0")
        net.add_conns(suction, discharge, liquid, wet, back)
        compressor.set_attr(eta_s=0.65)
        condenser.set_attr(pr=1)
        evaporator.set_attr(pr=1)
        suction.set_attr(fluid={fluid: 1}, m=1, T_dew=5, td_dew=10)
        liquid.set_attr(T_bubble=55, td_bubble=5)
        return net, compressor, (suction, discharge, liquid)

    def cop(states):
        suction, discharge, liquid = (state.h.val_SI for state in states)
        return (suction - liquid) / (discharge - suction)

    first = again = 1e9
    for _ in range(5):
        net, compressor, states = network()
        start = time.perf_counter()
        net.solve("design")
        first = min(first, time.perf_counter() - start)
        for efficiency in (0.66, 0.65, 0.66, 0.65):
            compressor.set_attr(eta_s=efficiency)
            start = time.perf_counter()
            net.solve("design")
            again = min(again, time.perf_counter() - start)
        net.assert_convergence()
    return first, again, cop(states)


def main():
    work = pathlib.Path(sys.argv[1])
    ours = json.loads((work / "ours.json").read_text())
    compiled = Compiled(str(work / "coolprop_loop.so"))
    import tespy

    print(f"CoolProp {CoolProp.__version__}, TESPy {tespy.__version__}")
    for name, theirs in NAMES.items():
        set_reference_state(theirs, "IIR")
        points = np.loadtxt(work / f"{name}.csv", delimiter=",")
        points[:, 1] *= AbstractState("HEOS", theirs).molar_mass()
        print(f"\n{name}, {len(points)} states from pressure and enthalpy at random:")
        full, exact = compiled.best("HEOS", theirs, points, 20)
        full_every, _ = compiled.best("HEOS", theirs, points, 20, every=True)
        bicubic, rough = compiled.best("BICUBIC&HEOS", theirs, points, 200)
        every, _ = compiled.best("BICUBIC&HEOS", theirs, points, 200, every=True)
        batch, _, failed = fast_evaluate(theirs, points, 200)
        row = ours[name]
        table = row["table"]
        print(f"  our table: T, ρ, s, quality, slopes          {1e9 * table:6.0f} ns")
        for what, seconds in (
                ("CoolProp BICUBIC: T, ρ, s, quality, slopes", every),
                ("CoolProp BICUBIC: T, ρ, s alone", bicubic),
                ("CoolProp BICUBIC by fast_evaluate: T, ρ, s", batch),
                ("CoolProp full equation: T, ρ, s, q., slopes", full_every),
                ("CoolProp full equation: T, ρ, s alone", full),
                ("our full equation: T, ρ, s, quality", row["equation"])):
            print(f"  {what:44s} {1e9 * seconds:6.0f} ns, {seconds / table:6.1f} times as long")
        if failed:
            print(f"  (fast_evaluate gave no value for {failed} of the states)")
        kelvin = np.abs(rough[:, 0] - exact[:, 0])
        density = np.abs(rough[:, 1] / exact[:, 1] - 1.0)
        print(f"  BICUBIC against its full equation: {np.nanmax(kelvin) * 1e3:.1f} mK, "
              f"density {np.nanmax(density):.1e} at worst")
        first, again, cop = tespy_cycle(theirs)
        cycle = ours[name]["cycle"]
        print(f"{name}, steady cycle 5/55 °C, 10/5 K, efficiency 0.65:")
        print(f"  ours, seven states by the equation {1e6 * cycle:9.0f} µs")
        print(f"  TESPy, its network from scratch    {1e6 * first:9.0f} µs, {first / cycle:7.0f} of ours, "
              f"COP {cop:.4f}")
        print(f"  TESPy, from a solution near it     {1e6 * again:9.0f} µs, {again / cycle:7.0f} of ours")


if __name__ == "__main__":
    main()
