"""The findings of `check --json` of every parameter file, against the JSON Schema that `check --schema` prints.

The validator is jsonschema (PyPI), draft 2020-12; figures that the schema can't tie together are compared here.
"""

import json
import subprocess
import tempfile
from pathlib import Path

import jsonschema

PARAMS = Path(__file__).resolve().parents[3] / "params"


def add(run):
    schema = json.loads(subprocess.run([str(run.program), "check", "--schema"], capture_output=True, text=True, check=True).stdout)
    jsonschema.Draft202012Validator.check_schema(schema)
    for params in sorted(PARAMS.glob("*.yaml")):
        run.checks.run(f"findings {params.stem}", compare, run.program, params, schema)


def compare(program, params, schema):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "found.json"
        call = [str(program), "check", str(params), "--json", str(path), "--histogram"]
        done = subprocess.run(call, capture_output=True, text=True, timeout=120)
        found = json.loads(path.read_text())
    faults = [f"{list(e.absolute_path)}: {e.message}" for e in jsonschema.Draft202012Validator(schema).iter_errors(found)]
    verdicts = [c["verdict"] for c in found["checked"]]
    # What tells of the same thing by another measure is no finding of its own.
    own = [c["verdict"] for c in found["checked"] if c["same_as"] is None]
    for word in ("fail", "warn", "pass"):
        if own.count(word) != found[word]:
            faults.append(f"{found[word]} {word} told, {own.count(word)} listed")
    if not found["not_computed"] or not found["cautions"]:
        faults.append("nothing is said of what is not computed, or of what can hurt")
    if verdicts != sorted(verdicts, key=("fail", "warn", "pass").index):
        faults.append("failures do not stand first")
    for c in found["checked"]:
        if c["limit"] is None:
            continue
        inside = c["value"] - c["limit"] if c["sense"] == "at least" else c["limit"] - c["value"]
        if abs(inside - c["margin"]) > 1e-9 * max(1, abs(c["value"])):
            faults.append(f"{c['check']}, {c['what']}: margin {c['margin']} for {inside}")
        if (c["verdict"] == "pass") != (c["margin"] > -1e-5):
            faults.append(f"{c['check']}, {c['what']}: {c['verdict']} with a margin of {c['margin']}")
    for way in ("by_ray", "by_ball"):
        if not 0.5 < sum(found["wall_shares"][way]) <= 1 + 1e-9:
            faults.append(f"shares {way} sum to {sum(found['wall_shares'][way])}")
    if (done.returncode == 1) != (found["fail"] > 0):
        faults.append(f"exit code {done.returncode} with {found['fail']} failures")
    return [f"{len(found['checked'])} findings, {len(found['not_checked'])} not checked"], faults
