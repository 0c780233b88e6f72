"""The `sidelong` command, built once by cargo, and the care module's own numbers, for checks by other people's libraries."""

import json
import os
import pathlib
import subprocess

import pytest

ROOT = pathlib.Path(__file__).resolve().parents[3]


@pytest.fixture(scope="session")
def sidelong():
    subprocess.run(["cargo", "build", "--quiet", "--workspace", "--bin", "sidelong"], cwd=ROOT, check=True)
    target = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))

    def run(*words, given=""):
        command = [target / "debug" / "sidelong", *words, "--json"]
        done = subprocess.run(command, input=given, capture_output=True, text=True, errors="backslashreplace", timeout=120)
        assert done.returncode in (0, 1), done.stderr
        assert done.stdout, done.stderr
        return json.loads(done.stdout)

    return run


@pytest.fixture(scope="session")
def care():
    test = "care::tests::dump::dump"
    command = ["cargo", "test", "--quiet", "--workspace", "--lib", test, "--", "--ignored", "--nocapture"]
    text = subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True, errors="backslashreplace").stdout
    body = text.split("<<<care\n", 1)[1].split("care>>>", 1)[0]
    return [json.loads(line) for line in body.splitlines()]
