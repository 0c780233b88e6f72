"""The light module's own numbers, dumped by its test-only dump, and the body forms' grids, for checks by other people's
libraries.

Needs: pytest, numpy, trimesh, embreex, ortools, mitsuba. The dumps are made once, by cargo.
"""

import json
import pathlib
import subprocess

import pytest

ROOT = pathlib.Path(__file__).resolve().parents[3]


def dumped(module, name):
    test = f"{module}::tests::dump::dump"
    command = ["cargo", "test", "--quiet", "--workspace", "--lib", test, "--", "--ignored", "--nocapture"]
    text = subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout
    body = text.split(f"<<<{name}\n", 1)[1].split(f"{name}>>>", 1)[0]
    return [json.loads(line) for line in body.splitlines()]


@pytest.fixture(scope="session")
def light():
    return dumped("light", "light")


@pytest.fixture(scope="session")
def panels():
    rows = {}
    for row in dumped("vehicle", "vehicle"):
        if "panel" in row:
            rows.setdefault(row["form"], []).append(row)
    return rows
