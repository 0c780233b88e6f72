#!/usr/bin/env python3
"""What the fuzzer begins with, made from the fixtures: `tests/fuzz/seeds.py` writes `tests/fuzz/seeds/<target>/`.

Events need none of their own: the folder of the fixtures is read as it is.
"""

import base64
import hashlib
import json
import pathlib
import shutil
import struct
import zipfile

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent
SEEDS = HERE / "seeds"

# A file of the archive that is taken away.
GONE = 0xFFFF


def put(target, content):
    """Names follow the content, so that the same seed is not written twice."""
    folder = SEEDS / target
    folder.mkdir(parents=True, exist_ok=True)
    (folder / hashlib.sha256(content).hexdigest()[:16]).write_bytes(content)


def over(path, content):
    """One file of an archive, as `bundle.rs` reads it."""
    name = path.encode()
    length = GONE if content is None else len(content)
    return bytes([len(name)]) + name + struct.pack("<H", length) + (content or b"")


def main():
    for target in ("note", "proof", "token", "bundle", "zip"):
        shutil.rmtree(SEEDS / target, ignore_errors=True)
    packed = ROOT / "fixtures/bundles/1.zip"
    with zipfile.ZipFile(packed) as bag:
        files = {name.removeprefix("bag/"): bag.read(name) for name in bag.namelist()}

    for path, content in files.items():
        name = path.rsplit("/", 1)[-1]
        ending = name.rsplit(".", 1)[-1]
        if name in ("checkpoint", "statement.txt"):
            put("note", b"\0" + content)
            text = content.rsplit(b"\n\n", 1)[0] + b"\n"
            put("note", b"\1" + text)
            put("note", b"\3" + bytes([68]) + bytes(68) + text)
            put("note", b"\2" + struct.pack(">Q", 1_781_000_000) + text)
        if ending == "vkey" or name in ("leaves.txt", "blobs.txt", "manifest-sha256.txt"):
            put("note", b"\0" + content[:1500].rsplit(b"\n", 1)[0] + b"\n")
        if ending in ("tlog-proof", "consistency"):
            put("proof", b"\0" + content)
        # One file each time, as it is: what the fuzzer changes is then that file.
        if len(content) < 1500:
            for how in (0, 1, 2, 3, 5):
                if how == 0 or path.startswith("data/"):
                    put("bundle", bytes([how]) + over(path, content))
        put("bundle", b"\1" + over(path, None))
    events = [content for path, content in sorted(files.items()) if path.endswith(".json")]
    for event in events:
        put("bundle", b"\4" + event)
    put("bundle", b"\4" + b"\n".join(events))

    put("bundle", b"\6" + files["statement.txt"].rsplit(b"\n\n", 1)[0] + b"\n")

    for size, at in ((1, 0), (7, 3), (64, 63), (200, 77)):
        put("proof", bytes([1, size, at]) + bytes(range(size.bit_length())))
        put("proof", bytes([2, size, at + 1]) + bytes(range(size.bit_length())))
    put("proof", b"\3" + struct.pack(">QQ", 1 << 63, (1 << 64) - 1) + b"\1\2\3")

    cases = json.loads((ROOT / "tests/proofs/tokens.json").read_text())["cases"]
    met = set()
    for number, case in enumerate(cases):
        # One of each way to be good or bad.
        if case["verdict"] not in met or case["verdict"] == "Stamp":
            met.add(case["verdict"])
            put("token", bytes([number]) + base64.b64decode(case["answer"]))
    put("token", b"\0" + base64.b64decode(cases[0]["request"]))
    put("token", b"\0" + base64.b64decode(cases[0]["roots"][0]))

    # A whole bundle, less its guide: what is small is tried more often.
    put("zip", packed.read_bytes()[:0] + small_zip(files))


def small_zip(files):
    """A zip of the one form that a bundle has (`core/src/log/zip.rs`), of the tag files and one log."""
    import io
    import zlib

    kept = {path: content for path, content in files.items() if len(content) < 300}
    out, listed = io.BytesIO(), b""
    for path, content in sorted(kept.items()):
        name = f"bag/{path}".encode()
        middle = struct.pack("<HHHHHIIIHH", 10, 0, 0, 0, 0x21, zlib.crc32(content), len(content), len(content), len(name), 0)
        listed += b"PK\x01\x02" + struct.pack("<H", 0x0314) + middle + struct.pack("<HHHII", 0, 0, 0, 0o100644 << 16, out.tell()) + name
        out.write(b"PK\x03\x04" + middle + name + content)
    at = out.tell()
    end = b"PK\x05\x06\0\0\0\0" + struct.pack("<HHIIH", len(kept), len(kept), len(listed), at, 0)
    return out.getvalue() + listed + end


if __name__ == "__main__":
    main()
