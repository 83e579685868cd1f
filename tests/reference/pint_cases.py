"""Writes pint_cases.json: random conversions and expressions, computed by the unit library pint.

The Rust tests read the JSON, so they need no Python. To make it anew:

    python3 -m venv /tmp/pint && /tmp/pint/bin/pip install pint==0.24.4
    /tmp/pint/bin/python tests/reference/pint_cases.py

Left out because the two differ on purpose: pint takes a revolution for 2 pi of a dimensionless radian, so that its
hertz and its rpm differ by 2 pi; here rpm and Hz are one kind, as the trade uses them. Angular speed is compared in
rad/s, rpm and deg/s.
"""

import json
import math
import pathlib
import random

import pint

VERSION = "0.24.4"
assert pint.__version__ == VERSION, f"made with pint {VERSION}, this is {pint.__version__}"
UREG = pint.UnitRegistry()
# pint has the inch of water at 39.2 degrees F; the conventional one is a definition.
UREG.define("inch_H2O_conventional = 249.08891 * pascal")
RANDOM = random.Random(20261)

# By dimension: the symbol of the language, and pint's name.
UNITS = {
    "length": {"m": "m", "mm": "mm", "cm": "cm", "µm": "um", "km": "km", "in": "inch", "ft": "foot", "yd": "yard", "mi": "mile"},
    "time": {"s": "s", "ms": "ms", "min": "minute", "h": "hour", "d": "day"},
    "mass": {"kg": "kg", "g": "g", "mg": "mg", "t": "metric_ton", "lb": "pound", "oz": "ounce"},
    "force": {"N": "N", "kN": "kN", "lbf": "force_pound", "kgf": "force_kilogram", "ozf": "force_ounce"},
    "pressure": {"Pa": "Pa", "kPa": "kPa", "MPa": "MPa", "bar": "bar", "mbar": "mbar", "psi": "psi", "inHg": "inch_Hg", "inH2O": "inch_H2O_conventional"},
    "energy": {"J": "J", "kJ": "kJ", "kWh": "kWh"},
    "power": {"W": "W", "kW": "kW", "hp": "horsepower", "hp_metric": "metric_horsepower"},
    "volume": {"L": "L", "mL": "mL", "galUS": "gallon", "galUK": "imperial_gallon", "qtUS": "quart", "fl_ozUS": "fluid_ounce", "fl_ozUK": "imperial_fluid_ounce"},
    "speed": {"m/s": "m/s", "km/h": "km/hour", "mph": "mile/hour", "kn": "knot"},
    "current": {"A": "A", "mA": "mA"},
    "voltage": {"V": "V", "mV": "mV"},
    "resistance": {"ohm": "ohm", "kohm": "kohm", "mohm": "mohm"},
    "charge": {"Ah": "A*hour", "A·s": "A*s", "mA·h": "mA*hour"},
    "angle": {"rad": "rad", "deg": "degree", "arcmin": "arcminute"},
    "turning": {"rad/s": "rad/s", "rpm": "rpm", "deg/s": "degree/s"},
    "frequency": {"Hz": "Hz", "kHz": "kHz"},
    "difference": {"K": "K", "delta_degC": "delta_degC", "delta_degF": "delta_degF"},
    "point": {"degC": "degC", "degF": "degF"},
    "torque": {"N·m": "N*m", "lbf·ft": "force_pound*foot", "lbf·in": "force_pound*inch"},
    "area": {"m^2": "m**2", "mm²": "mm**2", "in^2": "inch**2", "cm^2": "cm**2"},
    "cubic": {"m³": "m**3", "cm^3": "cm**3", "in^3": "inch**3", "L": "L"},
    "flow": {"L/min": "L/minute", "galUS/min": "gallon/minute", "m³/s": "m**3/s"},
    "stiffness": {"N/mm": "N/mm", "lbf/in": "force_pound/inch", "kN/m": "kN/m"},
    "density": {"kg/m³": "kg/m**3", "g/cm^3": "g/cm**3", "lb/ft^3": "pound/foot**3", "kg/L": "kg/L"},
    "economy": {"km/L": "km/L", "mi/galUS": "mile/gallon", "mi/galUK": "mile/imperial_gallon"},
    "share": {"%": "percent", "ppm": "ppm"},
}


def number():
    """A number as people write it."""
    return RANDOM.choice([f"{RANDOM.uniform(0.01, 1):.3f}", f"{RANDOM.uniform(1, 100):.2f}", str(RANDOM.randint(1, 5000))])


def pick(dimension):
    return RANDOM.choice(list(UNITS[dimension].items()))


def conversion():
    """A value in one unit, shown in another."""
    dimension = RANDOM.choice(list(UNITS))
    (ours, theirs), (to_ours, to_theirs) = pick(dimension), pick(dimension)
    text = number()
    if dimension == "point" and RANDOM.random() < 0.3:
        text = "-" + f"{RANDOM.uniform(1, 200):.1f}"
    value = UREG.Quantity(float(text), theirs).to(to_theirs).magnitude
    return f"x = {text} {ours} in {to_ours}", value


def product():
    """A product or a quotient of two quantities, shown in a product of other units of the same dimensions."""
    names = [name for name in UNITS if name not in ("point", "share", "angle", "turning", "torque", "energy", "frequency")]
    one, other = RANDOM.choice(names), RANDOM.choice(names)
    if {one, other} == {"mass", "length"}:  # pound-feet and its like are refused here
        other = "time"
    (a, a_theirs), (b, b_theirs) = pick(one), pick(other)
    (to_a, to_a_theirs), (to_b, to_b_theirs) = pick(one), pick(other)
    over = RANDOM.random() < 0.5
    x, y = number(), number()
    left, right = UREG.Quantity(float(x), a_theirs), UREG.Quantity(float(y), b_theirs)
    result = left / right if over else left * right
    target = f"({to_a_theirs})/({to_b_theirs})" if over else f"({to_a_theirs})*({to_b_theirs})"
    operator = "/" if over else "*"
    unit = f"{to_a}/({to_b})" if over else f"{to_a}·{to_b}"
    return f"x = ({x} {a}) {operator} ({y} {b}) in {unit}", result.to(target).magnitude


def term(dimension, depth):
    """The same quantity in both notations."""
    ours, theirs = pick(dimension)
    text = number()
    quantity = UREG.Quantity(float(text), theirs)
    if depth == 0:
        return f"{text} {ours}", quantity
    left, right = term(dimension, depth - 1), term(dimension, depth - 1)
    factor = number()
    choice = RANDOM.randrange(6)
    if choice == 0:
        return f"({left[0]} + {right[0]})", left[1] + right[1]
    if choice == 1:
        return f"({factor} * {left[0]})", float(factor) * left[1]
    if choice == 2:
        return f"({left[0]} / {factor})", left[1] / float(factor)
    if choice == 3:
        return f"max({left[0]}, {right[0]})", max(left[1], right[1])
    if choice == 4:
        ratio = (left[1] / right[1]).to("").magnitude
        return f"({left[0]}) / ({right[0]}) * ({text} {ours})", ratio * quantity
    return f"sqrt(({left[0]})^2 + ({right[0]})^2)", (left[1] ** 2 + right[1] ** 2) ** 0.5


FORMULAS = [
    # Left: the language with places for terms; then their dimensions, pint's formula, units of the result.
    ("({0})^2 / (2 * {1} * g0)", ("speed", None), lambda v, mu: v**2 / (2 * mu * UREG.standard_gravity), ("m", "m"), ("ft", "foot")),
    ("({0}) * ({1})", ("voltage", "current"), lambda u, i: u * i, ("W", "W"), ("kW", "kW")),
    ("({0}) * ({1})", ("force", "length"), lambda f, r: f * r, ("N·m", "N*m"), ("lbf·ft", "force_pound*foot")),
    ("({0}) / (pi / 4 * ({1})^2)", ("force", "length"), lambda f, d: f / (math.pi / 4 * d**2), ("bar", "bar"), ("psi", "psi")),
    ("({0}) / ({1})", ("charge", "current"), lambda q, i: q / i, ("h", "hour"), ("min", "minute")),
    ("({0}) * ({1})", ("current", "resistance"), lambda i, r: i * r, ("V", "V"), ("mV", "mV")),
    ("({0}) * g0", ("mass",), lambda m: m * UREG.standard_gravity, ("N", "N"), ("lbf", "force_pound")),
    ("0.5 * ({0}) * ({1})^2", ("mass", "speed"), lambda m, v: 0.5 * m * v**2, ("J", "J"), ("kWh", "kWh")),
    ("({0}) / ({1})", ("volume", "time"), lambda v, t: v / t, ("L/min", "L/minute"), ("galUS/h", "gallon/hour")),
    ("sin({0}) * ({1})", ("angle", "length"), lambda a, d: math.sin(a.to("rad").magnitude) * d, ("mm", "mm"), ("in", "inch")),
    ("exp(-({0}) / ({1} + 1 h))", ("time", "time"), lambda a, b: math.exp(-(a / (b + UREG.Quantity(1, "hour"))).to("").magnitude), ("%", "percent"), ("%", "percent")),
    ("(20 degC + {0})", ("difference",), lambda d: UREG.Quantity(20, "degC") + d.to("delta_degC"), ("degF", "degF"), ("degC", "degC")),
]


def formula():
    text, dimensions, compute, *targets = RANDOM.choice(FORMULAS)
    terms = []
    for dimension in dimensions:
        if dimension is None:
            plain = number()
            terms.append((plain, float(plain)))
        else:
            # The sine of a huge angle has few digits that mean anything.
            terms.append(term(dimension, 0 if dimension == "angle" else RANDOM.randint(0, 2)))
    ours, theirs = RANDOM.choice(targets)
    value = compute(*(quantity for _, quantity in terms))
    value = value.to(theirs).magnitude if hasattr(value, "to") else UREG.Quantity(value, "").to(theirs).magnitude
    return f"x = {text.format(*(words for words, _ in terms))} in {ours}", value


def main():
    made = [make() for make, count in ((conversion, 1200), (product, 700), (formula, 900)) for _ in range(count)]
    cases = [{"program": program, "expected": value} for program, value in made if math.isfinite(value)]
    path = pathlib.Path(__file__).with_name("pint_cases.json")
    head = {"made_by": f"pint {VERSION}, tests/reference/pint_cases.py", "cases": cases}
    path.write_text(json.dumps(head, ensure_ascii=False, indent=0) + "\n", encoding="utf-8")
    print(len(cases), "cases")


main()
