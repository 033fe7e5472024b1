#!/usr/bin/env python3
"""Writes the bulk of example-tank: log/2024..2026.yaml, the hourly sensor CSV and the light surveys.

The tank is invented. What is simulated, hour by hour, is the heat of the water (pumps, lamp and heaters against walls and
evaporation) and, day by day, its salts and nutrients (food and doses against uptake, water changes and evaporation).
Readings are the simulated truth plus the kit's error, rounded to its step. What the keeper says is in diary.py.

    python3 tests/example_data/generate.py            writes the files (the same bytes every time)
    python3 tests/example_data/generate.py --duties   prints the heaters' duty by stretches of four weeks, as the equipment files state it

Standard library only. Tables that other files of the record also state (lamp, pumps, plans) are repeated here on
purpose: the meter in the log must follow them.
"""

import json
import math
import random
import sys
from datetime import date, datetime, timedelta
from pathlib import Path

sys.dont_write_bytecode = True  # The tree stays free of stray files.
sys.path.insert(0, str(Path(__file__).parent))
from diary import DIARY, REMARKS  # noqa: E402

ROOT = Path(__file__).resolve().parents[2] / "example-tank"

START, END = date(2024, 9, 21), date(2026, 10, 17)
VOLUME = 114.0
FILLED_HOUR = 20

# since: level, on, off, ramp (hours), height over the water (cm)
LAMP = [("2024-09-21", .30, 12, 18, 0, 22), ("2024-10-19", .45, 11, 19, 1, 22), ("2024-11-23", .35, 12, 18, 1, 22),
        ("2025-01-11", .45, 11, 19.5, 1, 22), ("2025-03-22", .55, 10.5, 20, 1, 22), ("2025-05-10", .80, 10, 20, 1.5, 27),
        ("2025-06-15", .65, 10, 20, 1.5, 27), ("2025-09-20", .70, 10, 20, 1.5, 27), ("2026-03-28", .75, 10, 20.5, 1.5, 27)]
WAVE = [("2024-09-21", .40), ("2025-03-22", .60), ("2026-06-20", .55)]
FAN = [("2024-09-21", 0), ("2025-07-05", 1), ("2025-09-20", 0), ("2026-06-13", 1), ("2026-09-12", 0)]
FOOD = [("2024-09-21", 0), ("2024-10-05", .05), ("2025-01-04", .30), ("2025-01-25", .08), ("2025-09-20", .15), ("2026-03-28", .20)]
NITRATE_ML = [("2024-09-21", 0), ("2025-04-19", 1.0), ("2025-05-24", 4 / 7), ("2025-06-07", 1.0), ("2025-11-01", 1.4), ("2026-01-17", 1.8), ("2026-01-31", 1.4),
              ("2026-03-28", 2.0), ("2026-05-17", 0), ("2026-05-31", 2.0), ("2026-06-27", 2.4)]
ALKALINITY_ML = [("2024-09-21", 0), ("2025-06-07", 1.0), ("2025-11-01", 2.0), ("2026-03-28", 3.5), ("2026-08-29", 4.5)]
PHOSPHATE_ML = [("2024-09-21", 0), ("2026-01-17", 1.0), ("2026-04-04", 0)]
CALCIUM_ML_WEEK = [("2024-09-21", 0), ("2025-11-08", 10), ("2026-03-28", 15)]
# The resin of the purified water was renewed on these days; its solids creep up by so much a day after.
RESIN, RESIN_CREEP = [date(2024, 10, 1), date(2025, 8, 30), date(2026, 5, 30)], 0.026
LOTS = {"nitrate": [("2024-09-21", "N-0724", 2.0), ("2026-01-10", "N-1125", 0.0)],
        "alkalinity": [("2024-09-21", "A-19", 0.0), ("2025-09-06", "A-44", 0.0)]}
# Uptake at plenty, mg/L a day; alkalinity use, dKH a day; straight lines between.
UPTAKE_N = [("2024-09-21", .02), ("2024-10-26", .10), ("2024-11-16", .28), ("2025-01-04", .45), ("2025-01-25", .72), ("2025-02-22", .78),
            ("2025-04-19", .74), ("2025-06-07", .58), ("2025-09-20", .70), ("2025-11-01", .92), ("2026-01-10", 1.00), ("2026-03-20", 1.00),
            ("2026-04-05", 1.26), ("2026-06-20", 1.34), ("2026-07-10", 1.46), ("2026-10-17", 1.50)]
UPTAKE_P = [("2024-09-21", .002), ("2024-11-01", .02), ("2025-01-04", .06), ("2025-01-10", .095), ("2025-01-25", .095), ("2025-02-15", .055), ("2025-06-01", .036), ("2025-09-20", .052),
            ("2025-11-15", .082), ("2026-01-17", .095), ("2026-04-04", .098), ("2026-06-01", .094), ("2026-10-17", .092)]
USE_ALKALINITY = [("2024-09-21", .003), ("2025-03-01", .008), ("2025-06-07", .018), ("2025-11-01", .046), ("2026-03-28", .072),
                  ("2026-08-29", .104), ("2026-10-17", .118)]
ROOM_BY_MONTH = [18.4, 18.5, 19.2, 20.2, 21.6, 23.6, 25.2, 25.7, 24.2, 22.0, 19.9, 18.8]
HUMIDITY_BY_MONTH = [46, 47, 50, 54, 57, 59, 60, 61, 59, 56, 50, 46]
CUTS = [(datetime(2025, 4, 24, 12), 11), (datetime(2026, 2, 5, 17), 6)]
FAULT = (datetime(2025, 11, 27, 20), datetime(2025, 11, 29, 12))
GLITCH = datetime(2025, 10, 3, 14)
SENSOR_FROM = date(2024, 12, 1)


def schema(kind):
    """The first line of a file: where an editor finds what it may hold."""
    return f"# yaml-language-server: $schema=../schema/{kind}.json\n"


def since(table, day):
    """The row in force on a day: its value, or its tuple of values."""
    found = ([row for row in table if row[0] <= day.isoformat()] or table[:1])[-1]
    return found[1] if len(found) == 2 else found[1:]


def between(table, day):
    """Straight lines between dated points."""
    points = [(date.fromisoformat(when).toordinal(), value) for when, value in table]
    x = day.toordinal()
    if x <= points[0][0]:
        return points[0][1]
    for (x0, y0), (x1, y1) in zip(points, points[1:]):
        if x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return points[-1][1]


def by_month(values, day):
    """A smooth year through the middles of the months."""
    place = day.timetuple().tm_yday / 365.25 * 12 - 0.5
    low = math.floor(place)
    part = place - low
    return values[low % 12] * (1 - part) + values[(low + 1) % 12] * part


def last_sunday(year, month):
    day = date(year, month, 31)
    return day - timedelta(days=(day.weekday() + 1) % 7)


def utc_offset(when):
    """Hours ahead of universal time of a wall-clock time in Lisbon (summer time between the last Sundays at 1 h UTC)."""
    summer = datetime.combine(last_sunday(when.year, 3), datetime.min.time()) + timedelta(hours=1)
    winter = datetime.combine(last_sunday(when.year, 10), datetime.min.time()) + timedelta(hours=1)
    return 1 if summer <= when < winter else 0


def vapour_pressure(celsius):
    """Saturation vapour pressure in kPa (Tetens 1930)."""
    return 0.6108 * math.exp(17.27 * celsius / (celsius + 237.3))


def lamp_share(day, hour):
    """Mean level of the lamp in the hour that begins at `hour`, ramps inside the span at both ends."""
    level, on, off, ramp, _ = since(LAMP, day)
    total = 0.0
    for quarter in range(4):
        t = hour + quarter / 4 + 0.125
        if on <= t < off:
            total += min(1.0, (t - on) / ramp if ramp else 1.0, (off - t) / ramp if ramp else 1.0)
    return level * total / 4


class Hours:
    """The heat of the water, hour by hour in local time: temperatures, litres evaporated, energy."""

    def __init__(self, rng):
        self.evaporated, self.energy, self.heater, self.mean, self.room, self.humidity = {}, {}, {}, {}, {}, {}
        self.rows, self.at, self.acid = [], {}, {}
        water, wander, damp = 24.0, 0.0, 0.0
        evening = 0.0
        day = START
        while day <= END:
            wander = 0.8 * wander + rng.gauss(0, 0.45)
            damp = 0.7 * damp + rng.gauss(0, 2.2)
            base = by_month(ROOM_BY_MONTH, day) + wander
            if date(2025, 6, 28) <= day <= date(2025, 7, 4):
                base = 28.1 + 0.4 * wander
            elif date(2026, 7, 10) <= day <= date(2026, 7, 14) or date(2026, 8, 13) <= day <= date(2026, 8, 17):
                base = 27.6 + 0.3 * wander
            elif date(2025, 11, 26) <= day <= date(2025, 11, 29):
                base = 18.6 + 0.2 * wander
            base = min(28.4, max(17.1, base))
            humidity = min(66.0, max(41.0, by_month(HUMIDITY_BY_MONTH, day) + damp))
            litres = watt_hours = heater_hours = 0.0
            temperatures, rooms = [], []
            for hour in range(24):
                when = datetime(day.year, day.month, day.day, hour)
                if day == START and hour < FILLED_HOUR:
                    continue
                dark = any(begin <= when < begin + timedelta(hours=length) for begin, length in CUTS)
                room = base + 0.8 * math.sin((hour - 11) / 24 * 2 * math.pi) + rng.gauss(0, 0.1)
                lamp = 0 if dark else 91 * lamp_share(day, hour)
                skimming = day >= date(2024, 10, 5) and (day < date(2025, 10, 4) or hour >= 20 or hour < 8)
                fan = since(FAN, day) and 12 <= hour < 22 and not dark
                dosing = 3 * 0.02 if day >= date(2025, 6, 7) else 0.0
                topping = 2.5 * 0.01 if day >= date(2024, 10, 5) else 0.0
                pumps = 0 if dark else 17 + 7 * since(WAVE, day) + (6 if skimming else 0)
                dryness = vapour_pressure(water) - humidity / 100 * vapour_pressure(room)
                rate = max(0.0, 0.74 / 24 * dryness) * (1.6 if fan else 1.0) * (0.75 if dark else 1.0)
                loss = 10.0 * (water - room) + 680 * rate
                gain = 0.9 * pumps + 0.55 * lamp
                power = 75.0 if FAULT[0] <= when < FAULT[1] else 150.0
                wanted = loss - gain + (25.2 - water) * 129.5 / 2
                heater = 0.0 if dark else min(power, max(0.0, wanted))
                water += (gain + heater - loss) / 129.5
                litres += rate
                heater_hours += heater / 150.0
                if not dark:
                    watt_hours += pumps + lamp + heater + (3 if fan else 0) + 4 + dosing + topping
                temperatures.append(water)
                rooms.append(room)
                self.at[when] = water
                evening = 0.92 * evening + rng.gauss(0, 0.008)
                lit = 1.0 if lamp_share(day, hour) > 0 else 0.0
                acid = 8.03 + 0.05 * min(1.0, (day - START).days / 500) + (0.10 + 0.06 * between(UPTAKE_N, day)) * (
                    math.sin((hour - 12) / 24 * 2 * math.pi) * 0.8 + 0.3 * lit) + evening
                # What the keeper's own meter sees; the controller's electrode creeps between May and August 2026.
                self.acid[when] = acid
                if day >= date(2026, 5, 1) and day < date(2026, 8, 22):
                    acid -= 0.17 * (day - date(2026, 5, 1)).days / 113
                if day >= SENSOR_FROM and not dark:
                    shown = 99.0 if when == GLITCH else water + rng.gauss(0, 0.03)
                    self.rows.append((when - timedelta(hours=utc_offset(when)), shown, room, acid))
            self.evaporated[day], self.energy[day], self.heater[day] = litres, watt_hours, heater_hours
            self.mean[day] = sum(temperatures) / len(temperatures)
            self.room[day], self.humidity[day] = sum(rooms) / len(rooms), humidity
            day += timedelta(days=1)


class Water:
    """Salts and nutrients, day by day."""

    def __init__(self):
        self.salinity, self.nitrate, self.phosphate = 34.6, 1.0, 0.05
        self.alkalinity, self.calcium, self.magnesium = 8.5, 424.0, 1330.0
        self.ammonia, self.nitrite = 0.0, 0.0
        self.jug, self.missing = 10.0, 0.0
        self.grown = 0.0

    def day(self, day, evaporated):
        if day == date(2024, 9, 22):
            self.ammonia = 2.0
        ripe = 1 / (1 + math.exp(-((day - START).days - 14) / 3.5))
        burnt = self.ammonia * 0.28 * ripe
        nitrite_made = burnt * 2.70
        nitrite_gone = self.nitrite * 0.30 / (1 + math.exp(-((day - START).days - 24) / 3.0))
        self.ammonia -= burnt
        self.nitrite += nitrite_made - nitrite_gone
        # One gram of flake: 72 mg N and 12 mg P.
        food = since(FOOD, day)
        eaten = between(UPTAKE_N, day) * self.nitrate / (self.nitrate + 1.2)
        self.nitrate += nitrite_gone * 1.348 + food * 318.7 / VOLUME + since(NITRATE_ML, day) * 34.6 / VOLUME - eaten
        self.nitrate -= 0.012 * self.nitrate
        self.nitrate = max(0.05, self.nitrate)
        used = between(UPTAKE_P, day) * self.phosphate / (self.phosphate + 0.03)
        self.phosphate += food * 36.8 / VOLUME + since(PHOSPHATE_ML, day) * 2.0 / VOLUME - used
        self.phosphate = max(0.005, self.phosphate)
        use = between(USE_ALKALINITY, day)
        self.alkalinity += since(ALKALINITY_ML, day) / VOLUME * 2.804 - use
        self.calcium -= use * 7.15
        self.magnesium -= use * 7.15 * 0.08
        # Half of the nitrogen goes into the two algae that are cut: 2.5 mg N to the gram, wet.
        self.grown += 0.5 * eaten * VOLUME / 4.427 / 2.5
        # The skimmer takes salt water out, fresh water takes its place.
        self.salinity -= self.salinity * 0.03 / VOLUME
        if day < date(2024, 10, 5):
            self.missing += evaporated
        else:
            self.jug -= evaporated
            if self.jug < 0:
                self.missing -= self.jug
                self.jug = 0.0

    def change(self, litres, salinity):
        part = litres / VOLUME
        for name, fresh in (("nitrate", 0.0), ("phosphate", 0.01), ("alkalinity", 8.6), ("calcium", 425.0), ("magnesium", 1330.0),
                            ("ammonia", 0.0), ("nitrite", 0.0), ("salinity", salinity)):
            setattr(self, name, getattr(self, name) * (1 - part) + fresh * part)

    def shown_salinity(self):
        return self.salinity * VOLUME / (VOLUME - self.missing)


def quoted(text):
    return json.dumps(text, ensure_ascii=False)


def rounded(value, step):
    return round(round(value / step) * step, 4)


def lot_of(name, day):
    row = [row for row in LOTS[name] if row[0] <= day.isoformat()][-1]
    return row[1], row[2]


class Kits:
    """Readings as the kits give them: truth, error, offset of the lot, step, limit."""

    def __init__(self, rng):
        self.rng = rng

    def nitrate(self, truth, offset=0.0):
        shown = truth + offset
        shown += self.rng.gauss(0, 0.35 + 0.07 * shown)
        value = rounded(max(0.0, shown), 0.5 if shown < 5 else 1)
        return "below 2" if value < 2 else f"{value:g}"

    def phosphate(self, truth):
        value = rounded(max(0.0, truth + self.rng.gauss(0, 0.008 + 0.04 * truth)), 0.01)
        return "below 0.02" if value < 0.02 else f"{value:.2f}"

    def alkalinity(self, truth):
        return f"{rounded(truth + self.rng.gauss(0, 0.12), 0.1):.1f}"

    def ammonia(self, truth):
        value = rounded(max(0.0, truth + self.rng.gauss(0, 0.08)), 0.25)
        return "below 0.25" if value < 0.25 else f"{value:g}"

    def nitrite(self, truth):
        value = rounded(max(0.0, truth * (1 + self.rng.gauss(0, 0.12))), 0.05 if truth < 0.5 else 0.5)
        return "below 0.05" if value < 0.05 else f"{value:g}"

    def salinity(self, truth, day):
        # Before 9 November 2024 the instrument stood one part too high.
        value = truth + self.rng.gauss(0, 0.25) + (1.0 if day < date(2024, 11, 9) else 0.0)
        return f"{rounded(value, 0.5):g}"


def season(day):
    if day < date(2024, 12, 7):
        return "ripening"
    return {12: "winter", 1: "winter", 2: "winter", 3: "spring", 4: "spring", 5: "spring",
            6: "summer", 7: "summer", 8: "summer"}.get(day.month, "autumn")


class Log:
    """Walks the days and writes an entry where the keeper would."""

    def __init__(self, hours, rng):
        self.hours, self.rng, self.kits, self.water = hours, rng, Kits(rng), Water()
        self.meter, self.entries, self.last = 0.0, [], {}
        self.remarks = {name: rng.sample(lines, len(lines)) for name, lines in REMARKS.items()}
        self.diary = {}
        for key, value in DIARY.items():
            self.diary[date.fromisoformat(key[:10])] = (key[11:], value)

    def due(self, name, day, every):
        if name in self.last and (day - self.last[name]).days < every:
            return False
        self.last[name] = day
        return True

    def run(self):
        if date(2024, 9, 14) in self.diary:
            self.entries.append(("2024-09-14", self.words(date(2024, 9, 14), self.diary[date(2024, 9, 14)][1], [])))
        day = START
        while day <= END:
            # The plug meter stands about one part in a hundred high, and appliances draw a little more or less by the day.
            self.meter += self.hours.energy[day] / 1000 * 1.011 * (1 + self.rng.gauss(0, 0.02))
            regular = day.weekday() == 5 or (day.weekday() == 2 and day > date(2024, 9, 22))
            if regular or day in self.diary:
                self.entry(day, regular)
            # An evening's entry stands before what the night still takes.
            self.water.day(day, self.hours.evaporated[day])
            day += timedelta(days=1)

    def entry(self, day, regular):
        hour, said = self.diary.get(day, ("", {}))
        saturday = day.weekday() == 5
        lines, done = [], []
        clock = hour or f"{self.rng.choice([18, 19, 20, 21])}:{self.rng.choice(['05', '10', '20', '30', '40', '50'])}"
        if not hour and saturday and day.isoformat() in ("2025-07-26", "2026-01-31", "2026-08-08"):
            clock = "23:40"
        at = datetime(day.year, day.month, day.day, int(clock[:2]))
        if regular or "lots" in said or day == date(2026, 5, 31):
            self.measure(day, at, saturday, lines, done, said)
        if regular:
            self.work(day, saturday, lines, done)
        body = self.words(day, said, lines, done)
        if not body:
            body = ["quiet: yes"]
        self.entries.append((f"{day} {clock}", body))

    def measure(self, day, at, saturday, lines, done, said):
        add = lines.append
        if saturday or self.rng.random() < 0.5:
            add(f"temperature: {rounded(self.hours.at[at] + self.rng.gauss(0, 0.1), 0.1):.1f}")
        young = day <= date(2024, 10, 30)
        settled = date(2024, 10, 30) < day <= date(2024, 11, 9) and saturday
        if settled:
            kits = Kits(random.Random(day.toordinal()))
            add(f"ammonia: {kits.ammonia(self.water.ammonia)}")
            add(f"nitrite: {kits.nitrite(self.water.nitrite)}")
        if saturday and day >= date(2024, 10, 5) and self.due("tds", day, 28):
            days = (day - [renewed for renewed in RESIN if renewed <= day][-1]).days
            error = random.Random(day.toordinal() + 1).gauss(0, 0.3)
            add(f"tds: {max(1, round(0.6 + RESIN_CREEP * days + error))} mg/L")
            done.append("top-off-water-check")
        if self.due("salinity", day, 6 if young or day >= date(2026, 8, 1) else 12):
            add(f"salinity: {self.kits.salinity(self.water.shown_salinity(), day)}")
            done.append("salinity-check")
        if young:
            add(f"ammonia: {self.kits.ammonia(self.water.ammonia)}")
            if saturday or day >= date(2024, 10, 2):
                add(f"nitrite: {self.kits.nitrite(self.water.nitrite)}")
        both = dict(said.get("lots", []))
        lots = [lot for _, lot in said.get("lots", [])]
        weekly = day >= date(2024, 11, 9) and saturday
        if weekly and "alkalinity" not in both and self.due("alkalinity", day, 7 if day >= date(2025, 3, 1) else 14):
            add(f"alkalinity: {self.kits.alkalinity(self.water.alkalinity)}")
            done.append("test-alkalinity")
        elif "alkalinity" in both:
            self.last["alkalinity"] = day
            value = self.kits.alkalinity(self.water.alkalinity)
            add(f"alkalinity: {{value: {value}, lot: {lots[-1]}}}")
            said = dict(said, n=said["n"] + f" {lots[0]} and {lots[-1]} both say {value}.")
            self.diary[day] = ("", said)
            done.append("test-alkalinity")
        nutrients = (saturday and day >= date(2024, 10, 12) and self.due("nutrients", day, 14 if day < date(2026, 8, 1) else 7)) or "nitrate" in both or (
            day.isoformat() in ("2026-01-10", "2025-01-11", "2025-01-18", "2025-02-08", "2025-04-16", "2026-01-14", "2026-01-17", "2026-05-23", "2026-05-27", "2026-05-31", "2026-06-03",
                                "2026-06-06", "2026-06-10", "2026-06-13"))
        if nutrients:
            lot, offset = lot_of("nitrate", day)
            if "nitrate" in both:
                old = self.kits.nitrate(self.water.nitrate, LOTS["nitrate"][0][2])
                new = f"{max(2.0, float(old.replace('below ', '')) - 2):g}"
                add(f"nitrate: {{value: {new}, lot: {lots[-1]}}}")
                self.diary[day] = ("", dict(said, n=said["n"] + f" {old} by {lots[0]}, {new} by {lots[-1]}."))
            else:
                value = self.kits.nitrate(self.water.nitrate, offset)
                add(f"nitrate: {{value: {value}, lot: {lot}}}")
            if day >= date(2024, 10, 19):
                add(f"phosphate: {self.kits.phosphate(self.water.phosphate)}")
            done.append("test-nutrients")
        if saturday and day >= date(2024, 12, 14) and self.due("calcium", day, 28):
            add(f"calcium: {rounded(self.water.calcium + self.rng.gauss(0, 6), 5):g}")
            add(f"magnesium: {rounded(self.water.magnesium + self.rng.gauss(0, 15), 10):g}")
            done.append("test-calcium-magnesium")
        if saturday and day >= date(2024, 12, 7) and self.due("ph", day, 28):
            if day >= SENSOR_FROM:
                add(f"ph: {self.hours.acid[at] + self.rng.gauss(0, 0.02):.2f}")
            add(f"room-temperature: {self.hours.room[day]:.1f} °C")
            add(f"room-humidity: {self.hours.humidity[day]:.0f} %")

    def work(self, day, saturday, lines, done):
        add, water = lines.append, self.water
        if date(2025, 7, 30) <= day <= date(2025, 8, 2):
            needed = 0.0  # Forgotten twice in the hot weeks: the jug runs dry before the 6th.
        elif day >= date(2024, 10, 5):
            needed = 10 - water.jug + water.missing
            water.jug, water.missing = 10.0, 0.0
            done.append("top-off-refill")
        else:
            needed, water.missing = water.missing, 0.0
        if needed >= 0.3:
            add(f"top-off: {needed:.1f} L")
        if saturday and self.due("food", day, 7) and since(FOOD, day - timedelta(days=3)):
            grams = sum(since(FOOD, day - timedelta(days=back)) for back in range(1, 8))
            if day <= date(2025, 9, 20):
                add(f"feed: {{dry-flake: {{total: {grams:.2f} g, over: 7 days}}}}")
            else:
                crumb = 0.35 * grams
                add(f"feed: {{dry-flake: {{total: {grams - crumb:.2f} g, over: 7 days}}, goby-crumb: {{total: {crumb:.2f} g, over: 7 days}}}}")
        if saturday:
            self.doses(day, add)
        if day >= date(2024, 10, 26) and self.due("change", day, 11 if day.month % 2 else 14):
            litres = rounded(11 + self.rng.gauss(0, 0.5), 0.5)
            salinity = rounded(35.0 + self.rng.gauss(0, 0.35), 0.5)
            add(f"water-change: {{volume: {litres:g} L, salinity: {salinity:g} ppt, temperature: {rounded(24.4 + self.rng.gauss(0, 0.5), 0.5):g} °C}}")
            water.change(litres, salinity)
            done.append("water-change")
        if saturday and day >= date(2025, 6, 28) and self.due("prune", day, 14):
            red = max(5, round(water.grown * 0.55 * (1 + self.rng.gauss(0, 0.06))))
            green = max(4, round(water.grown * 0.45 * (1 + self.rng.gauss(0, 0.06))))
            if day == date(2025, 6, 28):
                red, green = 58, 41
            water.grown = 0.0
            add(f"harvest: {{red-ruffle: {red} g, feather-green: {green} g}}")
            done.append("prune")
        if saturday and day >= date(2024, 10, 19) and self.due("meter", day, 28):
            add(f"meter: {self.meter:.1f} kWh")
        self.chores(day, saturday, done)

    def doses(self, day, add):
        totals = []
        for name, table, from_day in (("nitrate-stock", NITRATE_ML, "2025-04-19"), ("alkalinity-stock", ALKALINITY_ML, "2025-06-07"),
                                      ("phosphate-stock", PHOSPHATE_ML, "2026-01-17")):
            total = sum(since(table, day - timedelta(days=back)) for back in range(1, 8))
            if total > 2.5 and day.isoformat() > from_day:
                totals.append(f"{name}: {{total: {total:.1f} mL, over: 7 days}}")
        calcium = since(CALCIUM_ML_WEEK, day)
        if calcium:
            totals.append(f"calcium-stock: {calcium} mL")
            self.water.calcium += calcium * 40 / VOLUME
        if totals:
            add("dose: {" + ", ".join(totals) + "}")

    def chores(self, day, saturday, done):
        if day >= date(2024, 10, 5):
            done.append("glass")
        if saturday and day >= date(2024, 10, 12):
            done.append("sock")
        if saturday and day.day <= 7 and day.strftime("%Y-%m") not in ("2026-02",):
            done.append("ground-fault-test")
        if saturday and 8 <= day.day <= 14 and day >= date(2024, 11, 1):
            done.append("wipe-salt")
        if saturday and 22 <= day.day <= 28 and day >= date(2025, 6, 20) and day.strftime("%Y-%m") not in ("2026-04", "2026-05"):
            done.append("dosing-check")
        if saturday and day >= date(2025, 2, 1) and self.due("carbon", day, 35):
            done.append("carbon")
        if saturday and day >= date(2024, 12, 14) and self.due("heater-look", day, 91):
            done.append("heater-look")

    def words(self, day, said, lines, done=()):
        said = self.diary.get(day, ("", said))[1] if said else said
        done = list(dict.fromkeys(list(done) + said.get("done", [])))
        out = list(lines) + said.get("x", [])
        order = {name: place for place, name in enumerate(("temperature", "salinity", "ammonia"))}
        out.sort(key=lambda line: order.get(line.split(":")[0], 9))
        if done:
            out.append("done: [" + ", ".join(done) + "]")
        if said.get("seen"):
            out.append("seen: {" + ", ".join(f"{k}: {quoted(v)}" for k, v in said["seen"].items()) + "}")
        if "ev" in said:
            out.append("event: {" + ", ".join(f"{k}: {quoted(v) if k == 'what' else v}" for k, v in said["ev"].items()) + "}")
        if "ch" in said:
            out.append("changed: {" + ", ".join(f"{k}: {quoted(v)}" for k, v in said["ch"].items()) + "}")
        if "ft" in said:
            # Two tests of one pump on one day: the first, before the cleaning, stands in the note.
            tests = {}
            for device, flow in said["ft"]:
                tests.setdefault(device, []).append(flow)
            out.append("flow-test: {" + ", ".join(f"{k}: {v[-1]}" for k, v in tests.items()) + "}")
            before = [v[0] for v in tests.values() if len(v) > 1]
            if before:
                said = dict(said, n=said["n"] + f" Flow before {before[0]}, after {list(tests.values())[0][-1]}.")
        if "n" in said:
            out.append(f"note: {quoted(said['n'])}")
        elif lines:
            # A remark may carry the date from which it can be true: nobody praises a coral before it came.
            pool = self.remarks[season(day)]
            fit = [line for line in pool if "|" not in line or line[:10] <= day.isoformat()]
            if fit and self.rng.random() < 0.86:
                pool.remove(fit[-1])
                out.append(f"note: {quoted(fit[-1].split('|')[-1])}")
            else:
                out.append("quiet: yes")
        if "fix" in said:
            out.append(f"correction: {quoted(said['fix'])}")
        if "ask" in said:
            ask = said["ask"]
            out.append(f"ask: {{what: {quoted(ask['what'])}, by: {ask['by']}, id: {ask['id']}}}")
        if "ans" in said:
            out.append(f"answer: {{to: {said['ans']['to']}, say: {quoted(said['ans']['say'])}}}")
        if "ph" in said:
            out.append("photos: [" + ", ".join(said["ph"]) + "]")
        return out

    def write(self):
        for year in (2024, 2025, 2026):
            text = schema("log") + f"# Curlew Flat, {year}. An invented tank: written by tests/example_data/generate.py and diary.py beside it.\n"
            for when, body in sorted(self.entries):
                if when.startswith(str(year)):
                    text += f"{when}:\n" + "".join(f"  {line}\n" for line in body)
            (ROOT / "log" / f"{year}.yaml").write_text(text, encoding="utf-8")


def write_sensor(hours):
    """One row an hour in universal time: the hour that spring skips is no row, the one that autumn repeats is filled."""
    rows = {}
    for when, water, room, acid in hours.rows:
        rows.setdefault(when, (water, room, acid))
        hour_before, two_before = when - timedelta(hours=1), when - timedelta(hours=2)
        if hour_before not in rows and two_before in rows and when.month == 10:
            rows[hour_before] = rows[two_before]
    text = ["when,water_c,room_c,ph\n"]
    for when, (water, room, acid) in sorted(rows.items()):
        text.append(f"{when:%Y-%m-%dT%H:%M:00Z},{water:.2f},{room:.1f},{acid:.2f}\n")
    (ROOT / "readings" / "controller.csv").write_text("".join(text), encoding="utf-8")


def irradiance(x, y, depth, level, height):
    """Light under a bar of 86 cm along the middle, in µmol/m²/s: inverse squares summed along the bar, Lambert's cosine
    at both ends, 1.1 per metre lost in the water, a little thrown back by the panes. The bar's strength is set so that the
    middle of the tank has 180 at full level, 27 cm high and 16 cm deep."""

    def along_the_bar(x, y, depth, height):
        z = height + depth
        total = sum(z * z / ((x - s) ** 2 + (y - 20) ** 2 + z * z) ** 2 for s in range(3, 89, 2))
        return (total + 0.25 * 43 / (z * z + 1849)) * math.exp(-1.1 * depth / 100)

    return level * 180 * along_the_bar(x, y, depth, height) / along_the_bar(45, 20, 16, 27)


SHADE = {"finger-leather": .95, "lagoon-carpet": 1.0, "purple-rod": .97, "green-hammer": .95, "blue-mushrooms": .62, "ball-sponge": .30,
         "seagrass": .85, "red-ruffle": .90, "feather-green": .95}
SPOTS = {"finger-leather": (59, 17, 22), "lagoon-carpet": (26, 20, 16), "purple-rod": (47, 24, 18), "green-hammer": (41, 16, 24),
         "blue-mushrooms": (74, 14, 27), "ball-sponge": (32, 14, 29), "seagrass": (81, 33, 24), "red-ruffle": (76, 25, 12),
         "feather-green": (15, 14, 28)}


def write_surveys(rng):
    surveys = [
        ("2024-10-19", .45, 22, (10, 28, 45, 62, 80), (10, 30), (3, 15, 30), [],
         "First survey, bare rock, before any animal. Pumps off, mean of ten seconds at each point."),
        ("2025-05-03", .55, 22, (10, 28, 45, 62, 80), (10, 20, 30), (3, 30), list(SPOTS),
         "Before the lamp goes up. Same sensor, same factor, lenses wiped the day before."),
        ("2025-05-11", .80, 27, (10, 28, 45, 62, 80), (10, 20, 30), (3, 30), list(SPOTS),
         "The day after raising the lamp and turning it up. Same points as eight days ago."),
        ("2026-05-16", .75, 27, (10, 28, 45, 62, 80), (10, 20, 30), (3, 15, 30), list(SPOTS),
         "Yearly survey. The points under the leather were left out: it stands in the way. Lenses wiped."),
    ]
    for day, level, height, xs, ys, depths, at, note in surveys:
        rows = []
        for depth in depths:
            for y in ys:
                for x in xs:
                    if day == "2026-05-16" and x == 62 and y in (10, 20) and depth == 30:
                        continue
                    value = irradiance(x, y, depth, level, height) * (1 + rng.gauss(0, 0.05))
                    rows.append(f"  - [{x}, {y}, {depth}, {value:.0f}]\n")
        text = schema("light") + f"on: {day} 15:00\nlamp: lamp\nlevel: {level * 100:.0f} %\nheight: {height} cm\nsensor: quantum-sensor\nimmersion-factor: 1.15\n"
        text += "factor-applied: yes\nuncertainty: 10 %\nunits: {position: cm, light: µmol/m²/s}\nreadings:\n" + "".join(rows)
        if at:
            text += "at:\n"
            for colony in at:
                shade = SHADE[colony] * (0.9 if day == "2026-05-16" and colony == "finger-leather" else 1.0)
                value = irradiance(*SPOTS[colony], level, height) * shade * (1 + rng.gauss(0, 0.05))
                text += f"  - {{colony: {colony}, light: {value:.0f} µmol/m²/s}}\n"
        text += f"note: {quoted(note)}\n"
        (ROOT / "light" / f"{day}.yaml").write_text(text, encoding="utf-8")


def main():
    hours = Hours(random.Random(20240921))
    if "--duties" in sys.argv:
        stretches = {}
        for day, on in hours.heater.items():
            # The keeper reads the counter when he reads the meter: every four weeks from 19 October 2024.
            begin = max(START, date(2024, 9, 22) + timedelta(days=28 * ((day - date(2024, 9, 22)).days // 28)))
            stretches.setdefault(begin, []).append(on / 24)
        for begin, duties in stretches.items():
            print(begin, f"{100 * sum(duties) / len(duties):.1f}")
        return
    log = Log(hours, random.Random(11))
    log.run()
    log.write()
    write_sensor(hours)
    write_surveys(random.Random(7))


if __name__ == "__main__":
    main()
