"""Oil no longer delivered: nothing in the house may burn it any more, and the tank is emptied and removed."""

from retrofit_desk.estimate.measures.gas_account_closed import account_closed

KIND = account_closed("oil_account_closed", "Oil deliveries ended", "oil")
