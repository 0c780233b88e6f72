"""The signed heads of a demonstration's stores, read without this program: C2SP signed notes by Go's x/mod, Ed25519
(RFC 8032) by openssl, RFC 6962 roots from the leaves by Go and by hashlib. One flipped byte anywhere makes each fail."""

import base64
import hashlib
import random
import shutil
import sqlite3
import subprocess
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from checks import Checks

# SubjectPublicKeyInfo of an Ed25519 key up to its 32 bytes (RFC 8410 section 4, OID 1.3.101.112).
SPKI = bytes.fromhex("302a300506032b6570032100")
ED25519, COSIGNATURE = b"\x01", b"\x04"  # C2SP signed-note, signature types


@dataclass
class Log:
    name: str
    public: bytes
    note: bytes
    leaves: list[bytes]
    stored: list[bytes]

    @property
    def text(self) -> bytes:
        """What is signed: up to and with the last line end before the blank line (C2SP signed-note)."""
        return self.note[: self.note.index(b"\n\n") + 1]

    @property
    def signature(self) -> bytes:
        """Key id (4 bytes) and signature (64 bytes)."""
        (line,) = self.note[len(self.text) + 1 :].splitlines()
        dash, name, payload = line.decode().split(" ")
        assert (dash, name) == ("—", self.name), line
        return base64.b64decode(payload, validate=True)

    def with_signature(self, payload: bytes) -> bytes:
        return self.text + b"\n" + f"— {self.name} {base64.b64encode(payload).decode()}\n".encode()

    def case(self, note: bytes, vkey: str) -> dict[str, str]:
        return {"log": self.name, "public": self.public.hex(), "note": note.hex(), "vkey": vkey}


def logs_of(store: Path, scratch: Path) -> list[Log]:
    """All logs of a store, from a copy: a reader of a database kept in WAL mode may write beside it."""
    copy = scratch / store.name
    shutil.rmtree(copy, ignore_errors=True)
    shutil.copytree(store, copy)
    found = []
    database = sqlite3.connect(copy / "sidelong.db")
    for number, name, public, size, head in database.execute("SELECT id, name, public, size, head FROM logs"):
        of_log = (number << 40, (number + 1) << 40)
        leaves = database.execute("SELECT bytes FROM leaves WHERE place >= ? AND place < ? ORDER BY place", of_log)
        hashes = database.execute("SELECT hash FROM hashes WHERE place >= ? AND place < ? ORDER BY place", of_log)
        log = Log(name, public, head, [row[0] for row in leaves], [row[0] for row in hashes])
        assert len(log.leaves) == size > 0, f"{name}: {size} leaves named, {len(log.leaves)} kept"
        found.append(log)
    database.close()
    return found


def cosigned_in(store: Path, scratch: Path) -> list[tuple[str, str, int, bytes]]:
    """The co-signed heads that a store keeps, from the copy that [`logs_of`] made: log, witness, entries, note."""
    database = sqlite3.connect(scratch / store.name / "sidelong.db")
    rows = database.execute("SELECT log, witness, size, note FROM witnessed ORDER BY log, witness, size").fetchall()
    database.close()
    return rows


def tree_hash(leaves: list[bytes]) -> bytes:
    """MTH of RFC 6962 section 2.1, word for word."""
    if not leaves:
        return hashlib.sha256(b"").digest()
    if len(leaves) == 1:
        return hashlib.sha256(b"\x00" + leaves[0]).digest()
    half = 1 << ((len(leaves) - 1).bit_length() - 1)
    return hashlib.sha256(b"\x01" + tree_hash(leaves[:half]) + tree_hash(leaves[half:])).digest()


def flipped(data: bytes, place: int, dice: random.Random) -> bytes:
    return data[:place] + bytes([data[place] ^ 1 << dice.randrange(8)]) + data[place + 1 :]


def openssl_verifies(scratch: Path, public: bytes, text: bytes, signature: bytes) -> bool:
    der = base64.b64encode(SPKI + public).decode()
    key, message, sig = scratch / "key.pem", scratch / "text", scratch / "signature"
    key.write_text(f"-----BEGIN PUBLIC KEY-----\n{der}\n-----END PUBLIC KEY-----\n")
    message.write_bytes(text)
    sig.write_bytes(signature)
    command = ["openssl", "pkeyutl", "-verify", "-pubin", "-inkey", key, "-rawin", "-in", message, "-sigfile", sig]
    done = subprocess.run([str(part) for part in command], capture_output=True, text=True, check=False)
    said = done.stdout + done.stderr
    if done.returncode == 0 and "Verified Successfully" in said:
        return True
    # Another failure than that of the signature would prove nothing.
    assert "Verification Failure" in said, said
    return False


def check_log(checks: Checks, log: Log, store: str, dice: random.Random) -> None:
    short = f"{store}, log {log.name.rsplit('/', 1)[1][:4]}"
    own = hashlib.sha256(log.public).hexdigest()[:32]
    checks.that(log.name == f"sidelong/demo/{own}", f"{short}: the name is made from the key", log.name)

    key_id = hashlib.sha256(log.name.encode() + b"\n" + ED25519 + log.public).digest()[:4]
    vkey = f"{log.name}+{key_id.hex()}+{base64.b64encode(ED25519 + log.public).decode()}"
    said = checks.run("dump", "vkey", log.name, log.public.hex()).strip()
    (go,) = checks.lines("logcheck", "notes", given=[log.case(log.note, vkey)])
    (ours,) = checks.lines("dump", "heads", given=[log.case(log.note, vkey)])
    checks.that(vkey == said == go["vkey"], f"{short}: one verifier key by three programs", (vkey, said, go))
    checks.that(go.get("text") == log.text.decode(), f"{short}: Go opens the signed head", go)
    signature = log.signature
    checks.that(signature[:4] == key_id and len(signature) == 68, f"{short}: key id and length of the signature")
    checks.that(
        openssl_verifies(checks.scratch, log.public, log.text, signature[4:]),
        f"{short}: openssl verifies the signature",
    )

    # C2SP tlog-checkpoint: origin, size, root.
    origin, size, root = log.text.decode().splitlines()
    roots = {
        "checkpoint": base64.b64decode(root).hex(),
        "hashlib": tree_hash(log.leaves).hex(),
        "this program": ours.get("root"),
    }
    (go,) = checks.lines("logcheck", "roots", given=[{"leaves": [leaf.hex() for leaf in log.leaves]}])
    roots["Go"] = go["root"]
    sizes = {int(size), len(log.leaves), ours.get("size")}
    checks.that(
        origin == log.name and len(set(roots.values())) == 1 and len(sizes) == 1,
        f"{short}: one root of {len(log.leaves)} leaves by hashlib, Go, this program and the signed head",
        (origin, sizes, roots),
    )
    checks.that(
        go["stored"] == [kept.hex() for kept in log.stored],
        f"{short}: the {len(log.stored)} inner hashes lie where Go's tlog would have put them",
    )
    flips(checks, log, vkey, short, dice)


def vkey(name: str, key: bytes) -> str:
    """A verifier key (C2SP signed-note): name, key id, and the key with its type before it."""
    key_id = hashlib.sha256(name.encode() + b"\n" + key).hexdigest()[:8]
    return f"{name}+{key_id}+{base64.b64encode(key).decode()}"


def check_cosigned(checks: Checks, log: Log, witness: Log, size: int, note: bytes) -> None:
    """A head that a phone co-signed when it joined: by Go's transparency-dev/formats, and the root by hashlib."""
    case: dict[str, Any] = {"note": note.hex(), "vkey": vkey(log.name, ED25519 + log.public)}
    case["witnesses"] = [vkey(witness.name, COSIGNATURE + witness.public)]
    (go,) = checks.lines("logcheck", "cosigned", given=[case])
    origin, said, root = note.decode().splitlines()[:3]
    checks.that(
        (origin, said, list(go.get("cosigned", {}))) == (log.name, str(size), [witness.name])
        and base64.b64decode(root) == tree_hash(log.leaves[:size]),
        f"{log.name[-4:]}: {size} entries co-signed by {witness.name[-4:]} when they met, by Go and hashlib",
        (go, note),
    )


def flips(checks: Checks, log: Log, vkey: str, short: str, dice: random.Random) -> None:
    text, signature = log.text, log.signature
    texts = [flipped(text, place, dice) for place in range(len(text))]
    signatures = [flipped(signature, place, dice) for place in range(len(signature))]
    notes = [log.note.replace(text, other, 1) for other in texts] + [log.with_signature(other) for other in signatures]
    assert log.with_signature(signature) == log.note and len(set(notes)) == len(notes)
    for place, byte in enumerate(log.note):
        notes += [log.note[:place] + bytes([byte ^ 1 << bit]) + log.note[place + 1 :] for bit in range(8)]
    cases = [log.case(note, vkey) for note in notes]
    accepted = [case for case in checks.lines("dump", "heads", given=cases) if "refused" not in case]
    checks.that(not accepted, f"{short}: this program refuses {len(cases)} heads with a bit flipped", accepted[:2])
    told = checks.lines("logcheck", "notes", given=cases)
    accepted = [note for note, case in zip(notes, told, strict=True) if "refused" not in case]
    # Go takes base64 whose unused last bits are set for the same signature (RFC 4648 section 3.5 leaves that open).
    accepted = [
        note for note in accepted if (replace(log, note=note).signature, note[: len(text)]) != (signature, text)
    ]
    checks.that(not accepted, f"{short}: Go refuses them, but for other spellings of the same signature", accepted[:2])
    pairs = [(other, signature[4:]) for other in texts] + [(text, other[4:]) for other in signatures[4:]]
    accepted = [pair for pair in pairs if openssl_verifies(checks.scratch, log.public, *pair)]
    checks.that(not accepted, f"{short}: openssl refuses {len(pairs)} with a bit flipped", accepted[:2])

    others = [
        [*log.leaves[:at], flipped(leaf, dice.randrange(len(leaf)), dice), *log.leaves[at + 1 :]]
        for at, leaf in enumerate(log.leaves)
    ]
    others += [log.leaves[:-1], [*log.leaves, log.leaves[-1]], [*log.leaves[1:], log.leaves[0]]]
    root = base64.b64decode(log.text.decode().splitlines()[2]).hex()
    lines: list[Any] = [{"leaves": [leaf.hex() for leaf in leaves]} for leaves in others]
    same = [at for at, told in enumerate(checks.lines("logcheck", "roots", given=lines)) if told["root"] == root]
    same += [at for at, leaves in enumerate(others) if tree_hash(leaves).hex() == root]
    checks.that(
        not same, f"{short}: {len(others)} logs with a leaf changed, dropped, doubled or moved differ in root", same
    )


def check(checks: Checks) -> None:
    demo = checks.scratch / "demo"
    shutil.rmtree(demo, ignore_errors=True)
    checks.run("sidelong", "demo", str(demo))
    dice = random.Random(checks.seed)
    seen = cosigned = 0
    for store in ("phone-1", "phone-2"):
        logs = logs_of(demo / store, checks.scratch)
        for log in logs:
            check_log(checks, log, store, dice)
            seen += 1
        keys = {log.name: log for log in logs}
        for name, witness, size, note in cosigned_in(demo / store, checks.scratch):
            check_cosigned(checks, keys[name], keys[witness], size, note)
            cosigned += 1
    checks.that(cosigned >= 3, f"{cosigned} co-signed heads of two phones", cosigned)
    checks.that(seen >= 3, f"{seen} logs of two phones", seen)
