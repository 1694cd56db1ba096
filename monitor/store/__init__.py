"""The only place that speaks SQL."""

from sqlalchemy.orm import Session

from monitor.store.engine import Store

__all__ = ["Session", "Store"]
