"""What is left of a rating in use, factor by factor, each with its document."""

from __future__ import annotations

from tallyhook.using.result import Factor, InUse, UseRefused
from tallyhook.using.run import in_use

__all__ = ["Factor", "InUse", "UseRefused", "in_use"]
