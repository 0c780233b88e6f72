"""RFC 8785: numbers and documents of this program beside ECMAScript's, which the RFC refers to."""

import json
from pathlib import Path

from checks import Checks

HERE = Path(__file__).resolve().parent


def check(checks: Checks) -> None:
    count = 200_000
    numbers = checks.run("dump", "numbers", str(checks.seed), str(count))
    told = json.loads(checks.run("node", str(HERE / "numbers.mjs"), given=numbers.encode()))
    checks.that(told["count"] == 0 and told["checked"] == count, f"{count} numbers as ECMAScript prints them", told)

    count = 5_000
    made = checks.lines("node", str(HERE / "documents.mjs"), str(checks.seed % 2**32), str(count))
    ours = checks.run("dump", "canon", given="".join(line["given"] + "\n" for line in made).encode()).split("\n")[:-1]
    wrong = [(line, own) for line, own in zip(made, ours, strict=True) if own != line["expected"]]
    refused = sum(line["expected"] == "refused" for line in made)
    checks.that(
        not wrong and refused == count // 5,
        f"{count} documents, {refused} of them refused for what they hold",
        wrong[:2],
    )
