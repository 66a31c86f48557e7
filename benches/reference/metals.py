"""Works out `tests/data/ph-metals.json`: mixtures with metals, by the PHREEQC engine; run from the project's folder.

Needs phreeqpython 1.6.2; see README.md beside this file. Acids and metals are defined in a database of their own with
the Davies equation, so that the constants are those of the file and nothing else takes part.
"""

import json
import os
import pathlib
import sys
import tempfile

from phreeqpython import PhreeqPython
from regenerate import PKW, ion, name_of

# pKa from the first proton lost, the charge with every proton on, and log K of the bare form, of that with one proton,
# and so on. Source: minteq.v4.dat of PHREEQC version 3 (citrate, EDTA, phosphate, carbonate); lactate from memory.
ACIDS = {
    "citric": ([3.128, 4.761, 6.396], 0, {"Ca": [4.87, 2.864, 1.1], "Mg": [4.89, 2.514, 1.043],
                                          "Zn": [6.21, 3.804, 1.683]}),
    "edta": ([1.5, 2.16, 3.119, 6.273, 10.948], 1, {"Ca": [12.42, 4.952], "Mg": [10.57, 4.022], "Zn": [18, 10.452]}),
    "phosphoric": ([2.148, 7.198, 12.35], 0, {"Ca": [6.46, 2.66, 1.35], "Mg": [4.654, 2.8, 1.683]}),
    "lactic": ([3.86], 0, {"Ca": [1.45], "Mg": [1.37], "Zn": [2.2]}),
    "carbonic": ([6.351, 10.329], 0, {"Ca": [3.2, 1.27], "Mg": [2.92, 1.01], "Zn": [4.76, 1.5]}),
    "acetic": ([4.756], 0, {}),
}
HYDROXIDE = {"Mg": 11.15, "Zn": 16.1, "Ca": 5.19}
CALCITE = 8.48

# Moles in a kilogram of water: acids, metals with two chlorides each, sodium (hydroxide), and solids in excess.
CASES = [
    ("calcium and citrate, half neutralised", {"citric": 0.05}, {"Ca": 0.03}, 0.08, []),
    ("magnesium and citric acid", {"citric": 0.1}, {"Mg": 0.1}, 0.0, []),
    ("zinc and citrate", {"citric": 0.05}, {"Zn": 0.02}, 0.12, []),
    ("calcium and disodium EDTA", {"edta": 0.01}, {"Ca": 0.01}, 0.02, []),
    ("little calcium and tetrasodium EDTA", {"edta": 0.01}, {"Ca": 0.004}, 0.04, []),
    ("more zinc than EDTA", {"edta": 0.003}, {"Zn": 0.006}, 0.006, []),
    ("calcium and magnesium for EDTA", {"edta": 0.01, "acetic": 0.02}, {"Ca": 0.008, "Mg": 0.008}, 0.05, []),
    ("magnesium and phosphate", {"phosphoric": 0.05}, {"Mg": 0.02}, 0.06, []),
    ("calcium lactate and lactic acid", {"lactic": 0.3}, {"Ca": 0.1}, 0.2, []),
    ("zinc, magnesium and two acids", {"citric": 0.03, "lactic": 0.1}, {"Zn": 0.02, "Mg": 0.03}, 0.1, []),
    ("zinc oxide in lactic acid", {"lactic": 0.1}, {}, 0.0, ["Zn"]),
    ("zinc oxide in citric acid", {"citric": 0.05}, {}, 0.05, ["Zn"]),
    ("magnesium hydroxide in acetic acid", {"acetic": 0.1}, {}, 0.0, ["Mg"]),
    ("magnesium hydroxide in water", {}, {}, 0.0, ["Mg"]),
    ("zinc chloride and lye", {"lactic": 0.02}, {"Zn": 0.03}, 0.05, []),
    ("calcite in acetate", {"acetic": 0.05}, {}, 0.05, ["calcite"]),
    ("calcium chloride and soda", {"carbonic": 0.02}, {"Ca": 0.01}, 0.04, ["calcite 0"]),
]


def database():
    masters = ["H H+ -1 H 1.008", "H(0) H2 0 H", "H(1) H+ -1 0", "E e- 0 0.0 0.0", "O H2O 0 O 16.0", "O(0) O2 0 O",
               "O(-2) H2O 0 0", "Na Na+ 0 Na 22.98977", "Cl Cl- 0 Cl 35.453"]
    masters += [f"{metal} {metal}+2 0 {metal} 40.0" for metal in HYDROXIDE]
    species = ["H+ = H+\nlog_k 0", "e- = e-\nlog_k 0", "H2O = H2O\nlog_k 0", "Na+ = Na+\nlog_k 0",
               "Cl- = Cl-\nlog_k 0", f"H2O = OH- + H+\nlog_k {-PKW}",
               "2 H2O = O2 + 4 H+ + 4 e-\nlog_k -86.08", "2 H+ + 2 e- = H2\nlog_k -3.15"]
    species += [f"{metal}+2 = {metal}+2\nlog_k 0" for metal in HYDROXIDE]
    for number, (pka, top, binds) in enumerate(ACIDS.values()):
        base, bottom = name_of(number), top - len(pka)
        bare = ion(base, 0, bottom)
        masters.append(f"{base} {bare} 0 {base} 100.0")
        species.append(f"{bare} = {bare}\nlog_k 0")
        totals = [sum(list(reversed(pka))[:protons]) for protons in range(len(pka) + 1)]
        still = lambda charge: "\n-gamma 1e10 0" if charge == 0 else ""
        for protons in range(1, len(pka) + 1):
            charge = bottom + protons
            species.append(f"{bare} + {protons} H+ = {ion(base, protons, charge)}\nlog_k {totals[protons]}{still(charge)}")
        for metal, log_k in binds.items():
            for protons, constant in enumerate(log_k):
                charge = bottom + protons + 2
                hydrogens = f" + {protons} H+" if protons else ""
                species.append(f"{bare} + {metal}+2{hydrogens} = {ion(metal + base, protons, charge)}\n"
                               f"log_k {constant + totals[protons]}{still(charge)}")
    phases = [f"{metal}hydroxide\n{metal}(OH)2 + 2 H+ = {metal}+2 + 2 H2O\nlog_k {2 * PKW - pksp}"
              for metal, pksp in HYDROXIDE.items()]
    carbonate = ion(name_of(list(ACIDS).index("carbonic")), 0, -2)
    phases.append(f"Calcite\nCa{name_of(list(ACIDS).index('carbonic'))} = Ca+2 + {carbonate}\nlog_k {-CALCITE}")
    return ("SOLUTION_MASTER_SPECIES\n" + "\n".join(masters) + "\nSOLUTION_SPECIES\n" + "\n".join(species)
            + "\nPHASES\n" + "\n".join(phases) + "\nEND\n")


def solution(acids, metals, sodium, solids):
    lines = [f"{name_of(list(ACIDS).index(name))} {moles}" for name, moles in acids.items()]
    lines += [f"{metal} {moles}" for metal, moles in metals.items()]
    if sodium:
        lines.append(f"Na {sodium}")
    if metals:
        lines.append(f"Cl {2 * sum(metals.values())}")
    water = 1.0 + 0.018015 * sodium
    lines = [f"{line.split()[0]} {float(line.split()[1]) / water}" for line in lines]
    phases = [("Calcite 0 " + ("0" if solid == "calcite 0" else "1")) if "calcite" in solid
              else f"{solid}hydroxide 0 1" for solid in solids]
    # What may fall out of what is dissolved.
    phases += [f"{metal}hydroxide 0 0" for metal in metals]
    text = f"SOLUTION 1\nunits mol/kgw\ntemp 25\npH 7 charge\n-water {water!r}\n" + "\n".join(lines)
    if phases:
        text += "\nEQUILIBRIUM_PHASES 1\n" + "\n".join(phases)
    return text + "\nSELECTED_OUTPUT\n-reset false\n-pH true\n-ionic_strength true\n-high_precision true\nEND\n"


def main():
    with tempfile.NamedTemporaryFile("w", suffix=".dat", delete=False) as file:
        file.write(database())
    cases = []
    for name, acids, metals, sodium, solids in CASES:
        runner = PhreeqPython(database=os.path.basename(file.name),
                              database_directory=pathlib.Path(file.name).parent).ip
        runner.run_string(solution(acids, metals, sodium, solids))
        rows = runner.get_selected_output_array()
        found = dict(zip(rows[0], rows[-1]))
        cases.append({"name": name, "acids_mol": acids, "metals_mol": metals, "sodium_mol": sodium, "solids": solids,
                      "ph": round(found["pH"], 5), "ionic_strength": round(found["mu"], 7)})
        print(cases[-1]["name"], cases[-1]["ph"], cases[-1]["ionic_strength"], file=sys.stderr)
    os.remove(file.name)
    acids = {name: {"pka": pka, "top_charge": top, "log_k": binds} for name, (pka, top, binds) in ACIDS.items()}
    note = ("Computed with phreeqpython 1.6.2 (the PHREEQC engine, Davies equation) by benches/reference/metals.py; one "
            "mol of each solid in a kilogram of water, `calcite 0` where it may only fall out.")
    json.dump({"note": note, "acids": acids, "hydroxide_pksp": HYDROXIDE, "calcite_pksp": CALCITE, "cases": cases},
              sys.stdout, indent=1)
    print()


if __name__ == "__main__":
    main()
