"""The plausible mistakes: each predicts the number that it would leave in a list.

One small function a cause, registered under its name in ``vocabulary.causes``. It takes what an
item is, the published ratings and the facts of the trade, and yields `Prediction` objects: a
load, the rating that should have stood there, and the share of the cause's occurrences that takes
this turn. Shares of one cause need not reach one; what they lack is the chance that the mistake
leaves another number. A slip of the hand is a function of the digits that should have been typed.
Shares are judgement: no count of mistakes was found.
"""

from __future__ import annotations

import importlib
import pkgutil

from tallyhook.explaining.mistakes.register import PREDICTED, SLIPS, Prediction

__all__ = ["PREDICTED", "SLIPS", "Prediction"]

for _module in pkgutil.iter_modules(__path__):  # a cause is found by standing in a module here
    importlib.import_module(f"{__name__}.{_module.name}")
