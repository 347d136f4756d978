"""Compare water and dry air with an independent implementation of the IAPWS
releases and of the reference equation of state of air.

usage: /usr/bin/python3 fluids.py ROWS.json

ROWS.json is written by `go test ./sim/fluid -run TestDump -dump ROWS.json`.
Needs Debian's python3-iapws. Prints the largest relative difference of each
property and exits 1 if one is larger than the package states.
"""

import json
import sys

from iapws import IAPWS95
from iapws.humidAir import Air
from iapws.iapws97 import _PSat_T

STANDARD_PRESSURE = 0.101325  # MPa

# Largest relative differences that package fluid states for its formulas.
WATER_LIMITS = {
    "density": 1e-7,
    "specific_heat": 3.5e-5,
    "viscosity": 3.1e-5,
    "conductivity": 2.5e-5,
    "saturation_pa": 3e-4,
}
# Dry air: at 0 to 60 °C, and over the whole range of the formulas.
AIR_LIMITS = {
    "density": (6e-4, 1.6e-3),
    "specific_heat": (1e-5, 2e-4),
    "viscosity": (6e-3, 1.1e-2),
    "conductivity": (9.5e-3, 1.8e-2),
}


def reference(state):
    return {
        "density": state.rho,
        "specific_heat": 1e3 * state.cp,
        "viscosity": state.mu,
        "conductivity": state.k,
    }


def water(t_c):
    t = t_c + 273.15
    values = reference(IAPWS95(T=t, P=STANDARD_PRESSURE))
    values["saturation_pa"] = 1e6 * _PSat_T(t)
    return values


def dry_air(t_c):
    return reference(Air(T=t_c + 273.15, P=STANDARD_PRESSURE))


def compare(title, rows, model, limits):
    """Print the worst relative difference of each property; count the excesses."""
    if not rows:
        print(f"{title}: no rows")
        return 1
    expected = [model(row["t_c"]) for row in rows]
    excess = 0
    for name, limit in limits.items():
        worst, where = max(
            (abs(row[name] / want[name] - 1), row["t_c"])
            for row, want in zip(rows, expected)
        )
        good = worst <= limit
        excess += not good
        verdict = "ok" if good else "TOO LARGE"
        print(f"{title:22} {name:15} {worst:9.2e} at {where:6.1f} °C, stated {limit:.1e}  {verdict}")
    return excess


def main(path):
    with open(path, encoding="utf-8") as file:
        rows = json.load(file)
    room = [row for row in rows["dry_air"] if 0 <= row["t_c"] <= 60]
    excess = compare("water 5..95 °C", rows["water"], water, WATER_LIMITS)
    excess += compare("dry air 0..60 °C", room, dry_air, {k: v[0] for k, v in AIR_LIMITS.items()})
    excess += compare("dry air -50..150 °C", rows["dry_air"], dry_air, {k: v[1] for k, v in AIR_LIMITS.items()})
    return 1 if excess else 0


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    sys.exit(main(sys.argv[1]))
