"""Sweeps judged by others: shards by the job files in examples/ against one run; the tables read by DuckDB; the answers
worked out again by brute force over the rows (SQL, NumPy's least squares); Sobol's points against SciPy's.
"""

import csv
import filecmp
import json
import os
import subprocess
import tempfile
from pathlib import Path

import duckdb
import numpy as np
import yaml
from scipy.stats.qmc import Sobol

REPO = Path(__file__).resolve().parents[3]
MINIMAL = REPO / "params" / "minimal.yaml"
CHECK = "oil wall, worst case"
TABLES = ("rows.csv", "rows.parquet", "checks.csv", "checks.parquet")
FEASIBLE = "verdict in ('pass', 'warn')"
AXES = ("shell.wall", "gearbox_face.flange.thickness")
SLOPE = 1e-7  # relative to the largest of a measurement
DIMENSIONS = (
    "housing.overall_length", "gearbox_face.flange.diameter", "gearbox_face.flange.thickness", "gearbox_face.register.diameter",
    "gearbox_face.register.length", "shell.wall", "tail.outside_diameter", "tail.length", "tail.bushing.bore", "tail.bushing.length",
)


def call(program, *arguments, code=0, env=None):
    command = [str(program), *map(str, arguments)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=600, env=env)
    if done.returncode != code:
        raise RuntimeError(f"{command[1]} ended with {done.returncode}: {done.stderr[-300:]}")
    return done.stdout


def add(run):
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        run.checks.run("sweep: shards by the job files", shards, run.program, folder)
        run.checks.run("sweep: tables read by DuckDB", tables, folder)
        run.checks.run("sweep: answers by brute force", answers, run.program, folder)
        run.checks.run("sweep: Sobol's points", points, run.program, folder)


def shards(program, folder):
    """The very commands that the job files hold, each shard as a process here."""
    whole = folder / "one"
    over = "shell.wall=5..8/20"
    call(program, "sweep", MINIMAL, "--over", over, "--check", CHECK, "--out", whole)
    base = os.environ | {
        "PATH": f"{program.parent}:{os.environ['PATH']}", "FILE": str(MINIMAL), "OVER": over, "CHECK": CHECK, "SHARDS": "4",
    }
    slurm = [["bash", str(REPO / "examples" / "sweep_slurm.sh")]] * 4
    job = yaml.safe_load((REPO / "examples" / "sweep_kubernetes.yaml").read_text())
    pod = job["spec"]["template"]["spec"]["containers"][0]
    named = {e["name"] for e in pod["env"]}
    reasons = [] if job["spec"]["completionMode"] == "Indexed" else ["the Job is not Indexed"]
    reasons += [] if {"FILE", "OVER", "CHECK", "OUT", "SHARDS"} <= named else [f"the pod sets {named}"]
    kubernetes = [["/bin/sh", "-euc", *pod["args"]]] * job["spec"]["completions"]
    for name, commands in (("slurm", slurm), ("kubernetes", kubernetes)):
        out = folder / name
        running = []
        for k, command in enumerate(commands):
            own = {
                "OUT": str(out), "SLURM_ARRAY_TASK_ID": str(k + 1), "SLURM_ARRAY_TASK_COUNT": "4",
                "SLURM_CPUS_PER_TASK": "1", "JOB_COMPLETION_INDEX": str(k),
            }
            running.append(subprocess.Popen(command, env=base | own, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True))
        for process in running:
            _, told = process.communicate(timeout=600)
            reasons += [] if process.returncode == 0 else [f"{name}: a shard ended with {process.returncode}: {told[-200:]}"]
        merged = folder / f"{name}-whole"
        call(program, "sweep", "merge", *sorted(out.glob("shard-*")), "--out", merged)
        reasons += [f"{name}: {t} differs" for t in TABLES if not filecmp.cmp(whole / t, merged / t, shallow=False)]
    return ["2 x 4 shards"], reasons


def tables(folder):
    """Parquet and CSV hold the same; margins add up; a query over both tables."""
    rows, checks = (f"'{folder / 'one' / name}.parquet'" for name in ("rows", "checks"))
    ask = lambda query: duckdb.sql(query).fetchall()
    reasons = []
    for name in ("rows", "checks"):
        with open(folder / "one" / f"{name}.csv", encoding="utf-8", newline="") as file:
            lines = list(csv.DictReader(file))
        table = duckdb.sql(f"select * from '{folder / 'one' / name}.parquet'")
        stored = table.fetchall()
        if len(stored) != len(lines):
            reasons.append(f"{name}: {len(stored)} rows in Parquet, {len(lines)} in CSV")
        for line, values in zip(lines, stored):
            for column, value in zip(table.columns, values):
                text = line[column]
                same = text == "" if value is None else float(text) == value if isinstance(value, (int, float)) else text == value
                if not same:
                    reasons.append(f"{name}.{column}: {text!r} in CSV, {value!r} in Parquet")
    wrong = ask(f"""select count(*) from {checks} where margin is not null and
        abs(margin - case sense when 'at least' then value - "limit" else "limit" - value end) > 1e-9""")[0][0]
    reasons += [f"{wrong} margins that do not add up"] if wrong else []
    joined = ask(f"""select "shell.wall", min(margin_to_fail) from {rows} join {checks} using (index)
        where "check" = '{CHECK}' group by 1 order by 1""")
    if len(joined) != 20 or any(b[1] <= a[1] for a, b in zip(joined, joined[1:])):
        reasons.append(f"walls and margins do not rise together: {joined}")
    return [f"{len(joined)} walls"], reasons[:10]


def answers(program, folder):
    out = folder / "grid"
    over = [part for axis, values in zip(AXES, ("5..8/7", "6..14/5")) for part in ("--over", f"{axis}={values}")]
    names = [CHECK, "room about the bolt's head", "wall"]
    call(program, "sweep", MINIMAL, *over, *[p for n in names for p in ("--check", n)], "--out", out)
    told = json.loads((out / "answers.json").read_text())
    rows, checks = (f"'{out / name}.parquet'" for name in ("rows", "checks"))
    ask = lambda query: duckdb.sql(query).fetchall()
    reasons = []

    for axis, range_ in zip(AXES, told["ranges"]):
        values = ask(f'select "{axis}", bool_or({FEASIBLE}) from {rows} group by 1 order by 1')
        runs, before = [], False
        for value, feasible in values:
            if feasible and before:
                runs[-1][1] = value
            elif feasible:
                runs.append([value, value])
            before = feasible
        found = [[f["from"], f["to"]] for f in range_["feasible"]]
        reasons += [] if found == runs else [f"{axis}: feasible {found}, by SQL {runs}"]
    ended = told["ranges"][0]["feasible"][0]["ended_below_by"]
    reasons += [] if ended and ended.startswith(CHECK) else [f"ended by {ended}"]

    # The goal `margin`: the least share of a limit over measurements that change in the sweep.
    feasible = ask(f"""
        with failing as (select *, coalesce(margin_to_fail, margin) as room from {checks}),
        changing as (select "check", what from failing group by all
            having max(room) - min(room) > 1e-5 * greatest(abs(max(room)), abs(min(room)), 1e-3)),
        shares as (select index, margin_to_fail / abs(case sense when 'at least' then value - margin_to_fail else value + margin_to_fail end) as share
            from failing join changing using ("check", what) where margin_to_fail is not null)
        select index, mass_kg, min(share) from {rows} join shares using (index) where {FEASIBLE} group by all order by index""")
    best = [min(feasible, key=lambda r: (r[1], r[0]))[0], min(feasible, key=lambda r: (-r[2], r[0]))[0]]
    found = [b["row"] for b in told["best"]]
    reasons += [] if found == best else [f"best rows {found}, by hand {best}"]
    beats = lambda o, r: o[1] <= r[1] and o[2] >= r[2] and (o[1] < r[1] or o[2] > r[2] or o[0] < r[0])
    front = sorted(r[0] for r in feasible if not any(beats(o, r) for o in feasible))
    found = sorted(c["row"] for c in told["front"]["rows"])
    reasons += [] if found == front else [f"front {found}, by hand {front}"]

    fitted = 0
    for effect in told["effects"]:
        what = effect["what"].replace("'", "''")
        check = effect["check"].replace("'", "''")
        points = np.array(ask(f"""select "{AXES[0]}", "{AXES[1]}", coalesce(margin_to_fail, margin) from {rows} join {checks} using (index)
            where "check" = '{check}' and what = '{what}' and coalesce(margin_to_fail, margin) is not null"""))
        if len(points) != effect["rows"]:
            reasons.append(f"{effect['check']}, {effect['what']}: {effect['rows']} rows, by SQL {len(points)}")
            continue
        if effect["change_for_one_unit"] is None:
            continue
        plane = np.linalg.lstsq(np.c_[np.ones(len(points)), points[:, :2]], points[:, 2], rcond=None)[0]
        slopes = np.array([effect["change_for_one_unit"][a] for a in AXES])
        if np.max(np.abs(slopes - plane[1:])) > SLOPE * max(1.0, np.max(np.abs(plane))):
            reasons.append(f"{effect['check']}, {effect['what']}: slopes {slopes}, by least squares {plane[1:]}")
        fitted += 1
    reasons += [] if fitted > 3 else [f"only {fitted} planes"]
    return [f"front of {len(front)}, {fitted} planes"], reasons[:10]


def points(program, folder):
    """Ten dimensions; the values themselves make no part, which costs no time and changes no point."""
    out = folder / "sobol"
    over = [part for key in DIMENSIONS for part in ("--over", f"{key}=0..1")]
    call(program, "sweep", MINIMAL, *over, "--sample", 256, "--by", "sobol", "--seed", 0, "--check", "none", "--out", out)
    names = ", ".join(f'"{key}"' for key in DIMENSIONS)
    found = np.array(duckdb.sql(f"select {names} from '{out / 'rows.parquet'}' order by index").fetchall())
    wanted = Sobol(len(DIMENSIONS), scramble=False).random(256)
    worst = np.max(np.abs(found - wanted))
    return [f"largest difference {worst:.1e}"], [] if worst < 1e-11 else [f"points differ by {worst}"]
