"""Counts checks, says which failed, and runs the programs that are set beside each other."""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]


class Checks:
    """A running count; a failure is told at once and does not stop the rest."""

    def __init__(self, programs: dict[str, Path], scratch: Path, seed: int) -> None:
        self.programs, self.scratch, self.seed = programs, scratch, seed
        self.passed = self.failed = 0

    def that(self, holds: bool, what: str, detail: object = "") -> None:
        if holds:
            self.passed += 1
            print(f"ok    {what}")
        else:
            self.failed += 1
            print(f"FAIL  {what}\n      {str(detail)[:2000]}")

    def run(self, program: str, *arguments: str, given: bytes = b"") -> str:
        """Runs one of the programs; it must end well."""
        command = [str(self.programs.get(program, program)), *arguments]
        done = subprocess.run(command, input=given, capture_output=True, check=False)
        if done.returncode != 0:
            sys.exit(f"{' '.join(command)}: {done.stderr.decode(errors='replace')}")
        return done.stdout.decode()

    def lines(self, program: str, *arguments: str, given: list[Any] | None = None) -> list[Any]:
        """Runs a program on JSON lines; gives its JSON lines."""
        text = "".join(json.dumps(line) + "\n" for line in given or [])
        return [json.loads(line) for line in self.run(program, *arguments, given=text.encode()).split("\n") if line]
