"""Runs the `sidelong` command, whole or under strace, and reads a store's files without it."""

import base64
import hashlib
import json
import os
import re
import shutil
import sqlite3
import subprocess
import tempfile
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Iterable

ROOT = Path(__file__).resolve().parents[2]
BINARY = os.environ["SIDELONG"]
JOB = "019eab2e-5568-7001-8000-00c0ffee0001"
DATABASE = "sidelong.db"
WAL = "sidelong.db-wal"
# Calls by which a store changes, as strace names them (man 1 strace, "--inject").
CALLS = ["write", "pwrite64", "fsync", "fdatasync", "rename", "ftruncate", "unlink", "mkdir", "openat"]


@dataclass
class Ran:
    code: int
    out: str
    err: str

    @property
    def crashed(self) -> bool:
        """A panic, an abort or a signal: never right, whatever was broken."""
        return self.code not in (0, 1, 2, 3) or "panicked" in self.err

    @property
    def answers(self) -> list[dict[str, Any]]:
        """What `record --json` said line by line; a line that was cut short was not said."""
        whole = self.out[: self.out.rfind("\n") + 1].splitlines()
        return [json.loads(line) for line in whole]

    def __str__(self) -> str:
        return f"exit {self.code}, {self.err.strip()[-300:] or self.out.strip()[-300:]!r}"


def run(*words: str | Path, under: Iterable[str | Path] = ()) -> Ran:
    """Runs the command; `under` goes before it."""
    command = [*map(str, under), BINARY, *map(str, words)]
    done = subprocess.run(command, capture_output=True, timeout=120, stdin=subprocess.DEVNULL)
    return Ran(done.returncode, done.stdout.decode(errors="replace"), done.stderr.decode(errors="replace"))


def record(inputs: Path, store: Path, under: Iterable[str | Path] = ()) -> Ran:
    return run("record", "--json", inputs, "--store", store, under=under)


# A call as strace tells it: the thread, and the line without it.
Call = tuple[str, str]


def traced(inputs: Path, store: Path, out: Path, inject: str | None = None) -> list[Call]:
    """The calls of one recording, with the paths of descriptors (-y): left alone, or killed as `inject` says."""
    words: list[str | Path] = ["strace", "-f", "-y", "-s", "200", "-o", out, "-e", "trace=" + ",".join(CALLS)]
    done = record(inputs, store, [*words, "-e", f"inject={inject}"] if inject else words)
    if done.code != (-9 if inject else 0):
        raise RuntimeError(f"{inject or 'left alone'}: {done}")
    return read_trace(out)


def read_trace(out: Path) -> list[Call]:
    """Calls in the order in which they were done: one that another thread broke into stands where it was resumed."""
    begun: dict[str, str] = {}
    calls = []
    for text in out.read_text(errors="replace").splitlines():
        thread, _, line = text.partition(" ")
        line = line.strip()
        if line.endswith("<unfinished ...>"):
            begun[thread] = line.removesuffix("<unfinished ...>")
            continue
        if resumed := re.match(r"<\.\.\. \w+ resumed>", line):
            line = begun.pop(thread) + line[resumed.end() :]
        calls.append((thread, line))
    # Killed in the middle: not done.
    return calls + [(thread, f"{line}) = ?") for thread, line in begun.items()]


def occurrences(calls: list[Call]) -> list[tuple[str, int]]:
    """Every (call, number) by which the recording changed something; an opening counts when it may create. strace counts
    for each thread by itself, so that a number may stand for a call of each."""
    counts: dict[tuple[str, str], int] = {}
    found: dict[tuple[str, int], None] = {}
    for thread, line in calls:
        call = line.partition("(")[0]
        if call in CALLS:
            number = counts[thread, call] = counts.get((thread, call), 0) + 1
            if call != "openat" or "O_CREAT" in line:
                found[call, number] = None
    return list(found)


def injected(call: str, number: int, what: str) -> list[str]:
    return ["strace", "-f", "-qq", "-o", "/dev/null", "-e", f"trace={call}", "-e", f"inject={call}:{what}:when={number}"]


def verify(store: Path) -> tuple[Ran, Any]:
    """The full check; what it printed, or nothing."""
    done = run("verify-log", "--json", "--store", store)
    return done, json.loads(done.out) if done.out.strip() else None


def clean(store: Path) -> bool:
    done, check = verify(store)
    return done.code == 0 and check is not None and not check["findings"]


def show(store: Path) -> Ran:
    return run("show", JOB, "--json", "--store", store)


# What depends on the clock and on which key the phone has.
_OF_THE_DAY = {"at", "at_ms", "day", "time", "rfc3339", "zone", "phone", "phones"}


def timeless(text: str) -> Any:
    """What `show --json` says, without clock and phone: the same for the same inputs."""

    def strip(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: strip(inner) for key, inner in value.items() if key not in _OF_THE_DAY}
        return [strip(inner) for inner in value] if isinstance(value, list) else value

    return strip(json.loads(text))


# Reading a store without the command.


@dataclass
class Facts:
    entries: int = 0
    own: str = ""
    inputs: set[str] = field(default_factory=set)  # remembered as answered
    named: set[str] = field(default_factory=set)  # named by events
    wrong: list[str] = field(default_factory=list)


def _hash(tag: bytes, data: bytes) -> bytes:
    return hashlib.sha256(tag + data).digest()


def root(leaves: list[bytes]) -> bytes:
    """RFC 6962, section 2.1: the hash of the whole tree."""
    if len(leaves) == 1:
        return _hash(b"\0", leaves[0])
    if not leaves:
        return hashlib.sha256(b"").digest()
    half = 1
    while half * 2 < len(leaves):
        half *= 2
    return _hash(b"\1", root(leaves[:half]) + root(leaves[half:]))


def head(note: bytes) -> tuple[str, int, bytes]:
    """Name, size and root of a checkpoint (C2SP tlog-checkpoint); its signature is not looked at here."""
    name, size, kept = note.decode().split("\n")[:3]
    return name, int(size), base64.b64decode(kept)


def mirrored(store: Path) -> list[tuple[int, bytes]]:
    """Sizes and roots in the slots of the mirror."""
    slots = (store / "head.mirror").read_bytes() if (store / "head.mirror").exists() else b""
    notes = [slots[at : at + 1024].rstrip(b"\0") for at in range(0, len(slots), 1024)]
    return [head(note)[1:] for note in notes if note]


def copy(store: Path, to: Path) -> Path:
    if to.exists():
        shutil.rmtree(to)
    shutil.copytree(store, to)
    return to


def look(store: Path) -> Facts:
    """Reads a copy of the database with Python's own SQLite: every event's blobs at hand, every root as signed, the
    mirror not ahead. A copy, because SQLite tidies a write-ahead log away when it closes."""
    facts = Facts()
    if not (store / DATABASE).exists():
        return facts
    with tempfile.TemporaryDirectory() as scratch:
        for name in (DATABASE, WAL):
            if (store / name).exists():
                shutil.copy(store / name, Path(scratch) / name)
        connection = sqlite3.connect(Path(scratch) / DATABASE)
        try:
            if not connection.execute("SELECT 1 FROM sqlite_schema WHERE name = 'logs'").fetchone():
                return facts
            _look(connection, store, facts)
        finally:
            connection.close()
    return facts


def _look(connection: sqlite3.Connection, store: Path, facts: Facts) -> None:
    blobs = {row[0]: row[1:] for row in connection.execute("SELECT lower(hex(sha256)), state, file, bytes FROM blobs")}
    answered = [row[0] for row in connection.execute("SELECT lower(hex(input)) FROM inputs")]
    facts.inputs = {f"{it[:8]}-{it[8:12]}-{it[12:16]}-{it[16:20]}-{it[20:]}" for it in answered}
    named_inputs: set[str] = set()
    for number, name, own, size, note in connection.execute("SELECT id, name, own, size, head FROM logs"):
        rows = connection.execute(
            "SELECT bytes FROM leaves WHERE place >> 40 = ? ORDER BY place", [number]
        ).fetchall()
        leaves = [row[0] for row in rows]
        facts.entries += len(leaves)
        if len(leaves) != size or (note and head(note) != (name, size, root(leaves))):
            facts.wrong.append(f"{name}: {len(leaves)} leaves are not what its head says")
        if own:
            facts.own = name
            for ahead, kept in mirrored(store):
                if ahead > size or root(leaves[:ahead]) != kept:
                    facts.wrong.append(f"the mirror holds {ahead} events, the database {size} or other ones")
        for leaf in leaves:
            event = json.loads(leaf)
            if event.get("input"):
                named_inputs.add(event["input"])
            for blob in event.get("blobs", []):
                state, file, data = blobs.get(blob["sha256"], ("unknown", 0, None))
                path = store / "photos" / blob["sha256"][:2] / blob["sha256"]
                if file:
                    data = path.read_bytes() if path.exists() else None
                if state != "here" or data is None or hashlib.sha256(data).hexdigest() != blob["sha256"]:
                    facts.wrong.append(f"event {event['seq']} names a {blob['role']} that is not there")
    facts.named = named_inputs
