"""From the recorded house and chosen measures to runs and results."""
