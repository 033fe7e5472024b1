"""Asks programs that know nothing of this one what they think of an archive.

    python check.py BAG

The bag is judged by `bagit` (Library of Congress), its tables by `frictionless` (Open Knowledge Foundation): types,
required cells, primary and foreign keys. Then figures are worked out again from the tables alone (`figures.py`). Any
disagreement ends the run.
"""

import shutil
import sys
import tempfile
from pathlib import Path

import bagit
from frictionless import Package

import figures


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


def main():
    folder = Path(sys.argv[1])
    check_bag(folder)
    check_tables(folder / "data" / "tables")
    figures.check(folder / "data" / "tables")


main()
