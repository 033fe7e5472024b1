"""Asks an independent JSON Schema validator what it thinks of the schemas, and of records by them.

    python check.py SCHEMAS

SCHEMAS is what `polypary schema --into SCHEMAS` wrote. `jsonschema` judges the schemas themselves (by the metaschema of draft
2020-12), every example in them, every YAML file of example-tank and of the sound record of tests/mistakes, the built-in themes,
and records broken on purpose. Files are read as YAML 1.2 reads them, which is how editors do: `NO` is a text and a date is one too.
"""

import json
import re
import sys
from pathlib import Path

import yaml
from jsonschema import Draft202012Validator
from jsonschema.exceptions import best_match

ROOT = Path(__file__).resolve().parents[2]


class Loader(yaml.SafeLoader):
    """The core schema of YAML 1.2.2, section 10.3.2."""

    yaml_implicit_resolvers = {}


for tag, pattern, first in [
    ("null", r"~|null|Null|NULL|", ["~", "n", "N", ""]),
    ("bool", r"true|True|TRUE|false|False|FALSE", list("tTfF")),
    ("int", r"[-+]?[0-9]+", list("-+0123456789")),
    ("float", r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?", list("-+.0123456789")),
]:
    Loader.add_implicit_resolver(f"tag:yaml.org,2002:{tag}", re.compile(f"^({pattern})$"), first)
# In YAML 1.2 a whole number may begin with noughts.
Loader.add_constructor("tag:yaml.org,2002:int", lambda loader, node: int(node.value))
Loader.add_constructor("tag:yaml.org,2002:float", lambda loader, node: float(node.value))

FOLDERS = {
    "equipment": "equipment", "specs": "spec", "supplies": "supply", "colonies": "colony", "log": "log", "readings": "readings",
    "light": "light", "upkeep": "upkeep", "story": "story", "video": "video", "photos": "captions", "themes": "theme",
}


def kind_of(path):
    if path.name == "tank.yaml":
        return "tank"
    return next(FOLDERS[part] for part in reversed(path.parts) if part in FOLDERS)


def load(path):
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".md":
        text = text.split("---\n")[1]
    return without_empty(yaml.load(text, Loader))


def without_empty(document):
    """A key with nothing behind it is passed over by the program, while an editor marks it as unfinished. Only a date of a log says
    something by itself."""
    if isinstance(document, dict):
        dates = all(re.match(r"[0-9]{4}-", str(key)) for key in document)
        return {key: without_empty(value) for key, value in document.items() if value is not None or dates}
    if isinstance(document, list):
        return [without_empty(value) for value in document]
    return document


def files(folder):
    found = [path for path in sorted(folder.rglob("*")) if path.suffix in (".yaml", ".yml") or path.suffix == ".md" and path.parent.name in ("specs", "story")]
    return [path for path in found if not {"out", "schema"} & set(path.relative_to(folder).parts)]


def complaints(validator, document):
    """Every complaint, with what is wrong at its deepest."""
    found = []
    for error in validator.iter_errors(document):
        deepest = best_match([error])
        found.append(f"{'/'.join(map(str, deepest.absolute_path))}: {error.message[:160]} ({deepest.message[:160]})")
    return found


def check_examples(validators):
    """Each `examples` beside a description is valid where it stands."""
    tried = 0
    for kind, validator in validators.items():
        def walk(node):
            nonlocal tried
            if isinstance(node, dict):
                if isinstance(node.get("examples"), list) and "description" in node:
                    part = Draft202012Validator({**node, "$defs": validator.schema["$defs"]})
                    for example in node["examples"]:
                        wrong = complaints(part, example)
                        assert not wrong, f"{kind}: {node['description']} {example!r}: {wrong}"
                        tried += 1
                for value in node.values():
                    walk(value)
            elif isinstance(node, list):
                for value in node:
                    walk(value)
        walk(validator.schema)
    assert tried > 300, f"only {tried} examples"
    return tried


# Broken on purpose: kind, text, and a part of what is complained of.
BROKEN = [
    ("tank", "name: A\nstarted: 2024-01-01\nzone: Europe/Lisbon\n", "'water' is a required property"),
    ("tank", "name: A\nstarted: 2024-01-01\nzone: Europe/Lisbon\nwater: 75 L\nwaterdepth: 3 cm\n", "'waterdepth' was unexpected"),
    ("tank", "name: A\nstarted: 01.01.2024\nzone: Europe/Lisbon\nwater: 75 L\n", "does not match"),
    ("tank", "name: A\nstarted: 2024-01-01\nzone: Europe/Lisbon\nwater: 75\n", "is not valid under any"),
    ("tank", "name: A\nstarted: 2024-01-01\nzone: Europe/Lisbon\nwater: 75 L\nglass: 8 kg\n", "does not match"),
    ("tank", "name: A\nstarted: 2024-01-01\nzone: Europe/Lisbon\nwater: 75 L\nbands: {nitrite-n: 2 to 3}\n", "was unexpected"),
    ("tank", "name: A\nstarted: 2024-01-01\nzone: Europe/Lisbon\nwater: [{value: 75 L}]\n", "is not valid under any"),
    ("equipment", "name: Lamp\nrole: lantern\nin-service: 2024-01-01\n", "is not valid under any"),
    ("equipment", "name: Lamp\nrole: lamp\nin-service: 2024-01-01\nsettings: {level: 60}\n", "is not valid under any"),
    ("equipment", "name: Lamp\nrole: lamp\nin-service: 2024-01-01\nplumbing: [{bore: 19 mm}]\n", "is not valid under any"),
    ("supply", "name: Card\nkind: kit\nmeasures: nitrates\n", "is not valid under any"),
    ("colony", "name: A\ngroup: leather\narrived: 2025-01-18\nplacements: [{where: left}]\n", "is not valid under any"),
    ("log", "2025-10-04:\n  alkalinty: 7.9\n", "is not valid under any"),
    ("log", "4 October:\n  note: a\n", "does not match any of the regexes"),
    ("log", "2025-10-04:\n  top-off: 3,5 L\n", "is not valid under any"),
    ("light", "on: 2025-05-03\nlamp: lamp\nlevel: 55 %\nunits: {position: cm, light: lx}\nreadings: [[1, 2, 3]]\n", "too short"),
    ("upkeep", "tasks: {glass: {what: wipe}}\n", "is not valid under any"),
    ("readings", "columns: {when: time, water: temperature}\n", "does not match"),
    ("story", "title: A\n", "'order' is a required property"),
    ("video", "title: A\nfilmed: 2025-01-01\nchapters: [{at: 12m, title: B}]\n", "is not valid under any"),
    ("theme", "colours: {light: {papier: white}}\n", "'papier' was unexpected"),
]

# Cases of tests/mistakes that one file shows by itself; the others need more than one file, a clock or a keeper's knowledge.
MISTAKES = [
    "bad-time-of-entry", "day-first-date", "decimal-comma", "missing-key", "unknown-key", "unknown-unit", "wrong-dimension",
    "wrong-word", "time-where-a-volume-is-wanted",
]


def check_mistakes(validators):
    for case in MISTAKES:
        wrong = []
        for path in files(ROOT / "tests/mistakes" / case):
            wrong += complaints(validators[kind_of(path)], load(path))
        assert wrong, f"tests/mistakes/{case} passes"


def main():
    schemas = Path(sys.argv[1])
    validators = {}
    for path in sorted(schemas.glob("*.json")):
        schema = json.loads(path.read_text(encoding="utf-8"))
        Draft202012Validator.check_schema(schema)
        validators[path.stem] = Draft202012Validator(schema)
    tried = check_examples(validators)
    print(f"jsonschema: {len(validators)} schemas are valid, and so are {tried} examples in them")
    checked = set()
    for folder in ("example-tank", "tests/mistakes/base", "tests/mistakes/values-as-typed", "themes"):
        for path in files(ROOT / folder):
            kind = kind_of(path)
            wrong = complaints(validators[kind], load(path))
            assert not wrong, f"{path.relative_to(ROOT)}:\n" + "\n".join(wrong)
            checked.add((kind, path))
    kinds = {kind for kind, _ in checked}
    assert kinds == set(validators), f"no file of {set(validators) - kinds}"
    print(f"jsonschema: {len(checked)} files of sound records and themes are valid, of every kind")
    for kind, text, part in BROKEN:
        wrong = complaints(validators[kind], yaml.load(text, Loader))
        assert any(part in one for one in wrong), f"{kind}: {text}{wrong}"
    check_mistakes(validators)
    print(f"jsonschema: {len(BROKEN)} broken files are each found, and {len(MISTAKES)} records of tests/mistakes")


main()
