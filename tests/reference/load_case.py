"""One load alone: what the program says of it, for finite elements to stand beside."""

import json
import subprocess

import yaml

from elastic import Metal, von_mises

METAL = Metal(72400.0, 0.33, 2.68e-9)  # aluminium 356-T6, as in the program's table


def told(run, design, name, subject="housing", **loads):
    """What the program says when these loads act alone: figures by name, stresses by station, factors by check."""
    alone = {"carried_mass": 70, "vertical": 0, "longitudinal": 0, "lateral": 0, "torque_share": 0, **loads}
    file, out = run.folder / f"{name}.yaml", run.folder / f"{name}.json"
    vehicle = design["vehicle"]
    # A straight joint, so that the propeller shaft bends nothing.
    straight = {
        "propshaft": {**vehicle["propshaft"], "rear_joint_height": 0},
        "suspension": {**vehicle["suspension"], "bump": 0, "droop": 0},
    }
    design = {**design, "vehicle": {**vehicle, **straight, "loads": alone}}
    file.write_text(yaml.safe_dump(design), "utf-8")
    command = [str(run.program), "check", str(file), "--form", "finished", "--json", str(out)]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
    if done.returncode not in (0, 1):
        raise RuntimeError(done.stderr[-600:])
    found = json.loads(out.read_text("utf-8"))
    sums = found["sums"]
    figures = {f["what"]: f["greatest"] for f in sums["figures"] if f["subject"] == subject}
    tables = [t for t in sums["tables"] if t["subject"] == "housing"]
    stations = {float(r["name"].split()[0]): r["values"] for r in tables[0]["rows"]}
    factors = {m["check"]: m["value"] for m in found["checked"]}
    return figures, stations, factors


def within(what, value, band, lines):
    lines.append(f"{what}: {value:.3f}, within {band[0]} to {band[1]}")
    return [] if band[0] <= value <= band[1] else [f"{what} is {value:.3f}, not {band[0]} to {band[1]}"]


def root_peak(places, stress, pad):
    """The greatest of von Mises' stresses about the root of a mount's pad, in pad and shell."""
    station = pad["base_station"] + pad.get("offset", 0)
    beside = (abs(places[0] - station) < pad["outline"]["length"] / 2 + 12) & (places[2] < 0) & (places[2] > -pad["drop"] + 20)
    return von_mises(stress)[beside].max()
