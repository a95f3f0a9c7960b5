"""How much of a bed to exchange for a fresh mix, in which stages, and what comes of it."""

from slurrycalc.deciding.exchange.planning import Amounts, Exchange, exchange
from slurrycalc.deciding.exchange.stages import Stage

__all__ = ["Amounts", "Exchange", "Stage", "exchange"]
