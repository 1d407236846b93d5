"""Guided by coverage: atheris changes texts until they reach every branch of what reads them.

Atheris is no dependency of the project: `pip install atheris` beside it (Linux, macOS), then
``scripts/fuzz --guided --way text -max_total_time=600 FOLDER``; what follows the way goes to
libFuzzer, and FOLDER keeps the texts that reached something new.
"""

from __future__ import annotations

import math
import re
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

try:
    import atheris
except ImportError:
    sys.exit("atheris is not installed: pip install atheris beside the project")

from fuzzing import inputs, packages

with atheris.instrument_imports(include=["tallyhook"]):
    from tallyhook.errors import TallyhookError
    from tallyhook.packages.package import load_package
    from tallyhook.reading.lists import read_list
    from tallyhook.recognising.layouts import layouts_of_sheet
    from tallyhook.texts.description import describe
    from tallyhook.texts.grades import read_grade
    from tallyhook.texts.legs import read_angle, read_legs
    from tallyhook.texts.load_cells import read_load
    from tallyhook.texts.numbers import read_number
    from tallyhook.texts.scan import Context
    from tallyhook.texts.sizes import read_size
    from tallyhook.texts.words import read_words

_CONTEXTS = (None, Context(decimal="."), Context(decimal=","))
_UNITS = (None, "lb", "kg", "t", "short ton", "ton", "kN")


def one_text(data: bytes) -> None:
    """Read a cell by every reader of cells: what comes out is a finite number or nothing."""
    context = _CONTEXTS[data[0] % 3] if data else None
    unit = _UNITS[data[1] % 7] if len(data) > 1 else None
    text = data[2:].decode("utf-8", errors="replace")
    described = describe(text, context=context)
    cell = read_load(text, unit=unit, context=context)
    loads = (described.wll, described.wll2, described.breaking, described.proof)
    for load in (cell.load, cell.second, *loads):
        if load is not None:
            numbers = (load.value, load.step, load.kg or 0.0, load.kn or 0.0, load.step_kg or 0.0)
            assert all(map(math.isfinite, numbers)), load
            assert load.value >= 0, load
    size = read_size(text, context=context).size
    assert size is None or 0 < size.mm < math.inf, size
    number = read_number(text, decimal=context.decimal if context else None)
    assert number is None or math.isfinite(number.value), number
    read_grade(text, context=context)
    read_legs(text, context=context)
    read_angle(text, context=context)
    read_words(text, context=context)


_BOX = Path(tempfile.mkdtemp(prefix="tallyhook-guided-"))


def one_file(data: bytes) -> None:
    """Read a file and recognise its columns, or refuse it."""
    path = _BOX / "list"
    path.write_bytes(data)
    try:
        for sheet in read_list(path):
            layouts_of_sheet(sheet)
    except TallyhookError:
        pass


def one_descriptor(data: bytes) -> None:
    """Load a package with this descriptor, or refuse it."""
    folder = _BOX / "package"
    (folder / "data").mkdir(parents=True, exist_ok=True)
    (folder / "data" / "ratings.csv").write_text("size_mm,grade,wll_kg\n10,80,3150\n")
    (folder / "datapackage.json").write_bytes(data)
    try:
        package = load_package(folder)
        for table in package.resources:
            _ = package[table]
    except TallyhookError:
        pass


def seeds(way: str) -> list[bytes]:
    """Texts to begin with: what the lists of the corpus hold, and the descriptors of the fuzzer."""
    if way == "descriptor":
        return [packages.package(seed)["datapackage.json"][:3000] for seed in range(40)]
    texts = [data for _, data in inputs.corpus() if b"\0" not in data]
    if way == "file":
        return [data[:1500] for data in texts]
    cells = {cell for data in texts for cell in re.split(rb"[,;\t\n]", data)}
    return [b"\0\0" + cell for cell in sorted(cells)]


WAYS: dict[str, Callable[[bytes], None]] = {
    "text": one_text,
    "file": one_file,
    "descriptor": one_descriptor,
}

if __name__ == "__main__":
    match sys.argv:
        case [name, "--way", way, *options] if way in WAYS:
            began = _BOX / "seeds"
            began.mkdir()
            for number, seed in enumerate(seeds(way)):
                (began / str(number)).write_bytes(seed)
            atheris.Setup([name, *options, str(began)], WAYS[way])
            atheris.Fuzz()
        case _:
            sys.exit(f"--way is one of {', '.join(WAYS)}; then options of libFuzzer and a FOLDER")
