#!/usr/bin/env python3
"""How a clean answers to its settings: runs `wetrun clean acid_clean` with changes and rewrites the table in README.md.

    models/what_if.py PATH-TO-WETRUN

Each change is a list of --set overrides. The table stands between the two markers in models/README.md. Beside what the
model says stands what the trade expects; a row whose direction is not as expected is marked, and the script ends with 1.

The acid is reckoned twice. "By scale": the dissolved deposit times its stoichiometry, CaCO3 + 2 H+ -> Ca + CO2 + H2O and
FeOOH + 3 H+ -> Fe + 2 H2O. "By pH": what a chemist would say from the pH of the spent batch alone: the charge that citric
acid carries at that pH less the free acid left, with constants for 25 degC and an ionic strength of 0.1 (pKa 2.90, 4.35,
5.65; calcium with H2L-, HL2-, L3-: log K 1.1, 2.1, 3.5; order of the compilation of Martell & Smith, from memory; they are
not those of the model). Iron is taken as fully held by citrate.
"""
import csv
import json
import pathlib
import statistics
import subprocess
import sys
import tempfile

README = pathlib.Path(__file__).with_name("README.md")
BEGIN, END = "<!-- what-if: made by what_if.py -->", "<!-- what-if: end -->"

BAG = "phase[6].do[0].amount"
NO_CORRECTION = ["watch[0].max_times=1", 'watch[0].when=electrode.reading > 9']
NEVER_LOWER = ['watch[2].when=filter_out_gauge.reading < 0.1 bar and flow_valve.position > 99 %']

EXERCISE = """kind = "exercise"
version = 1
title = "what if"
skid = "ostrey"
aim = "none"
brief = "none"
cautions = ["none"]
duration = "8 h"
linger = "1 s"
[[rule]]
name = "nothing"
kind = "end_state"
that = "tank.level < 109 %"
why = "none"
instead = "none"
[[operator]]
sequence = "acid_clean"
expect = "pass"
because = "none"
"""

# title, overrides (a list) or faults (a dict), what the trade expects, check(base, case) -> bool
CASES = [
    ("base case", [], "", None),
    ("weaker: 2 kg bags, no corrections (pH drifts up)", [f'{BAG}=2 kg'] + NO_CORRECTION,
     "less recovered, higher pH", lambda b, c: c["recovered"] < b["recovered"] and c["ph_end"] > b["ph_end"]),
    ("stronger: 8 kg bags, corrections above pH 2.4",
     [f'{BAG}=8 kg', 'watch[0].when=electrode.reading > 2.4', "watch[0].max_times=8"],
     "more scale gone, lower pH; more acid bought", lambda b, c: c["scale"] > b["scale"] and c["ph_min"] < b["ph_min"]
     and c["bought"] > b["bought"]),
    ("colder: not heated",
     ['phase[5].do[3].to=5 degC', 'phase[7].until=tank.temperature > 15 degC'],
     "less recovered, less energy", lambda b, c: c["recovered"] < b["recovered"] and c["energy"] < b["energy"]),
    ("warmer: 34 degC",
     ['phase[5].do[3].to=34 degC', 'phase[7].until=tank.temperature > 33 degC'],
     "more recovered, more energy", lambda b, c: c["recovered"] > b["recovered"] and c["energy"] > b["energy"]),
    ("lower flow: a third",
     ['phase[11].do[0].to=40 %', 'phase[12].do[0].to=40 %', 'phase[12].do[1].to=100 %', 'phase[16].do[0].to=40 %',
      'phase[17].do[0].to=40 %', 'phase[17].do[1].to=100 %'] + NEVER_LOWER,
     "less recovered, less dirt on the filter, lower pressure",
     lambda b, c: c["recovered"] < b["recovered"] and c["captured"] < b["captured"] and c["peak"] < b["peak"]),
    ("twice the carbonate", ['unit.array_1.deposit[0].amount=20 g/m2'],
     "more acid eaten, smaller share recovered, more dirt on the filter",
     lambda b, c: c["eaten"] > b["eaten"] and c["recovered"] < b["recovered"] and c["captured"] > b["captured"]),
    ("half the filter: 6 cartridges", ["unit.cartridge.cartridges=6"],
     "same chemistry, higher drop over the filter, less flow",
     lambda b, c: abs(c["recovered"] - b["recovered"]) < 0.02 and c["drop"] > 1.5 * b["drop"] and c["flow"] < b["flow"]),
    ("half-loaded cartridges at the start", {"cartridge.loaded": 0.5},
     "same chemistry, higher drop over the filter, less flow",
     lambda b, c: abs(c["recovered"] - b["recovered"]) < 0.02 and c["drop"] > 1.3 * b["drop"] and c["flow"] < b["flow"]),
    ("no soak", ['phase[14].wait=0 s'], "less recovered, shorter",
     lambda b, c: c["recovered"] < b["recovered"] and c["hours"] < b["hours"]),
]


def citrate_charge(ph, citrate, calcium):
    """Moles of H+ that a mole of citric acid has given up, and free H+ [mol/L]; concentrations in mol/L, no iron."""
    h = 10 ** -ph / 0.83
    gives = [1.0]  # H3L, H2L-, HL2-, L3- over H3L
    for pk in (2.90, 4.35, 5.65):
        gives.append(gives[-1] * 10 ** -pk / h)
    binds = [0.0, 10 ** 1.1, 10 ** 2.1, 10 ** 3.5]  # of each form with calcium
    free = calcium
    for _ in range(200):  # plain iteration, halved; it converges because each step moves calcium towards its balance
        weights = [g * (1 + k * free) for g, k in zip(gives, binds)]
        bound = citrate * sum(g * k for g, k in zip(gives, binds)) / sum(weights)  # per mole of free calcium
        free = 0.5 * (free + calcium / (1 + bound))
    return sum(n * w for n, w in enumerate(weights)) / sum(weights), h


def run(program, overrides, faults):
    """The history of the clean, column names and rows. A case with faults is played as an exercise that judges nothing."""
    with tempfile.TemporaryDirectory() as folder:
        if faults:
            file = pathlib.Path(folder) / "what_if.toml"
            file.write_text(EXERCISE + "".join(f'[[fault]]\nsignal = "{k}"\nto = {v}\nat = "0 s"\n' for k, v in faults.items()))
            command = [program, "play", str(file), "--operator", "acid_clean", "--json", "--out", folder]
        else:
            command = [program, "clean", "acid_clean", "--skid", "ostrey", "--json", "--out", folder]
        for override in overrides:
            command += ["--set", override]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        if done.returncode != 0:
            sys.exit(f"{' '.join(command)}\n{done.stderr}")
        outcome = json.loads(done.stdout)
        with open(pathlib.Path(folder) / "history.csv", newline="") as file:
            rows = csv.reader(file)
            names = [cell.split(" [")[0] for cell in next(rows)]
            return outcome, {name: i for i, name in enumerate(names)}, [list(map(float, row)) for row in rows]


def case(program, overrides, faults):
    outcome, column, history = run(program, overrides, faults)

    def every(name):
        return [row[column[name]] for row in history]

    def last(name):
        return history[-1][column[name]]

    returning = column["concentrate_hose.flow"]
    drained = next(i for i, row in enumerate(history) if row[column["drain_valve.position"]] > 0.5)  # the batch goes
    spent = [row for row in history[:drained] if row[returning] > 5 / 3600][-1]  # the last moment at which it comes back

    def at(name):
        return spent[column[name]]

    calcium, iron = at("array_1.dissolved_carbonate_scale") / 0.10009, at("array_1.dissolved_iron_oxide") / 0.08885
    bought = last("tank.added_citric_acid_monohydrate")
    batch_m3 = at("permeate_main.drawn") - at("waste.volume") + 0.41  # what the vessels and lines held at the start
    citrate = bought / 0.21014 - at("waste.citrate")
    litres = 1000 * batch_m3
    charge, free = citrate_charge(at("electrode.true_ph"), (citrate - iron) / litres, calcium / litres)
    result = {
        "recovered": last("array_1.recovered_fraction"),
        "scale": last("array_1.dissolved_carbonate_scale"),
        "bought": bought,
        "eaten": 2 * calcium + 3 * iron,
        "by_ph": (citrate - iron) * charge + 3 * iron - free * litres,
        "captured": last("cartridge.captured"),
        "drop": max(every("cartridge.dp")) / 1e5,
        "flow": statistics.median(row[column["array_1.feed_flow"]] for row in history[:drained] if row[returning] > 5 / 3600) * 3600,
        "waste": last("waste.volume") + last("floor.volume"),
        "energy": (last("pump.energy") + last("tank.heater_energy")) / 3.6e6,
        "peak": last("array_1.peak_feed_pressure") / 1e5,
        "ph_min": last("array_1.ph_min"),
        "ph_end": at("electrode.true_ph"),
        "warmest": max(every("tank.true_temperature")) - 273.15,
        "hours": history[-1][0] / 3600,
    }
    if not faults and abs(result["recovered"] - outcome["arrays"][0]["recovered_fraction"]) > 1e-3:
        sys.exit("the history and the outcome disagree about what was recovered")
    return result


def table(program):
    head = ["Case", "Recovered", "Scale dissolved kg", "Citric acid bought kg", "Acid eaten mol H+, by scale", "the same, by pH",
            "On the cartridges kg", "Filter drop bar", "Feed flow m3/h", "Peak feed bar", "Lowest pH", "pH at the end",
            "Warmest degC", "Waste m3", "Energy kWh", "Hours", "What the trade expects", "As expected"]
    lines = ["| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    base, wrong = None, []
    for title, changes, expected, check in CASES:
        faults = changes if isinstance(changes, dict) else {}
        c = case(program, [] if faults else changes, faults)
        base = base or c
        verdict = "" if check is None else "yes" if check(base, c) else "**no**"
        if verdict == "**no**":
            wrong.append(title)
        cells = [title, f"{100 * c['recovered']:.1f} %", f"{c['scale']:.2f}", f"{c['bought']:.0f}", f"{c['eaten']:.0f}",
                 f"{c['by_ph']:.0f}", f"{c['captured']:.2f}", f"{c['drop']:.2f}", f"{c['flow']:.1f}", f"{c['peak']:.2f}",
                 f"{c['ph_min']:.2f}", f"{c['ph_end']:.2f}", f"{c['warmest']:.1f}", f"{c['waste']:.1f}",
                 f"{c['energy']:.0f}", f"{c['hours']:.2f}", expected, verdict]
        lines.append("| " + " | ".join(cells) + " |")
        print(lines[-1], file=sys.stderr, flush=True)
    return "\n".join(lines), wrong


def main():
    if len(sys.argv) != 2:
        sys.exit("usage: models/what_if.py PATH-TO-WETRUN")
    text = README.read_text()
    if text.count(BEGIN) != 1 or text.count(END) != 1:
        sys.exit(f"{README}: the markers '{BEGIN}' and '{END}' are each to stand there once")
    rows, wrong = table(sys.argv[1])
    before, after = text.split(BEGIN)[0], text.split(END)[1]
    README.write_text(f"{before}{BEGIN}\n{rows}\n{END}{after}")
    if wrong:
        sys.exit("not as the trade expects: " + "; ".join(wrong))


if __name__ == "__main__":
    main()
