"""A check of old compound files (XLS) before a library follows their chains of sectors.

A library follows a chain that comes back to itself without end, and fills the memory on the way.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence
from pathlib import Path

__all__ = ["has_endless_chain"]

_HEADER = struct.Struct("<30xH28xI4xI4x109I")


def has_endless_chain(path: Path) -> bool:
    """Whether the sectors of a compound file are chained in a circle.

    A file that is too damaged for an answer has none; the library that opens it says what is wrong.
    """
    data = path.read_bytes()
    if len(data) < 512:
        return False
    shift, mini, more, *listed = _HEADER.unpack(data[:512])
    if not 7 <= shift <= 16:
        return False
    size = 1 << shift

    def sector(number: int) -> tuple[int, ...]:
        raw = data[(number + 1) * size : (number + 2) * size]
        return struct.unpack(f"<{len(raw) // 4}I", raw[: len(raw) // 4 * 4])

    seen: set[int] = set()
    while numbers := sector(more):
        if more in seen:
            return True
        seen.add(more)
        listed += numbers[:-1]
        more = numbers[-1]
    # no sector is listed twice in a sound file, and no more are listed than there are
    table = [n for s in dict.fromkeys(listed) if s < 2**32 - 6 for n in sector(s)]
    if _circle(table):
        return True
    small: list[int] = []
    while mini < len(table):
        small += sector(mini)
        mini = table[mini]
    return _circle(small)


def _circle(following: Sequence[int]) -> bool:
    done = bytearray(len(following))  # 1: on the chain being followed, 2: known to end
    for start in range(len(following)):
        at, chain = start, []
        while at < len(following) and not done[at]:
            done[at] = 1
            chain.append(at)
            at = following[at]
        if at < len(following) and done[at] == 1:
            return True
        for each in chain:
            done[each] = 2
    return False
