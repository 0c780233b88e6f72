"""What the parts share: inputs to record, stores to begin from, and the tally."""

import hashlib
import json
import shutil
import threading
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any, Callable, Iterable

import command
from command import ROOT, injected, occurrences, record, traced


class Tally:
    """Counts what held and says what did not. A part that looked at nothing has failed."""

    def __init__(self) -> None:
        self.passed = 0
        self.failures: list[str] = []
        self._lock = threading.Lock()

    def check(self, holds: bool, what: str) -> bool:
        with self._lock:
            if holds:
                self.passed += 1
            else:
                self.failures.append(what)
                if len(self.failures) <= 40:
                    print(f"  FAILED {what}", flush=True)
        return holds

    def each(self, work: Callable[[Any], None], items: Iterable[Any]) -> int:
        """Does the work for every item, two at a time; what breaks in the test itself is a failure too."""

        def one(item: Any) -> None:
            try:
                work(item)
            except Exception as why:  # a test that cannot look has not looked
                self.check(False, f"{item}: {type(why).__name__}: {why}")

        items = list(items)
        self.check(bool(items), "there was nothing to look at")
        with ThreadPoolExecutor(2) as pool:
            list(pool.map(one, items))
        return len(items)


def sample(items: list[Any], most: int | None, dice: Any) -> list[Any]:
    """Up to `most` of the items, evenly over them, from a thrown beginning."""
    if most is None or len(items) <= most:
        return items
    step = len(items) / most
    begin = dice.random() * step
    return [items[int(begin + step * number) % len(items)] for number in range(most)]


def counted(ends: list[str]) -> str:
    return ", ".join(f"{count} {end}" for end, count in sorted(Counter(ends).items()))


class Recording:
    """Eight inputs of the demonstration, two photos among them, and three stores to record them in: none yet; one that
    holds the first two; one that holds the first four and was killed before its write-ahead log was tidied away."""

    def __init__(self, scratch: Path) -> None:
        self.folder = scratch / "inputs"
        (self.folder / "photos").mkdir(parents=True)
        for name in ("saloon-arrival-overall-front-right.jpg", "saloon-arrival-overall-rear-left.jpg"):
            shutil.copy(ROOT / "fixtures/photos" / name, self.folder / "photos" / name)
        days = {path.name: path.read_text().splitlines() for path in (ROOT / "fixtures/demo").glob("*.jsonl")}
        opening, rest = days["1-saloon-opening.jsonl"], days["2-saloon.jsonl"]
        # Photos, an answer, a mark; then one whose owner's name is typed, and the end.
        lines = opening + rest[:4] + rest[-1:] + days["2c-saloon-second-layer.jsonl"][-1:]
        self.whole = self._file("whole.jsonl", lines)
        self.inputs = [json.loads(line)["input"] for line in lines]
        # For an input with a photo, by its number: the folder in which the photo is kept.
        self.shelves: dict[int, str] = {}
        for number, line in enumerate(lines):
            if named := json.loads(line)["act"].get("attach_photo"):
                data = (self.folder / named["file"]).read_bytes()
                self.shelves[number] = hashlib.sha256(data).hexdigest()[:2]
        self.another = self._file("another.jsonl", [self._another(lines[0])])

        self.begun = scratch / "begun"
        self.left = scratch / "left"
        self.none = scratch / "none"
        first = self._file("two.jsonl", lines[:2])
        done = record(first, self.begun)
        most = self._file("four.jsonl", lines[:4])
        writes = [it for it in occurrences(traced(most, scratch / "counted", scratch / "trace")) if it[0] == "write"]
        killed = record(most, self.left, injected(*writes[-1], "signal=SIGKILL"))
        if done.code or len(killed.answers) != 3 or not (self.left / command.WAL).stat().st_size:
            raise RuntimeError(f"the stores to begin from could not be made: {done}; {killed}")

        reference = scratch / "reference"
        done = record(self.whole, reference)
        facts = command.look(reference)
        if done.code or facts.wrong or facts.inputs != set(self.inputs):
            raise RuntimeError(f"the recording fails when left alone: {done}; {facts}")
        self.entries = facts.entries
        self.shown = command.timeless(command.show(reference).out)
        self.reference = reference

    def stores(self) -> dict[str, Path]:
        return {"a new store": self.none, "a store with entries": self.begun, "a store that was killed": self.left}

    def at(self, name: str, to: Path) -> Path:
        """A copy of one of the three stores."""
        shutil.rmtree(to, ignore_errors=True)
        if self.stores()[name].exists():
            shutil.copytree(self.stores()[name], to)
        return to

    def calls(self, scratch: Path) -> list[tuple[str, str, int]]:
        """Every call of the recording in each of the three stores: store, call, number."""
        found = []
        for name in self.stores():
            store = self.at(name, scratch / "traced")
            found += [(name, *it) for it in occurrences(traced(self.whole, store, scratch / "trace"))]
        return sorted(found)

    def _file(self, name: str, lines: list[str]) -> Path:
        path = self.folder / name
        path.write_text("\n".join(lines) + "\n")
        return path

    def _another(self, opening: str) -> str:
        """An input that opens another job."""
        value = json.loads(opening)
        return json.dumps({**value, "input": value["input"][:-1] + "f", "job": value["job"][:-1] + "f"})
