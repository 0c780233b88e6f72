"""What data/VERIFY.txt tells a stranger to do, done as it is written there: with sha256sum and openssl, with Python (bagit,
cryptography) and with Go (x/mod, transparency-dev/merkle). Each program takes the bundle as it is, and none takes it when
something is changed that it says it checks; this program's own verdict stands beside theirs."""

import hashlib
import json
import os
import random
import re
import shutil
import subprocess
import sys
import textwrap
from collections.abc import Callable, Iterator
from pathlib import Path

from checks import Checks


def lines_of(guide: str, behind: str) -> str:
    """The indented lines that follow a sentence."""
    _, rest = guide.split(behind, 1)
    block = re.search(r"\n\n((?:(?:    .*)?\n)+)", rest)
    assert block, behind
    return textwrap.dedent(block[1]).rstrip("\n") + "\n"


def run(*command: str | Path, cwd: Path) -> tuple[int, str]:
    # A program may repeat a changed name or line as it found it, and a flipped bit need not be UTF-8.
    done = subprocess.run(
        [str(part) for part in command], cwd=cwd, capture_output=True, text=True, errors="backslashreplace", check=False
    )
    return done.returncode, done.stdout + done.stderr


def laid_out(checks: Checks) -> Path:
    """A bundle of the demonstration's record, joined into a notebook that can sign."""
    scratch = checks.scratch / "guide"
    shutil.rmtree(scratch, ignore_errors=True)
    scratch.mkdir()
    checks.run("sidelong", "demo", str(scratch / "demo"))
    checks.run("sidelong", "join", str(scratch / "demo/phone-1"), "--store", str(scratch / "own"))
    checks.run("sidelong", "bundle", "ZZ26", str(scratch / "bundle"), "--store", str(scratch / "own"))
    return scratch


def changes(bundle: Path, dice: random.Random) -> Iterator[tuple[str, Callable[[Path], None]]]:
    """A byte of a file of every kind; files taken away, put in, and listed anew by somebody without the key."""

    def flip(name: str) -> Callable[[Path], None]:
        def act(copy: Path) -> None:
            data = bytearray((copy / name).read_bytes())
            data[dice.randrange(len(data))] ^= 1 << dice.randrange(8)
            (copy / name).write_bytes(data)

        return act

    kinds: dict[object, str] = {}
    for path in sorted(path for path in bundle.rglob("*") if path.is_file()):
        name = path.relative_to(bundle).as_posix()
        # Of photos, entries, proofs and keys one each; every other file is the only one of its kind.
        kinds.setdefault((path.suffix, name.split("/")[1]) if name.count("/") > 1 else name, name)
    for name in kinds.values():
        yield f"a bit of {name}", flip(name)
    photo = next(name for name in kinds.values() if "/blobs/" in name)
    yield "a photo taken away", lambda copy: (copy / photo).unlink()
    yield "a file put in", lambda copy: _put(copy / "data/more.txt")

    def relisted(copy: Path) -> None:
        (copy / photo).write_bytes(b"another photo")
        files = sorted(path.relative_to(copy).as_posix() for path in (copy / "data").rglob("*") if path.is_file())
        _list(copy, "manifest-sha256.txt", files)
        oxum = sum((copy / name).stat().st_size for name in files)
        info = (copy / "bag-info.txt").read_text()
        (copy / "bag-info.txt").write_text(re.sub(r"Oxum: \d+", f"Oxum: {oxum}", info))
        _list(copy, "tagmanifest-sha256.txt", ["bag-info.txt", "bagit.txt", "manifest-sha256.txt"])

    yield "a photo exchanged and listed anew, without the key", relisted


def _put(path: Path) -> None:
    path.write_text("more\n")


def _list(copy: Path, name: str, files: list[str]) -> None:
    told = [f"{hashlib.sha256((copy / file).read_bytes()).hexdigest()}  {file}\n" for file in files]
    (copy / name).write_text("".join(told))


def check(checks: Checks) -> None:
    scratch = laid_out(checks)
    bundle = scratch / "bundle"
    guide = (bundle / "data/VERIFY.txt").read_text()
    (scratch / "check.sh").write_text(lines_of(guide, "Save the lines below as check.sh"))
    (scratch / "check.py").write_text(lines_of(guide, "Save the lines below as check.py"))
    go = scratch / "go"
    go.mkdir()
    (go / "check.go").write_text(lines_of(guide, "this checks signatures and proofs:"))
    prepare = [line for line in lines_of(guide, "check.go, and run:").splitlines() if line.startswith(("go mod", "go get"))]
    assert len(prepare) == 2, prepare
    os.environ["GOWORK"] = "off"
    for line in prepare:
        code, said = run("sh", "-c", line, cwd=go)
        checks.that(code == 0, line, said)
    code, said = run("go", "build", "-o", "check", "check.go", cwd=go)
    checks.that(code == 0, "check.go builds", said)
    code, said = run("gofmt", "-l", "check.go", cwd=go)
    checks.that((code, said) == (0, ""), "check.go is formatted", said)

    def verdicts(folder: Path) -> dict[str, tuple[int, str]]:
        return {
            "openssl": run("sh", "check.sh", folder, cwd=scratch),
            "Python": run(sys.executable, "check.py", folder, cwd=scratch),
            "Go": run(go / "check", folder, cwd=go),
            "sidelong": run(checks.programs["sidelong"], "verify", folder, "--json", cwd=scratch),
        }

    whole = verdicts(bundle)
    checks.that(all(code == 0 for code, _ in whole.values()), "a bundle as it is: four programs take it", whole)
    checks.that("all of it holds" in whole["Python"][1] and "all of it holds" in whole["Go"][1], "and say so", whole)
    told = json.loads(whole["sidelong"][1])
    told_whole = next(claim for claim in told["claims"] if claim["code"] == "job.complete")
    complete = told_whole["verdict"] == "PASS" and "that a closing counts are listed" in whole["Python"][1]
    checks.that(complete, "that nothing before the closing is left out, by two programs", (told_whole, whole["Python"][1]))
    by_key = next(claim["text"] for claim in told["claims"] if claim["code"] == "closing.cosigned")
    alike = by_key.count("is co-signed: software key") == whole["Python"][1].count("is co-signed with a software key") == 1
    checks.that(alike, "a closing co-signed with a software key, by two programs", (by_key, whole["Python"][1]))
    places = [f"{log['log']}: {log['size']} entries, {log['entries']} of this visit" for log in told["logs"]]
    checks.that(all(place in whole["Python"][1] for place in places), "one count of entries by two programs", whole)
    shown = scratch / "chosen"
    photo = next(path.name for path in sorted((bundle / "data/blobs").iterdir()) if path.stat().st_size > 10_000)
    checks.run("sidelong", "bundle", "ZZ26", str(shown), "--only", photo, "--store", str(scratch / "own"))
    chosen = verdicts(shown)
    checks.that(all(code == 0 for code, _ in chosen.values()), "a photo alone: four programs take it", chosen)
    checks.that(" 0 shown" in chosen["Python"][1] and " 1 shown" in chosen["Python"][1], "and count the others", chosen)
    zipped = scratch / "bundle.zip"
    checks.run("sidelong", "bundle", "ZZ26", str(zipped), "--zip", "--store", str(scratch / "own"))
    shutil.unpack_archive(zipped, scratch / "unpacked")
    (unpacked,) = (scratch / "unpacked").iterdir()
    same = {path.relative_to(bundle).as_posix(): path.read_bytes() for path in bundle.rglob("*") if path.is_file()}
    others = {path.relative_to(unpacked).as_posix(): path.read_bytes() for path in unpacked.rglob("*") if path.is_file()}
    checks.that(same == others, f"Python's zipfile unpacks the same {len(same)} files", same.keys() ^ others.keys())

    missed, count = [], 0
    for what, change in changes(bundle, random.Random(checks.seed)):
        copy = scratch / "changed"
        shutil.rmtree(copy, ignore_errors=True)
        shutil.copytree(bundle, copy)
        change(copy)
        count += 1
        told_by = verdicts(copy)
        # Go's lines check signatures and proofs; step 1, which they ask for first, checks the files, among them keys, of
        # which Go takes other spellings.
        missed += [(what, who) for who in ("openssl", "Python", "sidelong") if told_by[who][0] == 0]
        missed += [(what, "sidelong", said) for code, said in [told_by["sidelong"]] if code not in (1, 3)]
        proved = ("checkpoint", ".json", ".tlog-proof")
        missed += [(what, "Go") for code, _ in [told_by["Go"]] if code == 0 and what.endswith(proved)]
    checks.that(not missed and count >= 14, f"{count} changes, each told by the programs that check what it changed", missed)
