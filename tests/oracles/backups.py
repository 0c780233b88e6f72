"""Backups beside the library of age's own authors (filippo.io/age in Go): it opens ours, what comes out is a sound SQLite file; and
a file that it made of that is restored here. A flipped byte anywhere, and a cut, is refused by both."""

import os
import random
import shutil
import sqlite3
import subprocess

from checks import Checks

PASSPHRASE = "four words that nobody guesses"


def check(checks: Checks) -> None:
    folder = checks.scratch / "backups"
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    dice = random.Random(checks.seed)
    environment = os.environ | {"PASSPHRASE": PASSPHRASE, "SIDELONG_PASSPHRASE": PASSPHRASE}

    def run(program: str, *arguments: str, given: bytes = b"", **more: str) -> subprocess.CompletedProcess[bytes]:
        command = [str(checks.programs[program]), *arguments]
        return subprocess.run(command, input=given, capture_output=True, check=False, env=environment | more)

    checks.run("sidelong", "demo", str(folder / "demo"))
    store, file = folder / "store", folder / "backup.age"
    inputs = sorted((folder / "demo" / "inputs").glob("*saloon*.jsonl"))
    assert inputs, "the demonstration's inputs"
    for lines in inputs:
        checks.run("sidelong", "record", str(lines), "--store", str(store))
    made = run("sidelong", "backup", str(file), "--store", str(store))
    checks.that(made.returncode == 0, "a backup is made", made.stderr)
    whole = file.read_bytes()

    opened = run("logcheck", "decrypt", given=whole)
    record = folder / "record"
    record.write_bytes(opened.stdout)
    checks.that(opened.returncode == 0, "Go opens it", opened.stderr)
    database = sqlite3.connect(record)
    (sound,) = database.execute("PRAGMA integrity_check").fetchone()
    (leaves,) = database.execute("SELECT count(*) FROM leaves").fetchone()
    (photos,) = database.execute("SELECT count(*) FROM carried").fetchone()
    database.close()
    checks.that(sound == "ok" and leaves > 0 and photos > 0, f"{leaves} entries and {photos} photos are in it", sound)
    seed = (store / "seed.key").read_bytes()
    checks.that(seed not in opened.stdout and len(seed) == 32, "and the signing seed is not")

    theirs = folder / "theirs.age"
    sealed = run("logcheck", "encrypt", given=opened.stdout)
    theirs.write_bytes(sealed.stdout)
    back = run("sidelong", "restore", str(theirs), "--store", str(folder / "again"))
    checks.that(sealed.returncode == back.returncode == 0, "what Go encrypts is restored here", back.stderr)
    sound = run("sidelong", "verify-log", "--store", str(folder / "again"))
    checks.that(sound.returncode == 0, "and is sound", sound.stdout + sound.stderr)

    wrong = run("logcheck", "decrypt", given=whole, PASSPHRASE="another passphrase")
    here = run("sidelong", "restore", str(file), "--store", str(folder / "no"), SIDELONG_PASSPHRASE="another passphrase")
    checks.that(wrong.returncode == 1 == here.returncode, "neither takes another passphrase", (wrong.stderr, here.stderr))

    # Go's own file: its low work factor makes trying it quick.
    spoilt = folder / "spoilt.age"
    taken = []
    for turn in range(24):
        bytes_ = bytearray(sealed.stdout)
        at = dice.randrange(200) if turn < 8 else dice.randrange(len(bytes_))
        if turn % 6 == 5:
            del bytes_[at:]
        else:
            bytes_[at] ^= 1 << dice.randrange(8)
        spoilt.write_bytes(bytes_)
        there = run("logcheck", "decrypt", given=bytes(bytes_))
        here = run("sidelong", "restore", str(spoilt), "--store", str(folder / "no"))
        if there.returncode == 0 or here.returncode not in (1, 3) or (folder / "no").exists():
            taken.append((turn, at, there.returncode, here.returncode, here.stderr))
    checks.that(not taken, "nor one of 24 with a bit flipped or the end cut off", taken[:2])
    shutil.rmtree(folder)
