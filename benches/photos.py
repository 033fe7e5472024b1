#!/usr/bin/env python3
"""Photos developed by polypary, beside the fastest general library known to us doing the same.

usage: benches/photos.py [--photos 24] [--megapixels 12] [--runs 3] [--folder DIR] [--program target/release/polypary]

Both make the same three widths of every photo (1600, 800 and 400 px, JPEG quality 80, upright, no metadata), each
size from the next larger one, with two workers. They run in turn (A B A B ...), and what is compared is processor time,
which other work on the machine disturbs less than time by the clock. Printed for each: processor time a photo, peak memory,
bytes, and likeness (PSNR of the luma, dB) of its 800 px pictures to a plain Lanczos reduction of the original that was
never compressed; then the ratio. Exits with 1 when polypary's time is above 0.90 of the peer's.

Without --folder, synthetic photos come from make_photos.py beside this file. Needs numpy, Pillow and
pyvips[binary] (python3 -m pip install numpy pillow 'pyvips[binary]').
"""
import argparse
import os
import pathlib
import shutil
import statistics
import subprocess
import sys
import tempfile

import numpy as np
from PIL import Image, ImageOps

HERE = pathlib.Path(__file__).resolve().parent
WIDTHS = (1600, 800, 400)

PEER = """
import glob, os, sys
os.environ["VIPS_CONCURRENCY"] = "1"
import pyvips
from concurrent.futures import ThreadPoolExecutor
def one(path):
    stem = os.path.join(sys.argv[2], os.path.basename(path)[:-4])
    picture = pyvips.Image.thumbnail(path, 1600, height=100000).copy_memory()
    for width in (1600, 800, 400):
        if width != 1600:
            picture = picture.thumbnail_image(width, height=100000).copy_memory()
        picture.jpegsave(f"{stem}-{width}.jpg", Q=80, keep="none")
with ThreadPoolExecutor(2) as workers:
    list(workers.map(one, sorted(glob.glob(sys.argv[1] + "/*.jpg"))))
"""

TANK = "name: Bench\nstarted: 2024-09-21\nzone: Europe/Lisbon\nsize: 90 x 40 x 38 cm\nwater: 100 L\n"


def run(command):
    """Processor seconds and peak MiB of one process."""
    with tempfile.TemporaryFile() as said:
        process = subprocess.Popen(command, stdout=said, stderr=said, env={**os.environ, "RAYON_NUM_THREADS": "2"})
        _, status, usage = os.wait4(process.pid, 0)
        if status != 0:
            said.seek(0)
            sys.exit(f"{command[0]} failed: {said.read().decode()}")
    return usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024


def luma(picture):
    return np.asarray(picture.convert("L"), np.float64)


def likeness(folder, originals):
    """Mean PSNR of the luma of the 800 px pictures, dB."""
    found = []
    for original in originals:
        made = luma(Image.open(next(folder.rglob(f"*{original.stem}-800.jpg"))))
        upright = ImageOps.exif_transpose(Image.open(original)).convert("RGB")
        wanted = luma(upright.resize(made.shape[::-1], Image.Resampling.LANCZOS))
        found.append(10 * np.log10(255**2 / np.mean((made - wanted) ** 2)))
    return statistics.mean(found)


def published(folder, stems):
    files = [f for f in folder.rglob("*.jpg") if any(f.stem == f"{stem}-{w}" for stem in stems for w in WIDTHS)]
    if len(files) != len(stems) * len(WIDTHS):
        sys.exit(f"{folder} holds {len(files)} pictures, not {len(stems) * len(WIDTHS)}")
    return sum(f.stat().st_size for f in files)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--photos", type=int, default=24)
    parser.add_argument("--megapixels", type=float, default=12)
    parser.add_argument("--runs", type=int, default=3)
    parser.add_argument("--folder", type=pathlib.Path)
    parser.add_argument("--program", default=str(HERE.parent / "target/release/polypary"))
    asked = parser.parse_args()

    with tempfile.TemporaryDirectory() as place:
        place = pathlib.Path(place)
        record, photos, ours, theirs = place / "record", place / "record/photos", place / "record/out", place / "peer"
        photos.mkdir(parents=True)
        (record / "tank.yaml").write_text(TANK)
        if asked.folder:
            for file in asked.folder.glob("*.jpg"):
                shutil.copy(file, photos)
        else:
            make = [sys.executable, HERE / "make_photos.py", str(asked.photos), str(asked.megapixels), photos]
            subprocess.run(make, check=True)
        originals = sorted(photos.glob("*.jpg"))
        journal = [asked.program, "journal", str(record)]
        peer = [sys.executable, "-c", PEER, str(photos), str(theirs)]

        # Reading and writing the pages is not the photos' work: a run with all photos at hand is taken off.
        # Starting the interpreter is not the peer's work either.
        took, base = {"polypary": [], "peer": []}, []
        idle = [run([sys.executable, "-c", PEER, str(place / "none"), str(theirs)])[0] for _ in range(asked.runs)]
        for _ in range(asked.runs):
            shutil.rmtree(ours, ignore_errors=True)
            took["polypary"].append(run(journal))
            shutil.rmtree(ours / "journal")
            base.append(run(journal)[0])
            shutil.rmtree(theirs, ignore_errors=True)
            theirs.mkdir()
            took["peer"].append(run(peer))

        each = {}
        off = {"polypary": statistics.median(base), "peer": statistics.median(idle)}
        for name, folder in (("polypary", ours / "journal"), ("peer", theirs)):
            seconds = statistics.median(s for s, _ in took[name]) - off[name]
            each[name] = 1000 * seconds / len(originals)
            print(
                f"{name:9} {each[name]:7.1f} ms of processor a photo, peak {max(m for _, m in took[name]):4.0f} MiB, "
                f"{published(folder, [o.stem for o in originals]) / 1e6:.1f} MB, {likeness(folder, originals):.2f} dB"
            )
        ratio = each["polypary"] / each["peer"]
        print(f"ratio     {ratio:7.2f}  ({len(originals)} photos, {asked.runs} runs in turn; goal 0.90 or less)")
        sys.exit(0 if ratio <= 0.90 else 1)


if __name__ == "__main__":
    main()
