"""Paint thickness beside numpy and scipy: means, the median rule, Grubbs's test, and what came off between two sets of
readings, on random panels and on panels made to lie at a critical value."""

import math
import random
from fractions import Fraction
from typing import Any

import numpy as np
from scipy import stats

from checks import Checks


def tenths(value: Fraction) -> int:
    """Rounded half away from zero."""
    size = math.floor(abs(value) * 10 + Fraction(1, 2))
    return size if value >= 0 else -size


def mean(readings: list[int]) -> Fraction:
    return Fraction(sum(readings), len(readings))


def doubtful(readings: list[int]) -> list[int]:
    """Iglewicz and Hoaglin, as the NIST e-Handbook 1.3.5.17 gives it; MAD at least that of rounding, 0.25 µm."""
    mad = max(stats.median_abs_deviation(readings), 0.25)
    scores = 0.6745 * np.abs(np.asarray(readings) - np.median(readings)) / mad
    return [at for at, score in enumerate(scores) if score > 3.5]


def grubbs_critical(n: int) -> float:
    """NIST e-Handbook 1.3.5.17.1, two-sided, 5 %."""
    t = stats.t.ppf(1 - 0.05 / (2 * n), n - 2)
    return (n - 1) / math.sqrt(n) * math.sqrt(t * t / (n - 2 + t * t))


def grubbs(readings: list[int]) -> int | None:
    n = len(readings)
    if not 3 <= n <= 30 or len(set(readings)) == 1:
        return None
    off = [abs(reading - mean(readings)) for reading in readings]
    farthest = off.index(max(off))
    g = float(off[farthest]) / np.std(readings, ddof=1)
    return farthest if g > grubbs_critical(n) else None


def removal(before: list[int], after: list[int], accuracy: int) -> dict[str, Any]:
    """Verdict with the difference, the noise and the limit in µm that it hangs on."""
    fewest = min(len(before), len(after))
    if fewest < 5:
        return {"verdict": "not enough"}
    difference = mean(before) - mean(after)
    accuracy = max(accuracy, 1)
    scatter = stats.sem(before) ** 2 + stats.sem(after) ** 2
    gauge = 2 * accuracy**2 / 3
    t = stats.t.ppf(0.975, min(fewest - 1, 30))
    noise = max(accuracy, math.sqrt(scatter + gauge))
    limit = math.sqrt(t * t * scatter + 4 * gauge)
    if difference < -noise:
        verdict = "rose"
    elif difference <= noise:
        verdict = "within"
    else:
        verdict = "near limit" if difference <= limit else "clear"
    return {"verdict": verdict, "difference": difference, "noise": noise, "limit": limit}


def panel(dice: random.Random) -> list[int]:
    """Readings as a gauge gives them: about one thickness, sometimes with a few that are far off."""
    middle, scatter = dice.choice((90, 120, 240, 900)), dice.choice((0, 1, 3, 12, 60))
    readings = [max(1, round(dice.gauss(middle, scatter))) for _ in range(dice.randint(1, dice.choice((3, 8, 35))))]
    for _ in range(dice.choice((0, 0, 1, 2))):
        readings[dice.randrange(len(readings))] += dice.choice((2, 8, 40, 500))
    return readings


# Large, so that one step of the last number is a small step of G.
BASE = 10**9


def at_the_edge(n: int, share: float) -> list[int]:
    """n numbers, the last of which has this share of the critical G."""
    others = [BASE + (10**6 if at % 2 else -(10**6)) for at in range(n - 1)]
    low, high = 10**6, 2 * 10**9
    while high - low > 1:
        middle = (low + high) // 2
        readings = np.asarray([*others, BASE + middle], dtype=float)
        g = (readings[-1] - readings.mean()) / readings.std(ddof=1)
        low, high = (middle, high) if g < share * grubbs_critical(n) else (low, middle)
    return [*others, BASE + high]


def check(checks: Checks) -> None:
    dice = random.Random(checks.seed)
    cases = []
    for _ in range(5_000):
        before = panel(dice)
        after = [max(1, um - dice.choice((0, 2, 3, 5, 8))) for um in before] if dice.random() < 0.7 else panel(dice)
        cases.append({"before": before, "after": after, "accuracy": dice.randint(0, 5)})
    told = checks.lines("dump", "thickness", given=cases)
    wrong: dict[str, list[Any]] = {"means": [], "doubtful": [], "grubbs": [], "removal": []}
    seen: dict[str, int] = {}
    for case, ours in zip(cases, told, strict=True):
        before, after = case["before"], case["after"]
        means = (tenths(mean(before)), tenths(mean(after) - mean(before)))
        if means != (ours["mean"], ours["difference"]):
            wrong["means"].append((case, ours, means))
        if doubtful(before) != ours["doubtful"]:
            wrong["doubtful"].append((case, ours))
        if grubbs(before) != ours["grubbs"]:
            wrong["grubbs"].append((case, ours))
        theirs = removal(before, after, case["accuracy"])
        seen[theirs["verdict"]] = seen.get(theirs["verdict"], 0) + 1
        if theirs["verdict"] == "not enough":
            fits = ours["verdict"] == "not enough"
        else:
            # Student's t is kept to 1e-4, uncertainties to the nanometre.
            edges = [abs(abs(float(theirs["difference"])) - theirs[edge]) for edge in ("noise", "limit")]
            size = theirs["difference"] * (-1 if theirs["verdict"] == "rose" else 1)
            fits = min(edges) < 2e-3 or (theirs["verdict"], tenths(size)) == (ours["verdict"], ours["tenths"])
            fits = fits and -2e-3 * (1 + theirs["limit"] / 100) < ours["limit"] / 10 - theirs["limit"] < 0.103
        if not fits:
            wrong["removal"].append((case, ours, theirs))
    for what, cases_wrong in wrong.items():
        checks.that(not cases_wrong, f"{len(cases)} panels: {what}", cases_wrong[:2])
    checks.that(
        len(seen) == 5 and min(seen.values()) > 20, "every verdict on what came off occurs", sorted(seen.items())
    )

    edges = [(n, share) for n in range(3, 31) for share in (1 - 2e-6, 1 + 2e-6)]
    given = [{"before": at_the_edge(n, share), "after": [], "accuracy": 2} for n, share in edges]
    told = checks.lines("dump", "thickness", given=given)
    off = [
        (n, share, ours)
        for (n, share), ours in zip(edges, told, strict=True)
        if (ours["grubbs"] == n - 1) != (share > 1)
    ]
    checks.that(not off, f"Grubbs's critical values of 3 to 30 readings to 2e-6, {len(edges)} panels", off[:2])
