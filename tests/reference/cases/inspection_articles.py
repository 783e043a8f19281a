"""What `inspect shift` and `inspect articles` find on synthetic castings, worked out by other means.

The best least share of stock by scipy's SLSQP with the exact motion (rotation vector), finished surfaces taken from the nominal probe points
of the finished sheet. Capability indices and their confidence limits by scipy.stats; the freedom of a moving range by drawing.
"""

import csv
import json
import subprocess
import tempfile
from pathlib import Path

import ezdxf
import numpy as np
from scipy import stats
from scipy.optimize import minimize
from scipy.spatial.transform import Rotation

ROOT = Path(__file__).resolve().parents[3]
PARAMS = ROOT / "params" / "demo_mm.yaml"
SHARE = 2e-5  # of the planned stock: SLSQP stops within some millionths
CORED = ("tail/bushing seat", "tail/seal counterbore", "tail/stop bore")


def add(run):
    run.checks.run("inspection: set-up of a raw casting", shifted, run.program)
    run.checks.run("inspection: capability of several articles", several, run.program)
    run.checks.run("inspection: freedom of a moving range", freedom)
    run.checks.run("inspection: probe points as DXF", drawn, run.program)


def call(program, *arguments):
    return subprocess.run([str(program), "inspect", *map(str, arguments)], capture_output=True, text=True)


def rows(path):
    with path.open() as file:
        return list(csv.DictReader(file))


def numbers(row, *keys):
    return np.array([float(row[k]) for k in keys])


def surfaces(folder):
    """Finished surfaces by element: a place with its normal, and a radius where it is round about the shaft."""
    found = {}
    for row in rows(folder / "demo_mm" / "finished_probe_points.csv"):
        place, normal = numbers(row, "x_mm", "y_mm", "z_mm"), numbers(row, "normal_x", "normal_y", "normal_z")
        radius = np.hypot(*place[1:]) if row["element"] in CORED else None
        found.setdefault(row["element"], (place, normal, radius))
    return found


def readings(path, places):
    with path.open("w", newline="") as file:
        out = csv.writer(file)
        out.writerow(["article", "element", "measured_x_mm", "measured_y_mm", "measured_z_mm", "remark"])
        out.writerows([article, element, *(f"{v:.6f}" for v in place), ""] for article, element, place in places)


def shifted(program):
    notes, faults = [], []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for form in ("finished", "casting"):
            done = call(program, "plan", PARAMS, "--form", form, "--out", folder)
            if done.returncode != 0:
                return [], [done.stderr[:400]]
        known, nominal = surfaces(folder), rows(folder / "demo_mm" / "casting_probe_points.csv")
        random = np.random.default_rng(3)
        for case in range(4):
            # The core lies off, a pad is high, the casting is rough; it stands askew.
            core, lies = random.uniform(-1.2, 1.2, 3), Rotation.from_rotvec(random.uniform(-0.01, 0.01, 3))
            away = random.uniform(-2, 2, 3)
            places = []
            for row in nominal:
                place = numbers(row, "x_mm", "y_mm", "z_mm") + random.normal(0, 0.1, 3)
                if row["element"] in CORED:
                    place = place + core * [0, 1, 1]
                places.append(("1", row["element"], lies.apply(place) + away))
            readings(folder / "raw.csv", places)
            done = call(program, "shift", PARAMS, folder / "raw.csv", "--json", folder / "shift.json")
            if done.returncode not in (0, 1):
                return notes, [done.stderr[:400]]
            told = json.loads((folder / "shift.json").read_text())[0]
            wanted = best_share(known, places, told)
            notes.append(f"case {case}: least share {told['share']:.6f}, by SLSQP {wanted:.6f}")
            if abs(told["share"] - wanted) > SHARE:
                faults.append(notes[-1])
    return notes, faults


def best_share(known, places, told):
    """The greatest least share, from where the program found it and from two starts beside it."""
    plain = {"gearbox_face/face": "gearbox face", "gearbox_face/register end": "register end"}
    plan = {item["what"]: item["planned"] for item in told["left"] if not item["wall"]}

    def planned(element):
        for name in (plain.get(element), element.split("/")[1], element.replace("/", ", ").replace("_", " ").replace("shift box", "shift-box")):
            if name in plan:
                return plan[name]
        return None

    used = [(known[e], planned(e), p) for _, e, p in places if e in known and planned(e)]
    at, room = np.array([p for *_, p in used]), np.array([r for _, r, _ in used])
    foot, normal = np.array([s[0] for s, *_ in used]), np.array([s[1] for s, *_ in used])
    radius = np.array([s[2] if s[2] is not None else 0.0 for s, *_ in used])
    round_ = radius > 0
    middle = at.mean(axis=0)

    def shares(u):
        moved = Rotation.from_rotvec(u[3:6] / 100).apply(at - middle) + middle + u[:3]
        flat = ((moved - foot) * normal).sum(axis=1)
        return np.where(round_, radius - np.hypot(moved[:, 1], moved[:, 2]), flat) / room

    inverse = Rotation.from_euler("xyz", told["turns"], degrees=True).inv()
    back = inverse.apply(middle - np.array(told["work_zero"])) - middle
    first = np.concatenate([back, inverse.as_rotvec() * 100])
    best = -np.inf
    for off in (0, 0.3, -0.3):
        start = np.append(first + off, shares(first + off).min())
        bounds = {"type": "ineq", "fun": lambda u: shares(u[:6]) - u[6]}
        solved = minimize(lambda u: -u[6], start, constraints=[bounds], method="SLSQP", options={"ftol": 1e-13, "maxiter": 400})
        best = max(best, shares(solved.x[:6]).min())
    return best


def several(program):
    notes, faults = [], []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        done = call(program, "plan", PARAMS, "--out", folder)
        if done.returncode != 0:
            return [], [done.stderr[:400]]
        sheet = [r for r in rows(folder / "demo_mm" / "finished_measuring.csv") if r["nominal_mm"]]
        random = np.random.default_rng(5)
        with (folder / "sizes.csv").open("w", newline="") as file:
            out = csv.writer(file)
            out.writerow(["article", "number", "reading_mm", "remark"])
            for article in range(8):
                for row in sheet[:20]:
                    low, high = (float(row[k] or 0) for k in ("least_mm", "greatest_mm"))
                    value = max(0.0, random.normal(0.5 * (low + high), 0.12 * (high - low)))
                    out.writerow([article + 1, row["number"], f"{value:.5f}", ""])
        done = call(program, "articles", PARAMS, folder / "sizes.csv", "--json", folder / "out.json", "--html", folder / "out.html")
        if done.returncode != 0:
            return [], [done.stderr[:400]]
        told = json.loads((folder / "out.json").read_text())["capability"]
        if len(told) < 20 or (folder / "out.html").read_text().count("<svg") != len(told):
            faults.append(f"{len(told)} characteristics")
        for item in told:
            faults += differs(item)
    notes.append(f"{len(told)} characteristics with Pp, Ppk, Cp, Cpk and their limits")
    return notes, faults


def drawn(program):
    """The DXF of the probe points, read by ezdxf: the places of the CSV, and lines of 5 mm along the normals."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        done = call(program, "plan", PARAMS, "--out", folder)
        if done.returncode != 0:
            return [], [done.stderr[:400]]
        table = rows(folder / "demo_mm" / "finished_probe_points.csv")
        space = ezdxf.readfile(folder / "demo_mm" / "finished_probe_points.dxf").modelspace()
        points, lines = list(space.query("POINT")), list(space.query("LINE"))
    faults = [] if len(points) == len(lines) == len(table) else [f"{len(points)} points, {len(lines)} lines, {len(table)} rows"]
    for row, point, line in zip(table, points, lines):
        wanted = numbers(row, "x_mm", "y_mm", "z_mm")
        normal = numbers(row, "normal_x", "normal_y", "normal_z")
        off = max(np.abs(np.array(point.dxf.location) - wanted).max(), np.abs(np.array(line.dxf.end) - wanted - 5 * normal).max())
        if off > 1e-4:
            faults.append(f"{row['element']} {row['point']}: {off}")
    return [f"{len(points)} points on {len({p.dxf.layer for p in points})} layers"], faults[:10]


def differs(item):
    x = np.array([v for _, v in item["values"]])
    n, mean = len(x), x.mean()
    faults = []
    for names, s, nu in (
        (("Pp", "Ppk"), x.std(ddof=1), n - 1),
        (("Cp", "Cpk"), np.abs(np.diff(x)).mean() * np.sqrt(np.pi) / 2, (n - 1) ** 2 / (2 * (0.826 * n - 1.082))),
    ):
        low, high = item["least"], item["greatest"]
        sides = [(v - mean) / (3 * s) * sign for v, sign in ((high, 1), (low, -1)) if v is not None]
        wanted = {names[1]: (min(sides), None)}
        k = wanted[names[1]][0]
        half = stats.norm.ppf(0.975) * np.sqrt(1 / (9 * n) + k * k / (2 * nu))
        wanted[names[1]] = (k, k - half, k + half)
        if low is not None and high is not None:
            p = (high - low) / (6 * s)
            wanted[names[0]] = (p, *(p * np.sqrt(stats.chi2.ppf(q, nu) / nu) for q in (0.025, 0.975)))
        for name, values in wanted.items():
            found = [item[name][k] for k in ("value", "low", "high")]
            if not np.allclose(found, values, rtol=1e-6, atol=1e-9):
                faults.append(f"{item['what']}: {name} {found} for {values}")
    return faults


def freedom():
    """The variance of the mean moving range over d2, as the formula for its freedom has it."""
    notes, faults = [], []
    random = np.random.default_rng(7)
    for n in (4, 8, 25):
        x = random.standard_normal((200_000, n))
        s = np.abs(np.diff(x, axis=1)).mean(axis=1) * np.sqrt(np.pi) / 2
        wanted, found = s.var(), (0.826 * n - 1.082) / (n - 1) ** 2
        notes.append(f"n = {n}: {found:.4f}, drawn {wanted:.4f}")
        if abs(found / wanted - 1) > 0.03:
            faults.append(notes[-1])
    return notes, faults
