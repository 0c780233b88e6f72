"""RFC 3161: requests made here answered by `openssl ts`, and some sixty answers, good and bad, judged here, by `openssl ts
-verify` and by PyPI's rfc3161-client. Where one of those is milder or stricter, it is named below, with what it is."""

import random
import subprocess
from pathlib import Path

import rfc3161_client
from authority import MOMENT, Case, cases, holder, openssl_answer
from checks import Checks

# What other verifiers make otherwise, and why.
# P-521 is not known here and RSA of 1024 bits is not taken; openssl looks neither at the purposes of authorities between, nor at
# the attribute that names the kind of content.
OPENSSL_MILDER = {"P-521", "RSA of 1024 bits", "one between for code", "the signature is of another kind"}
# Its PKCS #7 knows signers by issuer and serial number only.
OPENSSL_STRICTER = {"named by key id"}
# It goes by the PKCS #7 of cryptography: as openssl's; a hash is whichever the token names, and the signing certificate's attribute
# is not looked at.
CLIENT_MILDER = OPENSSL_MILDER | {
    "another hash",
    "names another certificate",
    "names another by SHA-1",
    "names no certificate",
}
# It reads whole answers, granted without changes, with certificates in them as DER wants a set: each once, in order.
CLIENT_STRICTER = {
    "all certificates handed in",
    "granted with modifications",
    "named by key id",
    "openssl, a certificate twice",
    "openssl, certificates out of order",
    "the token alone",
}


def openssl_takes(scratch: Path, case: Case) -> bool:
    files = {"t.tsr": case.answer, "t.data": case.data, "t.tsq": case.request}
    files["t.roots"] = b"".join(root.pem for root in case.roots)
    files["t.more"] = b"".join(more.pem for more in case.more)
    for file, content in files.items():
        (scratch / file).write_bytes(content)
    command = ["openssl", "ts", "-verify", "-in", "t.tsr", "-CAfile", "t.roots", "-attime", str(int(case.at.timestamp()))]
    if case.title == "the token alone":
        command.append("-token_in")
    if case.more:
        command += ["-untrusted", "t.more"]
    verdicts = set()
    for against in (["-queryfile", "t.tsq"], ["-data", "t.data"]):
        done = subprocess.run(command + against, cwd=scratch, capture_output=True, text=True, check=False)
        verdicts.add("Verification: OK" in done.stdout)
    return verdicts == {True}


def client_takes(case: Case) -> bool:
    try:
        builder = rfc3161_client.VerifierBuilder(nonce=nonce_of(case.request), roots=[], intermediates=[])
        for root in case.roots:
            builder = builder.add_root_certificate(root.certificate)
        for more in case.more:
            builder = builder.add_intermediate_certificate(more.certificate)
        answer = rfc3161_client.decode_timestamp_response(case.answer)
        return builder.build().verify_message(answer, case.data)
    except (ValueError, TypeError, rfc3161_client.errors.VerificationError):
        return False


def nonce_of(request: bytes) -> int:
    # The nonce of every request here has eight bytes and stands before the BOOLEAN that ends it.
    assert request[-13:-11] == b"\x02\x08", request.hex()
    return int.from_bytes(request[-11:-3], "big")


def requests(checks: Checks, scratch: Path, dice: random.Random) -> None:
    data, nonce = dice.randbytes(200), dice.randbytes(8)
    (made,) = checks.lines("prove", "time-request", given=[{"checkpoint": data.hex(), "nonce": nonce.hex()}])
    request = bytes.fromhex(made["request"])
    (scratch / "ours.tsq").write_bytes(request)
    (scratch / "ours.data").write_bytes(data)
    told = checks.run("openssl", "ts", "-query", "-in", str(scratch / "ours.tsq"), "-text")
    stated = f"{nonce_of(request):X}"
    wanted = ["Version: 1", "Hash Algorithm: sha256", f"Nonce: 0x{stated}", "Certificate required: yes", "Extensions:"]
    checks.that(all(it in told for it in wanted), "openssl reads a request made here", told)
    made_by_openssl = scratch / "theirs.tsq"
    checks.run("openssl", "ts", "-query", "-data", str(scratch / "ours.data"), "-sha256", "-cert", "-out", str(made_by_openssl))
    theirs = made_by_openssl.read_bytes()
    # After the outer length all is the same, byte for byte, up to the nonce, whose length may differ.
    same = request[2:-13] == theirs[2 : len(request) - 13]
    checks.that(same, "which differs from one of openssl's in its nonce alone", (theirs.hex(), request.hex()))
    root = holder("Root of nobody", ca=True)
    signer = holder("Time of nobody", root, ends=MOMENT.replace(year=2050))
    reply = openssl_answer(scratch, request, signer, [root], "sha256")
    line = {"answer": reply.hex(), "checkpoint": data.hex(), "request": request.hex(), "roots": [root.der.hex()], "more": []}
    (told,) = checks.lines("prove", "time-check", given=[line])
    checks.that(told["verdict"] == "Stamp", "and which openssl answers with a token that is believed here", told)


def check(checks: Checks) -> None:
    scratch = checks.scratch / "tsa"
    scratch.mkdir(exist_ok=True)
    dice = random.Random(checks.seed)
    requests(checks, scratch, dice)
    found = cases(scratch, dice)
    told = checks.lines("prove", "time-check", given=[case.line() for case in found])
    wrong = [(case.title, case.verdict, it) for case, it in zip(found, told, strict=True) if it["verdict"] != case.verdict]
    checks.that(not wrong, f"{len(found)} answers are judged as they are meant", wrong)
    late = [
        (case.title, it["at_ms"])
        for case, it in zip(found, told, strict=True)
        if it["verdict"] == "Stamp" and not 0 <= it["at_ms"] - case.at.timestamp() * 1000 < 1.001
    ]
    checks.that(not late, "their times are those that were put in, rounded up to a millisecond", late)
    others = [
        ("openssl", lambda case: openssl_takes(scratch, case), OPENSSL_MILDER, OPENSSL_STRICTER),
        ("rfc3161-client", client_takes, CLIENT_MILDER, CLIENT_STRICTER),
    ]
    for other, takes, milder, stricter in others:
        verdicts = {case.title: (case.verdict == "Stamp", takes(case)) for case in found}
        alike = [title for title, (here, there) in verdicts.items() if here == there]
        more = {title for title, (here, there) in verdicts.items() if there and not here}
        fewer = {title for title, (here, there) in verdicts.items() if here and not there}
        checks.that(
            (more, fewer) == (milder, stricter),
            f"{other} judges {len(alike)} of {len(found)} alike; it takes {len(more)} more, and {len(fewer)} not",
            {"takes more": more - milder, "no more": milder - more, "takes not": fewer - stricter, "takes": stricter - fewer},
        )
