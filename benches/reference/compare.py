"""The pH of five acids, and a titration of a hundred points, beside a general-purpose pH library.

Run from the project's folder:  python benches/reference/compare.py
It runs `cargo bench --bench ph` for our side and pHcalc (with numpy and scipy) for the other, does the same work with
both, and prints the ratios. pHcalc knows no activities, so that ours by Davies does more.
"""

import re
import subprocess
import time

import numpy

# pHcalc 0.2.0 calls a function by the name it had before numpy 2.
numpy.cumproduct = numpy.cumprod

from pHcalc.pHcalc import Acid, Inert, System

# Per kg of water: lactic, glycolic, citric, salicylic and azelaic acid, as in `benches/ph.rs`.
WATER_KG = 0.09
ACIDS = [
    ([3.86], 0.03),
    ([3.83], 0.02),
    ([3.128, 4.761, 6.396], 0.01),
    ([2.97, 13.6], 0.005),
    ([4.55, 5.5], 0.005),
]


def solve(base_mol):
    acids = [Acid(pKa=pka, charge=0, conc=mol / WATER_KG) for pka, mol in ACIDS]
    system = System(*acids, Inert(charge=1, conc=base_mol / WATER_KG))
    system.pHsolve(guess_est=True)
    return system.pH


def least(work, rounds):
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def main():
    print("pHcalc: pH", round(solve(0.04), 3))
    theirs = {
        "solve": least(lambda: solve(0.04), 20) * 1e6,
        "titration": least(lambda: [solve(0.00125 * point) for point in range(100)], 3) * 1e6,
    }
    out = subprocess.run(["cargo", "bench", "--bench", "ph"], capture_output=True, text=True, check=True).stdout
    for what, model, micros in re.findall(r"^(\w+) (\w+) ([0-9.]+) us$", out, re.M):
        if what in theirs:
            ratio = theirs[what] / float(micros)
            print(f"{what:10} {model:7} ours {float(micros):10.2f} us, theirs {theirs[what]:12.1f} us: {ratio:8.0f} times")


if __name__ == "__main__":
    main()
