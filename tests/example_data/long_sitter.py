"""Lengthens what the sitter's sheet of a record is made from: long texts, many animals and devices, two lamps, three
heaters, several tasks on one day. The two pages must stay two pages.

    python long_sitter.py RECORD

The record is changed in place: give it a copy.
"""

import sys
from pathlib import Path

LONG = "a low, even hum from the left half of the cabinet, now and then a click, and after it about a minute of trickling"

SITTER = f"""# Written to be too long.
sitter:
  reads: metric
  visits: {{every: 1 day, at: "19:00"}}
  call: [keeper, reef-friend, landlord, fourth]
  emergency:
    number: "112"
    poison-centre: "000-000-0109"
    breaker: "in the grey box left of the flat's door, behind the coats, third switch from the right, marked HALL AND TANK"
    water-stop: "under the kitchen sink behind the bin, the blue lever, a quarter turn to the right until it stands across"
  address: "7 Heronsgate Steps, third floor on the left, the entrance is in the yard behind the bicycle shed"
  rehearsed: {{sitter: 2026-09-26, alarm: 2026-10-03}}
  level:
    mark: "the upper edge of the yellow tape on the left pane, two fingers beneath the black rim of the glass"
    photo: 2026-04-18-water-level.jpg
    low: 2 cm
    front: {{x: 3 cm, up: 108 cm}}
  sound: "{LONG}; {LONG}; {LONG}"
  looks:
    - {{what: "all animals open and swaying slowly in the water, the water as clear as glass", photo: 2026-10-10-front.jpg}}
  odd: [{{what: "{LONG}"}}]
  feed: {{every: 2 days, portions: spoons}}
  pure-water: {{stock: 5 L, kept: "in two white canisters by the window, and two more in the cellar behind the wine rack"}}
  count: [{{colony: COLONIES}}]
  never: [{", ".join(f'"open the wall cupboard number {n}, or what lies in it, for any reason"' for n in range(7))}]
"""

DEVICE = """name: {name}
role: {role}
in-service: 2025-01-04
mains: yes
front: {{x: {x} cm, up: 40 cm}}
settings: {settings}
forgets: {{keeps-settings: no, keeps-clock: no, follows-summer-time: no, state-at-power-up: full, needs-hand: "{press}"}}
"""

PRESS = "hold the two outer keys for three seconds until the light blinks, then set hour and minute, then press the middle key"


def main(root):
    tank = (root / "tank.yaml").read_text(encoding="utf-8")
    tank = tank.replace("\ncontacts:\n", '\ncontacts:\n  fourth: {name: "the neighbour below, who has the key of the cellar", phone: "000-000-0111"}\n')
    tank = tank.replace("the club friend", "the friend from the club of the valley, evenings only")
    (root / "tank.yaml").write_text(tank, encoding="utf-8")
    colonies = [path.stem for path in sorted((root / "colonies").glob("*.yaml"))][:14]
    sitter = SITTER.replace("{colony: COLONIES}", ", ".join(colonies))
    (root / "upkeep" / "sitter.yaml").write_text(sitter, encoding="utf-8")
    tasks = (root / "upkeep" / "tasks.yaml").read_text(encoding="utf-8")
    more = [f'  more-{n}: {{what: "Look through the {n}th pane for anything that lies loose on the sand", every: 2 days, '
            f"who: sitter, hands-in-water: no, lowers-water: no, since: 2024-10-05}}" for n in range(3, 6)]
    (root / "upkeep" / "tasks.yaml").write_text(tasks.rstrip("\n") + "\n" + "\n".join(more) + "\n", encoding="utf-8")
    for n, (role, settings) in enumerate([
            ("heater", "{temperature: 25.2 °C, thermostat: 26.5 °C}"), ("lamp", '{schedule: "09:00 to 21:00"}'),
            ("lamp", '{schedule: "11:00 to 17:00"}'), ("circulation-pump", "{schedule: always}"),
            ("circulation-pump", "{schedule: always}"), ("circulation-pump", "{schedule: always}"),
            ("return-pump", "{schedule: always}"), ("dosing-pump", "{schedule: always}"), ("chiller", "{schedule: always}")]):
        text = DEVICE.format(name=f"The {role.replace('-', ' ')} number {n} that was bought to go beside the others",
                             role=role, x=10 + 8 * n, settings=settings, press=PRESS)
        (root / "equipment" / f"further-{n}.yaml").write_text(text, encoding="utf-8")


main(Path(sys.argv[1]))
