"""Kills, failing calls and changed bytes, against the command as it is run.

Fault injection is strace's (`-e inject=CALL:signal=SIGKILL:when=N`, strace(1)). A killed process leaves the page cache as it
was, so this stands for a crash, not for a power cut.
"""

import argparse
import contextlib
import json
import random
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

CALLS = ["write", "pwrite64", "fsync", "fdatasync", "rename", "ftruncate", "mkdir", "unlink"]

parser = argparse.ArgumentParser()
parser.add_argument("sidelong")
parser.add_argument("fixtures", type=Path)
parser.add_argument("--runs", type=int, default=100)
options = parser.parse_args()
dice = random.Random(24)
passed: list[str] = []
failed: list[str] = []


def check(name: str, holds: bool, what: str = "") -> None:
    (passed if holds else failed).append(name)
    if not holds:
        print(f"FAILED {name}: {what}"[:600])


def run(*words: str, inject: str | None = None, trace: str | None = None) -> subprocess.CompletedProcess[str]:
    before = []
    if inject:
        before = ["strace", "-f", "-qq", "-o", "/dev/null", "-e", f"trace={inject.split(':')[0]}", "-e", f"inject={inject}"]
    if trace:
        before = ["strace", "-f", "-qq", "-o", trace, "-e", "trace=" + ",".join(CALLS)]
    return subprocess.run([*before, options.sidelong, *words], capture_output=True, text=True, timeout=60)


work = Path(tempfile.mkdtemp(prefix="faults"))
(work / "photos").mkdir()
shutil.copy(options.fixtures / "photos/arrival-rear-right-door-close.jpg", work / "photos")
opening = (options.fixtures / "demo/1-opening.jsonl").read_text()
entries = (options.fixtures / "demo/3-right.jsonl").read_text().splitlines()
picked = [line for line in entries if "attach_photo" not in line][:4]
picked += [line for line in entries if "door-close.jpg" in line][:1]
inputs = work / "inputs.jsonl"
inputs.write_text(opening + "\n".join(picked) + "\n")
ids = [json.loads(line)["input"] for line in inputs.read_text().splitlines()]


def healthy(store: Path, answered: list[str]) -> str:
    """What is wrong with a store that must hold every answered input; empty when nothing is."""
    looked = run("verify-log", "--store", str(store), "--json")
    if not looked.stdout.startswith("{"):
        # Killed before there was a store at all: then nothing may have been answered.
        return "" if not answered else f"no store, yet {len(answered)} answers: {looked.stderr}"
    if json.loads(looked.stdout)["findings"]:
        return looked.stdout
    # Read from a copy: another program that opens the store itself would keep the next run out of it.
    copy = work / "looked-at"
    shutil.rmtree(copy, ignore_errors=True)
    shutil.copytree(store, copy)
    with contextlib.closing(sqlite3.connect(copy / "sidelong.db")) as db:
        kept = {row[0].hex() for row in db.execute("SELECT input FROM inputs")}
    lost = [it for it in answered if it.replace("-", "") not in kept]
    return f"answered and not on record: {lost}" if lost else ""


def finish(name: str, store: Path, first: subprocess.CompletedProcess[str]) -> None:
    """After a fault: what was answered is there, and the same file again completes it, with nothing twice."""
    lines = [json.loads(line) for line in first.stdout.splitlines() if line.endswith("}")]
    wrong = healthy(store, [line["input"] for line in lines])
    check(name, not wrong, wrong)
    again = run("record", str(inputs), "--store", str(store), "--json")
    done = [json.loads(line) for line in again.stdout.splitlines()]
    # A store that was killed between its seed and its log is complete without further ado.
    check(f"{name}, again", again.returncode == 0 and [it["input"] for it in done] == ids, again.stderr)
    numbers = [number for it in done for number in it["events"]]
    check(f"{name}, nothing twice", sorted(set(numbers)) == list(range(len(ids))), str(numbers))
    wrong = healthy(store, ids)
    check(f"{name}, whole", not wrong, wrong)


# Every call of a recording, counted once.
trace = work / "calls"
run("record", str(inputs), "--store", str(work / "counted"), "--json", trace=str(trace))
counted = {call: sum(f"{call}(" in line for line in trace.read_text().splitlines()) for call in CALLS}
places = [(call, number) for call, count in counted.items() for number in range(1, count + 1)]
print(f"a recording of {len(ids)} inputs makes {len(places)} such calls: {counted}")


def sample(count: int) -> list[tuple[str, int]]:
    return places if count >= len(places) else sorted(dice.sample(places, count))


kills = 0
for call, number in sample(options.runs):
    store = work / f"kill-{call}-{number}"
    killed = run("record", str(inputs), "--store", str(store), "--json", inject=f"{call}:signal=SIGKILL:when={number}")
    kills += killed.returncode != 0
    finish(f"killed at {call} {number}", store, killed)
    shutil.rmtree(store, ignore_errors=True)
print(f"{kills} kills")
check("kills happened", kills > 0.9 * min(options.runs, len(places)), str(kills))

for error in ["EIO", "ENOSPC"]:
    for call, number in sample(max(20, options.runs // 4)):
        store = work / f"{error}-{call}-{number}"
        ended = run("record", str(inputs), "--store", str(store), "--json", inject=f"{call}:error={error}:when={number}")
        clear = ended.returncode == 0 or ended.stderr.startswith(("sidelong: ", "{")) or call == "write"
        check(f"{error} at {call} {number} is told", clear, ended.stderr)
        finish(f"{error} at {call} {number}", store, ended)
        shutil.rmtree(store, ignore_errors=True)

# Changed bytes: a demonstration's first phone holds two logs, photos and texts.
demo = work / "demo"
run("demo", str(demo))
whole = demo / "phone-1"


def changed(name: str, change, named: str) -> None:
    """A changed store must be noticed by the full check, and the finding must name the place."""
    store = work / "changed"
    shutil.rmtree(store, ignore_errors=True)
    shutil.copytree(whole, store)
    change(store)
    looked = run("verify-log", "--store", str(store), "--json")
    check(name, looked.returncode in (1, 3) and named in looked.stdout + looked.stderr, looked.stdout[:300] + looked.stderr[:300])


def flip(table: str, column: str, key: str, row) -> tuple:
    """Flips one bit of one value in a table."""

    def change(store: Path) -> None:
        with contextlib.closing(sqlite3.connect(store / "sidelong.db")) as db:
            value = bytearray(db.execute(f"SELECT {column} FROM {table} WHERE {key} = ?", (row,)).fetchone()[0])
            value[dice.randrange(len(value))] ^= 1 << dice.randrange(8)
            db.execute(f"UPDATE {table} SET {column} = ? WHERE {key} = ?", (bytes(value), row))
            db.commit()

    return change


def sql(text: str):
    def change(store: Path) -> None:
        with contextlib.closing(sqlite3.connect(store / "sidelong.db")) as db:
            db.execute(text)
            db.commit()

    return change


db = sqlite3.connect(whole / "sidelong.db")
logs = dict(db.execute("SELECT id, name FROM logs"))
for (place,) in db.execute("SELECT place FROM leaves").fetchall():
    changed(f"leaf {place}", flip("leaves", "bytes", "place", place), f"{logs[place >> 40]}, event {place & (1 << 40) - 1}")
for (place,) in db.execute("SELECT place FROM hashes").fetchall():
    changed(f"hash {place}", flip("hashes", "hash", "place", place), logs[place >> 40])
for blob, name in db.execute("SELECT id, lower(hex(sha256)) FROM blobs WHERE bytes IS NOT NULL").fetchall():
    changed(f"text {blob}", flip("blobs", "bytes", "id", blob), name)
for log, name in logs.items():
    changed(f"head {log}", flip("logs", "head", "id", log), name)
    changed(f"key {log}", flip("logs", "public", "id", log), name)
first = (1 << 40) + 3
changed("a leaf removed", sql(f"DELETE FROM leaves WHERE place = {first}"), "event 3")
changed("a hash removed", sql(f"DELETE FROM hashes WHERE place = {first}"), logs[1])
changed("a text removed", sql("DELETE FROM blobs WHERE id = (SELECT min(id) FROM blobs)"), "event 0")
changed("a leaf moved to another job", sql(f"UPDATE leaves SET job = zeroblob(16) WHERE place = {first}"), "event 3")
changed("a leaf beyond the head", sql(f"INSERT INTO leaves SELECT place + 1000, job, bytes FROM leaves WHERE place = {first}"), "beyond")
for photo in sorted((whole / "photos").glob("??/*")):
    inside = photo.relative_to(whole)

    def change(store: Path) -> None:
        data = bytearray((store / inside).read_bytes())
        data[dice.randrange(len(data))] ^= 1 << dice.randrange(8)
        (store / inside).write_bytes(data)

    changed(f"photo {photo.name[:8]}", change, photo.name)
    changed(f"photo {photo.name[:8]} removed", lambda store: (store / inside).unlink(), photo.name)
changed("the mirror removed", lambda store: (store / "head.mirror").unlink(), "head.mirror")
changed("the mirror blanked to text", lambda store: (store / "head.mirror").write_bytes(b"x" * 2048), "head.mirror")

# A write-ahead log left by a kill, cut or changed: the mirror knows how many entries were answered.
store = work / "wal"
run("record", str(inputs), "--store", str(store), "--json", inject=f"fdatasync:signal=SIGKILL:when={counted['fdatasync']}")
log = store / "sidelong.db-wal"
if not log.exists() or not log.stat().st_size:
    check("a write-ahead log is left by a kill", False)
else:
    size = log.stat().st_size
    cuts = [dice.randrange(size) for _ in range(25)]
    flips = [dice.randrange(size) for _ in range(50)]
    noticed = 0
    kept = run("verify-log", "--store", str(store), "--json")
    total = json.loads(kept.stdout)["total"]
    for kind, places_in in [("cut", cuts), ("flipped", flips)]:
        for at in places_in:
            copy = work / "wal-copy"
            shutil.rmtree(copy, ignore_errors=True)
            shutil.copytree(store, copy)
            data = bytearray((copy / log.name).read_bytes())
            if kind == "cut":
                del data[at:]
            else:
                data[at] ^= 0xFF
            (copy / log.name).write_bytes(data)
            looked = run("verify-log", "--store", str(copy), "--json")
            clean = looked.returncode == 0
            entries_now = json.loads(looked.stdout)["total"] if clean else 0
            noticed += not clean
            check(f"write-ahead log {kind} at {at}", not clean or entries_now >= total - 1, looked.stdout[:300])
    print(f"{noticed} of {len(cuts) + len(flips)} changed write-ahead logs were noticed; the others lost nothing that was mirrored")

shutil.rmtree(work, ignore_errors=True)
print(f"{len(passed)} passed, {len(failed)} failed")
sys.exit(1 if failed else 0)
