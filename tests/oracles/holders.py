"""What others hold of a log, set beside other people's programs: co-signatures (C2SP cosignature/v1) beside Go's
transparency-dev/formats, co-signatures of entries (ECDSA P-256) beside openssl and hashlib, receipts beside Go's x/mod."""

import base64
import hashlib
import random
import shutil
import subprocess
from typing import Any

from checks import Checks
from heads import COSIGNATURE, ED25519, Log, flipped, logs_of, vkey

# SubjectPublicKeyInfo of a P-256 key up to its 65 bytes (RFC 5480 section 2).
P256_SPKI = bytes.fromhex("3059301306072a8648ce3d020106082a8648ce3d030107034200")


def vkey_of(log: Log) -> str:
    return vkey(log.name, ED25519 + log.public)


def cosignatures(checks: Checks, log: Log, dice: random.Random) -> None:
    line: dict[str, Any] = {"log": log.name, "public": log.public.hex(), "note": log.note.hex(), "vkey": vkey_of(log)}
    ours, theirs = [], []
    for turn in range(3):
        seed, time_s = dice.randbytes(32).hex(), dice.randrange(1 << 33)
        (made,) = checks.lines("prove", "cosign", given=[{**line, "seed": seed, "time_s": time_s}])
        ours.append((made["vkey"], time_s))
        line["note"] = made["note"]
        seed, name = dice.randbytes(32).hex(), f"witness.example.com/w{turn}"
        (made,) = checks.lines("logcheck", "cosign", given=[{**line, "seed": seed, "name": name}])
        line["note"] = made["note"]
        theirs.append(vkey(name, COSIGNATURE + bytes.fromhex(public_of(seed))))
    line["witnesses"] = [key for key, _ in ours] + theirs
    (go,) = checks.lines("logcheck", "cosigned", given=[line])
    (here,) = checks.lines("prove", "cosigned", given=[line])
    expected = {key.split("+")[0]: time_s for key, time_s in ours}
    mine = {name: time_s for name, time_s in go.get("cosigned", {}).items() if name in expected}
    checks.that(
        go == here and mine == expected and len(go["cosigned"]) == 6,
        f"{log.name[:17]}: six co-signatures, three made by either, read alike by Go and here",
        (go, here, expected),
    )
    note = bytes.fromhex(line["note"])
    cases = [{**line, "note": flipped(note, place, dice).hex()} for place in range(len(note))]
    told = list(zip(*(checks.lines(by, "cosigned", given=cases) for by in ("logcheck", "prove")), strict=True))
    # A line whose name or key id was hit is one of nobody who is known, and is passed over by both.
    other = [(go, here) for go, here in told if go != here and ("refused" in go) != ("refused" in here)]
    # Go takes base64 whose unused last bits are set (RFC 4648 section 3.5 leaves that open); here it is no note.
    spelled = [pair for pair in other if "refused" not in pair[0] and pair[0] == go]
    checks.that(len(other) == len(spelled) <= 7, f"and alike with a bit of any of {len(note)} bytes flipped", other[:2])
    lost = [here for _, here in told if here == {"cosigned": go["cosigned"]}]
    checks.that(not lost, "none of which is read as if nothing had happened", lost[:1])


def public_of(seed: str) -> str:
    """The public half of an Ed25519 seed, by openssl (RFC 8410 section 7: PKCS #8)."""
    der = bytes.fromhex("302e020100300506032b657004220420") + bytes.fromhex(seed)
    command = ["openssl", "pkey", "-inform", "DER", "-pubout", "-outform", "DER"]
    return subprocess.run(command, input=der, capture_output=True, check=True).stdout[-32:].hex()


def entries(checks: Checks, dice: random.Random) -> None:
    key, message, sig = (checks.scratch / name for name in ("p256.der", "statement", "p256.sig"))

    def openssl(public: bytes, text: bytes, signature: bytes) -> bool:
        key.write_bytes(P256_SPKI + public)
        message.write_bytes(text)
        sig.write_bytes(signature)
        command = ["openssl", "dgst", "-sha256", "-verify", key, "-keyform", "DER", "-signature", sig, message]
        done = subprocess.run([str(part) for part in command], capture_output=True, text=True, check=False)
        return done.returncode == 0 and "Verified OK" in done.stdout

    given = [
        {
            "entry": dice.choice(["closing", "device"]),
            "log": "sidelong/" + dice.randbytes(16).hex(),
            "seq": dice.randrange(1 << 40),
            "bytes": dice.randbytes(dice.randrange(300)).hex(),
            "seed": dice.randbytes(32).hex(),
        }
        for _ in range(40)
    ]
    alike = 0
    for asked, made in zip(given, checks.lines("prove", "entry", given=given), strict=True):
        leaf = hashlib.sha256(b"\0" + bytes.fromhex(asked["bytes"])).hexdigest()
        text = (
            f"sidelong/entry-cosignature/v1\nentry {asked['entry']}\nlog {asked['log']}\nseq {asked['seq']}\n"
            f"leaf {leaf}\nkey software\n"
        )
        public, signature = bytes.fromhex(made["public"]), bytes.fromhex(made["signature"])
        alike += bytes.fromhex(made["message"]) == text.encode() and openssl(public, text.encode(), signature)
    checks.that(alike == len(given), f"openssl verifies {alike} of {len(given)} entries co-signed with P-256")

    # Signatures by openssl, whose s lies in either half, as those of a phone's hardware do.
    command = ["openssl", "genpkey", "-algorithm", "EC", "-pkeyopt", "ec_paramgen_curve:P-256"]
    pem = checks.scratch / "p256.pem"
    pem.write_bytes(subprocess.run(command, capture_output=True, check=True).stdout)
    spki = ["openssl", "pkey", "-in", str(pem), "-pubout", "-outform", "DER"]
    public = subprocess.run(spki, capture_output=True, check=True).stdout
    cases, halves = [], set()
    for _ in range(24):
        text = dice.randbytes(80)
        message.write_bytes(text)
        command = ["openssl", "dgst", "-sha256", "-sign", str(pem), str(message)]
        signature = subprocess.run(command, capture_output=True, check=True).stdout
        r_len = signature[3]
        halves.add(len(signature[6 + r_len :]) == 33 or signature[6 + r_len] > 0x7F)
        cases.append({"public": public.hex(), "message": text.hex(), "signature": signature.hex()})
    told = checks.lines("prove", "entry-signed", given=cases)
    checks.that(all("holds" in it for it in told), "24 signatures by openssl hold here", told[:2])
    checks.that(halves == {True, False}, "with s in both halves of its range", halves)
    wrong = [{**case, "message": dice.randbytes(80).hex()} for case in cases]
    told = checks.lines("prove", "entry-signed", given=wrong)
    checks.that(all("refused" in it for it in told), "and of other texts they do not", told[:2])


def receipts(checks: Checks, log: Log) -> None:
    line = {"log": log.name, "public": log.public.hex(), "note": log.note.hex(), "vkey": vkey_of(log)}
    (made,) = checks.lines("prove", "receipt", given=[line])
    checks.that(made["note"] == log.note.hex(), f"{log.name[:17]}: a receipt gives the signed note back")
    for spelled in (made["text"], made["letters"].lower(), made["text"].replace("\n", "\r\n  ")):
        (read,) = checks.lines("prove", "read-receipt", given=[spelled])
        (go,) = checks.lines("logcheck", "notes", given=[{**line, "note": read.get("note", ""), "vkey": made["vkey"]}])
        checks.that(go.get("text") == log.text.decode(), "which Go opens under the receipt's own key", (read, go))


def check(checks: Checks) -> None:
    demo = checks.scratch / "demo"
    shutil.rmtree(demo, ignore_errors=True)
    checks.run("sidelong", "demo", str(demo))
    dice = random.Random(checks.seed)
    for log in logs_of(demo / "phone-2", checks.scratch):
        cosignatures(checks, log, dice)
        receipts(checks, log)
    entries(checks, dice)
