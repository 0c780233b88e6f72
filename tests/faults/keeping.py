"""Archiving, releasing, taking back and joining, killed at every call, refused by one, with a card that is full, read-only or
cannot be read: every original is whole in the store or on the card at any time, the full check finds nothing, and the same
command again completes it. And the export's own check, as its README.txt gives it."""

import hashlib
import json
import os
import random
import re
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import command
from command import CALLS, DATABASE, JOB, WAL, Ran, injected, occurrences, read_trace, record, run, show, timeless, verify
from disks import NAMESPACE, READ_ONLY
from workshop import Recording, Tally, counted, sample


def everything(tally: Tally, recording: Recording, scratch: Path, runs: int | None, dice: random.Random) -> None:
    for work in works(recording, scratch):
        broken(tally, work, scratch, runs, dice)
    erased(tally, recording, scratch, runs, dice)
    unreadable(tally, recording, scratch)
    cards(tally, recording, scratch)
    exported(tally, recording, scratch)


def whole(folder: Path) -> set[str]:
    """The photos in a folder, store or archive, that are what their names say."""
    paths = folder.glob("photos/??/*")
    return {path.name for path in paths if hashlib.sha256(path.read_bytes()).hexdigest() == path.name}


@dataclass
class Work:
    """A command that is broken off, and what it starts from and ends with."""

    name: str
    base: Path  # holds `store`, and `card` or `other`
    words: list[str]  # after the program's name; {} stands for the folder
    ended: Callable[[Path], Any]  # what is the same each time it was completed

    def run(self, folder: Path, under: list[Any] | None = None) -> Ran:
        return run(*[word.format(folder) for word in self.words], under=under or [])

    def at(self, folder: Path) -> Path:
        return command.copy(self.base, folder)


def works(recording: Recording, scratch: Path) -> list[Work]:
    def made(name: str, *steps: list[str]) -> Path:
        folder = scratch / name
        folder.mkdir()
        shutil.copytree(recording.reference, folder / "store")
        for words in steps:
            done = run(*[word.format(folder) for word in words])
            if done.code:
                raise RuntimeError(f"{name} could not be made: {done}")
        return folder

    archive = ["archive", "{}/card", "--store", "{}/store", "--json"]
    release = [*archive, "--release"]
    back = ["bring-back", "{}/card", "--store", "{}/store", "--json"]
    joining = scratch / "to-join"
    record(recording.another, joining / "store")
    shutil.copytree(recording.reference, joining / "other")

    def kept(folder: Path) -> Any:
        return sorted(whole(folder / "store")), sorted(whole(folder / "card"))

    def joined(folder: Path) -> Any:
        listed, shown = run("jobs", "--json", "--store", folder / "store"), show(folder / "store")
        found = run("jobs", "--json", "--search", "YY26", "--store", folder / "store")
        return [timeless(it.out) for it in (listed, shown, found)], sorted(whole(folder / "store"))

    return [
        Work("archiving and releasing", made("to-archive"), release, kept),
        Work("releasing", made("to-release", archive), release, kept),
        Work("taking back", made("to-bring-back", release), back, kept),
        Work("joining", joining, ["join", "{}/other", "--store", "{}/store", "--json"], joined),
    ]


def broken(tally: Tally, work: Work, scratch: Path, runs: int | None, dice: random.Random) -> None:
    """Killed at a call, or refused by one, of those that change something."""
    reference = work.at(scratch / "completed")
    trace = scratch / "trace"
    words = ["strace", "-f", "-s", "200", "-o", trace, "-e", "trace=" + ",".join(CALLS)]
    done = work.run(reference, words)
    if done.code:
        raise RuntimeError(f"{work.name} fails when left alone: {done}")
    expected, photos = work.ended(reference), whole(reference / "store") | whole(reference / "card")
    expected_found = found_at(reference)
    tally.check(len(photos) == len(set(recording_photos(work.base))), f"{work.name}: photos are missing when left alone")
    places = sample(occurrences(read_trace(trace)), runs or sys.maxsize, dice)
    violations: list[str] = []
    ends: list[str] = []

    def one(place: tuple[str, str, int]) -> None:
        way, call, number = place
        what = f"{work.name}, {way} at {call} {number}"
        folder = work.at(scratch / "-".join([work.name.replace(" ", "-"), *map(str, place)]))
        ended = work.run(folder, injected(call, number, way))
        ends.append(f"{ended.code}")
        told = ended.code in (0, 1) or (ended.code == 3 and ended.err.startswith("sidelong: ") and "internal" not in ended.err)
        held = tally.check(ended.code == -9 if "KILL" in way else told, f"{what}: {ended}")
        held &= good(tally, what, folder, photos)
        again = work.run(folder)
        held &= tally.check(again.code == 0, f"{what}: again: {again}")
        held &= good(tally, f"{what}, completed", folder, photos)
        after = work.ended(folder)
        held &= tally.check(after == expected, f"{what}, completed: is not as if nothing had happened: {after}")
        held &= tally.check(found_at(folder) == expected_found, f"{what}, completed: {found_at(folder)}")
        if not held:
            violations.append(what)
        shutil.rmtree(folder)

    ways = ("signal=SIGKILL", "error=EIO", "error=ENOSPC")
    count = tally.each(one, [(way, *place) for way in ways for place in places])
    print(f"{work.name}: broken off {count} times ({counted(ends)}), {len(violations)} violations", flush=True)
    shutil.rmtree(reference)


def erased(tally: Tally, recording: Recording, scratch: Path, runs: int | None, dice: random.Random) -> None:
    """An erasure that is killed at a call, or refused by one, happened or did not: once the notebook was opened again, the
    plate either is shown, or no file of the store holds its bytes."""
    base, plate = scratch / "to-erase", b"YY26 SAL"
    base.mkdir()
    shutil.copytree(recording.reference, base / "store")
    words = ["erase", "YY26", "--kind", "texts", "--reason", "asked for", "--store"]

    def holds(folder: Path) -> list[str]:
        return [path.name for path in folder.rglob("*") if path.is_file() and plate in path.read_bytes()]

    reference = command.copy(base, scratch / "erased")
    trace = scratch / "trace"
    tally.check(holds(reference) != [], "to erase: the plate is nowhere to begin with")
    under = ["strace", "-f", "-s", "200", "-o", trace, "-e", "trace=" + ",".join(CALLS)]
    done = run(*words, reference / "store", under=under)
    tally.check(done.code == 0 and holds(reference) == [], f"erased: {done}: {holds(reference)}")
    shutil.rmtree(reference)
    places = sample(occurrences(read_trace(trace)), runs or sys.maxsize, dice)
    ends: list[str] = []

    def one(place: tuple[str, str, int]) -> None:
        way, call, number = place
        what = f"erasing, {way} at {call} {number}"
        folder = command.copy(base, scratch / "-".join(["erasing", *map(str, place)]))
        run(*words, folder / "store", under=injected(call, number, way))
        opened = run("recorder", "--store", folder / "store")
        tally.check(opened.code == 0, f"{what}: does not open again: {opened}")
        shown = plate.decode() in show(folder / "store").out
        ends.append("as before" if shown else "erased")
        tally.check(shown or holds(folder) == [], f"{what}: still in {holds(folder)}")
        tally.check(command.clean(folder / "store"), f"{what}: not clean")
        shutil.rmtree(folder)

    ways = ("signal=SIGKILL", "error=EIO", "error=ENOSPC")
    count = tally.each(one, [(way, *place) for way in ways for place in places])
    print(f"erasing: broken off {count} times ({counted(ends)})", flush=True)
    shutil.rmtree(base)


def recording_photos(folder: Path) -> list[str]:
    return [path.name for path in folder.glob("*/photos/??/*")]


def good(tally: Tally, what: str, folder: Path, photos: set[str]) -> bool:
    """The full check finds nothing, and every photo is whole somewhere."""
    done, check = verify(folder / "store")
    there = whole(folder / "store") | whole(folder / "card") | whole(folder / "other")
    return tally.check(
        not done.crashed and done.code == 0 and not check["findings"], f"{what}: check: {done}"
    ) & tally.check(there == photos, f"{what}: lost: {photos - there}")


def found_at(folder: Path) -> tuple[set[tuple[str, str]], list[str]]:
    """States of blobs as the database has them, and what the full check notes."""
    with tempfile.TemporaryDirectory() as scratch:
        for name in (DATABASE, WAL):
            if (folder / "store" / name).exists():
                shutil.copy(folder / "store" / name, Path(scratch) / name)
        connection = sqlite3.connect(Path(scratch) / DATABASE)
        try:
            states = set(connection.execute("SELECT lower(hex(sha256)), state FROM blobs WHERE file").fetchall())
        finally:
            connection.close()
    _, check = verify(folder / "store")
    return states, [it["place"] for it in check["notes"]]


def unreadable(tally: Tally, recording: Recording, scratch: Path) -> None:
    """A card that was pulled, or whose copy cannot be read: the original stays."""
    folder = scratch / "pulled"
    folder.mkdir()
    shutil.copytree(recording.reference, folder / "store")
    archive = ["archive", folder / "card", "--store", folder / "store"]
    tally.check(run(*archive).code == 0, "pulled: not archived")
    photos = whole(folder / "store")
    for photo in sorted(photos):
        copy = folder / "card/photos" / photo[:2] / photo
        for call in ("openat", "read"):
            under = ["strace", "-f", "-qq", "-o", "/dev/null", "-P", copy, "-e", f"trace={call}", "-e", f"inject={call}:error=EIO"]
            ran = run(*archive, "--release", under=under)
            told = ran.code == 3 and str(copy) in ran.err and "Input/output error" in ran.err
            tally.check(told, f"pulled: {call}: {ran}")
            tally.check(whole(folder / "store") == photos, f"pulled: {call}: an original is gone")
            tally.check(command.clean(folder / "store"), f"pulled: {call}: not clean")
    shutil.move(folder / "card", folder / "in-a-pocket")
    ran = run("bring-back", folder / "card", "--store", folder / "store")
    tally.check(ran.code == 3 and "not here: a folder" in ran.err, f"pulled: {ran}")
    (folder / "card").mkdir()
    done = run("archive", folder / "card/not/in", "--store", folder / "store")
    tally.check(done.code == 3 and "No such file" in done.err, f"pulled: a place below nothing: {done}")
    print("a card that was pulled or cannot be read", flush=True)


def cards(tally: Tally, recording: Recording, scratch: Path) -> None:
    """Small and read-only cards, by mounts in a namespace of their own (man 1 unshare)."""
    base = scratch / "for-cards"
    base.mkdir()
    shutil.copytree(recording.reference, base / "store")
    photos = whole(base / "store")
    sizes = sorted(-(-path.stat().st_size // 4096) * 4 for path in (base / "store/photos").glob("??/*"))
    ends: list[str] = []

    def one(kib: int) -> None:
        folder = command.copy(base, scratch / f"card-of-{kib}")
        (folder / "card").mkdir()
        inside = [*NAMESPACE, sys.executable, __file__, folder, str(kib)]
        done = subprocess.run([str(it) for it in inside], capture_output=True, text=True, timeout=120)
        if done.returncode:
            raise RuntimeError(f"a card of {kib} KiB: {done.stderr}")
        said = json.loads(done.stdout)
        what = f"a card of {kib} KiB"
        first, released, check, export, again, last = (
            Ran(*said[it]) for it in ("first", "released", "check", "export", "again", "last")
        )
        clear = first.code == 3 and "card: cannot be written (it is full)" in first.err
        tally.check(clear or first.code == 0, f"{what}: {first}")
        tally.check(set(said["first_here"]) == photos, f"{what}: an original went")
        tally.check(set(said["there"]) == set(said["named"]), f"{what}: a copy that is not whole has its name")
        tally.check(check.code == 0, f"{what}: {check}")
        tally.check(set(said["here"]) | set(said["there"]) == photos, f"{what}: lost")
        clear = export.code == 3 and "out: cannot be written (it is full" in export.err
        tally.check(clear or export.code == 0, f"{what}: export: {export}")
        tally.check(released.code in (0, 3), f"{what}: release: {released}")
        tally.check(again.code == 0 and last.code == 0, f"{what}: with more room: {again} {last}")
        tally.check(set(said["last_there"]) == photos and not said["last_here"], f"{what}: not completed")
        ends.append(f"full after {len(said['there'])} of {len(photos)}" if first.code else "room enough")

    # Around each number of photos that fit, and around the list.
    tops = [sum(sizes[:count]) for count in range(len(sizes) + 1)]
    tally.each(one, sorted({max(4, top + more) for top in tops for more in (-8, 4, 8, 12, 16, 24, 32)} | {8192}))
    tally.check(len(set(ends)) > 2 and "room enough" in ends, f"cards were full at too few places: {set(ends)}")
    print(f"a full card: {counted(ends)}; completed after room was made", flush=True)

    folder = command.copy(base, scratch / "read-only-card")
    (folder / "card").mkdir()
    archive = ["archive", folder / "card", "--store", folder / "store"]
    ran = run(*archive, under=[*READ_ONLY, folder / "card"])
    tally.check(ran.code == 3 and "cannot be written" in ran.err and "Read-only" in ran.err, f"a read-only card: {ran}")
    ran = run("export", folder / "card", "--store", folder / "store", under=[*READ_ONLY, folder / "card"])
    tally.check(ran.code == 3 and "cannot be written" in ran.err, f"a read-only card: export: {ran}")
    tally.check(whole(folder / "store") == photos and command.clean(folder / "store"), "a read-only card: changed")
    run(*archive, "--release")
    ran = run("bring-back", folder / "card", "--store", folder / "store", under=[*READ_ONLY, folder / "card"])
    tally.check(ran.code == 0 and whole(folder / "store") == photos, f"taken back from a read-only card: {ran}")
    print("a read-only card", flush=True)


def on_a_small_card(folder: Path, kib: int) -> dict[str, Any]:
    """Inside a mount namespace: archives to a small card, releases what is there, exports, makes room, completes."""
    card, store = folder / "card", folder / "store"
    subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={kib}k", "none", card], check=True)
    first = run("archive", card, "--store", store)
    first_here = sorted(whole(store))
    released = run("archive", card, "--release", "--store", store)
    check, here, there = verify(store)[0], sorted(whole(store)), sorted(whole(card))
    named = sorted(path.name for path in card.glob("photos/??/*"))
    (folder / "stick").mkdir()
    subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={kib}k", "none", folder / "stick"], check=True)
    export = run("export", folder / "stick/out", "--store", store)
    subprocess.run(["mount", "-o", "remount,size=64m", card], check=True)
    again = run("archive", card, "--release", "--store", store)
    last = verify(store)[0]
    ran = {"first": first, "released": released, "check": check, "export": export, "again": again, "last": last}
    return {
        **{name: [it.code, it.out, it.err] for name, it in ran.items()},
        "first_here": first_here,
        "here": here,
        "there": there,
        "named": named,
        "last_here": sorted(whole(store)),
        "last_there": sorted(whole(card)),
    }


def exported(tally: Tally, recording: Recording, scratch: Path) -> None:
    """The check that README.txt holds, run as it says: it passes, and it sees a changed event and a changed photo."""
    out = scratch / "out"
    ran = run("export", out, "--store", recording.reference)
    tally.check(ran.code == 0, f"export: {ran}")
    readme = (out / "README.txt").read_text()
    lines = [line[4:] for line in readme.splitlines() if line.startswith("    ")]
    begins = next(number for number, line in enumerate(lines) if line.startswith("import "))
    text = readme.splitlines()
    first = next(number for number, line in enumerate(text) if line == "    " + lines[begins])
    code = []
    for line in text[first:]:
        if line and not line.startswith("    "):
            break
        code.append(line[4:])
    (out / "check.py").write_text("\n".join(code) + "\n")

    def said() -> str:
        done = subprocess.run([sys.executable, "check.py"], cwd=out, capture_output=True, text=True, timeout=60)
        return done.stdout + done.stderr

    tally.check(said().endswith("nothing is wrong\n") and "whole " in said(), f"README's check: {said()}")
    events = next(out.glob("logs/*/events.jsonl"))
    before = events.read_bytes()
    events.write_bytes(before.replace(b'"v":1', b'"v":2', 1))
    tally.check("NOT WHOLE" in said() and said().endswith("1 wrong\n"), f"a changed event: {said()}")
    events.write_bytes(before)
    photo = next(out.glob("photos/*/*"))
    photo.write_bytes(photo.read_bytes()[:-1])
    tally.check("NOT WHAT WAS RECORDED" in said(), f"a changed photo: {said()}")
    print("an export, looked through as its README.txt says", flush=True)


if __name__ == "__main__":
    print(json.dumps(on_a_small_card(Path(sys.argv[1]), int(sys.argv[2]))))
