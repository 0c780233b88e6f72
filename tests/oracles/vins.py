"""Vehicle identification numbers: check digits of random ones beside vininfo's."""

import random

from vininfo import Vin

from checks import Checks

ALPHABET = "0123456789ABCDEFGHJKLMNPRSTUVWXYZ"


def check(checks: Checks) -> None:
    dice = random.Random(checks.seed)
    numbers: list[str] = []
    while len(numbers) < 20_000:
        letters = [dice.choice(ALPHABET) for _ in range(17)]
        letters[8] = dice.choice("0123456789X")
        number = "".join(letters)
        # For some makers vininfo gives no verdict.
        if getattr(Vin(number).assembler, "uses_sae_checkdigit", True):
            numbers.append(number)
    told = checks.lines("dump", "vins", given=numbers)
    repaired = [
        number if ours["computed"] is None else number[:8] + ours["computed"] + number[9:]
        for number, ours in zip(numbers, told, strict=True)
    ]
    fits = sum(ours["computed"] is None for ours in told)
    wrong = [
        (number, ours)
        for number, ours, whole in zip(numbers, told, repaired, strict=True)
        if Vin(number).verify_checksum(check_year=False) != (ours["computed"] is None)
        or not Vin(whole).verify_checksum(check_year=False)
    ]
    checks.that(not wrong, f"{len(numbers)} check digits, {fits} of which fit", wrong[:2])
    checks.that(1_000 < fits < 3_000, "about one in eleven fits by chance", fits)

    spoiled = []
    for number in repaired[:2_000]:
        place, put = dice.randrange(17), dice.choice("IOQ-é")
        spoiled.append((number[:place] + put + number[place + 1 :], place + 1))
    told = checks.lines("dump", "vins", given=[number for number, _ in spoiled])
    expected = [{"length": None, "cannot": [place], "computed": None} for _, place in spoiled]
    checks.that(told == expected, f"{len(spoiled)} with a character that cannot be")
