"""Works a sample of `tests/data/ph-cases.json` out again with the engine that it came from, and prints the differences.

Run from the project's folder:  python benches/reference/regenerate.py [HOW MANY]
Needs phreeqpython 1.6.2 (the PHREEQC engine); see README.md beside this file. The acids are defined in a database of
their own, so that the constants are those of the cases and nothing else takes part.
"""

import json
import os
import pathlib
import sys
import tempfile

from phreeqpython import PhreeqPython

PKW = 13.995
WATER_KG_PER_MOL = 0.018015


def name_of(number):
    """The made-up element that an acid of a case stands as."""
    return "ABCDEFGIJL"[number] + "z"


def ion(base, protons, charge):
    hydrogens = "" if protons == 0 else "H" if protons == 1 else f"H{protons}"
    size = "" if abs(charge) == 1 else str(abs(charge))
    return f"{hydrogens}{base}" + ("" if charge == 0 else f"+{size}" if charge > 0 else f"-{size}")


def database(case):
    """Water, the counter-ions, and the acids of the case with its constants; uncharged forms have coefficient 1."""
    masters = ["H H+ -1 H 1.008", "H(0) H2 0 H", "H(1) H+ -1 0", "E e- 0 0.0 0.0", "O H2O 0 O 16.0", "O(0) O2 0 O",
               "O(-2) H2O 0 0", "Na Na+ 0 Na 22.98977", "K K+ 0 K 39.0983", "Cl Cl- 0 Cl 35.453"]
    species = ["H+ = H+\nlog_k 0", "e- = e-\nlog_k 0", "H2O = H2O\nlog_k 0", "Na+ = Na+\nlog_k 0",
               "K+ = K+\nlog_k 0", "Cl- = Cl-\nlog_k 0", f"H2O = OH- + H+\nlog_k {-PKW}",
               "2 H2O = O2 + 4 H+ + 4 e-\nlog_k -86.08", "2 H+ + 2 e- = H2\nlog_k -3.15"]
    for number, (_, facts) in enumerate(sorted(case["pka_used"].items())):
        base = name_of(number)
        bottom = round(facts["charge_of_fully_protonated"]) - len(facts["pka"])
        bare = ion(base, 0, bottom)
        still = "\n-gamma 1e10 0" if bottom == 0 else ""
        masters.append(f"{base} {bare} 0 {base} 100.0")
        species.append(f"{bare} = {bare}\nlog_k 0{still}")
        total = 0.0
        for protons, pka in enumerate(reversed(facts["pka"]), start=1):
            total += pka
            still = "\n-gamma 1e10 0" if bottom + protons == 0 else ""
            species.append(f"{bare} + {protons} H+ = {ion(base, protons, bottom + protons)}\nlog_k {total}{still}")
    return "SOLUTION_MASTER_SPECIES\n" + "\n".join(masters) + "\nSOLUTION_SPECIES\n" + "\n".join(species) + "\nEND\n"


def solution(case):
    """The mixture of the case, the water of neutralisation in it, its pH by the balance of charges."""
    resolved = case["resolved"]
    hydroxide = sum(resolved["strong_base_mol"].values())
    water = resolved["water_kg"] + WATER_KG_PER_MOL * hydroxide
    ions = dict(resolved["counter_ions_mol"])
    for base, moles in resolved["strong_base_mol"].items():
        ions[base.removesuffix("OH")] = ions.get(base.removesuffix("OH"), 0.0) + moles
    amounts = {name_of(number): resolved["families_mol"][name]
               for number, name in enumerate(sorted(case["pka_used"]))}
    lines = [f"{element} {moles / water}" for element, moles in {**ions, **amounts}.items() if moles > 0]
    return ("SOLUTION 1\nunits mol/kgw\ntemp 25\npH 7 charge\n-water %r\n" % water + "\n".join(lines)
            + "\nSELECTED_OUTPUT\n-reset false\n-pH true\n-ionic_strength true\n-high_precision true\nEND\n")


def engine(case):
    with tempfile.NamedTemporaryFile("w", suffix=".dat", delete=False) as file:
        file.write(database(case))
    runner = PhreeqPython(database=os.path.basename(file.name), database_directory=pathlib.Path(file.name).parent).ip
    runner.run_string(solution(case))
    found = dict(zip(runner.get_selected_output_array()[0], runner.get_selected_output_array()[-1]))
    os.remove(file.name)
    return found["pH"]


def main():
    cases = json.load(open("tests/data/ph-cases.json"))["cases"]
    cases = [case for case in cases if "PHREEQC" in case["model"]]
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10
    worst = 0.0
    for case in cases[:: max(1, len(cases) // count)][:count]:
        found = engine(case)
        worst = max(worst, abs(found - case["ph"]))
        print(f"{case['id']}  file {case['ph']:9.5f}  engine {found:9.5f}  {found - case['ph']:+.5f}")
    print(f"worst of {count}: {worst:.5f}")


if __name__ == "__main__":
    main()
