"""How often the end of a stage falls into its 80 % window: simulated houses, printed; nothing is asserted.

``python -m tests.bench.bench_forecast [BROODS]``. Each brood belongs to a house of its own; lengths
are drawn from the model, from other divisions between house, brood and animal, and from other
distributions of the same median and spread. "Today" is a day on which the animal's stage has not
ended, drawn evenly from what its life leaves. Own simulation.
"""

from __future__ import annotations

import math
import random
import sys
from collections.abc import Callable
from typing import NamedTuple

from rounds.analysis.forecast.outlook import DIVISIONS, StageEvidence, outlook
from rounds.analysis.forecast.stage_length import LengthSeen, from_lengths, from_range
from rounds.due.stage_lengths import ENOUGH_BROODS, ENOUGH_ENDED

RANGES = ((120.0, 245.0), (60.0, 190.0), (28.0, 56.0), (32.0, 52.0))
"""Stage lengths as species files give them: larvae, cells, pupae."""


class World(NamedTuple):
    """How lengths come about: shares of the variance, and the distribution within a brood."""

    name: str
    of_house: float
    of_brood: float
    draw: Callable[[random.Random, float], float]
    """A draw with mean 0 of log days, given the standard deviation."""


def normal(rng: random.Random, sd: float) -> float:
    return rng.gauss(0.0, sd)


def gamma(rng: random.Random, sd: float) -> float:
    """The logarithm of a gamma length, which is skewed to the short side."""
    shape = 1 / sd**2 + 0.5
    return math.log(rng.gammavariate(shape, 1 / shape))


def weibull(rng: random.Random, sd: float) -> float:
    """The logarithm of a Weibull length (standard deviation of it: pi / (shape * sqrt 6))."""
    shape = math.pi / (sd * math.sqrt(6))
    return math.log(rng.weibullvariate(1.0, shape)) + 0.5772 / shape


def two_sexes(rng: random.Random, sd: float) -> float:
    """Two humps, as where males take longer than females."""
    half = 0.6 * sd
    return rng.choice((-half, half)) + rng.gauss(0.0, 0.8 * sd)


WORLDS = (
    World("as the model has it", *DIVISIONS[0], normal),
    World("all between animals", 0.0, 0.1, normal),
    World("mostly between houses", 0.7, 0.1, normal),
    World("mostly between broods", 0.05, 0.6, normal),
    World("gamma within broods", *DIVISIONS[0], gamma),
    World("Weibull within broods", *DIVISIONS[0], weibull),
    World("two sexes, not told apart", *DIVISIONS[0], two_sexes),
)
OWN_BROODS = ((3, 4), (3, 8), (6, 6), (10, 4))
"""Finished broods of a house, and animals in each, where no species file says anything."""
EVIDENCE = ((0, 0), (6, 0), (16, 0), (0, 3), (16, 3))
"""Sibs, and other broods of the house with 8 animals each."""


def held(world: World, sibs: int, others: int, usual: tuple[float, float], rng: random.Random) -> bool:
    """Does the end of one animal's stage fall into its window?"""
    length = from_range(*usual)
    variance = length.sd**2
    own = math.sqrt(variance * (1 - world.of_house - world.of_brood))
    house = length.mean + rng.gauss(0.0, math.sqrt(variance * world.of_house))

    def brood() -> float:
        return house + rng.gauss(0.0, math.sqrt(variance * world.of_brood))

    def days(mean: float) -> float:
        return math.exp(mean + world.draw(rng, own))

    mine = brood()
    end = days(mine)
    over = rng.uniform(0.0, end)  # seen not to have ended
    seen = []
    for _ in range(sibs):
        sib = days(mine)
        # Looked at once a week; what has not ended by today is censored.
        week = math.floor(sib / 7) * 7.0
        seen.append(LengthSeen(week, week + 7) if sib <= over else LengthSeen(over, math.inf))
    elsewhere = []
    for _ in range(others):
        mean = brood()
        elsewhere.append(tuple(LengthSeen(at - 3, at + 4) for at in (days(mean) for _ in range(8))))
    found = outlook(length, (over, over), StageEvidence(tuple(seen), tuple(elsewhere)))
    return found.first <= end - over <= found.last


def held_by_own(
    world: World, broods: int, each: int, usual: tuple[float, float], rng: random.Random
) -> bool | None:
    """The same where the house's own finished broods are all that is known: no species file, no sibs.

    None where they are too few to say anything (a length that was not known closely counts for nothing).
    """
    length = from_range(*usual)
    variance = length.sd**2
    own = math.sqrt(variance * (1 - world.of_house - world.of_brood))
    house = length.mean + rng.gauss(0.0, math.sqrt(variance * world.of_house))

    def days(mean: float) -> float:
        return math.exp(mean + world.draw(rng, own))

    finished, mine = [], 0.0
    for _ in range(broods + 1):  # the last is the one asked about
        mine = house + rng.gauss(0.0, math.sqrt(variance * world.of_brood))
        finished.append([LengthSeen(at - 3, at + 4) for at in (days(mine) for _ in range(each))])
    told = from_lengths(finished[:-1], ENOUGH_BROODS, ENOUGH_ENDED)
    if told is None:
        return None
    end = days(mine)
    over = rng.uniform(0.0, end)
    found = outlook(told, (over, over))
    return found.first <= end - over <= found.last


def share_by_own(world: World, broods: int, each: int, houses: int, seed: int) -> float:
    """The share of those windows that hold."""
    rng = random.Random(seed)
    every = [held_by_own(world, broods, each, RANGES[n % len(RANGES)], rng) for n in range(houses)]
    told = [hit for hit in every if hit is not None]
    return sum(told) / len(told)


def share(world: World, sibs: int, others: int, broods: int, seed: int) -> float:
    """The share of windows that hold."""
    rng = random.Random(seed)
    hits = sum(held(world, sibs, others, RANGES[n % len(RANGES)], rng) for n in range(broods))
    return hits / broods


def main(broods: int) -> None:
    print(
        f"80 % windows that hold, of {broods} broods each (Monte Carlo ± {196 * 0.4 / broods**0.5:.1f} points)"
    )
    print(f"{'':28}" + "".join(f"{f'{s} sibs, {o} broods':>20}" for s, o in EVIDENCE))
    for world in WORLDS:
        cells = [100 * share(world, s, o, broods, seed=7) for s, o in EVIDENCE]
        print(f"{world.name:28}" + "".join(f"{cell:>18.1f} %" for cell in cells))
    print("by the house's own finished stages alone, as for a species whose file is thin")
    print(f"{'':28}" + "".join(f"{f'{b} broods of {each}':>20}" for b, each in OWN_BROODS))
    for world in WORLDS:
        cells = [100 * share_by_own(world, b, each, broods, seed=7) for b, each in OWN_BROODS]
        print(f"{world.name:28}" + "".join(f"{cell:>18.1f} %" for cell in cells))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 4000)
