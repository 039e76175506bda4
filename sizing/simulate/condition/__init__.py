"""The condition of a battery in hand: what readings leave possible, and what that means for its winters."""

from sizing.simulate.condition.conflict import Agreement, agreements
from sizing.simulate.condition.hidden import Hidden, Subject, label_draws
from sizing.simulate.condition.judge import Condition, Interval, circumstances, condition, condition_of
from sizing.simulate.condition.outlook import Outlook
from sizing.simulate.condition.posterior import Posterior, posterior
from sizing.simulate.condition.predict import Predictor
from sizing.simulate.condition.readings import SMALL_SIGNAL, Error, Readings, constants, errors
from sizing.simulate.condition.worth import NextReading, next_readings

__all__ = [
    "SMALL_SIGNAL",
    "Agreement",
    "Condition",
    "Error",
    "Hidden",
    "Interval",
    "NextReading",
    "Outlook",
    "Posterior",
    "Predictor",
    "Readings",
    "Subject",
    "agreements",
    "circumstances",
    "condition",
    "condition_of",
    "constants",
    "errors",
    "label_draws",
    "next_readings",
    "posterior",
]
