"""A write-ahead log that a kill left behind, then cut or changed. SQLite takes it up to the first frame whose checksum
does not fit (sqlite.org/fileformat2.html, section 4.2) and does not say so: the mirror must."""

import random
import shutil
import sqlite3
from pathlib import Path

import command
from command import DATABASE, WAL, injected, look, occurrences, record, run, show, traced, verify
from tamper import file_flip
from workshop import Recording, Tally, sample


def everything(tally: Tally, recording: Recording, scratch: Path, more: int, dice: random.Random) -> None:
    for name in ("a new store", "a store with entries"):
        cut_or_flipped(tally, recording, left_behind(recording, name, scratch), scratch, more, dice, name)
    rolled_back(tally, recording, scratch)
    not_built_on(tally, recording, scratch, dice)


def left_behind(recording: Recording, name: str, scratch: Path) -> Path:
    """A store killed as it says its last answer: everything is saved, and most of it is in the write-ahead log."""
    calls = occurrences(traced(recording.whole, recording.at(name, scratch / "counted"), scratch / "trace"))
    last = max(number for call, number in calls if call == "write")
    store = recording.at(name, scratch / f"left-{name.replace(' ', '-')}")
    killed = record(recording.whole, store, injected("write", last, "signal=SIGKILL"))
    facts = look(store)
    if killed.code != -9 or facts.wrong or facts.entries != recording.entries:
        raise RuntimeError(f"{name}: no write-ahead log to change: {killed} {facts}")
    return store


def cut_or_flipped(
    tally: Tally, recording: Recording, left: Path, scratch: Path, more: int, dice: random.Random, name: str
) -> None:
    data = (left / WAL).read_bytes()
    # Behind the last frame lie zeros that are written ahead; a few of them are changed too.
    end = len(data.rstrip(b"\0"))
    places = sample(list(range(end)), 120 * more, dice) + sample(list(range(end, len(data))), 4, dice)
    # A commit ends with a frame that says so; the ends of frames are where a cut looks most like no cut.
    frames = sample(list(range(32, len(data), 24 + 4096)), 40 * more, dice)
    cases = [("left alone", 0)] + [("flipped", at) for at in places] + [("cut", at) for at in sorted({0, 31, *frames, *places[::3]})]
    told: list[int] = []
    whole: list[int] = []

    def one(case: tuple[str, int]) -> None:
        kind, at = case
        what = f"{name}: write-ahead log {kind} at {at} of {len(data)}"
        store = command.copy(left, scratch / f"wal-{name.replace(' ', '-')}-{kind}-{at}")
        if kind == "cut":
            (store / WAL).write_bytes(data[:at])
        elif kind == "flipped":
            file_flip(WAL, at)(store)
        before = {it: (store / it).read_bytes() for it in (DATABASE, WAL, "head.mirror")}
        done, check = verify(store)
        shown = show(store)
        tally.check(not done.crashed and not shown.crashed, f"{what}: crashed: {done} {shown}")
        tally.check(all((store / it).read_bytes() == kept for it, kept in before.items()), f"{what}: reading changed it")
        written = record(recording.whole, store)
        tally.check(not written.crashed, f"{what}: crashed: {written}")
        tally.check(kind != "left alone" or done.code == 0, f"{what}: {done}")
        if done.code == 0:
            whole.append(at)
            tally.check(check["total"] == recording.entries, f"{what}: {check['total']} events, and nothing is said")
            tally.check(command.timeless(shown.out) == recording.shown, f"{what}: shown otherwise")
            tally.check(written.code == 0 and all(it["again"] for it in written.answers), f"{what}: {written}")
        else:
            told.append(at)
            places = [it["place"] for it in check["findings"]] if check else []
            said = "head.mirror" in places or DATABASE in places or "damage in" in done.err
            tally.check(said and "internal" not in done.err, f"{what}: not told clearly: {places} {done}")
            tally.check(written.code == 3 and "damage in" in written.err, f"{what}: built on: {written}")
            tally.check(all((store / it).read_bytes() == kept for it, kept in before.items()), f"{what}: changed")
        shutil.rmtree(store)

    count = tally.each(one, cases)
    tally.check(bool(told and whole), f"{name}: {len(told)} told, {len(whole)} whole: one of the two was not looked at")
    print(f"write-ahead log of {name}, flipped or cut: {count}; {len(told)} told as damage, {len(whole)} lost nothing", flush=True)


def look_if_readable(store: Path) -> list[str]:
    try:
        return look(store).wrong
    except (sqlite3.Error, ValueError) as why:
        return [str(why)]


def rolled_back(tally: Tally, recording: Recording, scratch: Path) -> None:
    """A database set back to an earlier day, or gone, beside a mirror of today."""
    for what in ("set back", "removed", "empty", "text"):
        store = command.copy(recording.begun, scratch / "rolled")
        record(recording.whole, store)
        if what == "set back":
            shutil.copy(recording.begun / DATABASE, store / DATABASE)
        elif what == "removed":
            (store / DATABASE).unlink()
        else:
            (store / DATABASE).write_bytes(b"" if what == "empty" else b"this is no database\n" * 400)
        before = (store / DATABASE).read_bytes() if (store / DATABASE).exists() else None
        done, check = verify(store)
        told = done.code == 1 if what == "set back" else done.code == 3 and "damage in sidelong.db" in done.err
        tally.check(told, f"a database {what}: {done}")
        if check:
            tally.check("head.mirror" in [it["place"] for it in check["findings"]], f"a database {what}: {check}")
        for words in (["show", command.JOB, "--json"], ["jobs", "--json"], ["report", command.JOB, "-o", scratch / "page"]):
            ran = run(*words, "--store", store)
            tally.check("damage in" in ran.err and not ran.crashed, f"a database {what}, {words[0]}: {ran}")
        written = record(recording.whole, store)
        tally.check(written.code == 3 and "damage in" in written.err, f"a database {what}, record: {written}")
        after = (store / DATABASE).read_bytes() if (store / DATABASE).exists() else None
        tally.check(before == after, f"a database {what} was changed")
        shutil.rmtree(store)
    print("a database set back, removed, emptied, or replaced by text, beside its mirror", flush=True)


def not_built_on(tally: Tally, recording: Recording, scratch: Path, dice: random.Random) -> None:
    """Where opening finds damage, nothing is added on top of it."""

    refused: list[int] = []

    def one(number: int) -> None:
        what = f"byte {number} of the database file"
        store = command.copy(recording.reference, scratch / f"built-{number}")
        file_flip(DATABASE, number)(store)
        before = (store / DATABASE).read_bytes()
        already = look_if_readable(store)
        written = record(recording.another, store)
        tally.check(not written.crashed, f"{what}: crashed: {written}")
        if written.code:
            refused.append(number)
            tally.check(before == (store / DATABASE).read_bytes(), f"{what}: refused, and changed")
        else:
            # Photos and texts are the full check's; damage in them stays told, and stops no entry.
            facts = look(store)
            tally.check(facts.entries == recording.entries + 1 and facts.wrong == already, f"{what}: {facts.wrong}")
            tally.check(not (already and command.clean(store)), f"{what}: {already}, and the full check is clean")
        shutil.rmtree(store)

    size = (recording.reference / DATABASE).stat().st_size
    count = tally.each(one, sample(list(range(size)), 100, dice))
    tally.check(0 < len(refused) < count, f"{len(refused)} of {count} refused: one of the two was not looked at")
    print(f"recorded after a flipped byte of the database file: {count}; {len(refused)} refused, nothing lost", flush=True)
