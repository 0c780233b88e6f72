"""The vehicle module's own numbers, dumped by its test-only dump, for checks by other people's libraries.

Needs: pytest, numpy, trimesh, shapely. The dump is made once: by cargo, or read from the file named in VEHICLE_DUMP.
"""
import json
import os
import pathlib
import subprocess

import pytest

ROOT = pathlib.Path(__file__).resolve().parents[3]
COMMAND = ["cargo", "test", "--quiet", "--workspace", "--lib", "vehicle::tests::dump::dump", "--", "--ignored", "--nocapture"]


def read_dump():
    path = os.environ.get("VEHICLE_DUMP")
    if path:
        text = pathlib.Path(path).read_text()
    else:
        text = subprocess.run(COMMAND, cwd=ROOT, check=True, capture_output=True, text=True).stdout
    body = text.split("<<<vehicle\n", 1)[1].split("vehicle>>>", 1)[0]
    return [json.loads(line) for line in body.splitlines()]


@pytest.fixture(scope="session")
def rows():
    return read_dump()


@pytest.fixture(scope="session")
def panels(rows):
    return [r for r in rows if "panel" in r]


@pytest.fixture(scope="session")
def sheets(rows):
    return [r for r in rows if "sheet" in r]
