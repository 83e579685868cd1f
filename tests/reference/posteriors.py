"""Posteriors of 500 random tables and of the network `child`, by a library that is not ours.

    python3 -m venv venv && venv/bin/pip install pgmpy==1.1.2 && venv/bin/python tests/reference/posteriors.py

writes posteriors.json beside this file. The tables are made here from a fixed seed; every posterior is found by
pgmpy's variable elimination on a network with one cause and one child for each check. From `child` (Spiegelhalter
and Cowell 1992, as it ships inside the pgmpy package) come the priors of the six diseases, the rows of the seven
reports given the disease, and the posteriors of the disease after every single report, all by variable elimination
on the whole network; and the posteriors after several reports by elimination on the network of independent reports.
"""

import gzip
import json
import random
import warnings
from importlib import metadata
from importlib.resources import files
from pathlib import Path

warnings.filterwarnings("ignore")

from pgmpy.factors.discrete import TabularCPD  # noqa: E402
from pgmpy.inference import VariableElimination  # noqa: E402
from pgmpy.models import DiscreteBayesianNetwork  # noqa: E402
from pgmpy.readwrite import BIFReader  # noqa: E402

REPORTS = ["GruntingReport", "CO2Report", "XrayReport", "LVHreport", "LowerBodyO2", "RUQO2", "Age"]


def naive(prior, rows):
    """A network with one cause; rows[check][candidate][answer]."""
    model = DiscreteBayesianNetwork([("cause", f"check{at}") for at in range(len(rows))])
    model.add_cpds(TabularCPD("cause", len(prior), [[p] for p in prior]))
    for at, row in enumerate(rows):
        table = [[given[answer] for given in row] for answer in range(len(row[0]))]
        model.add_cpds(TabularCPD(f"check{at}", len(row[0]), table, ["cause"], [len(prior)]))
    model.check_model()
    return VariableElimination(model)


def random_table(chance):
    candidates, checks = chance.randint(2, 8), chance.randint(1, 6)
    weights = [round(chance.uniform(0.1, 10), 3) for _ in range(candidates)]
    prior = [weight / sum(weights) for weight in weights]
    rows = []
    for _ in range(checks):
        answers = chance.randint(2, 4)
        row = []
        for _ in range(candidates):
            raw = [chance.uniform(0.01, 1) for _ in range(answers)]
            row.append([value / sum(raw) for value in raw])
        rows.append(row)
    given = {at: chance.randrange(len(rows[at][0])) for at in range(checks) if chance.random() < 0.8}
    engine = naive(prior, rows)
    evidence = {f"check{at}": answer for at, answer in given.items()}
    posterior = engine.query(["cause"], evidence=evidence, show_progress=False).values.tolist()
    return {"weights": weights, "rows": rows, "given": sorted(given.items()), "posterior": posterior}


def child(chance):
    path = files("pgmpy") / "utils" / "example_models" / "child.bif.gz"
    model = BIFReader(string=gzip.decompress(path.read_bytes()).decode()).get_model()
    engine = VariableElimination(model)
    query = lambda name, evidence: engine.query([name], evidence=evidence, show_progress=False)
    disease = query("Disease", {})
    names = disease.state_names["Disease"]
    prior = disease.values.tolist()
    checks = []
    for report in REPORTS:
        states = query(report, {}).state_names[report]
        rows = [query(report, {"Disease": name}).values.tolist() for name in names]
        single = [query("Disease", {report: state}).values.tolist() for state in states]
        checks.append({"report": report, "answers": states, "rows": rows, "after_one": single})
    independent = naive(prior, [check["rows"] for check in checks])
    several = []
    for _ in range(100):
        given = {at: chance.randrange(len(check["answers"])) for at, check in enumerate(checks) if chance.random() < 0.7}
        evidence = {f"check{at}": answer for at, answer in given.items()}
        posterior = independent.query(["cause"], evidence=evidence, show_progress=False).values.tolist()
        several.append({"given": sorted(given.items()), "posterior": posterior})
    return {"diseases": names, "prior": prior, "checks": checks, "several": several}


def main():
    chance = random.Random(4)
    tables = [random_table(chance) for _ in range(500)]
    made = {"library": f"pgmpy {metadata.version('pgmpy')}", "tables": tables, "child": child(chance)}
    text = json.dumps(made, separators=(",", ":"))
    Path(__file__).with_suffix(".json").write_text(text + "\n")


main()
