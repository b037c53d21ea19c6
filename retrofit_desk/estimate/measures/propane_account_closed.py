"""The propane account closed: its tank rent ends, and nothing in the house may burn propane any more."""

from retrofit_desk.estimate.measures.gas_account_closed import account_closed

KIND = account_closed("propane_account_closed", "Propane account closed", "propane")
