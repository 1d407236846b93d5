"""What is left of a rating in use, factor by factor, each with its document."""

from __future__ import annotations

from tallyhook.use.result import Factor, InUse, UseRefused
from tallyhook.use.run import in_use

__all__ = ["Factor", "InUse", "UseRefused", "in_use"]
