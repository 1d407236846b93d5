"""Plain lists with odd rows far below the sample, so that the batches themselves meet them."""

from __future__ import annotations

import random

from fuzzing.inputs import mutated

__all__ = ["is_plain", "long_list"]

_SIZES = {7: 1500, 8: 2000, 10: 3150, 13: 5300}
_ODD_ROWS = (
    b"",
    b"Total,,,,3150",
    b"Part,Description,Size (mm),Grade,WLL (kg)",
    b"GRADE 100 CHAIN,,,,",
    b"Item,Name,Diameter (mm),Class,Working load (t)",
    b'P7,"Lifting chain",10,80,3150',
    b'P7,"Lifting chain"x,10,80,"3150"0',
    b'P7,"Lifting chain,10,80,3150',
    b'P7,"Lifting\nchain",10,80,3150',
    b"P7,Kette \xfc,10,80,3150",
    b"P7,Lift\x00ing,10,80,3150",
    b"P7,Lift\x01\x02\x03ing,10,80,3150",
    b"P7,Lifting\rchain,10,80,3150",
    b"P7," + b"x" * 40_000 + b",10,80,3150",
    b"P7,Lifting chain,10,80," + b"9" * 400,
    b"P7,Lifting chain,10",
    b"P7,Lifting chain,10,80,3150,,",
    b"P7,Lifting chain,10,80,3,150",
    b"P7,ditto,10,80,3150",
    b'"P7",,,,',
    b",,,,",
    b"P3,Lifting chain,10,80,31500",
    b"P7,Lifting chain,10 mm,80,3.15 t",
    b"P7,Lifting chain,3/8,80,7100 lb",
    b"all ratings are for one leg.,,,,",
    b"\xef\xbb\xbfP7,Lifting chain,10,80,3150",
    b"P7;Lifting chain;10;80;3150",
    b"P7,=1+1,10,80,3150",
)


def is_plain(seed: int) -> bool:
    """Whether the list of a seed has none but plain rows and is to be streamed."""
    return random.Random(f"plain {seed}").random() < 0.1


def long_list(seed: int) -> bytes:
    """A list whose first 1500 bytes are plain."""
    random_ = random.Random(seed)
    rows = [b"Part,Description,Size (mm),Grade,WLL (kg)"]
    for number in range(random_.choice((90, 150, 300))):
        size = list(_SIZES)[number % 4]
        rows.append(f"P{number},Lifting chain,{size},80,{_SIZES[size]}".encode())
    end = random_.choice((b"\n", b"\n", b"\r\n"))
    if is_plain(seed):
        return end.join(rows) + end
    for _ in range(random_.choice((1, 1, 1, 2, 4))):
        rows.insert(random_.randrange(60, len(rows) + 1), random_.choice(_ODD_ROWS))
    data = end.join(rows) + random_.choice((b"", end, end, end))
    return data[:1600] + mutated(random_, data[1600:]) if random_.random() < 0.25 else data
