"""Killed at a system call, or refused by one: what was answered is on record, and the same file again completes it.

strace stops the process before the call is done (man 1 strace, "--inject"). A killed process leaves the page cache as it
was: this is a crash of the program, not a power cut. What a power cut needs is looked at in `order`: the calls must come in
the order that the store promises."""

import random
import re
import shutil
from pathlib import Path

import command
from command import injected, look, record, show, timeless, traced, verify
from workshop import Recording, Tally, counted, sample


def picked(recording: Recording, scratch: Path, runs: int | None, dice: random.Random) -> list[tuple[str, str, int]]:
    """The calls to break: all, or all of the rare ones and an even choice of the others."""
    calls = recording.calls(scratch)
    if runs is None or runs >= len(calls):
        return calls
    several = {key: [it for it in calls if it[:2] == key] for key in {it[:2] for it in calls}}
    rare = [it for key, those in sorted(several.items()) if len(those) <= 2 for it in those]
    rest = [it for it in calls if it not in rare]
    return sorted(sample(rare, runs // 3, dice) + sample(rest, runs - min(len(rare), runs // 3), dice))


def intact(tally: Tally, what: str, store: Path, answered: list[str]) -> bool:
    """The full check finds nothing, a reading of the files finds nothing, and every answered input is on record."""
    done, check = verify(store)
    facts = look(store)
    unbegun = done.code == 3 and "not here: a store" in done.err and not answered and not facts.entries
    return (
        tally.check(not done.crashed and (unbegun or (done.code == 0 and not check["findings"])), f"{what}: check: {done}")
        & tally.check(not facts.wrong, f"{what}: {facts.wrong}")
        & tally.check(set(answered) <= facts.inputs == facts.named, f"{what}: answered and not on record, or otherwise")
        & tally.check(unbegun or check is None or check["total"] == facts.entries, f"{what}: events miscounted")
    )


def completes(tally: Tally, what: str, recording: Recording, store: Path, answered: list[str]) -> bool:
    """The same file again: complete, nothing twice, nothing asked anew that was answered, as if nothing had happened."""
    again = record(recording.whole, store)
    facts = look(store)
    afresh = [it["input"] for it in again.answers if not it["again"]]
    shown = show(store)
    return (
        tally.check(again.code == 0, f"{what}: again: {again}")
        & tally.check([it["input"] for it in again.answers] == recording.inputs, f"{what}: not all answered")
        & tally.check(not set(afresh) & set(answered), f"{what}: recorded twice")
        & tally.check(facts.entries == recording.entries, f"{what}: {facts.entries} events, not {recording.entries}")
        & tally.check(shown.code == 0 and timeless(shown.out) == recording.shown, f"{what}: shown otherwise")
        & intact(tally, f"{what}, completed", store, recording.inputs)
    )


def kills(tally: Tally, recording: Recording, scratch: Path, runs: int | None, dice: random.Random) -> None:
    violations: list[str] = []

    def one(place: tuple[str, str, int]) -> None:
        name, call, number = place
        what = f"{name}, killed at {call} {number}"
        store = recording.at(name, scratch / "-".join(map(str, place)).replace(" ", "-"))
        killed = record(recording.whole, store, injected(call, number, "signal=SIGKILL"))
        answered = [it["input"] for it in killed.answers]
        held = tally.check(killed.code == -9, f"{what}: was not killed: {killed}")
        held &= intact(tally, what, store, answered)
        held &= completes(tally, what, recording, store, answered)
        if not held:
            violations.append(what)
        shutil.rmtree(store, ignore_errors=True)

    count = tally.each(one, picked(recording, scratch, runs, dice))
    print(f"killed at a call: {count} runs, {len(violations)} violations", flush=True)


def errors(tally: Tally, recording: Recording, scratch: Path, runs: int | None, dice: random.Random) -> None:
    violations: list[str] = []
    told: list[str] = []

    def one(place: tuple[str, str, str, int]) -> None:
        error, name, call, number = place
        what = f"{name}, {error} at {call} {number}"
        store = recording.at(name, scratch / "-".join(map(str, place)).replace(" ", "-"))
        ended = record(recording.whole, store, injected(call, number, f"error={error}"))
        answered = [it["input"] for it in ended.answers]
        told.append(f"ended with {ended.code}")
        if ended.code == 0:
            clear = answered == recording.inputs
        else:
            clear = ended.code == 3 and ended.err.startswith("sidelong: ") and "internal" not in ended.err
        held = tally.check(clear and not ended.crashed, f"{what}: not told clearly: {ended}")
        held &= intact(tally, what, store, answered)
        held &= completes(tally, what, recording, store, answered)
        if not held:
            violations.append(what)
        shutil.rmtree(store, ignore_errors=True)

    for error in ("EIO", "ENOSPC"):
        places = picked(recording, scratch, runs, dice)
        tally.each(one, [(error, *it) for it in places])
    print(f"EIO and ENOSPC at a call: {len(told)} runs ({counted(told)}), {len(violations)} violations", flush=True)


def mirror_not_synced(tally: Tally, recording: Recording, scratch: Path) -> None:
    """A sync of the mirror that fails, for which no answer waits: it is told with the next one, and nothing is lost."""
    told = 0
    for name in recording.stores():
        for number in range(1, len(recording.inputs) + 1):
            what = f"{name}, sync {number} of the mirror fails"
            store = recording.at(name, scratch / "not-synced")
            mirror = store / "head.mirror"
            inject = f"inject=fdatasync:error=EIO:when={number}"
            under = ["strace", "-f", "-qq", "-o", "/dev/null", "-P", mirror, "-e", "trace=fdatasync", "-e", inject]
            ended = record(recording.whole, store, under)
            answered = [it["input"] for it in ended.answers]
            clear = ended.code == 3 and "head.mirror" in ended.err and "Input/output error" in ended.err
            told += clear
            # The last one, and one that was never made, have nothing after them.
            tally.check(clear or (ended.code == 0 and answered == recording.inputs), f"{what}: {ended}")
            intact(tally, what, store, answered)
            completes(tally, what, recording, store, answered)
            shutil.rmtree(store)
    tally.check(told > len(recording.inputs), f"only {told} failed syncs of the mirror were told")
    print(f"the mirror's sync refused: {told} times told", flush=True)


def order(tally: Tally, recording: Recording, scratch: Path) -> None:
    """Reads from strace that nothing is answered before it would outlive a power cut; after a kill, too, when the next
    program finds done what may not have reached the disk."""
    broken = [(name, "", 0) for name in recording.stores()]
    broken += [it for it in recording.calls(scratch) if it[1] not in ("write", "pwrite64")]

    def one(place: tuple[str, str, int]) -> None:
        name, call, number = place
        store = recording.at(name, scratch / "-".join(["order", *map(str, place)]).replace(" ", "-"))
        disk = Disk(tally, f"{name}, after a kill at {call} {number}" if call else name, recording, store)
        if call:
            disk.follow(f"{call}:signal=SIGKILL:when={number}")
            disk.files = {it for it in disk.files if "/incoming/" not in it and not it.endswith(".draft")}
        disk.follow()
        tally.check(disk.answers == len(recording.inputs), f"{disk.what}: {disk.answers} answers seen")
        shutil.rmtree(store)

    count = tally.each(one, broken)
    print(f"order of writes, syncs and answers: read from strace for {count} recordings", flush=True)


class Disk:
    """What has been written and may not have reached the disk yet: files, and names that are new in their folder. SQLite's
    own file is left out: while it is written, the write-ahead log holds the same and is kept. So are files that are
    thrown away when a store is opened."""

    def __init__(self, tally: Tally, what: str, recording: Recording, store: Path) -> None:
        self.tally, self.what, self.recording, self.store = tally, what, recording, store
        self.files: set[str] = set()
        self.names: set[str] = set()
        self.unmirrored = False
        self.answers = 0

    def follow(self, inject: str | None = None) -> None:
        self.answers = 0
        there = {str(path) for path in self.store.rglob("*")}
        for _, line in traced(self.recording.whole, self.store, self.store.with_suffix(".trace"), inject):
            call, _, rest = line.partition("(")
            if "= -1" in rest or "= ?" in rest:  # not done
                continue
            if call == "write" and rest.startswith("1<"):
                # The mirror is written, and synced in the meantime.
                self._must(not self._unsynced() and not self._names(), f"answer {self.answers + 1}")
                self._must(not self.unmirrored, f"answer {self.answers + 1}, which is not mirrored,")
                self.answers += 1
                continue
            named = call in ("openat", "mkdir", "rename", "unlink")
            paths = re.findall(r'"(/[^"]*)"' if named else r"<(/[^>]*)>", rest)
            if paths and not (call == "openat" and ("O_CREAT" not in rest or paths[0] in there)):
                self._step(call, Path(paths[0]), Path(paths[-1]))
        if not inject:
            self._must(not self.files, "the end")

    def _unsynced(self) -> set[str]:
        return {it for it in self.files if not it.endswith("/head.mirror")}

    def _names(self) -> set[str]:
        """New names that the next answer stands on: of the store, of the files in it, and of its photo."""
        shelf = self.recording.shelves.get(self.answers)

        def needed(path: Path) -> bool:
            inside = path.relative_to(self.store).parts if path != self.store else ()
            return inside[:1] != ("photos",) or (shelf is not None and inside[1:2] in ((), (shelf,)))

        return {name for name in self.names if needed(Path(name))}

    def _step(self, call: str, path: Path, last: Path) -> None:
        passing = path.name in ("lock", "sidelong.db-journal", "incoming") or path.parent.name == "incoming"
        if call in ("openat", "mkdir") and not passing:
            self.names.add(str(path))
        elif call in ("write", "pwrite64") and path.name not in (command.DATABASE, "sidelong.db-journal"):
            if path.name == "head.mirror":
                # Nor may its other slot be on its way: a power cut could tear both.
                self._must(not self.files, "the mirror is written")
                self.unmirrored = False
            self.files.add(str(path))
        elif call == "rename":
            self._must(str(path) not in self.files, "a file is renamed")
            self.names.add(str(last))
        elif call == "unlink":
            self.files.discard(str(path))
        elif call in ("fsync", "fdatasync"):
            if path.name == command.WAL and str(path) in self.files:
                before = {it for it in self._names() if "photos" in Path(it).parts}
                self._must(not before, "a photo's event is committed")
                self.unmirrored = True
            if path.name == "head.mirror" and self.answers == 0:
                # At opening: what a kill left in the write-ahead log need not be a commit that is to be mirrored.
                self.unmirrored = False
            self.files.discard(str(path))
            self.names = {name for name in self.names if Path(name).parent != path}

    def _must(self, holds: bool, before: str) -> None:
        self.tally.check(holds, f"{self.what}: {before} before a sync of {sorted(self.files | self._names())}")
