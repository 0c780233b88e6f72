"""Sets Sidelong beside programs written by others. `main.py SEED PROGRAMS SCRATCH`: see `run`."""

import sys
import time
from pathlib import Path

import anchors
import backups
import canonical
import fleets
import guide
import heads
import holders
import logs
import photos
import thickness
import tokens
import vins
from checks import Checks


def main() -> int:
    seed, programs, scratch = int(sys.argv[1]), Path(sys.argv[2]), Path(sys.argv[3])
    checks = Checks(
        {name: programs / name for name in ("dump", "prove", "sidelong")} | {"logcheck": scratch / "logcheck"}, scratch, seed
    )
    print(f"seed {seed}; the same again: tests/oracles/run {seed}")
    for area in (canonical, logs, heads, holders, tokens, anchors, backups, guide, photos, thickness, vins, fleets):
        began = time.monotonic()
        area.check(checks)
        print(f"      {area.__name__}: {time.monotonic() - began:.1f} s")
    print(f"{checks.passed} passed, {checks.failed} failed")
    return 1 if checks.failed else 0


sys.exit(main())
