"""Changed bytes: what was recorded is not changed without the full check naming the place.

Which event a tree hash belongs to: hashes lie in the order in which leaves complete them, so that leaf n begins at
n + n/2 + n/4 + … (golang.org/x/mod/sumdb/tlog, StoredHashIndex)."""

import json
import queue
import random
import shutil
import sqlite3
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Callable, Iterator

import command
from command import DATABASE, WAL, run, show, verify
from workshop import Tally, counted, sample

Change = Callable[[Path], None]
CLEAN = "clean, and shown the same"


def first_hash(leaf: int) -> int:
    place = 0
    while leaf:
        place, leaf = place + leaf, leaf // 2
    return place


class Store:
    """The first phone of the demonstration: two logs, photos and texts, closed in order. Copies of it are changed."""

    def __init__(self, scratch: Path) -> None:
        done = run("demo", scratch / "demo", "--json")
        if done.code:
            raise RuntimeError(f"no demonstration: {done}")
        self.path = scratch / "demo/phone-1"
        self.bytes = {it: (self.path / it).read_bytes() for it in (DATABASE, "head.mirror")}
        self.shown, self.listed = show(self.path).out, run("jobs", "--json", "--store", self.path).out
        connection = sqlite3.connect(f"file:{self.path / DATABASE}?immutable=1", uri=True)
        self.leaves = connection.execute("SELECT place, bytes FROM leaves").fetchall()
        self.hashes = connection.execute("SELECT place, hash FROM hashes").fetchall()
        self.blobs = connection.execute("SELECT id, lower(hex(sha256)), bytes FROM blobs").fetchall()
        self.logs = connection.execute("SELECT id, name, public, head, size, own FROM logs").fetchall()
        self.cosigned = connection.execute("SELECT log, witness, size, note FROM witnessed").fetchall()
        connection.close()
        self.names = {row[0]: row[1] for row in self.logs}
        self.copies: queue.Queue[Path] = queue.Queue()
        for number in (1, 2):
            self.copies.put(command.copy(self.path, scratch / f"changed-{number}"))

    @contextmanager
    def changed(self, change: Change, photo: str | None = None) -> Iterator[Path]:
        copy = self.copies.get()
        try:
            change(copy)
            yield copy
        finally:
            (copy / WAL).unlink(missing_ok=True)
            for name, data in self.bytes.items():
                (copy / name).write_bytes(data)
            if photo:
                shutil.copy(self.path / photo, copy / photo)
            self.copies.put(copy)

    def event(self, place: int) -> str:
        return f"{self.names[place >> 40]}, event {place & (1 << 40) - 1}"

    def completed_by(self, place: int) -> str:
        """The event whose leaf completed the hash at this place."""
        at, leaf = place & (1 << 40) - 1, 0
        while first_hash(leaf + 1) <= at:
            leaf += 1
        return self.event((place >> 40 << 40) + leaf)


def sql(text: str, *values: Any) -> Change:
    def change(store: Path) -> None:
        connection = sqlite3.connect(store / DATABASE)
        connection.execute("PRAGMA synchronous = OFF")
        done = connection.execute(text, values).rowcount
        connection.commit()
        connection.close()
        if done < 1:
            raise RuntimeError(f"changed nothing: {text}")

    return change


def several(*changes: Change) -> Change:
    def all_of_them(store: Path) -> None:
        for change in changes:
            change(store)

    return all_of_them


def flipped(data: bytes, at: int, dice: random.Random) -> bytes:
    return data[:at] + bytes([data[at] ^ 1 << dice.randrange(8)]) + data[at + 1 :]


def file_flip(name: str, at: int) -> Change:
    bit = 1 << random.Random(at).randrange(8)  # whichever thread asks, the same

    def change(store: Path) -> None:
        with open(store / name, "r+b") as file:
            file.seek(at)
            byte = file.read(1)[0]
            file.seek(at)
            file.write(bytes([byte ^ bit]))

    return change


def everything(tally: Tally, scratch: Path, more: float, dice: random.Random) -> None:
    store = Store(scratch)
    tally.check(command.clean(store.path), "the demonstration is not clean before anything is changed")
    cases = rows(store, more, dice) + gone(store) + moved(store)

    def one(case: tuple[str, Change, str, str | None]) -> None:
        what, change, place, photo = case
        with store.changed(change, photo) as copy:
            done, check = verify(copy)
            places = [it["place"] for it in check["findings"]] if check else []
            tally.check(done.code == 1 and place in places, f"{what}: {place} is not named: {places[:3]} {done}")
            tally.check(not show(copy).crashed, f"{what}: show crashed")

    count = tally.each(one, cases)
    print(f"changed what was recorded: {count} changes, each named by the full check unless told above", flush=True)
    mirrors(tally, store, scratch)
    raw(tally, store, int(300 * more), dice)


def rows(store: Store, more: float, dice: random.Random) -> list[tuple[str, Change, str, str | None]]:
    """One changed bit at a time, in every row."""
    cases: list[tuple[str, Change, str, str | None]] = []

    def places(data: bytes, most: int) -> list[int]:
        return sample(list(range(len(data))), int(most * more), dice)

    for place, data in store.leaves:
        for at in places(data, 5):
            change = sql("UPDATE leaves SET bytes = ? WHERE place = ?", flipped(data, at, dice), place)
            cases.append((f"leaf {place} byte {at}", change, store.event(place), None))
    for place, data in store.hashes:
        for at in places(data, 2):
            change = sql("UPDATE hashes SET hash = ? WHERE place = ?", flipped(data, at, dice), place)
            cases.append((f"hash {place} byte {at}", change, store.completed_by(place), None))
    for number, name, data in store.blobs:
        if data is not None:
            for at in places(data, 16):
                change = sql("UPDATE blobs SET bytes = ? WHERE id = ?", flipped(data, at, dice), number)
                cases.append((f"text {number} byte {at}", change, f"blob {name}", None))
            continue
        photo = f"photos/{name[:2]}/{name}"
        size = (store.path / photo).stat().st_size
        for at in {0, size - 1, *(dice.randrange(size) for _ in range(int(4 * more)))}:
            cases.append((f"photo {number} byte {at}", file_flip(photo, at), f"blob {name}", photo))
    for number, name, public, head, *_ in store.logs:
        for column, data in (("public", public), ("head", head)):
            for at in places(data, 32):
                change = sql(f"UPDATE logs SET {column} = ? WHERE id = ?", flipped(data, at, dice), number)
                cases.append((f"log {number} {column} byte {at}", change, f"{name}, signed head", None))
    for log, witness, size, note in store.cosigned:
        changes = [("log", witness), ("witness", log), ("size", size + 1), ("log", "sidelong/demo/" + "0" * 32)]
        changes += [("note", flipped(note, at, dice)) for at in places(note, 8)] + [("note", note[:-1]), ("note", b"")]
        for column, value in changes:
            change = sql(f"UPDATE witnessed SET {column} = ? WHERE note = ?", value, note)
            what = f"co-signature of {witness[-4:]} over {log[-4:]}: {column} {str(value)[:40]}"
            cases.append((what, change, f"{DATABASE}, co-signatures", None))
    return cases


def gone(store: Store) -> list[tuple[str, Change, str, str | None]]:
    """Rows and files that were removed."""
    cases: list[tuple[str, Change, str, str | None]] = []
    for place, _ in store.leaves:
        cases.append((f"no leaf {place}", sql("DELETE FROM leaves WHERE place = ?", place), store.event(place), None))
    for place, _ in store.hashes:
        change = sql("DELETE FROM hashes WHERE place = ?", place)
        cases.append((f"no hash {place}", change, store.completed_by(place), None))
    for number, name, data in store.blobs:
        by = next(place for place, leaf in store.leaves if name.encode() in leaf)
        cases.append((f"no blob {number}", sql("DELETE FROM blobs WHERE id = ?", number), store.event(by), None))
        if data is None:
            photo = f"photos/{name[:2]}/{name}"
            for what, change in (
                ("no photo", lambda copy, photo=photo: (copy / photo).unlink()),
                ("an empty photo", lambda copy, photo=photo: (copy / photo).write_bytes(b"")),
                ("a longer photo", lambda copy, photo=photo: (copy / photo).write_bytes((copy / photo).read_bytes() + b"\0")),
            ):
                cases.append((f"{what} {number}", change, f"blob {name}", photo))
    for number, name, *_ in store.logs:
        cases.append((f"log {number} unlisted", sql("DELETE FROM logs WHERE id = ?", number), f"{DATABASE}, log {number}", None))
        cases.append((f"log {number}: no head", sql("UPDATE logs SET head = NULL WHERE id = ?", number), f"{name}, signed head", None))
    seen = [(place, json.loads(leaf)) for place, leaf in store.leaves if b'"log.seen"' in leaf]
    for number, name, _, _, _, own in store.logs:
        trace = [sql(f"DELETE FROM {table} WHERE place >> 40 = ?", number) for table in ("leaves", "hashes")]
        change = several(sql("DELETE FROM logs WHERE id = ?", number), *trace)
        if own:
            cases.append((f"log {number} without a trace", change, DATABASE, None))
            continue
        # This phone's own log tells which other logs were here.
        by = [place for place, event in seen if event["body"]["head"]["log"] == name]
        cases += [(f"log {number} without a trace", change, store.event(place), None) for place in by]
    return cases


def moved(store: Store) -> list[tuple[str, Change, str, str | None]]:
    """Rows that were added, changed places, or say something else."""
    cases: list[tuple[str, Change, str, str | None]] = []
    other = bytes(range(16))
    for place, leaf in store.leaves:
        for job in [other, None] if b'"job"' in leaf else [other]:
            change = sql("UPDATE leaves SET job = ? WHERE place = ?", job, place)
            cases.append((f"leaf {place} in another job", change, store.event(place), None))
    leaves = dict(store.leaves)
    for place in leaves:
        if place + 1 in leaves:
            change = several(
                sql("UPDATE leaves SET bytes = ? WHERE place = ?", leaves[place + 1], place),
                sql("UPDATE leaves SET bytes = ? WHERE place = ?", leaves[place], place + 1),
            )
            cases.append((f"leaves {place} and the next change places", change, store.event(place), None))
    for number, name, _, _, size, own in store.logs:
        signed = f"{name}, signed head"
        leaf, beyond = leaves[number << 40], (number << 40) + size
        for what, change in (
            ("a leaf beyond the head", sql("INSERT INTO leaves VALUES (?, ?, ?)", beyond, other, leaf)),
            ("a leaf far beyond", sql("INSERT INTO leaves VALUES (?, ?, ?)", beyond + 10**9, other, leaf)),
            ("a hash beyond the head", sql("INSERT INTO hashes VALUES (?, ?)", (number << 40) + first_hash(size), other * 2)),
            ("one event fewer", sql("UPDATE logs SET size = size - 1 WHERE id = ?", number)),
            ("one event more", sql("UPDATE logs SET size = size + 1 WHERE id = ?", number)),
            ("another name", sql("UPDATE logs SET name = 'sidelong/demo/' || hex(zeroblob(16)) WHERE id = ?", number)),
            ("an earlier Lamport number", sql("UPDATE logs SET lam = lam - 1 WHERE id = ?", number)),
        ):
            place = f"sidelong/demo/{'0' * 32}, signed head" if what == "another name" else signed
            cases.append((f"log {number}: {what}", change, place, None))
        if own:
            cases.append((f"log {number}: not this phone's", sql("UPDATE logs SET own = 0 WHERE own"), DATABASE, None))
    for number, name, data in store.blobs:
        blob = f"blob {name}"
        cases.append((f"blob {number}: longer", sql("UPDATE blobs SET len = len + 1 WHERE id = ?", number), blob, None))
        cases.append((f"blob {number}: odd state", sql("UPDATE blobs SET state = 'hare' WHERE id = ?", number), blob, None))
        for state in ("elsewhere", "erased", "lost") if data else ():
            change = sql("UPDATE blobs SET state = ? WHERE id = ?", state, number)
            cases.append((f"blob {number}: {state}", change, blob, None))
    return cases


def mirrors(tally: Tally, store: Store, scratch: Path) -> None:
    """The mirror has two slots, written in turn. Neither is the record; together they say how much of it there was.

    A damaged slot is what a power cut leaves of one that is being written, so the other one is used: the older one then
    vouches for all but the newest entry, and the next entry writes the damaged slot anew. Both damaged is told."""
    name = "head.mirror"
    slots = [store.bytes[name][at : at + 1024].rstrip(b"\0") for at in (0, 1024)]
    sizes = [command.head(slot)[1] for slot in slots]
    newest = sizes.index(max(sizes))
    tally.check(sizes[newest] == store.logs[0][4] and sizes[0] != sizes[1], f"the mirror is not as expected: {sizes}")

    def one(case: tuple[int, int]) -> None:
        slot, at = case
        what = f"{'newest' if slot == newest else 'older'} slot, byte {at}"
        with store.changed(file_flip(name, slot * 1024 + at)) as copy:
            tally.check(command.clean(copy) and show(copy).out == store.shown, f"{what}: does not fall back")
        other = several(file_flip(name, slot * 1024 + at), file_flip(name, (1 - slot) * 1024 + 40))
        with store.changed(other) as copy:
            done, check = verify(copy)
            places = [it["place"] for it in check["findings"]] if check else []
            both = at <= len(slots[slot])  # the head, and the zero that ends it
            tally.check((name in places) if both else command.clean(copy), f"{what}, and the other: {places} {done}")
        if slot == newest and at % 40 == 0:
            fallback(at)

    def fallback(at: int) -> None:
        """With the newest slot damaged, the older one still tells that entries it vouches for are missing."""
        number, kept = store.logs[0][0], min(sizes)
        cut = [
            sql("DELETE FROM leaves WHERE place >> 40 = ? AND place & 1099511627775 >= ?", number, kept - 1),
            sql("DELETE FROM hashes WHERE place >> 40 = ? AND place & 1099511627775 >= ?", number, first_hash(kept - 1)),
            sql("UPDATE logs SET size = ? WHERE id = ?", kept - 1, number),
        ]
        with store.changed(several(file_flip(name, newest * 1024 + at), *cut)) as copy:
            done, check = verify(copy)
            tally.check(name in [it["place"] for it in check["findings"]], f"older slot says nothing: {done}")

    count = tally.each(one, [(slot, at) for slot in (0, 1) for at in range(len(slots[slot]) + 3)])
    for what, data in (
        ("removed", None),
        ("another phone's", (scratch / "demo/phone-2" / name).read_bytes()),
        ("text", b"not a mirror\n"),
    ):
        with store.changed(lambda copy: (copy / name).unlink()) as copy:
            if data:
                (copy / name).write_bytes(data)
            done, check = verify(copy)
            places = [it["place"] for it in check["findings"]] if check else []
            tally.check(done.code == 1 and name in places, f"mirror {what}: {done}")
    print(f"changed the mirror: {count} places in two slots", flush=True)


def raw(tally: Tally, store: Store, count: int, dice: random.Random) -> None:
    """The database file as bytes: flipped anywhere, cut anywhere."""
    size = len(store.bytes[DATABASE])
    ends: list[str] = []

    def one(case: tuple[str, Change]) -> None:
        what, change = case
        with store.changed(change) as copy:
            done, check = verify(copy)
            shown, listed = show(copy), run("jobs", "--json", "--store", copy)
            tally.check(not (done.crashed or shown.crashed or listed.crashed), f"{what}: crashed: {done} {shown} {listed}")
            tally.check("internal" not in done.err, f"{what}: not told clearly: {done}")
            same = shown.code == 0 and shown.out == store.shown
            if done.code == 0:
                tally.check(same, f"{what}: shown otherwise, and the full check is clean: {shown}")
                ends.append(CLEAN if listed.out == store.listed else f"{CLEAN}, but for the list of jobs")
            else:
                named = bool(check and check["findings"]) or done.err.startswith("sidelong: ")
                tally.check(named, f"{what}: nothing is said: {done}")
                ends.append("found" if check else "not readable at all, and said so")

    flips = [(f"byte {at}", file_flip(DATABASE, at)) for at in sample(list(range(size)), count, dice)]
    lengths = {0, 1, 99, 100, 4096, *range(4096, size, 4096 * 3), *(dice.randrange(size) for _ in range(10)), size - 1}
    cuts = [
        (f"cut to {length}", lambda copy, length=length: (copy / DATABASE).write_bytes(store.bytes[DATABASE][:length]))
        for length in sorted(lengths)
    ]
    tally.each(one, flips)
    print(f"flipped bytes of the database file: {len(flips)}: {counted(ends)}", flush=True)
    ends.clear()
    tally.each(one, cuts)
    tally.check(not any(it.startswith(CLEAN) for it in ends), "a cut database was found clean")
    print(f"cut the database file: {len(cuts)}: {counted(ends)}", flush=True)
