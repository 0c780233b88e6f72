"""Stores that cannot be written, or not as usual: in use, of a newer format, on a read-only or a full disk, with a file
missing. What was recorded stays, and what is wrong is said.

Root is not bound by modes, so read-only and full are made by mounts in a namespace of their own (man 1 unshare)."""

import fcntl
import json
import os
import shutil
import sqlite3
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import command
from command import BINARY, DATABASE, JOB, WAL, Ran, look, record, run, show, timeless, verify
from workshop import Recording, Tally, counted

# Without root, a user namespace gives the right to mount.
NAMESPACE = ["unshare", "--mount", "--propagation", "private", *([] if os.geteuid() == 0 else ["--map-root-user"])]
READ_ONLY = [*NAMESPACE, "sh", "-ec", 'mount --bind "$1" "$1"; mount -o remount,bind,ro "$1"; shift; exec "$@"', "sh"]
TMPFS_KIB = [16, 48, 64, 96, 112, 128, 160, 192, 224, 256, 288, 320, 352, 384, 416, 448, 512, 576, 640, 704, 768, 2048]


def everything(tally: Tally, recording: Recording, scratch: Path) -> None:
    may = subprocess.run([*NAMESPACE, "true"], capture_output=True, text=True)
    tally.check(may.returncode == 0, f"no mount namespace to be had, read-only and full disks not looked at: {may.stderr}")
    in_use(tally, recording, scratch)
    newer(tally, recording, scratch)
    missing(tally, recording, scratch)
    odd_places(tally, recording, scratch)
    if may.returncode == 0:
        read_only(tally, recording, scratch)
        full(tally, recording, scratch)


def files(store: Path) -> dict[str, bytes]:
    """What a store's files hold. An empty write-ahead log holds nothing: SQLite opens one to read, and leaves it."""
    found = {str(path.relative_to(store)): path.read_bytes() for path in store.rglob("*") if path.is_file()}
    return {name: data for name, data in found.items() if data or name != WAL}


def commands(recording: Recording, store: Path, scratch: Path) -> dict[str, list[str | Path]]:
    return {
        "record": ["record", recording.another, "--store", store],
        "verify-log": ["verify-log", "--json", "--store", store],
        "show": ["show", JOB, "--json", "--store", store],
        "jobs": ["jobs", "--json", "--store", store],
        "report": ["report", JOB, "-o", scratch / "page.html", "--store", store],
        "join": ["join", recording.begun, "--store", store],
    }


def in_use(tally: Tally, recording: Recording, scratch: Path) -> None:
    """Held by a program that waits for its input, then by nobody, because that program was killed."""
    store = command.copy(recording.reference, scratch / "held")
    waiting = [BINARY, "record", "-", "--json", "--store", str(store)]
    holder = subprocess.Popen(waiting, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL)
    try:
        for _ in range(3000):
            with open(store / "lock") as lock:
                try:
                    fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
                except BlockingIOError:
                    break
            time.sleep(0.01)
        else:
            raise RuntimeError("the store was never locked")
        for name, words in commands(recording, store, scratch).items():
            ran = run(*words)
            told = ran.code == 3 and "another program has this store open" in ran.err
            tally.check(told, f"in use: {name}: {ran}")
        ran = run("join", store, "--store", command.copy(recording.begun, scratch / "joining"))
        tally.check(not ran.crashed and "another program has this store open" in ran.err + ran.out, f"in use: join: {ran}")
    finally:
        holder.kill()
        holder.wait()
    ran = record(recording.another, store)
    tally.check(ran.code == 0 and command.clean(store), f"after the holder was killed: {ran}")
    print("a store in use by another program, which is then killed", flush=True)


def newer(tally: Tally, recording: Recording, scratch: Path) -> None:
    store = command.copy(recording.reference, scratch / "newer")
    connection = sqlite3.connect(store / DATABASE)
    connection.execute("PRAGMA user_version = 99")
    connection.close()
    before = files(store)
    for name, words in commands(recording, store, scratch).items():
        ran = run(*words)
        told = ran.code == 3 and "format 99" in ran.err and "update" in ran.err
        tally.check(told, f"newer: {name}: {ran}")
        tally.check(files(store) == before, f"newer: {name} changed {set(files(store)) ^ set(before)}")
    print("a store of a newer format", flush=True)


def missing(tally: Tally, recording: Recording, scratch: Path) -> None:
    """The seed: read on, not continued, no other seed made. The mirror: told by reading, made anew by writing. A
    photo: told, and its place on the page says so. The lock: made anew."""
    other = scratch / "other"
    record(recording.another, other)
    for what, seed in (("gone", None), ("cut", b"12345"), ("empty", b""), ("another's", (other / "seed.key").read_bytes())):
        store = command.copy(recording.reference, scratch / "seedless")
        (store / "seed.key").unlink()
        if seed is not None:
            (store / "seed.key").write_bytes(seed)
        before = files(store)
        ran = record(recording.another, store)
        told = ran.code == 3 and "the log can be read but not continued" in ran.err
        tally.check(told, f"a seed that is {what}: {ran}")
        tally.check(files(store) == before, f"a seed that is {what}: changed {set(files(store)) ^ set(before)}")
        tally.check(timeless(show(store).out) == recording.shown and command.clean(store), f"a seed that is {what}: not read")

    store = command.copy(recording.reference, scratch / "mirrorless")
    (store / "head.mirror").unlink()
    done, check = verify(store)
    tally.check(done.code == 1 and {"place": "head.mirror", "found": "the file is missing"} in check["findings"], f"{done}")
    tally.check(not (store / "head.mirror").exists(), "reading made a mirror")
    ran = record(recording.another, store)
    facts = look(store)
    tally.check(ran.code == 0 and facts.entries == recording.entries + 1 and not facts.wrong, f"no mirror: {ran} {facts}")
    tally.check(command.clean(store) and len(command.mirrored(store)) > 0, "no mirror: not made anew")

    photos = sorted(path.relative_to(recording.reference) for path in (recording.reference / "photos").glob("??/*"))
    tally.check(len(photos) == len(recording.shelves), f"photos kept: {photos}")
    for photo in photos:
        for what in ("missing", "changed"):
            store = command.copy(recording.reference, scratch / "photoless")
            data = (store / photo).read_bytes()
            (store / photo).unlink()
            if what == "changed":
                (store / photo).write_bytes(data[:-100] + bytes(100))
            done, check = verify(store)
            tally.check(f"blob {photo.name}" in [it["place"] for it in check["findings"]], f"a photo {what}: {done}")
            page = scratch / "page.html"
            ran = run("report", JOB, "-o", page, "--store", store)
            absent = page.read_text().count("Photo on record, not shown")
            tally.check(ran.code == 0 and absent == 1, f"a photo {what}: {absent} places on the page say so: {ran}")
            ran = record(recording.another, store)
            tally.check(ran.code == 0, f"a photo {what}: nothing else can be recorded: {ran}")

    store = command.copy(recording.reference, scratch / "lockless")
    (store / "lock").unlink()
    tally.check(command.clean(store) and record(recording.another, store).code == 0, "no lock: not made anew")
    print("a seed, a mirror, a photo, a lock missing or changed", flush=True)


def odd_places(tally: Tally, recording: Recording, scratch: Path) -> None:
    """Something else where a store, or a part of one, should be."""
    file = scratch / "a-file"
    file.write_text("not a folder\n")
    for name, words in commands(recording, file, scratch).items():
        ran = run(*words)
        tally.check(ran.code == 3 and "sidelong: " in ran.err and "internal" not in ran.err, f"a file: {name}: {ran}")
    tally.check(file.read_text() == "not a folder\n", "a file was changed")
    for name, words in commands(recording, scratch / "nothing-here", scratch).items():
        if name not in ("record", "join"):
            ran = run(*words)
            tally.check(ran.code == 3 and "not here: a store in" in ran.err, f"no store: {name}: {ran}")
    tally.check(not (scratch / "nothing-here").exists(), "reading made a folder")
    for part in ("photos", DATABASE, "head.mirror", "lock", "seed.key"):
        for before in ("a folder", "a file") if part == "photos" else ("a folder",):
            store = command.copy(recording.begun, scratch / "odd")
            if (store / part).is_dir():
                shutil.rmtree(store / part)
            (store / part).unlink(missing_ok=True)
            (store / part).mkdir() if before == "a folder" else (store / part).write_text("?")
            ran = record(recording.whole, store)
            expected = (0,) if (part, before) == ("photos", "a folder") else (3,)
            tally.check(ran.code in expected and "internal" not in ran.err, f"{before} for {part}: {ran}")
            tally.check(not verify(store)[0].crashed, f"{before} for {part}: check: {ran}")
    print("a file for a folder, a folder for a file", flush=True)


def read_only(tally: Tally, recording: Recording, scratch: Path) -> None:
    store = command.copy(recording.reference, scratch / "read-only")
    unclean = command.copy(recording.left, scratch / "unclean")
    empty = scratch / "empty-folder"
    empty.mkdir()
    before = files(store)
    for name, words in commands(recording, store, scratch).items():
        ran = run(*words, under=[*READ_ONLY, store])
        if name in ("record", "join"):
            told = ran.code == 3 and "cannot be written" in ran.err and "Read-only file system" in ran.err
            tally.check(told, f"read-only: {name}: {ran}")
        else:
            tally.check(ran == run(*words) and ran.code == 0, f"read-only: {name}: {ran}")
    tally.check(files(store) == before, "read-only: changed")
    for name, words in commands(recording, unclean, scratch).items():
        ran = run(*words, under=[*READ_ONLY, unclean])
        says = "not closed in order" if name not in ("record", "join") else "cannot be written"
        tally.check(ran.code == 3 and says in ran.err, f"read-only, not closed: {name}: {ran}")
    moved = command.copy(unclean, scratch / "unclean-copy")
    tally.check(command.clean(moved), "the copy that it advises cannot be read")
    ran = record(recording.whole, empty / "store", [*READ_ONLY, empty])
    tally.check(ran.code == 3 and "cannot be written" in ran.err, f"read-only, new: {ran}")
    print("a read-only disk", flush=True)


def full(tally: Tally, recording: Recording, scratch: Path) -> None:
    ends: list[str] = []

    def one(case: tuple[int, str]) -> None:
        kib, name = case
        what = f"{name} on a disk of {kib} KiB"
        disk, base = scratch / f"disk-{kib}-{name.replace(' ', '-')}", recording.stores()[name]
        disk.mkdir()
        inside = [*NAMESPACE, sys.executable, __file__, disk, base, recording.whole, str(kib)]
        done = subprocess.run([str(it) for it in inside], capture_output=True, text=True, timeout=120)
        if done.returncode:
            raise RuntimeError(f"{what}: {done.stderr}")
        said = json.loads(done.stdout)
        first, check, again, shown, whole = (Ran(*said[it]) for it in ("first", "check", "again", "shown", "whole"))
        answered = [it["input"] for it in first.answers]
        clear = first.code == 3 and "the disk is full" in first.err
        tally.check(clear or (first.code == 0 and answered == recording.inputs), f"{what}: {first}")
        unbegun = not answered and not said["inputs"] and ("not here: a store" in check.err or "disk is full" in check.err)
        found = json.loads(check.out)["findings"] if check.out else None
        tally.check(found == [] or unbegun, f"{what}: check: {check}")
        tally.check(set(answered) <= set(said["inputs"]) and not said["wrong"], f"{what}: lost: {said['wrong']}")
        tally.check(again.code == 0 and [it["input"] for it in again.answers] == recording.inputs, f"{what}: {again}")
        tally.check(all(it["again"] for it in again.answers if it["input"] in answered), f"{what}: recorded twice")
        tally.check(timeless(shown.out) == recording.shown, f"{what}: shown otherwise")
        tally.check(whole.code == 0 and said["entries"] == recording.entries, f"{what}: {whole} {said['entries']}")
        ends.append(f"full after {len(answered)} answers" if first.code else "room enough")

    tally.each(one, [(kib, name) for name in recording.stores() for kib in TMPFS_KIB])
    tally.check(len(set(ends)) > 3 and "room enough" in ends, f"the disk was full at too few places: {set(ends)}")
    print(f"a full disk: {len(ends)} sizes: {counted(ends)}; completed after space was made", flush=True)


def on_a_small_disk(disk: Path, base: Path, whole: Path, kib: int) -> dict[str, Any]:
    """Inside a mount namespace: records on a small disk, looks, makes room, records again."""
    subprocess.run(["mount", "-t", "tmpfs", "-o", "size=64m", "none", disk], check=True)
    store = disk / "store"
    if base.exists():
        shutil.copytree(base, store)
    used = sum(-(-path.stat().st_size // 4096) * 4 for path in store.rglob("*") if path.is_file()) + 4
    subprocess.run(["mount", "-o", f"remount,size={used + kib}k", disk], check=True)
    first = record(whole, store)
    check, facts = verify(store)[0], look(store)
    subprocess.run(["mount", "-o", "remount,size=64m", disk], check=True)
    again = record(whole, store)
    shown, done, after = show(store), verify(store)[0], look(store)
    told = {"first": first, "check": check, "again": again, "shown": shown, "whole": done}
    return {
        **{name: [ran.code, ran.out, ran.err] for name, ran in told.items()},
        "inputs": sorted(facts.inputs),
        "wrong": facts.wrong + after.wrong,
        "entries": after.entries,
    }


if __name__ == "__main__":
    print(json.dumps(on_a_small_disk(Path(sys.argv[1]), Path(sys.argv[2]), Path(sys.argv[3]), int(sys.argv[4]))))
