"""Writes a large invented record: 400 colonies over ten generations, four tanks, fifteen years.

    python large.py DIR

Everything comes from a fixed generator, so that the same record is written every time. It is no example of reef keeping:
it is there to see whether long records stay quick and readable.
"""

import random
import sys
from datetime import date, timedelta
from pathlib import Path

START = date(2011, 1, 8)
END = date(2026, 1, 3)
TANKS = [("one", START, None), ("two", date(2013, 3, 2), date(2022, 5, 7)), ("three", date(2016, 9, 3), None),
         ("four", date(2021, 2, 6), None)]
GROUPS = ["leather", "zoanthid", "mushroom", "gorgonian", "soft", "large-polyp-stony", "small-polyp-stony"]
COLONIES = 400
GENERATIONS = 10


def write(root, path, text):
    path = root / path
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")


def tank(root, name, started, ended):
    lines = [f"name: Tank {name}", f"started: {started}", "zone: Europe/Lisbon", "size: 100 x 50 x 50 cm",
             "water: 190 L, counted at fill", "room: 17 to 27 °C", "electricity: 230 V, 0.24 EUR/kWh",
             "usual-units: {temperature: °C, salinity: ppt, alkalinity: dKH, nitrate: mg/L NO3, phosphate: mg/L PO4}",
             "usual-kits: {alkalinity: drops, nitrate: card, phosphate: meter}",
             "bands: {temperature: 24 to 26.5 °C, alkalinity: 7 to 9.5 dKH, nitrate: 2 to 15 mg/L NO3}"]
    if ended:
        lines.insert(2, f"ended: {ended}")
    write(root, f"{name}/tank.yaml", "\n".join(lines) + "\n")


def gear(root, name, started, chance):
    settings = []
    on = started
    while on < END:
        settings.append(f"  - {{since: {on}, level: {chance.randrange(40, 90)} %, schedule: \"10:00 to {chance.choice(['18:00', '19:00', '20:00'])}, ramp 60 min\"}}")
        on += timedelta(days=chance.randrange(90, 300))
    write(root, f"{name}/equipment/lamp.yaml",
          f"name: Lamp\nrole: lamp\nin-service: {started}\nwatts: 120 W\nsettings:\n" + "\n".join(settings) + "\n")
    write(root, f"{name}/equipment/pump.yaml",
          f"name: Pump\nrole: circulation-pump\nin-service: {started}\nwatts: 12 W\nsettings: {{level: 60 %, schedule: always}}\n")
    write(root, f"{name}/upkeep/tasks.yaml", "tasks: {glass: {every: 7 days, takes: 5 min}, pump-clean: {every: 90 days, takes: 60 min, device: pump}}\n")
    grid = ", ".join(f"[{x}, {y}, {depth}, {round(260 - 5 * depth - abs(x - 50))}]"
                     for x in (15, 50, 85) for y in (15, 35) for depth in (10, 25, 40))
    write(root, f"{name}/light/{started + timedelta(days=30)}.yaml",
          f"on: {started + timedelta(days=30)}\nlamp: lamp\nlevel: 60 %\nfactor-applied: yes\nunits: {{position: cm, light: µmol/m²/s}}\nreadings: [{grid}]\n")


def log(root, name, started, ended, chance):
    years = {}
    on, alkalinity, nitrate = started + timedelta(days=7), 8.0, 6.0
    while on < (ended or END):
        alkalinity += 0.4 * (8.0 - alkalinity) + chance.gauss(0, 0.2)
        nitrate = max(0.5, nitrate + 0.2 * (6.0 - nitrate) + chance.gauss(0, 1.2))
        lines = [f"{on} 20:00:", f"  temperature: {chance.gauss(25.3, 0.4):.1f}", f"  alkalinity: {alkalinity:.1f}",
                 f"  nitrate: {nitrate:.1f}", f"  phosphate: {abs(chance.gauss(0.06, 0.03)):.2f}",
                 f"  top-off: {chance.gauss(14, 2):.1f} L", "  feed: {flakes: {total: 3.5 g, over: 7 days}}",
                 f"  dose: {{stock: {chance.randrange(20, 40)} mL}}",
                 "  done: [glass, pump-clean]" if chance.random() < 0.08 else "  done: glass"]
        if chance.random() < 0.04:
            lines.append("  event: power cut")
        years.setdefault(on.year, []).append("\n".join(lines))
        on += timedelta(days=7)
    for year, entries in years.items():
        write(root, f"{name}/log/{year}.yaml", "\n".join(entries) + "\n")


def colonies(root, chance):
    made = []
    for number in range(COLONIES):
        generation = number * GENERATIONS // COLONIES
        mothers = [one for one in made if one["generation"] == generation - 1]
        arrived = START + timedelta(days=60 + round(number * 5200 / COLONIES) + chance.randrange(20))
        open_tanks = [key for key, started, ended in TANKS if started <= arrived and (ended is None or arrived < ended)]
        mother = chance.choice(mothers) if mothers else None
        group = mother["group"] if mother else chance.choice(GROUPS)
        key = f"c{number:03d}"
        lines = [f"name: {group.replace('-', ' ').capitalize()} {number:03d}", f"identity: pp-{number:03d}{'23456789'[number % 8]}kmqrst",
                 f"group: {group}", f"arrived: {arrived}"]
        if mother:
            grade = chance.choice(["witnessed-cut", "witnessed-cut", "givers-record", "name-only"])
            lines.append(f"parent: {{colony: {mother['key']}, grade: {grade}, on: {arrived}}}")
        else:
            lines.append("source: {kind: aquaculture, from: a club member, papers: no}")
        lines.append("placements:")
        at, moves = arrived, chance.randrange(1, 4)
        for _ in range(moves):
            here = [key for key, started, ended in TANKS if started <= at and (ended is None or at < ended)]
            home = chance.choice(here or open_tanks)
            lines.append(f"  - {{since: {at}, tank: {home}, x: {chance.randrange(5, 95)} cm, y: {chance.randrange(5, 45)} cm, depth: {chance.randrange(5, 45)} cm, where: the reef, flow: {chance.randrange(3, 20)} cm/s}}")
            at += timedelta(days=chance.randrange(200, 900))
            if at >= END:
                break
        end = arrived + timedelta(days=chance.randrange(300, 4000))
        size, sizes, on = chance.uniform(2, 5), [], arrived
        growing = chance.choice([0.0, 2.0, 4.0, 8.0])
        while on < min(end, END):
            sizes.append(f"  - {{on: {on}, diameter: {max(0.5, size + chance.gauss(0, 0.3)):.1f} cm}}")
            on += timedelta(days=120)
            size += growing * 120 / 365
        lines.append("sizes:")
        lines += sizes
        if chance.random() < 0.5:
            lines.append(f"events: [{{on: {arrived + timedelta(days=100)}, what: closed for a week}}]")
        if end < END:
            how = chance.choice(["lost", "lost", "given-away"])
            lines.append(f"ended: {{on: {end}, how: {how}, cause-grade: unknown}}")
        write(root, f"colonies/{key}.yaml", "\n".join(lines) + "\n")
        made.append({"key": key, "generation": generation, "group": group})


def main():
    root = Path(sys.argv[1])
    chance = random.Random(20260103)
    for name, started, ended in TANKS:
        tank(root, name, started, ended)
        gear(root, name, started, chance)
        log(root, name, started, ended, chance)
    write(root, "supplies/drops.yaml", "name: Drops\nkind: kit\nmeasures: alkalinity\nmethod: titration\nuncertainty: 0.2 dKH\n")
    write(root, "supplies/card.yaml", "name: Card\nkind: kit\nmeasures: nitrate\nmethod: colour card\nuncertainty: 15 % + 0.5 mg/L NO3\n")
    write(root, "supplies/meter.yaml", "name: Meter\nkind: kit\nmeasures: phosphate\nmethod: photometer\nuncertainty: 0.015 mg/L PO4\n")
    write(root, "supplies/flakes.yaml", "name: Flakes\nkind: food\nnitrogen: 7 %\nphosphorus: 1.2 %\n")
    write(root, "supplies/stock.yaml", "name: Stock\nkind: stock\nstrength: {alkalinity: 1000 meq/L}\n")
    colonies(root, chance)


main()
