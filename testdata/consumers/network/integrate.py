#!/usr/bin/env python3
"""Integrate a soakledger network again with SciPy and compare every row.

usage: integrate.py NETWORK.json TRACE.csv

NETWORK.json is what `soakledger check --network FILE` prints: capacities,
masses of coolant, conductances, streams, leaks, sources, the coolant's table,
the flows and conductances that follow a pump as tables over a temperature, heat
flows as tables over a difference, passes and streams of air, the room's
temperature over time, and the requested power of every phase. TRACE.csv holds
the trace of `soakledger run FILE`. The right-hand side below is written from
those data alone. SciPy's Radau (Hairer & Wanner, Radau IIA of order five,
through an own error control) integrates it from the start temperatures,
restarted at every jump of the load and every bend of the room's temperature,
so that no step crosses one. The exit code is 1 if any lump, the room, or the
air into or out of any radiator differs by more than 1 mK at any stored time,
the heat of a radiator by more than what 1 mK and the stored grid explain, or
the energies by more than 1e-6 of what came in.
"""

import csv
import json
import sys

import numpy
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline, PPoly

ALLOWED_K = 1e-3
ALLOWED_ENERGY = 1e-6  # of the energy that came in
HEAT_GRID = 0.125  # W, to which the trace rounds the heat of radiators
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


class Air:
    """Passes and streams of air, linear in temperatures and powers at given ties.

    The unknowns are inlet and outlet of every pass and the temperature of the
    place behind it, in this order: matrix @ unknowns = by_node @ nodes +
    by_power @ powers, but for the ties, which follow the coolant. Every node
    gets the heat at_node @ nodes + at_air @ unknowns + at_power @ powers.
    Temperatures count from where enthalpy is zero.
    """

    def __init__(self, network, index, sources):
        passes, nodes = network["Passes"] or [], len(index)
        self.passes, self.index = passes, index
        self.number = {p["Name"]: k for k, p in enumerate(passes)}
        self.count = n = len(passes)
        self.matrix, self.by_node, self.by_power = (numpy.zeros((3 * n, k)) for k in (3 * n, nodes, sources))
        self.at_node, self.at_air, self.at_power = (numpy.zeros((nodes, k)) for k in (nodes, 3 * n, sources))
        self.ties = []
        brought = numpy.zeros((n, 3 * n))  # what passes bring to the place behind each
        breathed = numpy.zeros(n)  # what they breathe there
        for k, p in enumerate(passes):
            self.add_core(k, p)
            self.add_ways(k, p, brought, breathed)
        for k, p in enumerate(passes):
            self.add_place(k, self.shares(p["To"]), brought[k], breathed[k])
        for s in network["AirStreams"] or []:
            self.add_stream(s)
        self.check_still()

    def shares(self, ends):
        """A share of air from every node."""
        of = numpy.zeros(len(self.index))
        for end in ends or []:
            if not end["Pass"]:
                of[self.index[end["Node"]]] += end["Share"]
        return of

    def exhausts(self, p):
        """The passes behind which a pass breathes, with the shares."""
        return [(self.number[end["Pass"]], end["Share"]) for end in p["From"] if end["Pass"]]

    def add_core(self, k, p):
        """Inlet and outlet of a core, but for the ties."""
        inlet, outlet, place, c = k, self.count + k, 2 * self.count, p["Rate"]
        self.matrix[inlet, inlet] = self.matrix[outlet, outlet] = c or 1.0
        if not c:
            return self.heat_still(p)
        fresh = (1 - p["Recirculation"]) * c
        self.matrix[inlet, outlet] = -p["Recirculation"] * c
        self.matrix[outlet, inlet] = -c
        if p["Backward"]:
            self.matrix[inlet, place + k] -= fresh
        else:
            self.by_node[inlet] = fresh * self.shares(p["From"])
            for behind, share in self.exhausts(p):
                self.matrix[inlet, place + behind] -= fresh * share
        self.by_power[inlet, p["Before"] or []] = 1
        self.by_power[outlet, p["Behind"] or []] = 1
        for tie in p["Ties"] or []:
            key = (tie["Circuit"], tie["Quantity"]) if tie["Circuit"] else None
            self.ties.append((k, self.index[tie["Metal"]], key, tie["Share"]))

    def heat_still(self, p):
        """Without air the power of fans goes where it would be breathed."""
        heated = self.shares(p["To"])
        if not p["Backward"]:
            heated = self.shares(p["From"])
            for behind, share in self.exhausts(p):
                heated += share * self.shares(self.passes[behind]["To"])
        self.at_power[:, (p["Before"] or []) + (p["Behind"] or [])] += heated[:, None]

    def add_ways(self, k, p, brought, breathed):
        """What a pass takes from nodes and places, and gives there."""
        fresh, outlet = (1 - p["Recirculation"]) * p["Rate"], self.count + k
        forced = p["Forced"] * fresh
        front = self.shares(p["From"])
        if p["Backward"]:
            breathed[k] += fresh
            self.at_air[:, outlet] += forced * front + (fresh - forced) * self.shares(p["To"])
            for behind, share in self.exhausts(p):
                brought[behind, outlet] += share * forced
            return
        brought[k, outlet] += forced
        self.at_node -= numpy.diag(fresh * front)
        self.at_air[:, outlet] += (fresh - forced) * front
        for behind, share in self.exhausts(p):
            breathed[behind] += share * fresh
            self.at_air[:, outlet] += share * (fresh - forced) * self.shares(self.passes[behind]["To"])

    def add_place(self, k, to, brought, breathed):
        """The mixture behind a pass, and what the nodes there add or get."""
        place, comes = 2 * self.count + k, numpy.sum(brought)
        through, lack = max(comes, breathed), max(0.0, breathed - comes)
        self.matrix[place] -= brought
        self.matrix[place, place] += through or 1.0
        self.by_node[place] = lack * to
        self.at_node -= numpy.diag(lack * to)
        self.at_air[:, place] += max(0.0, comes - breathed) * to

    def add_stream(self, s):
        """A stream between two nodes, and the heat of its fans."""
        up, down, rate = self.index[s["From"]], self.index[s["To"]], s["Rate"]
        if rate < 0:
            up, down, rate = down, up, -rate
        self.at_node[up, up] -= rate
        self.at_node[down, up] += rate
        self.at_power[down, s["Sources"] or []] += 1

    def check_still(self):
        """Air and nodes of one temperature exchange nothing, or air is lost; what takes up each power."""
        one = numpy.ones(len(self.index))
        unknowns = numpy.linalg.solve(self.matrix, self.by_node @ one) if self.count else numpy.zeros(0)
        left = self.at_node @ one + self.at_air @ unknowns
        if numpy.any(numpy.abs(left) > 1e-9 * max(1.0, numpy.max(numpy.abs(self.at_node)))):
            raise SystemExit("a node gains or loses air")
        self.heats = numpy.sum(self.at_power, axis=0) + numpy.sum(self.by_power, axis=0)

    def solve(self, nodes, power, quantity):
        """Inlet, outlet and place of every pass, and the conductance of every tie."""
        ties = [share * (quantity[key] if key else 1.0) for _, _, key, share in self.ties]
        if not self.count:
            return numpy.zeros(0), ties
        matrix, right = self.matrix.copy(), self.by_node @ nodes + self.by_power @ power
        for (k, metal, _, _), g in zip(self.ties, ties):
            matrix[self.count + k, k] += g
            right[self.count + k] += g * nodes[metal]
        return numpy.linalg.solve(matrix, right), ties

    def heat(self, nodes, power, quantity):
        """Heat into every node, W."""
        unknowns, ties = self.solve(nodes, power, quantity)
        heat = self.at_node @ nodes + self.at_air @ unknowns + self.at_power @ power
        for (k, metal, _, _), g in zip(self.ties, ties):
            heat[metal] -= g * (nodes[metal] - unknowns[k])
        return heat


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
        # Enthalpy across boundaries counts from here. As much air comes as goes, so any would do.
        self.reference = self.fixed[0]
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
        self.sources = [[index[lump] for lump in s["Lumps"] or []] for s in n["Sources"] or []]
        self.source_names = [s["Name"] for s in n["Sources"] or []]
        if any(d["Free"] for d in n["Drives"] or []) or any(o["Blend"] for o in n["Operations"] or []):
            raise SystemExit("speeds move, which this program does not know")
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
        self.air = Air(n, index, len(self.sources))
        for name, lumps_of, times in zip(self.source_names, self.sources, self.air.heats):
            if abs(times + (1 if lumps_of else 0) - 1) > 1e-9:
                raise SystemExit(f"{name} heats nothing, or more than one thing")
        self.check_flows()
        if n["Coolant"]:
            table = n["Coolant"]
            self.enthalpy = CubicSpline(table["Temperature"], table["Enthalpy"])
            self.specific_heat = CubicSpline(table["Temperature"], table["SpecificHeat"])
            self.check_table(table)
        self.power, self.ambient = None, None  # of the interval in hand

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

    def follow(self, nodes, quantity, heat):
        """Add the heat of what follows operations, and of curves."""
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

    def nodes_at(self, time, lumps):
        """All temperatures."""
        fixed = self.fixed.copy()
        fixed[0] = self.ambient["Temperature"] + self.ambient["Slope"] * (time - self.ambient["From"])
        return numpy.concatenate([lumps, fixed])

    def rates(self, time, state):
        lumps = state[: self.count]
        nodes = self.nodes_at(time, lumps)
        heat = self.links @ nodes
        if self.streams:
            h = self.enthalpy(nodes)
            for upstream, downstream, flow in self.streams:
                heat[upstream] -= flow * h[upstream]
                heat[downstream] += flow * h[upstream]
        quantity = self.quantities(nodes)
        self.follow(nodes, quantity, heat)
        heat += self.air.heat(nodes - self.reference, self.power, quantity)
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

    def observe(self, time, lumps):
        """The room, then of every pass the air in and out (K) and the heat of its metal (W)."""
        nodes, n = self.nodes_at(time, lumps), self.air.count
        unknowns, ties = self.air.solve(nodes - self.reference, self.power, self.quantities(nodes))
        row = numpy.zeros(1 + 3 * n)
        row[0] = nodes[self.count]
        row[1 : 1 + 2 * n] = unknowns[: 2 * n] + self.reference
        for (k, metal, _, _), g in zip(self.air.ties, ties):
            row[1 + 2 * n + k] += g * (nodes[metal] - row[1 + k])
        return row

    @staticmethod
    def leak(leak, temperature):
        x = leak["Growth"] * (temperature - leak["At"])
        if leak["Linear"]:
            return leak["Power"] * max(0.0, 1 + x)
        return leak["Power"] * numpy.exp(x)


def intervals(export):
    """From, to, power and the room of every interval between two jumps or bends."""
    ambient = export["Ambient"]
    ends = [a["From"] for a in ambient[1:]] + [numpy.inf]
    for phase in export["Phases"]:
        for a, end in zip(ambient, ends):
            begin, end = max(phase["From"], a["From"]), min(phase["To"], end)
            if begin < end:
                yield begin, end, numpy.array(phase["Power"], dtype=float), a


def integrate(network, export, times, tolerance):
    """States and what is observed at all times, a jump's from the interval that begins there."""
    state = numpy.concatenate([export["Start"], [0.0, 0.0]])
    rows, observed, evaluations = [], [], 0
    for begin, end, network.power, network.ambient in intervals(export):
        last = end == export["Duration"]
        inside = times[(times >= begin) & ((times <= end) if last else (times < end))]
        at = numpy.append(inside, end) if not len(inside) or inside[-1] < end else inside
        solution = solve_ivp(
            network.rates, (begin, end), state, method="Radau", t_eval=at, rtol=tolerance, atol=tolerance
        )
        if not solution.success:
            raise SystemExit(f"from {begin:g} s on: {solution.message}")
        evaluations += solution.nfev
        rows.append(solution.y[:, : len(inside)])
        observed += [network.observe(t, y[: network.count]) for t, y in zip(inside, rows[-1].T)]
        state = solution.y[:, -1]
    return numpy.concatenate(rows, axis=1).T, numpy.array(observed), evaluations


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


def compare(network, trace, states, observed):
    """Print the differences; return whether they are small enough."""
    n, passes = network.air.count, [p["Name"] for p in network.air.passes]
    air = [(name + "_air_in_c", observed[:, 1 + k]) for k, name in enumerate(passes)]
    air += [(name + "_air_out_c", observed[:, 1 + n + k]) for k, name in enumerate(passes)]
    groups = [
        ("temperatures", [(column_of(name), states[:, i]) for i, name in enumerate(network.names)]),
        ("the room", [("ambient_c", observed[:, 0])]),
        ("air of radiators", [(column, values) for column, values in air if column in trace]),
    ]
    good = all([compare_temperatures(trace, title, group) for title, group in groups if group])
    good = compare_heats(network, trace, observed) and good
    total = states[-1, network.count]
    for i, column in enumerate(["energy_in_j", "heat_out_j"]):
        apart = numpy.max(numpy.abs(trace[column] - states[:, network.count + i])) / total
        print(f"  {column}: at most {apart:.1e} of {total:.6g} J apart, allowed {ALLOWED_ENERGY:.0e}")
        good = good and apart <= ALLOWED_ENERGY
    return good


def compare_temperatures(trace, title, group):
    """The largest difference of a group of columns, with its place."""
    worst, where = 0.0, "everywhere"
    for column, values in group:
        difference = numpy.abs(trace[column] + ZERO_CELSIUS - values)
        k = int(numpy.argmax(difference))
        if not difference[k] <= worst:
            worst, where = difference[k], f"{column} at {trace['time_s'][k]:g} s"
    print(f"  {title}: at most {worst * 1e3:.4f} mK apart ({where}), allowed {ALLOWED_K * 1e3:g} mK")
    return worst <= ALLOWED_K


def compare_heats(network, trace, observed):
    """The heat of every radiator: half a step of its grid, and 1 mK of its air."""
    good = True
    for k, p in enumerate(network.air.passes):
        column = p["Name"] + "_heat_w"
        if column not in trace:
            continue
        allowed = HEAT_GRID / 2 + p["Rate"] * ALLOWED_K
        apart = numpy.max(numpy.abs(trace[column] - observed[:, 1 + 2 * network.air.count + k]))
        print(f"  {column}: at most {apart:.4f} W apart, allowed {allowed:.4f} W")
        good = good and apart <= allowed
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
    flows, laws, curves = len(network.flows), len(network.laws), len(network.curves)
    print(f"  {flows} flows and {laws} conductances by operation, {curves} curves")
    streams, bends = len(export["Network"]["AirStreams"] or []), len(export["Ambient"]) - 1
    print(f"  {network.air.count} passes and {streams} streams of air, {bends} bends of the room's temperature")
    check_powers(network, export, trace)
    coarse, _, _ = integrate(network, export, times, 1e-8)
    states, observed, evaluations = integrate(network, export, times, 1e-10)
    own = numpy.max(numpy.abs(states[:, : network.count] - coarse[:, : network.count]))
    print(f"  Radau, rtol = atol = 1e-10: {evaluations} evaluations; {own * 1e3:.1e} mK from its result at 1e-8")
    network.check_account(states)
    if not compare(network, trace, states, observed):
        raise SystemExit("  TOO FAR APART")


if __name__ == "__main__":
    main()
