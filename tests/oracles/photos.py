"""EXIF and hashes as exiftool and hashlib read them, on committed pictures and on seeded variants that exiftool writes;
broken pictures are refused within little memory."""

import hashlib
import json
import random
import resource
import shutil
import subprocess
from pathlib import Path
from typing import Any

from checks import ROOT, Checks

FIXTURES = ROOT / "fixtures/photos"
PUBLISHED = ROOT / "tests/published"
TAGS = ["ImageWidth", "ImageHeight", "IFD0:Orientation", "DateTimeOriginal", "SubSecTimeOriginal", "OffsetTimeOriginal"]
# A picture of the size that the broken headers claim needs 12.9 GB.
MEMORY = 512 * 1024 * 1024


def by_exiftool(files: list[Path]) -> list[dict[str, Any]]:
    command = ["exiftool", "-json", "-n", *[f"-{tag}" for tag in TAGS], *map(str, files)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    # As text: a part of a second is no number, its leading zeros count.
    told: list[dict[str, Any]] = json.loads(done.stdout, parse_int=str, parse_float=str)
    return told


def expected(told: dict[str, Any]) -> dict[str, Any]:
    """What `photo` should say where exiftool says this (CIPA DC-008; RFC 3339)."""
    turn = int(told.get("Orientation", 1))
    date = str(told.get("DateTimeOriginal", ""))
    taken = None
    if date.replace(":", "").replace(" ", "").strip("0"):
        day, time = date.split(" ")
        part = str(told.get("SubSecTimeOriginal", "")).strip()
        taken = f"{day.replace(':', '-')}T{time}{'.' + part if part else ''}{told.get('OffsetTimeOriginal', '')}"
    return {
        "width": int(told["ImageWidth"]),
        "height": int(told["ImageHeight"]),
        "orientation": turn if 1 <= turn <= 8 else 1,
        "taken": taken,
    }


def compare(checks: Checks, files: list[Path], what: str) -> None:
    files = sorted(files)
    wrong, times, turned = [], 0, 0
    for file, ours, told in zip(
        files, checks.lines("dump", "photos", *map(str, files)), by_exiftool(files), strict=True
    ):
        data = file.read_bytes()
        should = {**expected(told), "sha256": hashlib.sha256(data).hexdigest(), "len": len(data)}
        if {name: ours.get(name) for name in should} != should:
            wrong.append((file.name, ours, should))
        times += should["taken"] is not None
        turned += should["orientation"] != 1
    text = f"{len(files)} {what}, {times} with a time, {turned} turned: as exiftool and hashlib read them"
    checks.that(not wrong and times > 0, text, wrong[:3])


def variants(checks: Checks, count: int) -> list[Path]:
    """Pictures whose EXIF exiftool writes: both byte orders, with and without each field, a thumbnail that lies."""
    folder = checks.scratch / "variants"
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    dice = random.Random(checks.seed)
    plain, thumbnail = PUBLISHED / "exif/no_exif.jpg", PUBLISHED / "jpeg/gray_q90.jpg"
    arguments: list[str] = []
    for at in range(count):
        options = [f"-ExifByteOrder={dice.choice(['II', 'MM'])}", "-Make=Invented"]
        if dice.random() < 0.8:
            options.append(f"-IFD0:Orientation#={dice.randrange(1, 9)}")
        if dice.random() < 0.8:
            date = f"{dice.randrange(1990, 2040)}:{dice.randrange(1, 13):02}:{dice.randrange(1, 29):02}"
            time = f"{dice.randrange(24):02}:{dice.randrange(60):02}:{dice.randrange(60):02}"
            options.append(f"-DateTimeOriginal={date} {time}")
            if dice.random() < 0.6:
                options.append(f"-SubSecTimeOriginal={dice.randrange(10**3):0{dice.randrange(1, 7)}}")
            if dice.random() < 0.6:
                sign, hours, minutes = dice.choice("+-"), dice.randrange(13), dice.choice([0, 15, 30, 45])
                options.append(f"-OffsetTimeOriginal={sign}{hours:02}:{minutes:02}")
        if dice.random() < 0.4:
            options += [f"-ThumbnailImage<={thumbnail}", f"-IFD1:Orientation#={dice.randrange(1, 9)}"]
        arguments += [*options, "-o", str(folder / f"{at:03}.jpg"), str(plain), "-execute"]
    listed = checks.scratch / "variants.args"
    listed.write_text("\n".join(arguments[:-1]) + "\n")
    subprocess.run(["exiftool", "-q", "-@", str(listed)], check=True, capture_output=True)
    made = sorted(folder.glob("*.jpg"))
    assert len(made) == count, f"{len(made)} of {count} variants"
    return made


def in_little_memory(checks: Checks, file: Path) -> dict[str, Any] | str:
    """What `dump photos` says of a file with little memory; a text where it did not end well."""
    done = subprocess.run(
        [str(checks.programs["dump"]), "photos", str(file)],
        capture_output=True,
        text=True,
        check=False,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY)),
    )
    return json.loads(done.stdout) if done.returncode == 0 else f"ended with {done.returncode}: {done.stderr}"


def check(checks: Checks) -> None:
    compare(checks, [*FIXTURES.glob("*.jpg"), *PUBLISHED.glob("exif/*.jpg")], "committed pictures")
    compare(checks, variants(checks, 120), "variants by exiftool")

    bad = json.loads((FIXTURES / "truth.json").read_text())["bad"]
    opens = [case for case in bad if "opens" in case["why"]]
    broken = [FIXTURES / case["file"] for case in bad if case not in opens]
    names = ["empty", "not_jpeg", "bomb_65500", "zero_height", "trunc_half", "no_eoi"]
    broken += [PUBLISHED / f"jpeg/{name}.jpg" for name in names]
    assert len(opens) == 1 and len(broken) >= 10
    for file in broken:
        said = in_little_memory(checks, file)
        why = said.get("refused", "") if isinstance(said, dict) else ""
        checks.that(len(why) > 10, f"{file.name} is refused: {why}", said)
    # The same memory is enough for a whole picture, so it is not for want of memory that the others are refused.
    good = next(iter(sorted(FIXTURES.glob("*.jpg"))))
    said = in_little_memory(checks, good)
    checks.that(isinstance(said, dict) and said.get("width", 0) > 0, f"{good.name} is read in as little memory", said)
    # One byte differs, the picture opens: only the hash can tell.
    said = in_little_memory(checks, FIXTURES / opens[0]["file"])
    checks.that(
        isinstance(said, dict) and said.get("sha256") == opens[0]["sha256"], "a flipped byte shows in the hash", said
    )
