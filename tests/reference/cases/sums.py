"""Sums of the standards worked out by other means, from what the sums example prints.

Chains of tolerances: the density of the gap by numerical convolution, against the random trials.
Plunge: the axle's arm and the shaft solved as equations. Critical speed: lowest eigenvalue of a
beam of finite elements.
"""

import json
import subprocess

import numpy as np
from scipy.linalg import eigh
from scipy.optimize import brentq
from scipy.stats import norm

SIGMAS = 4.5  # a trial's figure may lie this many of its standard errors off
CLOSED = 1e-9  # mm, sums in closed form
SOLVED = 1e-8  # mm, against solved equations
SCANNED = 1e-4  # mm, extremes of plunge, against a scan
BEAM = 1e-6  # relative, against 24 elements
STEP = 2e-5  # mm, of densities


def add(run):
    maker = run.program.parent / "examples" / "sums"
    printed = []
    run.checks.run("sums: printed", write, maker, printed)
    if not printed:
        return
    sums = printed[0]
    for kind, check in (("chains", chain), ("plunges", plunge), ("tubes", critical)):
        run.checks.add(f"sums: there are {kind}", [] if sums[kind] else ["none"])
        for number, case in enumerate(sums[kind]):
            run.checks.run(f"sums: {kind} {number}", check, case)


def write(maker, printed):
    """The example twice: a seed gives the same figures each time, on one thread too."""
    texts = [
        subprocess.run([str(maker)], capture_output=True, text=True, check=True, timeout=120, env=env).stdout
        for env in (None, {"RAYON_NUM_THREADS": "1"})
    ]
    printed.append(json.loads(texts[0]))
    return [], [] if texts[0] == texts[1] else ["another output on one thread"]


def off(what, value, wanted, within):
    return [] if abs(value - wanted) <= within else [f"{what} {value}, expected {wanted} within {within:.3g}"]


def deviation(part):
    """Standard deviation of the gap from one dimension."""
    reach, spread = abs(part["factor"]) * part["tolerance"], part["spread"]
    if spread["kind"] == "normal":
        return reach / 3.0 / spread["capability"]
    return reach / np.sqrt({"uniform": 3.0, "triangular": 6.0}[spread["kind"]])


def density(part):
    """Probabilities of the gap's deviation from one dimension, on a grid about zero: differences of its distribution."""
    reach, spread = abs(part["factor"]) * part["tolerance"], part["spread"]
    half = int(np.ceil((6.5 * deviation(part) if spread["kind"] == "normal" else reach) / STEP)) + 1
    edges = (np.arange(-half, half + 2) - 0.5) * STEP
    x = np.clip(edges / reach, -1.0, 1.0)
    if spread["kind"] == "normal":
        below = norm.cdf(edges, scale=deviation(part))
    elif spread["kind"] == "uniform":
        below = (x + 1.0) / 2.0
    else:
        below = np.where(x < 0.0, (1.0 + x) ** 2 / 2.0, 1.0 - (1.0 - x) ** 2 / 2.0)
    return np.diff(below)


def beyond(parts, good):
    """Share of gaps farther above the middle than this; the same lie below."""
    whole = np.ones(1)
    for part in parts:
        size = len(whole) + len(p := density(part)) - 1
        whole = np.fft.irfft(np.fft.rfft(whole, size) * np.fft.rfft(p, size), size)
    x = (np.arange(len(whole)) - len(whole) // 2) * STEP
    # The bin at the limit counts by half.
    return whole[x > good + STEP / 4.0].sum() + 0.5 * whole[abs(x - good) <= STEP / 4.0].sum()


def chain(case):
    parts, count = case["dimensions"], case["count"]
    factors, middles, tolerances = (np.array([p[k] for p in parts]) for k in ("factor", "middle", "tolerance"))
    sigmas = np.array([deviation(p) for p in parts])
    sigma = np.linalg.norm(sigmas)
    reasons = off("middle", case["middle"], factors @ middles, CLOSED)
    reasons += off("worst case", case["worst_case"], abs(factors) @ tolerances, CLOSED)
    reasons += off("root sum square", case["root_sum_square"], np.linalg.norm(factors * tolerances), CLOSED)
    reasons += off("deviation", case["deviation"], sigma, CLOSED)
    for share, wanted in zip(case["variance_shares"], (sigmas / sigma) ** 2, strict=True):
        reasons += off("share of variance", share, wanted, CLOSED)
    reasons += off("trials' mean", case["trial_mean"], factors @ middles, SIGMAS * sigma / np.sqrt(count))
    reasons += off("trials' deviation", case["trial_deviation"], sigma, SIGMAS * sigma / np.sqrt(2.0 * count))
    share = beyond(parts, case["good"])
    error = SIGMAS * np.sqrt(share * (1.0 - share) / count)
    for found in case["trial_rejected"]:
        reasons += off("rejected", found, share, error)
    return [f"rejected {case['trial_rejected']}, by convolution {share:.6f} a side"], reasons


def front(case, lift):
    """Place of the front joint along the axis, solved; the rear joint stands at 0 at ride height."""
    length, height, arm = case["length"], case["height"], case["arm"]
    drift = 0.0
    if arm:
        radius, rise = arm
        turn = lambda h: brentq(lambda a: radius * np.sin(a) - h, -1.5, 1.5, xtol=1e-15)
        drift = radius * (np.cos(turn(rise + lift)) - np.cos(turn(rise)))
    gap = lambda x: np.hypot(drift - x, height + lift) - length
    return brentq(gap, drift - 2.0 * length, drift, xtol=1e-12)


def plunge(case):
    ride, reasons = front(case, 0.0), []
    for at in case["plunges"]:
        reasons += off(f"plunge at {at['lift']}", at["plunge"], front(case, at["lift"]) - ride, SOLVED)
    scan = [front(case, lift) - ride for lift in np.linspace(-100.0, 100.0, 2001)]
    reasons += off("least plunge", case["range"][0], min(scan), SCANNED)
    reasons += off("greatest plunge", case["range"][1], max(scan), SCANNED)
    return [f"range {case['range']}"], reasons


def critical(case, elements=24):
    """A beam of cubic elements, pinned at both ends; metres, kilograms, seconds."""
    outside = case["outside"] / 1000.0
    inside = outside - case["wall"] / 500.0
    area, second = np.pi / 4.0 * (outside**2 - inside**2), np.pi / 64.0 * (outside**4 - inside**4)
    h = case["length"] / 1000.0 / elements
    bend = np.array([[12, 6 * h, -12, 6 * h], [6 * h, 4 * h * h, -6 * h, 2 * h * h], [-12, -6 * h, 12, -6 * h], [6 * h, 2 * h * h, -6 * h, 4 * h * h]])
    mass = np.array([[156, 22 * h, 54, -13 * h], [22 * h, 4 * h * h, 13 * h, -3 * h * h], [54, 13 * h, 156, -22 * h], [-13 * h, -3 * h * h, -22 * h, 4 * h * h]])
    bend = bend * case["elasticity"] * 1e6 * second / h**3
    mass = mass * case["density"] * area * h / 420.0
    stiffness, inertia = (np.zeros((2 * elements + 2,) * 2) for _ in range(2))
    for i in range(elements):
        place = slice(2 * i, 2 * i + 4)
        stiffness[place, place] += bend
        inertia[place, place] += mass
    free = [i for i in range(2 * elements + 2) if i not in (0, 2 * elements)]
    lowest = eigh(stiffness[np.ix_(free, free)], inertia[np.ix_(free, free)], eigvals_only=True, subset_by_index=[0, 0])
    rpm = np.sqrt(lowest[0]) * 30.0 / np.pi
    return [f"{rpm:.2f} rev/min"], off("critical speed", case["rpm"], rpm, BEAM * rpm)
