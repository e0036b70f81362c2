#!/usr/bin/env python3
"""Makes the reference figures that the chemistry tests read.

    python -m venv venv && venv/bin/pip install -r requirements.txt
    venv/bin/python make.py            writes the JSON files beside this script
    venv/bin/python make.py --check    writes nothing; fails where a figure has changed

What makes what:
    equilibria.json       pHcalc: pH of mixtures, activity taken as concentration
    activity.json         PHREEQC (phreeqpython) with davies.dat: pH with the Davies correction
    titrations.json       pHcalc: titration curves of ten made-up products
    bench.json            pHcalc: titration curves of ten everyday products with their formulas
    formulas.json         pHcalc: pH of whole formulas in percent, worked out from molar masses
    ranges.json           pHcalc: lowest and highest pH of formulas with gums, surfactants and the like, every corner tried
    water-activity.json   aquasol: glycerol and sodium chloride in water, fits of published measurements
    units.json            Pint: units of mass, volume and temperature
"""

import json
import sys
from decimal import Decimal
from pathlib import Path

HERE = Path(__file__).resolve().parent
# Equilibria come from a minimiser: its last digits differ between machines.
TOLERANCE = {"equilibria.json": 2e-4, "titrations.json": 2e-4, "formulas.json": 2e-4, "ranges.json": 2e-4, "bench.json": 2e-4, "activity.json": 2e-4, "water-activity.json": 1e-6}

CITRIC = [3.128, 4.761, 6.396]
PHOSPHORIC = [2.148, 7.198, 12.375]
LACTIC, GLYCOLIC, ACETIC, BENZOIC, SORBIC = [3.86], [3.83], [4.757], [4.20], [4.76]
SALICYLIC, LEVULINIC, GLUCONIC, AMMONIUM = [2.97], [4.59], [3.6], [9.244]
TEA, ARGININE = [7.76], [1.823, 8.991, 12.48]


def acid(mol, pka, charge=0):
    return {"mol_per_kg": mol, "pka": pka, "charge": charge}


def solve(acids, strong):
    """pH of acids (their charge with all protons) and a net strong charge, mol/L, by pHcalc."""
    from pHcalc import pHcalc

    species = [pHcalc.Acid(pKa=list(a["pka"]), charge=a["charge"], conc=a["mol_per_kg"]) for a in acids]
    if strong:
        species.append(pHcalc.Inert(charge=1 if strong > 0 else -1, conc=abs(strong)))
    system = pHcalc.System(*species)
    # A coarse grid first, then a simplex that may not stop early: pHcalc's own default is 1e-5.
    system.pHsolve(guess_est=True, est_num=3000, tol=1e-12)
    return round(float(system.pH), 5)


def equilibria():
    cases = [
        ("acetic acid 0.1 mol/L", [acid(0.1, ACETIC)], 0),
        ("citric acid 0.1 mol/L", [acid(0.1, CITRIC)], 0),
        ("citric acid 10 g/L", [acid(10 / 192.124, CITRIC)], 0),
        ("citric acid 1 g/L", [acid(1 / 192.124, CITRIC)], 0),
        ("glycolic acid 80 g/L", [acid(80 / 76.05, GLYCOLIC)], 0),
        ("salicylic acid 2 g/L", [acid(2 / 138.12, SALICYLIC)], 0),
        ("potassium sorbate 3 g/L", [acid(3 / 150.22, SORBIC)], 3 / 150.22),
        ("trisodium citrate dihydrate 10 g/L", [acid(10 / 294.10, CITRIC)], 30 / 294.10),
        ("sodium dihydrogen phosphate 0.1 mol/L", [acid(0.1, PHOSPHORIC)], 0.1),
        ("triethanolamine 10 g/L", [acid(10 / 149.19, TEA, 1)], 0),
        ("arginine 10 g/L", [acid(10 / 174.20, ARGININE, 2)], 0),
        ("sodium hydroxide 0.01 mol/L", [acid(1e-12, ACETIC)], 0.01),
        ("hydrochloric acid 1e-8 mol/L", [acid(1e-12, ACETIC)], -1e-8),
        ("levulinic acid 3 g/L", [acid(3 / 116.116, LEVULINIC)], 0),
        ("ammonium phosphate, three to one, 1e-3 mol/L", [acid(1e-3, PHOSPHORIC), acid(3e-3, AMMONIUM, 1)], 0),
        ("citric acid and disodium phosphate as sold for pH 5.0",
         [acid(0.1 * 0.485, CITRIC), acid(0.2 * 0.515, PHOSPHORIC)], 0.2 * 0.515 * 2),
        ("a whole lotion: benzoate, sorbate, lactic, citric, arginine, soda",
         [acid(0.0347, BENZOIC), acid(0.02, SORBIC), acid(0.03, LACTIC), acid(0.005, CITRIC),
          acid(0.01, ARGININE, 2)], 0.0347 + 0.02 + 0.004),
        ("gluconic acid, salicylic acid and triethanolamine",
         [acid(0.02, GLUCONIC), acid(0.0145, SALICYLIC), acid(0.03, TEA, 1)], 0),
    ]
    return [
        {"name": name, "protolytes": acids, "strong_charge": strong, "ph": solve(acids, strong)}
        for name, acids, strong in cases
    ]


def activity():
    from phreeqpython import PhreeqPython

    letters = {1: ("X", "-"), 2: ("Y", "-2"), 3: ("Z", "-3")}
    # name, acids by their pKa steps, uncharged base by the pKa of its cation, sodium, chloride (mol/kg)
    cases = [
        ("potassium dihydrogen citrate 0.05 mol/kg", [(0.05, CITRIC)], None, 0.05, 0),
        ("equimolal phosphate 0.025 mol/kg", [(0.05, PHOSPHORIC)], None, 0.075, 0),
        ("acetic acid and sodium acetate 0.1 mol/kg", [(0.2, ACETIC)], None, 0.1, 0),
        ("lactic acid half neutralised, 0.4 mol/kg", [(0.4, LACTIC)], None, 0.2, 0),
        ("lactic acid half neutralised with salt at the edge", [(0.4, LACTIC)], None, 0.45, 0.25),
        ("citric acid 0.05 mol/kg alone", [(0.05, CITRIC)], None, 0, 0),
        ("trisodium citrate 0.05 mol/kg", [(0.05, CITRIC)], None, 0.15, 0),
        ("citrate, weak", [(0.00485, CITRIC)], None, 0.0103, 0),
        ("triethanolamine and its hydrochloride 0.1 mol/kg", [], (0.2, 7.76), 0, 0.1),
        ("triethanolamine, lactic acid, citrate", [(0.05, LACTIC), (0.02, CITRIC)], (0.08, 7.76), 0.02, 0),
        ("tartrate-like two steps, half neutralised", [(0.03, [2.98, 4.34])], None, 0.03, 0),
        ("strong acid 0.01 mol/kg", [], None, 0, 0.01),
    ]
    out = []
    for name, acids, base, sodium, chloride in cases:
        engine = PhreeqPython(database="davies.dat", database_directory=HERE)
        species, solution = [], []
        for mol, pka in acids:
            letter, charge = letters[len(pka)]
            total = 0.0
            for step, k in enumerate(reversed(pka), start=1):
                total += k
                left = len(pka) - step
                ion = f"H{step if step > 1 else ''}{letter}" + ("" if left == 0 else "-" if left == 1 else f"-{left}")
                species.append(f"{letter}{charge} + {step}H+ = {ion}\n log_k {total:.6f}")
                if left == 0:
                    # PHREEQC takes an uncharged form by 0.1 I unless told otherwise; here it stays at one.
                    species.append(" -gamma 0 0")
            solution.append(f" {letter} {mol}")
        if base:
            species.append(f"B + H+ = BH+\n log_k {base[1]}")
            solution.append(f" B {base[0]}")
        if sodium:
            solution.append(f" Na {sodium}")
        if chloride:
            solution.append(f" Cl {chloride}")
        engine.ip.run_string(
            "SOLUTION_SPECIES\n" + "\n".join(species) + "\nSELECTED_OUTPUT 1\n -reset false\n -high_precision true\n"
            " -pH true\n -ionic_strength true\nSOLUTION 1\n units mol/kgw\n pH 7 charge\n" + "\n".join(solution)
            + "\nEND\n"
        )
        row = engine.ip.get_selected_output_array()[-1]
        protolytes = [acid(mol, pka) for mol, pka in acids]
        if base:
            protolytes.append(acid(base[0], [base[1]], 1))
        ions = [{"mol_per_kg": m, "charge": c} for m, c in ((sodium, 1), (chloride, -1)) if m]
        out.append({"name": name, "protolytes": protolytes, "ions": ions,
                    "ph": round(row[0], 5), "ionic_strength_mol_kg": round(row[1], 6)})
    return out


# Ten products as a bench meets them, mol per kg of product, and what is added to which target.
AGENTS = {
    "lactic acid": {"molar_mass": 90.078, "pka": LACTIC, "charge": 0, "strong": 0},
    "citric acid": {"molar_mass": 192.124, "pka": CITRIC, "charge": 0, "strong": 0},
    "sodium hydroxide": {"molar_mass": 39.997, "pka": [], "charge": 0, "strong": 1},
    "triethanolamine": {"molar_mass": 149.19, "pka": TEA, "charge": 1, "strong": 0},
    "arginine": {"molar_mass": 174.20, "pka": ARGININE, "charge": 2, "strong": 0},
}
PRODUCTS = [
    ("lotion with benzoate and sorbate", [acid(0.0347, BENZOIC), acid(0.020, SORBIC)], 0.0545,
     "lactic acid", 5.0, 0.03),
    ("cream with citrate", [acid(0.0102, CITRIC), acid(0.004, SORBIC)], 0.0302, "lactic acid", 5.6, 0.03),
    ("phosphate buffered gel", [acid(0.025, PHOSPHORIC)], 0.0345, "lactic acid", 6.2, 0.02),
    ("carbomer gel", [acid(0.012, [4.6]), acid(0.012, [5.4]), acid(0.012, [6.2]), acid(0.012, [7.0]),
                      acid(0.045, TEA, 1)], 0, "citric acid", 6.4, 0.02),
    ("lactate serum", [acid(0.111, LACTIC)], 0.030, "sodium hydroxide", 3.8, 0.08),
    ("citrate serum", [acid(0.012, CITRIC), acid(0.02, LEVULINIC)], 0.021, "arginine", 4.9, 0.03),
    ("betaine shampoo", [acid(0.0347, BENZOIC), acid(0.006, CITRIC), acid(0.15, [2.3])], 0.202,
     "citric acid", 5.2, 0.02),
    ("gluconate toner", [acid(0.03, GLUCONIC), acid(0.01, CITRIC)], 0.033, "triethanolamine", 4.8, 0.05),
    ("protein and panthenol serum", [acid(0.015, [3.9]), acid(0.015, [4.4]), acid(0.006, [6.5]),
                                     acid(0.008, [8.5], 1), acid(0.025, BENZOIC)], 0.0525, "lactic acid", 5.2, 0.03),
    ("levulinate and anisate cream", [acid(0.026, LEVULINIC), acid(0.013, [4.47])], 0.018,
     "sodium hydroxide", 5.2, 0.04),
]


def titrations():
    out = []
    for name, acids, strong, agent, target, most in PRODUCTS:
        a = AGENTS[agent]
        curve = []
        for step in range(161):
            mol = most * step / 160
            added = [acid(mol, a["pka"], a["charge"])] if a["pka"] and mol else []
            curve.append([round(mol, 9), solve(acids + added, strong + mol * a["strong"])])
        out.append({"name": name, "protolytes": acids, "strong_charge": strong, "agent": {"name": agent, **a},
                    "target": target, "curve": curve})
    return out


# Ten products by a rule that was set before any of them was dosed: one of each kind that is most often adjusted at the
# bench (hand cream, lotion with niacinamide, toner, shampoo with betaine, wash with glucosides, gel with carbomer, serum with
# lactic acid, cream with glycolic acid, conditioner with an amidoamine, gel with ascorbyl phosphate), each with the acids,
# bases and salts of a usual formula at usual levels, the acid or base that is usually taken, the pH it is usually brought to.
# Rows: name, percent, and what of it the water sees: molar mass, pKa steps, charge with all protons, strong ions.
# Of carbomer, the betaine, the amidoamine and the phosphate the knowledge base has no figures; the lye in the glucoside
# (0.03 % of the product) stands in no formula.
BENCH = [
    ("hand cream", [("rapeseed oil", 12, None), ("sodium benzoate", 0.4, (144.105, BENZOIC, 0, 1)),
                    ("potassium sorbate", 0.3, (150.22, SORBIC, 0, 1)), ("trisodium citrate", 0.2, (294.10, CITRIC, 0, 3))],
     0, "lactic acid", 5.2, 0.04),
    ("lotion with niacinamide", [("niacinamide", 4, (122.13, [3.35], 1, 0)), ("sodium benzoate", 0.5, (144.105, BENZOIC, 0, 1)),
                                 ("sodium PCA", 2, (151.10, [3.32], 0, 1)),
                                 ("disodium EDTA", 0.1, (372.24, [2.16, 3.119, 6.273, 10.948], 0, 2))],
     0, "lactic acid", 5.2, 0.03),
    ("toner", [("sodium lactate", 0.5, (112.06, LACTIC, 0, 1)), ("sodium benzoate", 0.4, (144.105, BENZOIC, 0, 1)),
               ("potassium sorbate", 0.3, (150.22, SORBIC, 0, 1))], 0, "citric acid", 5.0, 0.03),
    ("shampoo", [("cocamidopropyl betaine", 3, (342.5, [2.3], 1, 0)), ("sodium benzoate", 0.5, (144.105, BENZOIC, 0, 1)),
                 ("trisodium citrate", 0.3, (294.10, CITRIC, 0, 3))], 0, "citric acid", 5.2, 0.03),
    ("glucoside wash", [("decyl glucoside", 20, None), ("sodium benzoate", 0.5, (144.105, BENZOIC, 0, 1)),
                        ("potassium sorbate", 0.3, (150.22, SORBIC, 0, 1)),
                        ("tetrasodium glutamate diacetate", 0.2, (351.13, [2.6, 3.5, 5.0, 9.4], 0, 4))],
     0.3 / 39.997, "citric acid", 5.2, 0.04),
    ("carbomer gel", [("carbomer", 0.4, (72.0, None, 0, 0))], 0, "triethanolamine", 6.0, 0.08),
    ("lactic acid serum", [("lactic acid", 5, (90.078, LACTIC, 0, 0)), ("sodium lactate", 1, (112.06, LACTIC, 0, 1))], 0,
     "sodium hydroxide", 3.8, 0.4),
    ("glycolic acid cream", [("rapeseed oil", 12, None), ("glycolic acid", 5, (76.051, GLYCOLIC, 0, 0)),
                             ("citric acid", 0.1, (192.124, CITRIC, 0, 0))], 0, "sodium hydroxide", 3.8, 0.5),
    ("conditioner", [("stearamidopropyl dimethylamine", 1.5, (368.6, [9.0], 1, 0)),
                     ("sodium benzoate", 0.4, (144.105, BENZOIC, 0, 1))], 0, "lactic acid", 4.5, 0.1),
    ("ascorbyl phosphate gel", [("sodium ascorbyl phosphate", 3, (322.05, [1.5, 6.1], 0, 2)),
                                ("potassium sorbate", 0.4, (150.22, SORBIC, 0, 1)),
                                ("sodium lactate", 1, (112.06, LACTIC, 0, 1))], 0, "citric acid", 6.0, 0.06),
]


def bench():
    out = []
    for name, rows, strong, agent, target, most in BENCH:
        acids = []
        for _, percent, seen in rows:
            if seen:
                molar_mass, pka, charge, ions = seen
                mol = percent * 10 / molar_mass
                strong += mol * ions
                if pka is None:
                    # The groups of a polymer hold each other: spread over three units of pH.
                    acids += [acid(mol / 5, [k]) for k in (4.2, 4.9, 5.6, 6.3, 7.0)]
                else:
                    acids.append(acid(mol, pka, charge))
        a = AGENTS[agent]
        curve = []
        for step in range(241):
            mol = most * step / 240
            added = [acid(mol, a["pka"], a["charge"])] if a["pka"] and mol else []
            curve.append([round(mol, 9), solve(acids + added, strong + mol * a["strong"])])
        out.append({"name": name, "rows": [[n, str(p)] for n, p, _ in rows], "agent": f"{agent} 10 %",
                    "molar_mass": a["molar_mass"], "target": str(target), "curve": curve})
    return out


# Percent of the pure substance in it, molar mass, pKa steps, charge with all protons, strong ions with one mole,
# molecules of the acid in one mole.
SUBSTANCES = {
    "citric acid": (100, 192.124, [3.128, 4.76, 6.396], 0, 0, 1),
    "trisodium citrate": (100, 294.10, [3.128, 4.76, 6.396], 0, 3, 1),
    "sodium benzoate": (100, 144.105, BENZOIC, 0, 1, 1),
    "potassium sorbate": (100, 150.22, SORBIC, 0, 1, 1),
    "lactic acid 10 %": (10, 90.078, LACTIC, 0, 0, 1),
    "lactic acid 80 %": (80, 90.078, LACTIC, 0, 0, 1),
    "glycolic acid 70 %": (70, 76.05, GLYCOLIC, 0, 0, 1),
    "sodium hydroxide 10 %": (10, 39.997, [], 0, 1, 1),
    "arginine": (100, 174.20, [1.82, 8.991, 12.48], 2, 0, 1),
    "calcium benzoate": (100, 282.31, BENZOIC, 0, 2, 2),
    "calcium lactate": (100, 218.22, LACTIC, 0, 2, 2),
    "ammonium lactate": (100, 107.11, [3.86, 9.244], 1, 0, 1),
    "lysine HCl": (100, 182.65, [2.16, 9.06, 10.54], 2, -1, 1),
    "glycerin": (100, 92.094, None, 0, 0, 1),
    "rapeseed oil": (100, 880.0, None, 0, 0, 1),
}
FORMULAS = [
    [("citric acid", 0.3), ("trisodium citrate", 0.7)],
    [("sodium benzoate", 0.5), ("lactic acid 10 %", 3)],
    [("sodium benzoate", 0.4), ("potassium sorbate", 0.3), ("citric acid", 0.2), ("glycerin", 5)],
    [("lactic acid 80 %", 2.5), ("arginine", 1.5), ("sodium benzoate", 0.5)],
    [("glycolic acid 70 %", 8), ("sodium hydroxide 10 %", 15)],
    [("calcium benzoate", 0.3), ("citric acid", 0.1)],
    [("calcium lactate", 0.5), ("lactic acid 10 %", 2)],
    [("ammonium lactate", 12), ("lactic acid 80 %", 0.5), ("rapeseed oil", 20)],
    [("lysine HCl", 1), ("trisodium citrate", 0.2), ("rapeseed oil", 8), ("glycerin", 3)],
]


def formulas():
    out = []
    for rows in FORMULAS:
        water = 100 - sum(percent for _, percent in rows)
        water += sum(percent * (1 - SUBSTANCES[name][0] / 100) for name, percent in rows)
        acids, strong = [], 0
        for name, percent in rows:
            active, molar_mass, pka, charge, ions, molecules = SUBSTANCES[name]
            if pka is None:
                continue
            mol = percent * active / 100 / molar_mass / water * 1000
            strong += mol * ions
            if pka:
                acids.append(acid(mol * molecules, pka, charge))
        out.append({"rows": [[name, str(percent)] for name, percent in rows], "ph": solve(acids, strong)})
    return out


# Acid groups of what has no one molar mass: mmol in a gram of the pure material, pKa, share neutralised, each from and to,
# as the knowledge base has them, typed in apart from it. Before them the pure share of what is weighed in.
GROUPS = {
    "xanthan gum": ((1, 1), [((0.95, 2.27), (2, 4), (0.99, 1))]),
    "sodium phytate": ((0.5, 1), [((5.4, 7.56), (1, 2.1), (1, 1)), ((0.9, 1.26), (5, 5.7), (0, 1)),
                                  ((1.8, 2.52), (6.8, 7.6), (0, 1)), ((2.7, 3.78), (9.1, 12), (0, 1))]),
    "glyceryl stearate citrate": ((1, 1), [((0.17, 0.72), (3, 7), (0, 0)), ((0, 1.4), (3, 5.5), (1, 1))]),
    "carbomer": ((1, 1), [((2.48, 3.02), pka, (0, 0)) for pka in ((4, 4.8), (4.8, 5.8), (5.4, 6.6), (6, 7.2), (6.6, 7.8))]),
    "sodium cocoyl glutamate": ((0.25, 0.3), [((2.5, 2.9), (2.5, 4.5), (1, 1)), ((2.5, 2.9), (4.5, 6.5), (0, 0.6))]),
    "cocamidopropyl betaine": ((0.3, 0.38), [((2.6, 3), (1.8, 2.4), (1, 1)), ((0, 0.15), (3.8, 7), (0, 1))]),
}
RANGES = [
    ("hand cream", [("lactic acid 10 %", 1), ("sodium benzoate", 0.4), ("glycerin", 5), ("rapeseed oil", 16), ("xanthan gum", 0.2),
                    ("sodium phytate", 0.1), ("glyceryl stearate citrate", 3)]),
    ("shampoo", [("citric acid", 0.3), ("sodium benzoate", 0.5), ("glycerin", 2), ("sodium cocoyl glutamate", 12),
                 ("cocamidopropyl betaine", 14)]),
    ("lactic acid toner", [("lactic acid 80 %", 5), ("sodium hydroxide 10 %", 8), ("sodium benzoate", 0.4), ("xanthan gum", 0.2)]),
    ("gel with benzoate and sorbate", [("sodium benzoate", 0.4), ("potassium sorbate", 0.2), ("citric acid", 0.3), ("xanthan gum", 0.8),
                                       ("sodium phytate", 0.1)]),
    ("carbomer gel without a base", [("carbomer", 0.4), ("sodium benzoate", 0.3), ("glycerin", 3)]),
    ("carbomer gel", [("carbomer", 0.4), ("sodium hydroxide 10 %", 1), ("glycerin", 3)]),
]


def ranges():
    from itertools import product

    out = []
    for name, rows in RANGES:
        water = 100 - sum(percent for _, percent in rows)
        water += sum(p * (1 - SUBSTANCES[n][0] / 100) for n, p in rows if n in SUBSTANCES)
        acids, strong, groups = [], 0, []
        for row, percent in rows:
            if row in GROUPS:
                pure, kinds = GROUPS[row]
                grams = [percent / water * 1000 * share for share in pure]
                groups += [([mmol[0] * grams[0] / 1000, mmol[1] * grams[1] / 1000], pka, share) for mmol, pka, share in kinds]
                continue
            active, molar_mass, pka, charge, ions, molecules = SUBSTANCES[row]
            if pka is None:
                continue
            mol = percent * active / 100 / molar_mass / water * 1000
            strong += mol * ions
            if pka:
                acids.append(acid(mol * molecules, pka, charge))
        # Every corner of the amounts; of pKa and share neutralised the ends that go together.
        ends = []
        for end in (0, 1):
            corners = []
            for much in product((0, 1), repeat=len(groups)):
                more = [acid(mol[m], [pka[end]]) for (mol, pka, _), m in zip(groups, much) if mol[m]]
                base = sum(mol[m] * share[end] for (mol, _, share), m in zip(groups, much))
                corners.append(solve(acids + more, strong + base))
            ends.append(max(corners) if end else min(corners))
        out.append({"name": name, "rows": [[n, str(p)] for n, p in rows], "low": ends[0], "high": ends[1]})
    return out


def water_activity():
    from aquasol.solutions import water_activity as aw

    glycerol = [
        {"solute": "glycerol", "percent_w_w": p, "celsius": 25, "aw": round(float(aw("glycerol", T=25, w=p / 100)), 6)}
        for p in (5, 10, 20, 30, 40, 50, 55, 60, 70, 80)
    ]
    salt = [
        {"solute": "sodium chloride", "mol_per_kg": m, "celsius": 25, "aw": round(float(aw("NaCl", T=25, m=m)), 6)}
        for m in (0.1, 0.5, 1.0)
    ]
    return glycerol + salt


def units():
    import pint

    ureg = pint.UnitRegistry(non_int_type=Decimal)
    one = Decimal(1)
    mass = {"g": "gram", "mg": "milligram", "kg": "kilogram", "oz": "ounce", "lb": "pound"}
    volume = {"mL": "milliliter", "L": "liter", "fl oz": "US_fluid_ounce", "tsp": "teaspoon",
              "tbsp": "tablespoon", "cup": "cup"}
    heat = [Decimal(f) for f in ("-40", "0", "32", "68", "98.6", "104", "140", "158", "167", "176", "212")]
    return {
        "grams": {k: str((one * ureg(v)).to("gram").magnitude.normalize()) for k, v in mass.items()},
        "millilitres": {k: str(round((one * ureg(v)).to("milliliter").magnitude, 18).normalize())
                        for k, v in volume.items()},
        "fahrenheit_in_celsius": {str(f): str(round(ureg.Quantity(f, "degF").to("degC").magnitude, 9))
                                  for f in heat},
    }


FILES = {
    "equilibria.json": equilibria,
    "activity.json": activity,
    "titrations.json": titrations,
    "bench.json": bench,
    "formulas.json": formulas,
    "ranges.json": ranges,
    "water-activity.json": water_activity,
    "units.json": units,
}


def differences(old, new, tolerance, where=""):
    """Every place where the two differ, numbers by more than the tolerance."""
    if isinstance(old, bool) or isinstance(new, bool) or not (
            isinstance(old, (int, float)) and isinstance(new, (int, float))):
        if type(old) is not type(new):
            yield f"{where}: {old!r} was kept, {new!r} is made now"
        elif isinstance(old, dict):
            for key in sorted(old.keys() | new.keys()):
                if key not in old or key not in new:
                    yield f"{where}/{key}: only on one side"
                else:
                    yield from differences(old[key], new[key], tolerance, f"{where}/{key}")
        elif isinstance(old, list):
            if len(old) != len(new):
                yield f"{where}: {len(old)} rows were kept, {len(new)} are made now"
            for row, (a, b) in enumerate(zip(old, new)):
                yield from differences(a, b, tolerance, f"{where}/{row}")
        elif old != new:
            yield f"{where}: {old!r} was kept, {new!r} is made now"
    elif abs(old - new) > tolerance:
        yield f"{where}: {old} was kept, {new} is made now"


def text(rows):
    if isinstance(rows, list):
        return "[\n" + ",\n".join(json.dumps(r) for r in rows) + "\n]\n"
    return json.dumps(rows, indent=1) + "\n"


def main():
    check = "--check" in sys.argv[1:]
    if [a for a in sys.argv[1:] if a != "--check"]:
        sys.exit(__doc__)
    faults = []
    for name, make in FILES.items():
        made = json.loads(text(make()))
        path = HERE / name
        if check:
            kept = json.loads(path.read_text())
            faults += [f"{name}{d}" for d in differences(kept, made, TOLERANCE.get(name, 0))]
        else:
            path.write_text(text(made))
        print(f"{name}: {len(made)} {'compared' if check else 'written'}")
    for fault in faults:
        print(fault, file=sys.stderr)
    sys.exit(1 if faults else 0)


if __name__ == "__main__":
    main()
