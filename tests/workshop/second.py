#!/usr/bin/env python3
"""A second workshop with its answers, as JSON: `python3 tests/workshop/second.py > tests/workshop/second.json`.

The same kinds of files as the first workshop, with other formulas, figures, lots and days. What is left, what a batch cost, where a lot
went and what jars stand on the shelf are worked out here from the numbers that were drawn, with exact fractions. Nothing is read back
from the files, and the program is not asked.
"""
import json
import random
from datetime import date, timedelta
from decimal import Decimal as D
from fractions import Fraction as F

draw = random.Random(20261201)
FILES = {}

FORMULAS = {
    "acid-solution": (1, """formula "Citric acid, a quarter"
  version: 1

phase A
  water        75 %
  citric acid  25 %
"""),
    "plain-gel": (3, """formula "Plain gel"
  version: 3
  pH: 5.0 to 5.5

phase A "gel" at room temperature
  water              q.s.
  glycerin           4 %
  xanthan gum        1.2 %
  sodium benzoate    0.5 %
  potassium sorbate  0.2 %

phase B "pH"
  citric acid 25 %   q.s. to pH 5.2, about 0.6 %
"""),
    "after-sun-gel": (2, """formula "After-sun gel"
  version: 2
  product: body gel, leave-on
  pH: 5.0 to 5.5

phase A "gel" at room temperature
  "plain-gel.formula"  55 %
  water                q.s.
  panthenol            2 %
  glycerin             3 %

phase B "pH"
  citric acid 25 %     q.s. to pH 5.2, about 0.2 %
"""),
    "night-cream": (5, """formula "Night cream"
  version: 5
  product: face cream, leave-on
  pH: 5.0 to 5.5

phase A "water" at 75 °C, hold 15 min
  water                                    q.s.
  glycerin                                 6 %
  xanthan gum                              0.3 %

phase B "oil" at 75 °C
  sunflower oil                            12 %
  shea butter                              5 %
  cetearyl alcohol                         3 %
  glyceryl stearate citrate                4 %

phase C "cool-down" below 40 °C
  panthenol                                1 %
  tocopherol                               0.4 %
  benzyl alcohol (and) dehydroacetic acid  0.8 %

phase D "pH" below 40 °C
  lactic acid 10 %                         q.s. to pH 5.2, about 1 %
"""),
    "foot-balm": (1, """formula "Foot balm"
  version: 1
  product: foot balm, leave-on

phase A "fats" at 70 °C
  sunflower oil  52 %
  shea butter    30 %
  beeswax        17 %

phase B "cool-down" below 50 °C
  tocopherol     1 %
"""),
}
# Percent by weight of what goes on the scale; water fills up, less what the log foresees.
ROWS = {
    "acid-solution": [("water", None), ("citric acid", D(25))],
    "plain-gel": [("water", None), ("glycerin", D(4)), ("xanthan gum", D("1.2")), ("sodium benzoate", D("0.5")), ("potassium sorbate", D("0.2"))],
    "after-sun-gel": [('"plain-gel.formula"', D(55)), ("water", None), ("panthenol", D(2)), ("glycerin", D(3))],
    "night-cream": [("water", None), ("glycerin", D(6)), ("xanthan gum", D("0.3")), ("sunflower oil", D(12)), ("shea butter", D(5)),
                    ("cetearyl alcohol", D(3)), ("glyceryl stearate citrate", D(4)), ("panthenol", D(1)), ("tocopherol", D("0.4")),
                    ("benzyl alcohol (and) dehydroacetic acid", D("0.8"))],
    "foot-balm": [("sunflower oil", D(52)), ("shea butter", D(30)), ("beeswax", D(17)), ("tocopherol", D(1))],
}
LATER = {"plain-gel": D("0.6"), "after-sun-gel": D("0.2"), "night-cream": D(1)}

# code: material, grams, price, received, best before
LOTS = {
    "CA-11": ("citric acid", 1000, "7.20", "2026-01-05", "2028-12-31"),
    "GL-31": ("glycerin", 3000, "21.00", "2026-01-05", "2027-11-30"),
    "GL-32": ("glycerin", 5000, "37.50", "2026-04-20", "2028-03-31"),
    "XG-07": ("xanthan gum", 500, "17.40", "2026-01-05", "2026-10-31"),
    "SB-02": ("sodium benzoate", 250, "5.10", "2026-01-05", "2028-06-30"),
    "PS-02": ("potassium sorbate", 250, "6.30", "2026-01-05", "2028-06-30"),
    "PA-14": ("panthenol", 400, "31.60", "2026-01-12", "2026-09-30"),
    "SO-21": ("sunflower oil", 9000, "48.00", "2026-01-12", "2026-12-31"),
    "SH-41": ("shea butter", 6000, "66.00", "2026-01-12", "2027-02-28"),
    "CE-09": ("cetearyl alcohol", 1000, "11.00", "2026-01-12", "2029-01-31"),
    "GS-05": ("glyceryl stearate citrate", 1000, "26.00", "2026-01-12", "2028-01-31"),
    "TO-03": ("tocopherol", 300, "22.50", "2026-01-12", "2027-08-31"),
    "BD-06": ("benzyl alcohol (and) dehydroacetic acid", 250, "18.00", "2026-01-12", "2027-05-31"),
    "LA-08": ("lactic acid 80 %", 500, "12.00", "2026-01-12", "2026-10-15"),
    "BW-12": ("beeswax", 4000, "72.00", "2026-01-12", "2030-01-31"),
}
MADE = {}       # lot made here -> batch
BATCHES = {}    # code -> what happened
LEDGER = []
left = {code: F(D(lot[1])) for code, lot in LOTS.items()}
PLANTED = []


def scale(x):
    return D(x).quantize(D("0.1"))


def text(x):
    return format(scale(x), "f")


def make(code, formula, day, target, lots, ph=None, jars=None, plant=None, lot_made=None):
    """One batch: draws its weights, writes its file, books what it took."""
    version, _ = FORMULAS[formula]
    later = LATER.get(formula, D(0))
    named = sum((p for _, p in ROWS[formula] if p is not None), D(0))
    rows, used, unknown = [], [], None
    for name, percent in ROWS[formula]:
        percent = D(100) - named - later if percent is None else percent
        plan = scale(percent * target / 100)
        off = draw.choice([D(0), D("0.1"), D("-0.1")]) if plan >= 20 else D(0)
        actual = plan + off
        lot = lots.get(name.strip('"').replace(".formula", ""))
        if plant == "weight-off" and "dehydroacetic" in name:
            actual = scale(plan * D("1.12"))
        if plant == "unit-slip" and name == "tocopherol":
            actual = plan * 10
        written = lot
        if plant == "lot-unknown" and name == "shea butter":
            written, lot, unknown = "SH-14", None, "SH-14"
        if plant == "no-lot" and name == "glycerin":
            written, lot, unknown = None, None, "none"
        rows.append((name, actual, plan, written))
        if lot:
            used.append((lot, F(actual), F(1)))
    cool = {"night-cream": ("C", 38), "foot-balm": ("B", 47)}.get(formula)
    log = []
    if formula in ("night-cream", "foot-balm"):
        log.append("  09:10  A 76 °C, B 75 °C" if formula == "night-cream" else "  09:10  A 72 °C")
        if formula == "night-cream":
            log.append("  09:30  combined at 73 °C")
        log.append("  09:50  58 °C")
        label, heat = cool
        log.append(f"  10:20  {56 if plant == 'batch-added-hot' else heat} °C, add {label}")
    else:
        log.append("  09:10  21 °C, stirred")
    added = F(0)
    if ph:
        name, lot, share = ph
        log.append("  10:40  25 °C, pH 6.3")
        grams = scale(D(target) * later / 100 + draw.choice([D("-0.4"), D("0.2"), D("0.5")]))
        log.append(f"  10:46  add {text(grams)} g {name}  lot {lot}")
        if plant != "no-ph":
            reading = "5.9" if plant == "ph-off-target" else draw.choice(["5.15", "5.2", "5.3"])
            log.append(f"  10:52  pH {reading} (10 % in water, 22 °C, meter)")
        else:
            log.pop(-2)
        added = F(grams)
        used.append((lot, F(grams), share))
    weighed = sum((F(actual) for _, actual, _, _ in rows), F(0))
    share = D("1.04") if plant == "yield-high" else D(draw.randint(965, 985)) / 1000
    put_in = weighed + added
    out = scale(D(put_in.numerator) / D(put_in.denominator) * share)
    if plant == "unit-slip":
        out = scale(D(target) * D("0.97"))
    log.append(f"  11:10  yield {text(out)} g")
    packed, filled, kept, spoilt, pack = [], 0, 0, 0, None
    if jars:
        pack, filled = jars[0], int(D(out) // jars[1])
        kept, spoilt = 1, draw.choice([0, 0, 1])
        tail = f", {kept} kept" + (f", {spoilt} spoilt" if spoilt else "")
        packed = ["", "packed", f"  {filled} x {pack}{tail}"]
    width = max(len(name) for name, *_ in rows)
    lines = [f'batch {code} of "{formula}.formula" version {version}', f"  made: {day}", f"  target: {target} g", "  by: Cleo", "", "weighed"]
    for name, actual, plan, lot in rows:
        lines.append(f"  {name:<{width}}  {text(actual)} g of {text(plan)} g" + (f"   lot {lot}" if lot else ""))
    lines += ["", "log"] + log + packed
    FILES[f"{code}.batch"] = "\n".join(lines) + "\n"
    for lot, grams, part in used:
        left[lot] -= grams * part
    BATCHES[code] = dict(formula=formula, made=day, used=used, out=F(out), pack=pack, filled=filled, kept=kept, spoilt=spoilt,
                         sold=0, given=0, thrown=0, unknown=unknown)
    if lot_made:
        MADE[lot_made] = code
        left[lot_made] = F(out)
        FILES.setdefault("made.stock", "")
        FILES["made.stock"] += f'lot {lot_made} of "{formula}.formula"\n  from: batch {code}\n\n'
    if plant:
        PLANTED.append([code, plant])


def move(day, verb, count, code, rest):
    pack = BATCHES[code]["pack"]
    LEDGER.append(f"  {day}  {verb} {count} x {pack} {code}{rest}")
    key = {"sold": "sold", "back": "sold", "gave": "given", "threw away": "thrown"}[verb]
    BATCHES[code][key] += -count if verb == "back" else count


day = date(2026, 2, 2)
make("AC-01", "acid-solution", day, 400, {"citric acid": "CA-11"}, lot_made="CQ-01")
make("PG-01", "plain-gel", day + timedelta(2), 3000, {"glycerin": "GL-31", "xanthan gum": "XG-07", "sodium benzoate": "SB-02", "potassium sorbate": "PS-02"},
     ph=("citric acid 25 %", "CQ-01", F(1)), lot_made="PB-01")
make("PG-02", "plain-gel", day + timedelta(70), 3000, {"glycerin": "GL-31", "xanthan gum": "XG-07", "sodium benzoate": "SB-02", "potassium sorbate": "PS-02"},
     ph=("citric acid 25 %", "CQ-01", F(1)), lot_made="PB-02", plant="yield-high")
cream_plants = {2: "weight-off", 3: "ph-off-target", 4: "batch-added-hot"}
gel_plants = {2: "no-lot", 4: "no-ph"}
balm_plants = {2: "lot-unknown", 3: "unit-slip"}
for n in range(1, 7):
    made = day + timedelta(9 + 21 * n)
    glycerin = "GL-31" if n < 4 else "GL-32"
    make(f"NC-{n:02}", "night-cream", made, 1000,
         {"glycerin": glycerin, "xanthan gum": "XG-07", "sunflower oil": "SO-21", "shea butter": "SH-41", "cetearyl alcohol": "CE-09",
          "glyceryl stearate citrate": "GS-05", "panthenol": "PA-14", "tocopherol": "TO-03", "benzyl alcohol (and) dehydroacetic acid": "BD-06"},
         ph=("lactic acid 10 %", "LA-08", F(1, 8)), jars=("30 g", 30), plant=cream_plants.get(n))
    make(f"AF-{n:02}", "after-sun-gel", made + timedelta(1), 800,
         {"plain-gel": "PB-01" if n < 4 else "PB-02", "panthenol": "PA-14", "glycerin": glycerin},
         ph=("citric acid 25 %", "CQ-01", F(1)), jars=("100 g", 100), plant=gel_plants.get(n))
    make(f"FB-{n:02}", "foot-balm", made + timedelta(2), 600,
         {"sunflower oil": "SO-21", "shea butter": "SH-41", "beeswax": "BW-12", "tocopherol": "TO-03"},
         jars=("40 g", 40), plant=balm_plants.get(n))

for code, b in list(BATCHES.items()):
    if not b["filled"]:
        continue
    free = b["filled"] - b["kept"] - b["spoilt"]
    first = free // 2
    sale = b["made"] + timedelta(10)
    move(sale, "sold", first, code, f" to {draw.choice(['the station kiosk', 'the reform shop'])}, invoice {draw.randint(100, 999)}")
    move(sale + timedelta(3), "sold", max(1, free // 4), code, " at market")
    if draw.random() < 0.4:
        move(sale + timedelta(6), "back", 1, code, " from the reform shop, lid broken")
    if draw.random() < 0.5:
        move(sale + timedelta(8), "gave", 1, code, " to testers")
    if draw.random() < 0.3:
        move(sale + timedelta(9), "threw away", 1, code, ", dropped")

# Two lines of the ledger about lots: a trial, and a count that sets what is there.
LEDGER.append("  2026-07-20  used 25 g BW-12, trial of a lip balm")
left["BW-12"] -= 25
LEDGER.append("  2026-07-25  counted 400 g CE-09")
left["CE-09"] = F(400)

for name, (_, words) in FORMULAS.items():
    FILES[f"{name}.formula"] = words
FILES["shelf.stock"] = "\n".join(
    f"lot {code} of {material}\n  received: {came}\n  best before: {until}\n  bought: {grams} g for {price} EUR\n"
    for code, (material, grams, price, came, until) in LOTS.items())
FILES["ledger.stock"] = "ledger\n" + "\n".join(sorted(LEDGER)) + "\n"
FILES["phasewright.toml"] = 'markets = ["EU"]\nscale = "0.1 g"\n'


def price_of(lot, grams):
    if lot in MADE:
        whole = cost(MADE[lot])
        return None if whole is None else whole * grams / BATCHES[MADE[lot]]["out"]
    return F(D(LOTS[lot][2])) * grams / F(LOTS[lot][1])


def cost(code):
    b = BATCHES[code]
    if b["unknown"]:
        return None
    parts = [price_of(lot, grams * part) for lot, grams, part in b["used"]]
    return None if any(p is None for p in parts) else sum(parts, F(0))


def reaches(lot):
    """The batches that hold a lot, also through what was made here of it."""
    found, waiting = [], [lot]
    while waiting:
        one = waiting.pop(0)
        for code, b in BATCHES.items():
            if code in found or one not in [l for l, _, _ in b["used"]]:
                continue
            found.append(code)
            waiting += [made for made, of in MADE.items() if of == code]
    return sorted(found)


def keeps(lot):
    if lot in MADE:
        return min(keeps(l) for l, _, _ in BATCHES[MADE[lot]]["used"])
    return LOTS[lot][4]


def exact(x):
    """A fraction as a decimal, which every weight here has; a cost is rounded to ten places."""
    d = D(x.numerator) / D(x.denominator)
    return format(d.quantize(D("1e-10")).normalize(), "f")


def here(b):
    return b["filled"] - b["kept"] - b["spoilt"] - b["sold"] - b["given"] - b["thrown"]


recall = {}
for lot in ("CA-11", "XG-07", "LA-08", "PB-01", "SO-21"):
    codes = reaches(lot)
    total = {k: sum(BATCHES[c][k] for c in codes) for k in ("filled", "sold", "kept", "spoilt")}
    total["here"] = sum(here(BATCHES[c]) for c in codes)
    recall[lot] = dict(batches=codes, **total)
answers = {
    "left": {code: exact(grams) for code, grams in sorted(left.items())},
    "keeps": {code: keeps(code) for code in sorted(left)},
    "costs": {code: (None if cost(code) is None else exact(cost(code))) for code in sorted(BATCHES)},
    "recall": recall,
    "jars": {code: here(b) for code, b in sorted(BATCHES.items()) if b["filled"]},
    "planted": sorted(PLANTED),
}
print(json.dumps({"files": FILES, "answers": answers}, indent=1, ensure_ascii=False, sort_keys=True))
