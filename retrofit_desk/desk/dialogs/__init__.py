"""Dialogs: one half-finished entry each, kept until it is recorded or put away."""
