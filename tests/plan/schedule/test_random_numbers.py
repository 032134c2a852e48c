"""The random numbers against the published ones."""

from __future__ import annotations

from collections import Counter

from orchardcal.plan.schedule.random_numbers import RandomNumbers


def test_first_numbers_of_splitmix64() -> None:
    # Rosetta Code, task "Pseudo-random numbers/Splitmix64": the first five for seed 1234567
    numbers = RandomNumbers(1234567)
    assert [numbers.next_64_bits() for _ in range(5)] == [
        6457827717110365317,
        3203168211198807973,
        9817491932198370423,
        4593380528125082431,
        16408922859458223821,
    ]


def test_spread_of_numbers_below_five() -> None:
    # The same task: how often each of 0 to 4 comes in 100,000 numbers for seed 987654321
    numbers = RandomNumbers(987654321)
    counts = Counter(numbers.below(5) for _ in range(100_000))
    assert [counts[number] for number in range(5)] == [20027, 19892, 20073, 19978, 20030]
