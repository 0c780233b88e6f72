"""Breaks the store on purpose; `run` sets up. Each part can be named; without a name all are passed."""

import argparse
import random
import shutil
import sys
import tempfile
import time
from pathlib import Path

import calls
import disks
import keeping
import log_ahead
import tamper
from workshop import Recording, Tally

PARTS = ["kills", "errors", "order", "tamper", "wal", "disks", "keeping"]


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("parts", nargs="*", metavar="PART", help=f"of {', '.join(PARTS)}; all if none is named")
    parser.add_argument("--scratch", type=Path, required=True)
    parser.add_argument("--runs", type=int, default=100, help="calls to be killed at; as many to fail, each way")
    parser.add_argument("--all", action="store_true", help="every call, and many more changed bytes")
    parser.add_argument("--seed", type=int, default=24, help="which calls and bytes are chosen")
    given = parser.parse_args()
    if unknown := set(given.parts) - set(PARTS):
        parser.error(f"no such part: {', '.join(sorted(unknown))}")
    tally = Tally()
    scratch = Path(tempfile.mkdtemp(dir=given.scratch)).resolve()
    try:
        recording = Recording(scratch)
        runs = None if given.all else given.runs
        for part in given.parts or PARTS:
            began, dice = time.monotonic(), random.Random(f"{given.seed} {part}")
            match part:
                case "kills":
                    calls.kills(tally, recording, scratch, runs, dice)
                case "errors":
                    calls.errors(tally, recording, scratch, runs, dice)
                    calls.mirror_not_synced(tally, recording, scratch)
                case "order":
                    calls.order(tally, recording, scratch)
                case "tamper":
                    tamper.everything(tally, scratch, 10 if given.all else 0.5, dice)
                case "wal":
                    log_ahead.everything(tally, recording, scratch, 10 if given.all else 1, dice)
                case "disks":
                    disks.everything(tally, recording, scratch)
                case "keeping":
                    keeping.everything(tally, recording, scratch, runs and max(10, runs // 4), dice)
            print(f"  ({part}: {time.monotonic() - began:.0f} s)", flush=True)
    finally:
        shutil.rmtree(scratch, ignore_errors=True)
    print(f"{tally.passed} passed, {len(tally.failures)} failed")
    return 1 if tally.failures else 0


if __name__ == "__main__":
    sys.exit(main())
