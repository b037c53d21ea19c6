"""Decides what must wait, for which paper, and by which date."""
