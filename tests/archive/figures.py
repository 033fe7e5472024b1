"""Figures of an archive worked out again from its CSV tables, by formulas written here and not there.

What the keeper wrote comes from the tables of readings, settings, sizes and so on. A number that the program assumes stands
in `figure-inputs` as such and is taken from there; so are figures on which another rests, most of which are worked out here
too. Sources of the formulas stand beside them.
"""

import csv
import math
import operator
import re
from collections import Counter, defaultdict
from datetime import date, datetime, timedelta
from itertools import combinations
from statistics import fmean, geometric_mean, median

MONTHS = "january february march april may june july august september october november december".split()
# Mean days of a month and a year of the Gregorian calendar: 146 097 days in 400 years.
YEAR = 365.25
MONTH = 146097 / 4800
# Abridged standard atomic weights, IUPAC 2021.
WEIGHT = {"H": 1.008, "C": 12.011, "N": 14.007, "O": 15.999, "P": 30.974, "Ca": 40.078}
# Mol of charge in a litre for one German degree: 10 mg/L of calcium oxide.
DEGREE = 2 * 10 / (WEIGHT["Ca"] + WEIGHT["O"]) / 1000
# Standard acceleration of free fall, m/s² (3rd CGPM, 1901).
FREE_FALL = 9.80665

PURPOSES = {
    "light": {"lamp"},
    "heating-and-cooling": {"heater", "chiller", "fan"},
    "flow-and-air": {"circulation-pump", "return-pump", "air-pump"},
    "filtration": {"skimmer", "uv-steriliser", "ozone-generator"},
    "dosing-and-top-off": {"dosing-pump", "top-off", "co2-cylinder"},
    "control-and-watching": {"controller", "thermometer", "probe", "leak-alarm", "camera"},
}


def number(cell):
    return float(cell) if cell else None


def day(cell):
    return date.fromisoformat(cell[:10])


def area(course):
    """Area under a day's course: straight lines between its points."""
    return sum((b[0] - a[0]) * (a[1] + b[1]) / 2 for a, b in zip(course, course[1:]))


def slopes(points):
    """Of all pairs at different times: their median is the slope of Theil (1950) and Sen (1968)."""
    return [(b[1] - a[1]) / (b[0] - a[0]) for a, b in combinations(points, 2) if a[0] != b[0]]


def growth_error(measure, a, b):
    """Standard uncertainty of the growth between two sizes (day, value, u): of a length, or of a logarithm.

    Defaults: 0.5 cm, a tenth of an area or mass, one in twenty of a count beyond twelve; and of a count what chance does
    where each divides on its own (D. G. Kendall 1949).
    """
    is_count = measure not in ("diameter", "height", "area", "mass")

    def u(value, typed):
        if typed is not None:
            return typed
        if is_count:
            return 0.05 * value if value > 12 else 0.0
        return 0.5 if measure in ("diameter", "height") else 0.1 * value

    us = u(*a[1:]), u(*b[1:])
    if measure in ("diameter", "height"):
        return math.hypot(*us)
    measuring = math.hypot(us[0] / a[1], us[1] / b[1])
    if not is_count:
        return measuring
    chance = math.log(40) / a[1] / 1.96 if a[1] == b[1] else math.sqrt(abs(1 / a[1] - 1 / b[1]))
    return math.hypot(measuring, chance)


def saturation(celsius):
    """Vapour pressure over water in kPa: Hyland and Wexler (1983), as the ASHRAE Handbook, Fundamentals, prints it."""
    kelvin = celsius + 273.15
    log = -5.8002206e3 / kelvin + 1.3914993 - 4.8640239e-2 * kelvin + 4.1764768e-5 * kelvin**2
    return math.exp(log - 1.4452093e-8 * kelvin**3 + 6.5459673 * math.log(kelvin)) / 1000


def latent(celsius):
    """Latent heat of water in kJ/kg: Sharqawy, Lienhard and Zubair (2010), equation 37."""
    t = celsius
    return (2.501e6 - 2.369e3 * t + 2.678e-1 * t**2 - 8.103e-3 * t**3 - 2.079e-5 * t**4) / 1000


class Tables:
    """The tables of an archive, and what is often looked up in them."""

    def __init__(self, folder):
        self.folder = folder
        self.kept = {}
        self.figures = {(row["tank"], row["figure"]): row for row in self["figures"]}
        self.today = day(max(row["when"] for row in self["entries"]))
        self.tanks = {row["tank"]: row for row in self["tanks"]}
        self.devices = {(row["tank"], row["device"]): row for row in self["devices"]}
        self.sheets = {(row["tank"], row["spec"]): row for row in self["spec-sheets"]}
        self.inputs = defaultdict(list)
        for row in self["figure-inputs"]:
            self.inputs[row["tank"], row["figure"]].append(row)
        self.courses = defaultdict(list)
        for row in self["day-courses"]:
            key = row["tank"], row["device"], row["setting"]
            self.courses[key].append((int(row["point"]), number(row["hour"]), number(row["share"])))

    def __getitem__(self, name):
        if name not in self.kept:
            with open(self.folder / f"{name}.csv", newline="", encoding="utf-8") as file:
                self.kept[name] = list(csv.DictReader(file))
        return self.kept[name]

    def of(self, name, tank):
        return [row for row in self[name] if row["tank"] == tank]

    def since(self, name, tank, days):
        """Rows of the last so many days."""
        return [row for row in self.of(name, tank) if day(row["when"]) > self.today - timedelta(days)]

    def figure(self, tank, key):
        row = self.figures.get((tank, key))
        return number(row["value"]) if row else None

    def input(self, tank, key, label):
        """What a figure rests on, by the start of its label; only for what the program assumes or looked up."""
        return next((number(row["value"]) for row in self.inputs[tank, key] if row["label"].startswith(label)), None)

    def typed(self, file, path):
        """A value as the keeper typed it."""
        return next((row["text"] for row in self["values"] if (row["file"], row["path"]) == (file, path)), None)

    def typed_below(self, file, path):
        rows = [row for row in self["values"] if row["file"] == file and row["path"].startswith(path + "/")]
        return {row["path"][len(path) + 1 :]: row["text"] for row in rows}

    def home(self, tank):
        return "" if tank == "." else f"{tank}/"

    def in_service(self, tank, on=None):
        on = (on or self.today).isoformat()
        rows = [row for row in self.of("devices", tank) if row["in_service"] <= on]
        return [row for row in rows if not row["out_of_service"] or row["out_of_service"] > on]

    def watts(self, device):
        """At full level: measured, else as the maker states it."""
        sheet = self.sheets.get((device["tank"], device["spec"])) or self.sheets.get((".", device["spec"]))
        return number(device["watts"]) or (number(sheet["power"]) if sheet else None)

    def setting(self, tank, device, on=None):
        on = (on or self.today).isoformat()
        rows = [row for row in self.of("settings", tank) if row["device"] == device]
        held = [row for row in rows if not row["since"] or row["since"] <= on]
        return max(held, key=lambda row: row["since"]) if held else None

    def course(self, tank, device, setting):
        points = sorted(self.courses.get((tank, device, setting["setting"]), ()))
        return [(hour, share) for _, hour, share in points] or [(0, 1), (24, 1)]

    def level(self, setting):
        level = number(setting["level"]) if setting else None
        return 1.0 if level is None else level


class Again:
    """Works figures out and compares them with those listed."""

    def __init__(self, folder):
        self.tables = Tables(folder)
        self.done = set()

    def same(self, tank, key, mine, tolerance=1e-6):
        """Compares a figure; one that is not listed is nothing to compare with."""
        theirs = self.tables.figure(tank, key)
        if theirs is None or mine is None:
            return
        assert math.isclose(mine, theirs, rel_tol=tolerance, abs_tol=1e-9), f"{tank} {key}: {mine} here, {theirs} there"
        self.done.add((tank, key))

    def kind(self, tank, key):
        """The key without what it is about: `growth.*.rate`."""
        tables = self.tables
        names = {row["colony"] for row in tables["colonies"]} | {row["supply"] for row in tables["supplies"]}
        names |= {device for _, device in tables.devices} | {row["file"] for row in tables["sensor-files"]}
        names |= {row["quantity"] for row in tables["readings"]} | {row["quantity"] for row in tables["sensor-days"]}
        names |= set(MONTHS) | set(PURPOSES) | {"supply"}
        parts = key.split(".")
        # The first part is the topic, whatever else has its name.
        rest = ["*" if part in names or re.fullmatch(r"\d{4}-\d\d-\d\d", part) else part for part in parts[1:]]
        return ".".join([parts[0], *rest])

    def report(self):
        """Which kinds of figures were worked out, and which were not."""
        listed = Counter(self.kind(tank, key) for tank, key in self.tables.figures)
        done = Counter(self.kind(tank, key) for tank, key in self.done)
        print(f"tables: {len(self.done)} of {len(self.tables.figures)} figures worked out again from the tables agree,")
        print(f"of {len(done)} of {len(listed)} kinds:")
        for kind in sorted(done):
            print(f"  {kind}: {done[kind]} of {listed[kind]}")
        print("not worked out (fits, root finding, the heat balance, maps of light, how the eye sees):")
        for kind in sorted(set(listed) - set(done)):
            print(f"  {kind}: {listed[kind]}")
        return len(done), len(listed)

    # Water

    def latest_readings(self, tank):
        """The newest day's readings of a quantity: their mean, each weighed by the inverse square of its uncertainty."""
        days = defaultdict(list)
        for row in self.tables.of("readings", tank):
            days[row["quantity"]].append(row)
        for quantity, rows in days.items():
            newest = [row for row in rows if row["when"][:10] == rows[-1]["when"][:10]]
            if any(row["bound"] != "exactly" for row in newest) or len({row["kit"] for row in newest}) > 1:
                continue
            weights = [1 / number(row["u"]) ** 2 for row in newest]
            mean = sum(number(row["value"]) * w for row, w in zip(newest, weights)) / sum(weights)
            self.same(tank, f"water.{quantity}", mean)
            # A change shows beyond 1.96 standard uncertainties of a difference of two readings (JCGM 100, G.2).
            if len(newest) == 1:
                self.same(tank, f"water.{quantity}.visible-change", 1.96 * math.sqrt(2) * number(newest[0]["u"]))
            self.trend(tank, quantity, rows)

    def runs(self, rows):
        """Readings by day as (days, value), parted where the kit or its lot changes."""
        runs, last = [], None
        for row in rows:
            run = row["kit"], row["lot"]
            if run != last:
                runs.append(defaultdict(list))
                last = run
            runs[-1][row["when"][:10]].append(row)
        return runs

    def trend(self, tank, quantity, rows):
        """Median slope over 60 days of pairs within one kit and lot (Hirsch, Slack and Smith 1982), a week."""
        recent = [row for row in rows if day(row["when"]) > self.tables.today - timedelta(60)]
        # What swings with the day counts near its usual hour only; a limit of a kit needs ranks of its own.
        if quantity in ("ph", "temperature", "room-temperature") or any(row["bound"] != "exactly" for row in recent):
            return
        found = []
        for run in self.runs(recent):
            points = []
            for of_day in run.values():
                weights = [1 / number(row["u"]) ** 2 for row in of_day]
                value = sum(number(row["value"]) * w for row, w in zip(of_day, weights)) / sum(weights)
                minutes = [datetime.fromisoformat(row["when"]) for row in of_day]
                mean = fmean(moment.hour * 60 + moment.minute for moment in minutes) // 1
                points.append((minutes[0].toordinal() + mean / 1440, value))
            found += slopes(points)
        if found:
            self.same(tank, f"water.{quantity}.trend", 7 * median(found))

    def shares_and_ratios(self, tank):
        tables, figure = self.tables, lambda key: self.tables.figure(tank, key)
        volume = figure("water.net-volume")
        counted = [row for row in tables.of("water-volumes", tank) if row["since"] <= tables.today.isoformat()]
        newest = max(counted, key=lambda row: row["since"])
        if newest["known_by"].startswith("counted"):
            self.same(tank, "water.net-volume", number(newest["volume"]))
        # Top-offs of 60 days: the first made up for what was lost before it.
        topped = [(day(row["when"]), number(row["value"])) for row in tables.since("top-offs", tank, 60)]
        if len(topped) >= 3:
            litres = sum(amount for _, amount in topped[1:])
            self.same(tank, "water.evaporation", litres / (topped[-1][0] - topped[0][0]).days)
        # From one change to another, the first of them the last before the 90 days.
        changed = [(day(row["when"]), number(row["volume"])) for row in tables.since("water-changes", tank, 180)]
        inside = [when for when, _ in changed if (tables.today - when).days < 90]
        changed = changed[-len(inside) - 1 :]
        if inside and len(changed) > 1:
            dates = [when for when, _ in changed]
            longest = max((b - a).days for a, b in zip(dates, dates[1:]))
            until = tables.today if (tables.today - dates[-1]).days > longest else dates[-1]
            litres = sum(amount for _, amount in changed[1:])
            self.same(tank, "water.changed-per-month", litres / (until - dates[0]).days * MONTH)
        wholes = {"evaporation-share": "evaporation", "changed-share": "changed-per-month"}
        for share, whole in ((f"water.{share}", f"water.{whole}") for share, whole in wholes.items()):
            if figure(whole):
                self.same(tank, share, 100 * figure(whole) / volume)
        # Amounts of substance: a nitrate ion holds one nitrogen, a phosphate ion one phosphorus.
        nitrate, phosphate = WEIGHT["N"] + 3 * WEIGHT["O"], WEIGHT["P"] + 4 * WEIGHT["O"]
        for key, what in [("water.n-to-p", "level"), ("water.uptake-n-to-p", "uptake")]:
            n, p = figure(f"water.nitrate.{what}"), figure(f"water.phosphate.{what}")
            if n and p:
                self.same(tank, key, (n / nitrate) / (p / phosphate))
        alkalinity, calcium = figure("water.alkalinity.uptake"), figure("water.calcium.uptake")
        if alkalinity:
            # Two charges for each calcium carbonate: Ca²⁺ + CO₃²⁻.
            moles = alkalinity * DEGREE / 2
            carbonate = WEIGHT["Ca"] + WEIGHT["C"] + 3 * WEIGHT["O"]
            self.same(tank, "water.skeleton-per-day", moles * volume * carbonate, 1e-4)
            if calcium:
                self.same(tank, "water.calcium.beside-alkalinity", calcium / 1000 / WEIGHT["Ca"] / moles, 1e-4)
        drift = figure("water.salinity.trend")
        if drift is not None:
            self.same(tank, "water.salinity.litres-a-week", drift * volume / figure("water.salinity"))

    def balances(self, tank):
        """What follows from a quantity's level and uptake, both of which are fitted there and taken as listed here."""
        tables, figure = self.tables, lambda key: self.tables.figure(tank, key)
        bands = {}
        for row in tables.of("bands", tank):
            if row["since"] <= tables.today.isoformat():
                bands[row["quantity"]] = number(row["low"]), number(row["high"])
        shares = {
            "nitrate": WEIGHT["N"] / (WEIGHT["N"] + 3 * WEIGHT["O"]),
            "phosphate": WEIGHT["P"] / (WEIGHT["P"] + 4 * WEIGHT["O"]),
        }
        for quantity, (low, high) in bands.items():
            level, uptake = figure(f"water.{quantity}.level"), figure(f"water.{quantity}.uptake")
            if level is None or uptake is None:
                continue
            if uptake > 0:
                self.same(tank, f"water.{quantity}.days-without", (level - low) / uptake)
            trend = figure(f"water.{quantity}.trend")
            if trend:
                edge = high if trend > 0 else low
                self.same(tank, f"water.{quantity}.days-in-band", (edge - level) / trend * 7)
            key = f"water.{quantity}.harvested"
            if quantity not in shares or figure(key) is None:
                continue
            start, end = re.search(r"from (\S+) to (\S+)", tables.figures[tank, key]["notes"]).groups()
            weighed = [row for row in tables.of("harvests", tank) if row["unit"] == "g"]
            rows = [row for row in weighed if start < row["when"][:10] <= end]
            dry = sum(number(row["amount"]) for row in rows) * tables.input(tank, key, "Dry share")
            element = dry * tables.input(tank, key, "Nitrogen" if quantity == "nitrate" else "Phosphorus")
            volume, days = figure("water.net-volume"), (day(end) - day(start)).days
            self.same(tank, key, 1000 * element / shares[quantity] / volume / days)
            self.same(tank, f"water.{quantity}.unharvested", uptake - figure(key))

    def slow_changes(self, tank):
        tables = self.tables
        readings = tables.of("readings", tank)
        creep = tables.figures.get((tank, "water.tds.creep"))
        if creep:
            since = re.search(r"since (\S+)", creep["numbers"]).group(1)
            rows = [row for row in readings if row["quantity"] == "tds" and row["when"] >= since]
            points = [(day(row["when"]).toordinal(), number(row["value"])) for row in rows]
            self.same(tank, "water.tds.creep", MONTH * median(slopes(points)))
        # Ripe: between the last day on which ammonia or nitrite showed and the first on which neither did.
        shown = defaultdict(list)
        for row in readings:
            if row["quantity"] in ("ammonia", "nitrite"):
                is_seen = row["bound"] != "below" and number(row["value"]) > number(row["u"])
                shown[row["quantity"]].append((day(row["when"]), is_seen))
        ends = []
        for rows in shown.values():
            seen = [place for place, (_, is_seen) in enumerate(rows) if is_seen]
            if seen and seen[-1] + 1 < len(rows):
                ends.append((rows[seen[-1]][0], rows[seen[-1] + 1][0]))
        if len(ends) == 2:
            before, after = max(ends, key=lambda end: end[1])
            start = day(tables.tanks[tank]["started"])
            self.same(tank, "water.ripe-after", fmean([(before - start).days, (after - start).days]))
        for row in tables.of("sensor-files", tank):
            self.beside_the_hand(tank, row["file"], readings)

    def beside_the_hand(self, tank, file, readings):
        """Median of sensor less hand, within half an hour, since the jump that the figure names."""
        tables = self.tables
        timed = {row["entry"] for row in tables.of("entries", tank) if row["has_time"] == "true"}
        logs = defaultdict(dict)
        for row in tables.of("sensor-readings", tank):
            if row["file"] == file and row["set_aside"] == "false":
                reading = datetime.fromisoformat(row["when"]), number(row["value"])
                logs[row["quantity"]].setdefault(row["when"][:10], []).append(reading)
        for quantity, log in logs.items():
            key = f"sensor.{file}.{quantity}.offset"
            if (tank, key) not in tables.figures:
                continue
            since = re.search(r"since (\S+)", tables.figures[tank, key]["numbers"]).group(1)
            found = []
            for row in readings:
                if row["quantity"] != quantity or row["entry"] not in timed or row["bound"] != "exactly":
                    continue
                moment = datetime.fromisoformat(row["when"])
                if row["when"][:10] < since:
                    continue
                near = [log.get((moment + timedelta(days)).date().isoformat(), []) for days in (-1, 0, 1)]
                near = [(abs(when - moment), value) for when, value in sum(near, [])]
                near = [one for one in near if one[0] <= timedelta(minutes=30)]
                if near:
                    found.append(min(near, key=lambda one: one[0])[1] - number(row["value"]))
            self.same(tank, key, median(found))

    def top_off(self, tank):
        tables, figure = self.tables, lambda key: self.tables.figure(tank, key)
        volume, salt = figure("water.net-volume"), figure("water.salinity")
        lost = figure("water.evaporation") or figure("heat.evaporation")
        jug = None
        for device in tables.in_service(tank):
            if device["role"] == "top-off":
                typed = tables.typed(f"{tables.home(tank)}equipment/{device['device']}.yaml", "/reservoir")
                jug = float(typed.removesuffix(" L")) if typed else None
        if jug:
            self.same(tank, "topup.full-dump-salinity", salt * volume / (volume + jug))
            self.same(tank, "topup.reservoir-days", jug / lost)
        if lost and salt:
            self.same(tank, "topup.salinity-per-day", salt * volume / (volume - lost) - salt)
        key = "topup.largest-harmless"
        if figure(key):
            fallen = salt - tables.input(tank, key, "Fall of the salinity")
            lowest = max(fallen, tables.input(tank, key, "Lower limit") or 0)
            self.same(tank, key, volume * (salt / lowest - 1))

    def doses(self, tank):
        """Of the 30 days that end with the last dose, or today where the log is silent for longer than ever in 90 days."""
        given = defaultdict(list)
        for row in self.tables.of("doses", tank):
            amount = number(row["amount"]) * {"L": 1000, "mL": 1, "g": 1}[row["unit"]]
            given[row["of"]].append((day(row["when"]), amount, max(number(row["over"]), 1)))
        for supply, doses in given.items():
            dates = [when for when, *_ in doses if (self.tables.today - when).days < 90]
            until = self.tables.today
            if len(dates) > 1 and (until - dates[-1]).days <= max((b - a).days for a, b in zip(dates, dates[1:])):
                until = dates[-1]
            inside = lambda when, over: min(max((when - until).days + 30, 0) / over, 1)
            amount = sum(amount * inside(when, over) for when, amount, over in doses)
            if amount:
                self.same(tank, f"dose.{supply}.last-30-days", amount)

    # Volume and mass

    def volume_and_mass(self, tank):
        tables = self.tables
        row = tables.tanks[tank]
        cell = lambda name: number(row[name]) or 0.0
        inner = lambda prefix, glass: (cell(prefix + "length") - 2 * glass) * (cell(prefix + "width") - 2 * glass)
        glass = number(row["glass"])
        if row["length"] and row["water_depth"]:
            key = "water.volume-by-geometry"
            pores, density = tables.input(tank, key, "Pores"), tables.input(tank, key, "Density of the rock")
            water = inner("", glass) * (cell("water_depth") + cell("sand_depth") * pores) / 1000
            # Of a sump's outer box 95 in 100 are water: the program's own rule, which stands in its listing.
            sump = 0.95 * cell("sump_length") * cell("sump_width") * cell("sump_water_depth") / 1000
            self.same(tank, key, water - cell("rock_mass") / 1000 / density + sump)
        key = "load.mass-filled"
        if tables.figure(tank, key):
            # Float glass weighs 2500 kg/m³ (EN 572-1). Front and back as long as the tank, the sides between them.
            def panes(prefix, pane, bottom):
                length, width, height = (cell(prefix + name) for name in ("length", "width", "height"))
                return 2.5e-3 * (length * width * bottom + 2 * (length + width) * (height - bottom) * pane)

            density = tables.input(tank, key, "Density of the water")
            water = tables.figure(tank, "water.net-volume") * density
            # What the tape did not tell of the glass stands among the figure's inputs.
            own, sump = tables.input(tank, key, "Glass"), tables.input(tank, key, "Glass of the sump")
            mass = water + panes("", own, number(row["bottom_glass"]) or own)
            mass += panes("sump_", sump, sump) if row["sump_length"] else 0
            self.same(tank, key, mass + (cell("sand_mass") + cell("rock_mass") + cell("stand_mass")) / 1000, 0.02)
            footprint = cell("stand_length") * cell("stand_width") / 1e4
            self.same(tank, "load.floor", tables.figure(tank, key) * FREE_FALL / footprint / 1000)

    # Power

    def power(self, tank):
        tables = self.tables
        full, energy, by_hour, untimed = {}, {}, {}, []
        for device in tables.in_service(tank):
            key, watts = device["device"], tables.watts(device)
            # What a battery's sheet states is what it gives.
            if watts is None or device["role"] == "battery":
                continue
            full[key] = watts
            setting = tables.setting(tank, key)
            figure = f"power.{key}.energy-per-day"
            if (tank, figure) not in tables.figures:
                continue
            course = tables.course(tank, key, setting) if setting else [(0, 1), (24, 1)]
            duty = number(setting["duty"]) if setting else None
            if duty is None:
                duty = tables.input(tank, figure, "Duty")
            if duty is None and device["role"] == "heater" and tables.figure(tank, "heat.heater-year") is not None:
                untimed.append((key, figure, watts, setting, course))
                continue
            duty = 1.0 if duty is None else duty
            hours, level, standby = area(course) * duty, tables.level(setting), number(device["standby"]) or 0.0
            energy[key] = (watts * level * hours + standby * (24 - hours)) / 1000
            self.same(tank, figure, energy[key])
            by_hour[key] = self.on_hours(energy[key], course)
        # Heaters that nobody timed share what the balance of heat asks of them, less what the timed ones give.
        timed = sum(energy[key] for key in energy if tables.devices[tank, key]["role"] == "heater") / 0.024
        capacities = {key: watts * tables.level(setting) * area(course) / 24 for key, _, watts, setting, course in untimed}
        for key, figure, _, _, course in untimed:
            asked = max(tables.figure(tank, "heat.heater-year") - timed, 0)
            part = asked * capacities[key] / sum(capacities.values()) if sum(capacities.values()) else 0
            energy[key] = min(part, capacities[key]) * 0.024
            self.same(tank, figure, energy[key])
            by_hour[key] = self.on_hours(energy[key], course)
        total = sum(energy.values())
        self.same(tank, "power.energy-per-day", total)
        self.same(tank, "power.energy-per-month", total * MONTH)
        self.same(tank, "power.energy-per-year", total * YEAR)
        for purpose, roles in PURPOSES.items():
            of = [energy[key] for key in energy if tables.devices[tank, key]["role"] in roles]
            self.same(tank, f"power.purpose.{purpose}", sum(of))
        self.price(tank, by_hour)
        self.outlets(tank, full)
        self.meter(tank)
        self.batteries(tank, full)

    def on_hours(self, energy, course):
        """The share of the course in each hour, by a fine sum."""
        fine = [at(course, (n + 0.5) / 60) for n in range(24 * 60)]
        parts = [sum(fine[hour * 60 : hour * 60 + 60]) for hour in range(24)]
        total = sum(parts)
        return [energy * part / total for part in parts] if total else [energy / 24] * 24

    def price(self, tank, by_hour):
        tables = self.tables
        rows = [row for row in tables.of("electricity", tank) if row["since"] <= tables.today.isoformat()]
        tariff = max(rows, key=lambda row: row["since"])
        file = f"{tables.home(tank)}tank.yaml"
        path = "/electricity" if len(rows) == 1 else f"/electricity/{len(rows) - 1}"
        prices = [number(tariff["tariff"])] * (24 * 60)
        off_peak = tables.typed_below(file, f"{path}/off-peak")
        if off_peak:
            first, last = re.fullmatch(r"(\d\d:\d\d) to (\d\d:\d\d)", off_peak["hours"]).groups()
            minute = lambda clock: int(clock[:2]) * 60 + int(clock[3:])
            length = (minute(last) - minute(first)) % (24 * 60)
            for step in range(length):
                prices[(minute(first) + step) % (24 * 60)] = float(off_peak["price"].split()[0])
        a_day = sum(hours[m // 60] / 60 * price for hours in by_hour.values() for m, price in enumerate(prices))
        for key, days in [("day", 1), ("month", MONTH), ("year", YEAR)]:
            # The ramps of the lamp are summed by the minute here.
            self.same(tank, f"power.cost-per-{key}", a_day * days, 1e-4)

    def outlets(self, tank, full):
        """Watts at full level of what hangs on a strip, on an earth-leakage protection, and on the whole supply."""
        tables = self.tables
        devices = tables.in_service(tank)
        self.same(tank, "power.circuit.supply", sum(full.values()))
        for device in devices:
            key = device["device"]
            strips = {row["device"] for row in devices if row["protection"] == key and row["role"] == "power-strip"}
            guarded = [row["device"] for row in devices if row["protection"] == key or row["plugged"] in strips]
            plugged = [row["device"] for row in devices if row["plugged"] == key]
            self.same(tank, f"power.circuit.{key}", sum(full.get(name, 0) for name in set(guarded)))
            self.same(tank, f"power.strip.{key}", sum(full.get(name, 0) for name in plugged))

    def meter(self, tank):
        tables = self.tables
        rows = [(day(row["when"]), number(row["value"])) for row in tables.of("meter-readings", tank)]
        if len(rows) >= 2 and (rows[-1][0] - rows[-2][0]).days >= 5:
            days = (rows[-1][0] - rows[-2][0]).days
            metered = (rows[-1][1] - rows[-2][1]) / days
            self.same(tank, "power.metered-per-day", metered)
            price = tables.figure(tank, "power.cost-per-day") / tables.figure(tank, "power.energy-per-day")
            self.same(tank, "power.metered-cost-per-month", metered * price * MONTH)
            worked_out = tables.input(tank, "power.unexplained", "Worked out")
            if worked_out is not None:
                self.same(tank, "power.unexplained", metered - worked_out)

    def batteries(self, tank, full):
        tables = self.tables
        hours = []
        for device in tables.in_service(tank):
            key = f"power.battery-hours.{device['device']}"
            if (tank, key) not in tables.figures:
                continue
            runs = tables.typed_below(f"{tables.home(tank)}equipment/{device['device']}.yaml", "/runs").values()
            load = 0.0
            for name in runs or [device["device"]]:
                comes_back_full = tables.devices[tank, name]["state_at_power_up"] == "full"
                level = tables.level(tables.setting(tank, name))
                load += full[name] * (1.0 if comes_back_full else level)
            held = tables.input(tank, key, "Energy of the battery")
            usable = tables.input(tank, key, "Usable share")
            inverter = tables.input(tank, key, "Efficiency") or 1.0
            hours.append(held * usable * inverter / load)
            self.same(tank, key, hours[-1])
        if hours:
            self.same(tank, "power.battery-hours", min(hours))

    # Movement

    def movement(self, tank):
        tables, figure = self.tables, lambda key: self.tables.figure(tank, key)
        volume = figure("water.net-volume")
        groups = defaultdict(float)
        stated_total = 0.0
        roles = {"circulation-pump": "circulation", "return-pump": "return", "skimmer": "filtration"}
        for device in tables.in_service(tank):
            key, group = device["device"], roles.get(device["role"])
            sheet = tables.sheets.get((tank, device["spec"])) or tables.sheets.get((".", device["spec"]))
            if group is None or sheet is None or not sheet["flow"]:
                continue
            stated = number(sheet["flow"])
            self.same(tank, f"flow.{key}.stated", stated)
            if group != "filtration":
                stated_total += stated
            tests = [row for row in tables.of("flow-tests", tank) if row["device"] == key]
            left = tables.input(tank, f"flow.{key}", "Share left")
            if left is None:
                continue
            if tests:
                newest = max(tests, key=lambda row: row["when"])
                then = tables.setting(tank, key, day(newest["when"]))
                ratio = tables.level(tables.setting(tank, key)) / tables.level(then)
                flow = number(newest["flow"]) * ratio * left
            else:
                flow = stated * tables.input(tank, f"flow.{key}", "Real share") * left
            self.same(tank, f"flow.{key}", flow)
            groups[group] += flow
        if volume:
            for group, flow in groups.items():
                self.same(tank, f"flow.turnover.{group}", flow / volume)
            self.same(tank, "flow.turnover", (groups["circulation"] + groups["return"]) / volume)
            self.same(tank, "flow.turnover-stated", stated_total / volume)
        self.drain(tank)

    def drain(self, tank):
        """What runs back into the sump when the return stops."""
        tables, figure = self.tables, lambda key: self.tables.figure(tank, key)
        row = tables.tanks[tank]
        told = tables.typed_below(f"{tables.home(tank)}tank.yaml", "/overflow")
        if "edge" not in told or figure("flow.drain-back") is None:
            return
        cm = lambda text: float(text.removesuffix(" cm"))
        returns = [device["device"] for device in tables.in_service(tank) if device["role"] == "return-pump"]
        tests = [test for test in tables.of("flow-tests", tank) if test["device"] in returns]
        newest = max(tests, key=lambda test: test["when"])
        # Francis's weir: Q = 1.84·b·h^(3/2), metres and m³/s (Bureau of Reclamation, Water Measurement Manual, chapter 7).
        flow = number(newest["flow"]) / 3.6e6
        edge = 100 * (flow / (1.84 * cm(told["edge"]) / 100)) ** (2 / 3)
        self.same(tank, "flow.over-edge", edge)
        glass = number(row["glass"])
        surface = (number(row["length"]) - 2 * glass) * (number(row["width"]) - 2 * glass)
        pipes = float(told.get("holds", "0 L").removesuffix(" L"))
        for name in returns:
            pipe = tables.typed_below(f"{tables.home(tank)}equipment/{name}.yaml", "/plumbing/0")
            bore, length = float(pipe["bore"].removesuffix(" mm")) / 100, float(pipe["length"].removesuffix(" m")) * 10
            pipes += math.pi / 4 * bore**2 * length
        back = surface * max(edge, cm(told["siphon-depth"])) / 1000 + pipes
        self.same(tank, "flow.drain-back", back)
        pane = tables.input(tank, "flow.drain-headroom", "Glass of the sump") or 0.5
        free = number(row["sump_height"]) - pane - number(row["sump_water_depth"])
        room = (number(row["sump_length"]) - 2 * pane) * (number(row["sump_width"]) - 2 * pane) * free / 1000
        self.same(tank, "flow.drain-headroom", room)
        self.same(tank, "flow.drain-margin", room - back)

    # Light

    def curve(self, tank, lamp):
        """Share of the full light at each level, as the keeper measured it; in proportion where nobody did."""
        typed = self.tables.typed_below(f"{self.tables.home(tank)}equipment/{lamp}.yaml", "/dimming").items()
        points = sorted((float(level.removesuffix(" %")) / 100, float(light.split()[0])) for level, light in typed)
        points = points or [(1.0, 1.0)]
        return [(0.0, 0.0)] + [(level, light / points[-1][1]) for level, light in points]

    def light(self, tank):
        tables, figure = self.tables, lambda key: self.tables.figure(tank, key)
        surveys = {row["survey"]: row for row in tables.of("light-surveys", tank)}
        readings = defaultdict(list)
        for row in tables.of("light-readings", tank):
            readings[row["survey"]].append(row)
        lamps = [device["device"] for device in tables.in_service(tank) if device["role"] == "lamp"]
        for (of, key), row in tables.figures.items():
            lived = re.fullmatch(r"(lived\.\S+|light\.[^.]+)\.dli", key)
            if of != tank or not lived or len(lamps) != 1:
                continue
            stretches = re.findall(r"(\d+) d × (\S+) × (\S+) h", row["numbers"])
            if stretches:
                # The lamp was set anew meanwhile: the mean over the days. The light is printed to four digits.
                stretches = [[float(part) for part in stretch] for stretch in stretches]
                light = sum(days * at_midday * hours for days, at_midday, hours in stretches)
                self.same(tank, key, light / sum(days for days, _, _ in stretches) * 3600 / 1e6, 1e-3)
                continue
            hours = re.search(r"× (\S+) h ×", row["numbers"]).group(1)
            setting = tables.setting(tank, lamps[0])
            if key.startswith("light."):
                hours = area(tables.course(tank, lamps[0], setting))
            # Mol of photons in a day from micromoles a second.
            self.same(tank, key, figure(f"{lived.group(1)}.par") * float(hours) * 3600 / 1e6)
        if surveys:
            newest = surveys[max(surveys)]
            curve = self.curve(tank, newest["lamp"])
            level = tables.level(tables.setting(tank, newest["lamp"]))
            ratio = at(curve, level) / at(curve, number(newest["level"]))
            if newest["factor_applied"] == "yes":
                for row in readings[newest["survey"]]:
                    if row["colony"]:
                        self.same(tank, f"light.{row['colony']}.par", number(row["light"]) * ratio)
            self.wanted(tank, curve, level)
        for before, after in zip(sorted(surveys), sorted(surveys)[1:]):
            self.lamp_change(tank, surveys[before], surveys[after], readings)
        if len(lamps) == 1 and (tank, "light.estimate.surface") in tables.figures:
            key = "light.estimate.surface"
            size = tables.tanks[tank]
            sheet = tables.sheets[tank, tables.devices[tank, lamps[0]]["spec"]]
            photons = number(sheet["luminous_flux"]) * tables.input(tank, key, "Photons in each lumen")
            level = at(self.curve(tank, lamps[0]), tables.level(tables.setting(tank, lamps[0])))
            footprint = number(size["length"]) * number(size["width"]) / 1e4
            share = tables.input(tank, key, "Share of its light")
            self.same(tank, key, photons * level * share / footprint)
        for lamp in lamps:
            self.spectrum(tank, lamp)

    def wanted(self, tank, curve, level):
        """The level at which a colony has the middle of the light it needs: the curve read backwards."""
        tables = self.tables
        backwards = [(light, dial) for dial, light in curve]
        for row in tables["colonies"]:
            par = tables.figure(tank, f"light.{row['colony']}.par")
            if par and row["needs_light_high"]:
                middle = (number(row["needs_light_low"]) + number(row["needs_light_high"])) / 2
                share = at(curve, level) * middle / par
                if share <= 1:
                    self.same(tank, f"light.colony.{row['colony']}.level", 100 * at(backwards, share))

    def lamp_change(self, tank, before, after, readings):
        if before["lamp"] != after["lamp"] or before["height"] != after["height"]:
            return
        curve = self.curve(tank, after["lamp"])
        share = at(curve, number(after["level"])) / at(curve, number(before["level"]))
        place = lambda row: tuple(number(row[axis]) for axis in ("x", "y", "depth"))
        ratios = []
        old = [row for row in readings[before["survey"]] if not row["colony"]]
        for row in readings[after["survey"]]:
            same = [one for one in old if not row["colony"] and math.dist(place(one), place(row)) < 1.5]
            if same:
                ratios.append(number(row["light"]) / number(same[0]["light"]) / share)
        if ratios:
            self.same(tank, f"light.change.{after['survey']}", 100 * (geometric_mean(ratios) - 1))

    def spectrum(self, tank, lamp):
        """Shares of the photons from 400 to 700 nm: energy times wavelength is in proportion to photons."""
        tables = self.tables
        spec = tables.devices[tank, lamp]["spec"]
        cells = [row for row in tables["spec-cells"] if row["file"] == f"{tables.home(tank)}specs/{spec}-spectrum.csv"]
        by_line = defaultdict(dict)
        for row in cells:
            by_line[row["line"]][row["header"]] = float(row["text"])
        curve = sorted((row["wavelength_nm"], row["relative"]) for row in by_line.values() if "relative" in row)
        if not curve:
            return

        def photons(low, high):
            middles = [low + (step + 0.5) / 100 for step in range(100 * (high - low))]
            return sum(at(curve, nanometres) * nanometres for nanometres in middles)

        whole = photons(400, 700)
        for low in (400, 500, 600):
            share = 100 * photons(low, low + 100) / whole
            self.same(tank, f"light.lamp.{lamp}.share-{low}-{low + 100}", share, 1e-3)

    # Growth

    def growth(self):
        """Rate a year: of a length in a straight line, of all else of its logarithm."""
        tables = self.tables
        sizes, cuts, homes = defaultdict(list), defaultdict(list), {}
        for row in tables["sizes"]:
            u = number(row["u"]) if row["u"] else None
            sizes[row["colony"], row["measure"]].append((day(row["on"]).toordinal(), number(row["value"]), u))
        for row in tables["colonies"]:
            if row["mother"] and row["mother_on"]:
                cuts[row["mother"]].append(day(row["mother_on"]).toordinal())
        for row in tables["placements"]:
            homes[row["colony"]] = row["tank"]
        for (colony, measure), points in sizes.items():
            key = homes[colony], f"growth.{colony}.rate"
            if key not in tables.figures or len(points) < 2:
                continue
            # A colony measured in several ways has the rate of the one that its figure's unit and numbers tell.
            is_length = measure in ("diameter", "height")
            if is_length != tables.figures[key]["unit"].startswith("cm"):
                continue
            groups = defaultdict(list)
            for point in points:
                groups[sum(cut <= point[0] for cut in cuts[colony])].append(point)
            scale = (lambda value: value) if is_length else math.log
            if len(points) >= 5:
                scaled = [[(on, scale(value)) for on, value, _ in group] for group in groups.values()]
                slope = median([slope for group in scaled for slope in slopes(group)])
            else:
                # The ends of each time between cuts, weighed by the inverse square of its uncertainty.
                ends = [(group[0], group[-1]) for group in groups.values() if group[-1][0] - group[0][0] >= 60]
                found = [(scale(b[1]) - scale(a[1])) / (b[0] - a[0]) for a, b in ends]
                weights = [((b[0] - a[0]) / growth_error(measure, a, b)) ** 2 for a, b in ends]
                slope = sum(map(operator.mul, found, weights)) / sum(weights)
            self.same(*key, slope * YEAR if is_length else 100 * math.expm1(slope * YEAR))

    # Evaporation by the handbook

    def evaporation(self, tank):
        """ASHRAE Handbook, HVAC Applications, natatoriums: w = A·(p_w − p_a)·(0.089 + 0.0782·V)/Y, kPa and kJ/kg."""
        tables = self.tables
        row = tables.tanks[tank]
        for (of, key), figure in tables.figures.items():
            month = key.removeprefix("heat.evaporation.")
            if of != tank or (key != "heat.evaporation" and month not in MONTHS):
                continue
            read = lambda label: tables.input(tank, key, label)
            water = float(re.search(r"water (\S+) °C", figure["numbers"]).group(1))
            if month in MONTHS:
                typed = tables.typed(f"{tables.home(tank)}tank.yaml", f"/room-by-month/{month}")
                warm, damp = (float(part.split()[0]) for part in typed.split(","))
                damp /= 100
            else:
                warm, damp = read("Room, mean") or read("Room"), read("Room humidity")
            glass = number(row["glass"])
            surface = (number(row["length"]) - 2 * glass) * (number(row["width"]) - 2 * glass) / 1e4
            lid = read("Share of the surface under a lid") or 0.0
            surface *= 1 - lid * (1 - (read("What a covered surface still") or 0.0))
            pane = read("Sump, glass")
            if row["sump_length"]:
                sump = (number(row["sump_length"]) - 2 * pane) * (number(row["sump_width"]) - 2 * pane) / 1e4
                surface += sump * read("What a sump in a cabinet loses")
            speed = (read("Air speed") or 0.0) * self.fan(tank, month)
            pull = saturation(water) - damp * saturation(warm)
            rate = (0.089 + 0.0782 * speed) * pull / latent(water)
            # A kilogram of fresh water at 25 °C is 1/0.997 L.
            litres = read("Evaporation, of what") * surface * rate * 86400 / 0.997
            self.same(tank, key, litres, 1e-4)

    def fan(self, tank, month):
        """Share of the time for which the fans ran in the latest such month that is over; or run now."""
        tables = self.tables
        days = [tables.today]
        if month in MONTHS:
            of = MONTHS.index(month) + 1
            first = date(tables.today.year - (of >= tables.today.month), of, 1)
            days = [first + timedelta(n) for n in range(31) if (first + timedelta(n)).month == of]
        total = 0.0
        for on in days:
            for device in tables.in_service(tank, on):
                setting = tables.setting(tank, device["device"], on)
                if device["role"] == "fan" and setting:
                    total += area(tables.course(tank, device["device"], setting)) / 24
        return total / len(days)

    def heat_ratios(self, tank):
        figure = lambda key: self.tables.figure(tank, key)
        if figure("heat.evaporation-difference") is not None:
            told = re.search(r"− (\S+)", self.tables.figures[tank, "heat.evaporation-difference"]["numbers"]).group(1)
            self.same(tank, "heat.evaporation-difference", figure("water.evaporation") - float(told), 2e-3)

    # Upkeep

    def work(self, tank):
        """Minutes a week, by the median of the last five intervals of each task, or the intended one."""
        tables = self.tables
        done = defaultdict(set)
        for row in tables.of("tasks-done", tank):
            done[row["task"]].add(day(row["when"]))
        minutes = 0.0
        for task in tables.of("tasks", tank):
            if not task["takes"] or (task["until"] and day(task["until"]) <= tables.today):
                continue
            days = sorted(done[task["task"]])
            gaps = [(b - a).days for a, b in zip(days, days[1:])][-5:]
            every = median(gaps) if len(gaps) >= 2 else number(task["every"])
            minutes += number(task["takes"]) * 7 / every
        self.same(tank, "upkeep.minutes-per-week", minutes)


def at(course, where):
    """Straight lines between points; the ends run on."""
    if where <= course[0][0]:
        return course[0][1]
    for (x0, y0), (x1, y1) in zip(course, course[1:]):
        if where <= x1 and x1 > x0:
            return y0 + (y1 - y0) * (where - x0) / (x1 - x0)
    return course[-1][1]


def check(folder):
    again = Again(folder)
    for tank in again.tables.tanks:
        for step in (
            again.latest_readings,
            again.shares_and_ratios,
            again.balances,
            again.slow_changes,
            again.top_off,
            again.doses,
            again.volume_and_mass,
            again.power,
            again.movement,
            again.light,
            again.evaporation,
            again.heat_ratios,
            again.work,
        ):
            step(tank)
    again.growth()
    done, listed = again.report()
    assert done > 0.6 * listed, f"only {done} of {listed} kinds of figures were worked out again"
