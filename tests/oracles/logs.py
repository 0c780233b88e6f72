"""RFC 6962: logs, roots and proofs made here and checked by transparency-dev/merkle in Go, and the other way round."""

import json

from checks import Checks


def check(checks: Checks) -> None:
    for maker, make, checker, verdict in [
        ("dump", "logs", "logcheck", "check"),
        ("logcheck", "make", "dump", "check-logs"),
    ]:
        made = checks.run(maker, make, str(checks.seed))
        told = json.loads(checks.run(checker, verdict, given=made.encode()))
        roots, sound, refused, disagree = (told[name] for name in ("roots", "sound", "refused", "disagree"))
        checks.that(
            not disagree and roots > 400 and sound > 1_500 and refused > 1_500,
            f"made by {maker}, same verdict by {checker}: {roots} roots, {sound} proofs hold, {refused} do not",
            disagree[:2],
        )
