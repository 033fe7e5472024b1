"""Asks programs that know nothing of this one what they think of an archive.

    python check.py BAG

The bag is judged by `bagit` (Library of Congress), its tables by `frictionless` (Open Knowledge Foundation): types,
required cells, primary and foreign keys. Then a few figures are worked out again from the tables alone, by formulas
written here and not there. Any disagreement ends the run.
"""

import csv
import math
import shutil
import sys
import tempfile
from datetime import date
from pathlib import Path

import bagit
from frictionless import Package


def is_valid(folder):
    """Whether the Library of Congress's program takes the bag for valid: complete, and every checksum right."""
    try:
        bagit.Bag(str(folder)).validate(processes=1)
    except (bagit.BagError, OSError):
        return False
    return True


def check_bag(folder):
    assert is_valid(folder), "bagit does not take the bag for valid"
    with tempfile.TemporaryDirectory() as aside:
        harmed = Path(aside) / "bag"

        def harm(what, how):
            shutil.copytree(folder, harmed)
            how()
            assert not is_valid(harmed), f"bagit does not find {what}"
            shutil.rmtree(harmed)

        def flip():
            path = harmed / "data" / "record" / "tank.yaml"
            content = bytearray(path.read_bytes())
            content[len(content) // 2] ^= 1
            path.write_bytes(content)

        harm("a flipped bit", flip)
        harm("a lost file", lambda: (harmed / "data" / "record" / "tank.yaml").unlink())
        harm("an added file", lambda: (harmed / "data" / "added.txt").write_text("x"))
    print("bagit: valid, and a flipped bit, a lost file and an added file are each found")


def check_tables(tables):
    package = Package(str(tables / "datapackage.json"))
    report = package.validate()
    for line in report.flatten(["title", "rowNumber", "fieldName", "message"]):
        print(*line)
    assert report.valid, "frictionless does not take the tables for valid"
    rows = sum(task.stats.get("rows", 0) for task in report.tasks)
    print(f"frictionless: {len(report.tasks)} tables valid, {rows} rows")


def read(tables, name):
    with open(tables / f"{name}.csv", newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def number(cell):
    return float(cell) if cell else None


def on_date(rows, today):
    """Of rows with `since`, the one that holds today."""
    held = [row for row in rows if not row["since"] or row["since"] <= today]
    return max(held, key=lambda row: row["since"]) if held else None


def hours_at_full(points):
    """Area under a day's course: straight lines between the points."""
    if not points:
        return 24.0
    points = sorted(points, key=lambda row: int(row["point"]))
    course = [(number(row["hour"]), number(row["share"])) for row in points]
    return sum((b[0] - a[0]) * (a[1] + b[1]) / 2 for a, b in zip(course, course[1:]))


def energy(tables, today):
    """kWh a day of every device that has a wattage measured by the keeper or stated by its maker."""
    devices = read(tables, "devices")
    settings = read(tables, "settings")
    courses = read(tables, "day-courses")
    sheets = {(row["tank"], row["spec"]): row for row in read(tables, "spec-sheets")}
    found = {}
    for device in devices:
        key = (device["tank"], device["device"])
        if device["in_service"] > today or (device["out_of_service"] and device["out_of_service"] <= today):
            continue
        sheet = sheets.get((device["tank"], device["spec"])) or sheets.get((".", device["spec"]))
        watts = number(device["watts"])
        if watts is None and sheet:
            watts = number(sheet["power"])
        own = [row for row in settings if (row["tank"], row["device"]) == key]
        setting = on_date(own, today)
        if watts is None or setting is None:
            continue
        points = [row for row in courses if (row["tank"], row["device"], row["setting"]) == (*key, setting["setting"])]
        level = number(setting["level"])
        duty = number(setting["duty"])
        standby = number(device["standby"]) or 0.0
        hours = hours_at_full(points) * (1.0 if duty is None else duty)
        found[key] = (watts, 1.0 if level is None else level, hours, standby)
    return found


def check_figures(tables):
    figures = {(row["tank"], row["figure"]): row for row in read(tables, "figures")}
    today = max(row["when"] for row in read(tables, "entries"))[:10]
    compared = []

    def same(key, mine, tolerance=1e-6):
        theirs = number(figures[key]["value"])
        assert math.isclose(mine, theirs, rel_tol=tolerance, abs_tol=1e-12), f"{key}: {mine} here, {theirs} there"
        compared.append(key)

    # Energy: watts, level and hours. Only for devices whose power follows their level in a straight line.
    of_tank = {}
    for (tank, device), (watts, level, hours, standby) in energy(tables, today).items():
        key = (tank, f"power.{device}.energy-per-day")
        if key in figures and standby == 0.0 and level == 1.0:
            same(key, watts * hours / 1000)
    for tank, figure in figures:
        if figure.startswith("power.") and figure.endswith(".energy-per-day") and figure.count(".") == 2:
            of_tank[tank] = of_tank.get(tank, 0.0) + number(figures[tank, figure]["value"])
    for tank, total in of_tank.items():
        same((tank, "power.energy-per-day"), total)

    # Work a week: minutes times seven, by the median of the last five intervals.
    done = {}
    for row in read(tables, "tasks-done"):
        done.setdefault((row["tank"], row["task"]), set()).add(date.fromisoformat(row["when"][:10]))
    minutes = {}
    for task in read(tables, "tasks"):
        if not task["takes"] or (task["until"] and task["until"] <= today):
            continue
        days = sorted(done.get((task["tank"], task["task"]), ()))
        gaps = sorted([(b - a).days for a, b in zip(days, days[1:])][-5:])
        every = number(task["every"])
        if len(gaps) >= 2:
            middle = len(gaps) // 2
            every = gaps[middle] if len(gaps) % 2 else (gaps[middle - 1] + gaps[middle]) / 2
        minutes[task["tank"]] = minutes.get(task["tank"], 0.0) + number(task["takes"]) * 7 / every
    for tank, total in minutes.items():
        same((tank, "upkeep.minutes-per-week"), total)

    # The newest readings.
    newest = {}
    for row in read(tables, "readings"):
        newest[row["tank"], row["quantity"]] = row
    for (tank, quantity), row in newest.items():
        key = (tank, f"water.{quantity}")
        if key in figures and row["bound"] == "exactly" and figures[key]["unit"] == row["unit"]:
            same(key, number(row["value"]))

    assert len(compared) >= 12, f"only {len(compared)} figures could be worked out again: {compared}"
    print(f"tables: {len(compared)} figures worked out again from the tables alone agree")


def main():
    folder = Path(sys.argv[1])
    check_bag(folder)
    check_tables(folder / "data" / "tables")
    check_figures(folder / "data" / "tables")


main()
