#!/usr/bin/env python3
"""Molar masses and CAS numbers of the knowledge base against two reference libraries.

    python -m venv venv && venv/bin/pip install molmass==2026.1.8 chemicals==1.5.2
    venv/bin/python molar_masses.py            writes molar-masses.json and cas-numbers.json beside this script
    venv/bin/python molar_masses.py --check    writes nothing; fails where a line would change

molar-masses.json: id and mass in g/mol by molmass, from formulas typed here by hand.
cas-numbers.json: id, CAS number and the molar mass that the library chemicals holds under that number. The pairs of id and
number are those of the base, in cas-pairs.txt; the mass is the library's own, so a number that belongs to another
substance shows itself by its mass.
"""

import json
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent

FORMULAS = """
benzoic-acid C7H6O2
sodium-benzoate C7H5NaO2
potassium-benzoate C7H5KO2
sorbic-acid C6H8O2
potassium-sorbate C6H7KO2
salicylic-acid C7H6O3
sodium-salicylate C7H5NaO3
dehydroacetic-acid C8H8O4
4-hydroxybenzoic-acid C7H6O3
methylparaben C8H8O3
ethylparaben C9H10O3
propylparaben C10H12O3
butylparaben C11H14O3
levulinic-acid C5H8O3
p-anisic-acid C8H8O3
phenoxyethanol C8H10O2
benzyl-alcohol C7H8O
citric-acid C6H8O7
citric-acid-monohydrate C6H10O8
lactic-acid C3H6O3
glycolic-acid C2H4O3
malic-acid C4H6O5
mandelic-acid C8H8O3
tartaric-acid C4H6O6
succinic-acid C4H6O4
acetic-acid C2H4O2
formic-acid CH2O2
phosphoric-acid H3PO4
boric-acid H3BO3
azelaic-acid C9H16O4
gluconic-acid C6H12O7
gluconolactone C6H10O6
kojic-acid C6H6O4
arbutin C12H16O7
sodium-hydroxide NaOH
potassium-hydroxide KOH
triethanolamine C6H15NO3
tromethamine C4H11NO3
arginine C6H14N4O2
sodium-bicarbonate NaHCO3
ascorbic-acid C6H8O6
niacinamide C6H6N2O
panthenol C9H19NO4
allantoin C4H6N4O3
urea CH4N2O
caffeine C8H10N4O2
retinol C20H30O
retinyl-acetate C22H32O2
retinyl-palmitate C36H60O2
tocopherol C29H50O2
tocopheryl-acetate C31H52O3
glycerin C3H8O3
propylene-glycol C3H8O2
sodium-chloride NaCl
zinc-oxide ZnO
titanium-dioxide TiO2
zinc Zn
zinc-gluconate C12H22O14Zn
stearic-acid C18H36O2
cetyl-alcohol C16H34O
water H2O
"""


def molar_masses():
    from molmass import Formula

    rows = [line.split() for line in FORMULAS.strip().splitlines()]
    return [{"id": i, "formula": f, "g_per_mol": round(Formula(f).mass, 3)} for i, f in rows]


def cas_numbers():
    from chemicals import search_chemical

    out = []
    for line in (HERE / "cas-pairs.txt").read_text().splitlines():
        if line and not line.startswith("#"):
            i, cas, *why = line.split(maxsplit=2)
            row = {"id": i, "cas": cas, "g_per_mol": round(search_chemical(cas).MW, 3)}
            out.append(row | {"differs": why[0]} if why else row)
    return out


def main():
    check = sys.argv[1:] == ["--check"]
    changed = 0
    for name, rows in (("molar-masses.json", molar_masses()), ("cas-numbers.json", cas_numbers())):
        text = "[\n" + ",\n".join("  " + json.dumps(r) for r in rows) + "\n]\n"
        path = HERE / name
        if not check:
            path.write_text(text)
        elif path.read_text() != text:
            print(f"{name} has changed")
            changed = 1
    return changed


if __name__ == "__main__":
    sys.exit(main())
