#!/usr/bin/env python3
"""Integrate a soakledger network again with SciPy and compare every row.

usage: integrate.py NETWORK.json TRACE.csv

NETWORK.json is what `soakledger check --network FILE` prints: capacities,
masses of coolant, conductances, streams, leaks, sources, the coolant's table,
the flows and conductances that follow a pump as tables over a temperature, heat
flows as tables over a difference, and the requested power of every phase. TRACE.csv holds the trace of
`soakledger run FILE`. The right-hand side below is written from those data
alone. SciPy's Radau (Hairer & Wanner, Radau IIA of order five, through an own
error control) integrates it from the start temperatures, restarted at every
jump of the load, so that no step crosses one. The exit code is 1 if any lump
differs by more than 1 mK at any stored time, or the energies by more than
1e-6 of what came in.
"""

import csv
import json
import sys

import numpy
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline, PPoly

ALLOWED_K = 1e-3
ALLOWED_ENERGY = 1e-6  # of the energy that came in
ZERO_CELSIUS = 273.15


class Table:
    """Piecewise cubics, each over the place from 0 to 1 between its two knots."""

    def __init__(self, knots, cubics):
        knots, c = numpy.array(knots, dtype=float), numpy.array(cubics, dtype=float)
        width = numpy.diff(knots)
        if c.shape != (len(width), 4) or not numpy.all(width > 0):
            raise SystemExit("a table's knots and coefficients do not belong together")
        powers = width[:, None] ** numpy.array([3, 2, 1, 0])
        # SciPy counts from the left knot in the argument's own unit, highest power first.
        self.spline = PPoly((c[:, ::-1] / powers).T, knots)
        self.slope = self.spline.derivative()
        self.low, self.high = knots[0], knots[-1]
        for function, order in ((self.spline, 0), (self.slope, 1)):
            left = function.c[:, :-1]
            ends = sum(left[k] * width[:-1] ** (len(left) - 1 - k) for k in range(len(left)))
            jump = numpy.abs(ends - function.c[-1, 1:]) * width[:-1] ** order
            if numpy.any(jump > 1e-12 * numpy.max(numpy.abs(c))):
                raise SystemExit("a table jumps at a knot")

    def held(self, x):
        """The value, kept as at the nearest end outside."""
        return float(self.spline(min(max(x, self.low), self.high)))

    def straight(self, x):
        """The value, going on straight outside."""
        inside = min(max(x, self.low), self.high)
        return float(self.spline(inside) + self.slope(inside) * (x - inside))


class Network:
    """The right-hand side: lumps first (K/s), then energy in and heat out (W)."""

    def __init__(self, export):
        n = export["Network"]
        lumps = n["Lumps"]
        names = [lump["Name"] for lump in lumps] + n["Boundaries"]
        index = {name: i for i, name in enumerate(names)}
        if len(index) != len(names):
            raise SystemExit("two nodes have the same name")
        self.names = names[: len(lumps)]
        self.count = len(lumps)
        self.fixed = numpy.array(export["Boundaries"], dtype=float)
        self.capacity = numpy.array([lump["Capacity"] for lump in lumps], dtype=float)
        self.mass = numpy.array([lump["Mass"] for lump in lumps], dtype=float)
        self.liquid = numpy.flatnonzero(self.mass > 0)
        if numpy.any((self.capacity > 0) == (self.mass > 0)):
            raise SystemExit("a lump has both a capacity and coolant, or neither")
        self.links = self.matrix(n["Conductances"] or [], "Conductance", index)
        self.streams = [
            (index[s["From"]], index[s["To"]], s["MassFlow"]) for s in n["Streams"] or []
        ]
        self.leaks = [(index[leak["Lump"]], leak) for leak in n["Leaks"] or []]
        self.sources = [[index[lump] for lump in s["Lumps"]] for s in n["Sources"] or []]
        self.source_names = [s["Name"] for s in n["Sources"] or []]
        self.operations = [
            (o["Circuit"], index[o["Reference"]], [Table(o["Knots"], c) for c in o["Quantities"]])
            for o in n["Operations"] or []
        ]
        follow = lambda l: (index[l["From"]], index[l["To"]], (l["Circuit"], l["Quantity"]))
        self.laws = [(*follow(l), l["Share"]) for l in n["Laws"] or []]
        self.flows = [follow(f) for f in n["Flows"] or []]
        self.curves = [
            (index[c["From"]], index[c["To"]], Table(c["Knots"], c["Cubics"])) for c in n["Curves"] or []
        ]
        self.check_flows()
        if n["Coolant"]:
            table = n["Coolant"]
            self.enthalpy = CubicSpline(table["Temperature"], table["Enthalpy"])
            self.specific_heat = CubicSpline(table["Temperature"], table["SpecificHeat"])
            self.check_table(table)
        self.power = None

    def matrix(self, links, key, index):
        """Heat into every node is this matrix times all temperatures."""
        size = self.count + len(self.fixed)
        m = numpy.zeros((size, size))
        for link in links:
            a, b, g = index[link["From"]], index[link["To"]], link[key]
            m[a, a] -= g
            m[a, b] += g
            m[b, b] -= g
            m[b, a] += g
        return m

    def check_table(self, table):
        """Specific heat must be the slope of enthalpy."""
        t = numpy.array(table["Temperature"])
        slope = self.enthalpy.derivative()(t[4:-4])  # a spline's ends are less exact
        worst = numpy.max(numpy.abs(slope / numpy.array(table["SpecificHeat"])[4:-4] - 1))
        print(f"  enthalpy's slope and the specific heat agree to {worst:.1e}")
        if worst > 1e-6:
            raise SystemExit("the coolant's table contradicts itself")

    def quantities(self, nodes):
        """All quantities of all circuits at the temperatures of their references."""
        return {
            (circuit, k): table.held(nodes[reference])
            for circuit, reference, tables in self.operations
            for k, table in enumerate(tables)
        }

    def check_flows(self):
        """As much coolant comes into every lump as goes out, at any temperature."""
        for t in numpy.linspace(230.0, 380.0, 61):
            quantity = self.quantities(numpy.full(self.count + len(self.fixed), t))
            excess, size = numpy.zeros(self.count), 0.0
            for upstream, downstream, key in self.flows:
                excess[upstream] -= quantity[key]
                excess[downstream] += quantity[key]
                size = max(size, quantity[key])
            if numpy.any(numpy.abs(excess) > 1e-9 * size):
                raise SystemExit("a lump gains or loses coolant")

    def follow(self, nodes, heat):
        """Add the heat of what follows operations, and of curves."""
        quantity = self.quantities(nodes)
        for a, b, key, share in self.laws:
            q = share * quantity[key] * (nodes[a] - nodes[b])
            heat[a] -= q
            heat[b] += q
        if self.flows:
            h = self.enthalpy(nodes)
            for upstream, downstream, key in self.flows:
                heat[upstream] -= quantity[key] * h[upstream]
                heat[downstream] += quantity[key] * h[upstream]
        for a, b, table in self.curves:
            q = table.straight(nodes[a] - nodes[b])
            heat[a] -= q
            heat[b] += q

    def rates(self, _time, state):
        lumps = state[: self.count]
        nodes = numpy.concatenate([lumps, self.fixed])
        heat = self.links @ nodes
        if self.streams:
            h = self.enthalpy(nodes)
            for upstream, downstream, flow in self.streams:
                heat[upstream] -= flow * h[upstream]
                heat[downstream] += flow * h[upstream]
        self.follow(nodes, heat)
        energy_in = 0.0
        for lump, leak in self.leaks:
            p = self.leak(leak, nodes[lump])
            heat[lump] += p
            energy_in += p
        for lumps_of, power in zip(self.sources, self.power):
            energy_in += power
            for lump in lumps_of:
                heat[lump] += power / len(lumps_of)
        capacity = self.capacity.copy()
        capacity[self.liquid] = self.mass[self.liquid] * self.specific_heat(lumps[self.liquid])
        heat_out = numpy.sum(heat[self.count :])  # what the boundaries receive
        return numpy.concatenate([heat[: self.count] / capacity, [energy_in, heat_out]])

    def check_account(self, states):
        """What came in and did not go out is in the lumps, or this program is wrong."""
        lumps, start = states[:, : self.count], states[0, : self.count]
        stored = (lumps - start) @ self.capacity
        if len(self.liquid):
            h = self.enthalpy(lumps[:, self.liquid]) - self.enthalpy(start[self.liquid])
            stored += h @ self.mass[self.liquid]
        total = states[-1, self.count]
        left = numpy.max(numpy.abs(states[:, self.count] - states[:, self.count + 1] - stored)) / total
        print(f"  its own energies close to {left:.1e}")
        if left > 1e-9:
            raise SystemExit("the reference does not conserve energy")

    @staticmethod
    def leak(leak, temperature):
        x = leak["Growth"] * (temperature - leak["At"])
        if leak["Linear"]:
            return leak["Power"] * max(0.0, 1 + x)
        return leak["Power"] * numpy.exp(x)


def integrate(network, export, times, tolerance):
    """States at all times, a jump's row taken from the phase that begins there."""
    state = numpy.concatenate([export["Start"], [0.0, 0.0]])
    rows, evaluations = [], 0
    last = len(export["Phases"]) - 1
    for k, phase in enumerate(export["Phases"]):
        begin, end = phase["From"], phase["To"]
        network.power = phase["Power"]
        inside = times[(times >= begin) & ((times <= end) if k == last else (times < end))]
        at = numpy.append(inside, end) if not len(inside) or inside[-1] < end else inside
        solution = solve_ivp(
            network.rates, (begin, end), state, method="Radau", t_eval=at, rtol=tolerance, atol=tolerance
        )
        if not solution.success:
            raise SystemExit(f"phase {k + 1}: {solution.message}")
        evaluations += solution.nfev
        rows.append(solution.y[:, : len(inside)])
        state = solution.y[:, -1]
    return numpy.concatenate(rows, axis=1).T, evaluations


def read_trace(name):
    with open(name, newline="", encoding="utf-8") as file:
        lines = csv.reader(file)
        header = next(lines)
        table = numpy.array([[float(x) for x in line] for line in lines])
    return {column: table[:, i] for i, column in enumerate(header)}


def column_of(name):
    return name.replace(".", "_").replace("[", "_").replace("]", "") + "_c"


def check_powers(network, export, trace):
    """The trace's powers are those of the phases."""
    times = trace["time_s"]
    for phase in export["Phases"]:
        inside = (times >= phase["From"]) & (times < phase["To"])
        for name, power in zip(network.source_names, phase["Power"]):
            if numpy.any(trace[name + "_power_w"][inside] != power):
                raise SystemExit(f"{name} from {phase['From']} s on is not {power} W in the trace")


def compare(network, trace, states):
    """Print the differences; return whether they are small enough."""
    times, worst, where = trace["time_s"], 0.0, ""
    for i, name in enumerate(network.names):
        difference = numpy.abs(trace[column_of(name)] + ZERO_CELSIUS - states[:, i])
        k = int(numpy.argmax(difference))
        if not difference[k] <= worst:
            worst, where = difference[k], f"{name} at {times[k]:g} s"
    print(f"  temperatures: at most {worst * 1e3:.4f} mK apart ({where}), allowed {ALLOWED_K * 1e3:g} mK")
    good = worst <= ALLOWED_K
    total = states[-1, network.count]
    for i, column in enumerate(["energy_in_j", "heat_out_j"]):
        apart = numpy.max(numpy.abs(trace[column] - states[:, network.count + i])) / total
        print(f"  {column}: at most {apart:.1e} of {total:.6g} J apart, allowed {ALLOWED_ENERGY:.0e}")
        good = good and apart <= ALLOWED_ENERGY
    return good


def main():
    if len(sys.argv) != 3:
        raise SystemExit("usage: integrate.py NETWORK.json TRACE.csv")
    with open(sys.argv[1], encoding="utf-8") as file:
        export = json.load(file)
    trace = read_trace(sys.argv[2])
    network = Network(export)
    times = trace["time_s"]
    phases = export["Phases"]
    if times[0] != 0 or times[-1] != export["Duration"] or phases[-1]["To"] != export["Duration"]:
        raise SystemExit("the trace does not cover the run")
    print(f"  {network.count} lumps, {len(phases)} phases, {len(times)} rows")
    print(f"  {len(network.flows)} flows and {len(network.laws)} conductances by operation, {len(network.curves)} curves")
    check_powers(network, export, trace)
    coarse, _ = integrate(network, export, times, 1e-8)
    states, evaluations = integrate(network, export, times, 1e-10)
    own = numpy.max(numpy.abs(states[:, : network.count] - coarse[:, : network.count]))
    print(f"  Radau, rtol = atol = 1e-10: {evaluations} evaluations; {own * 1e3:.1e} mK from its result at 1e-8")
    network.check_account(states)
    if not compare(network, trace, states):
        raise SystemExit("  TOO FAR APART")


if __name__ == "__main__":
    main()
