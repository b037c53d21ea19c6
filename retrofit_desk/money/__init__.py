"""Exact money: tariffs, payback, loans, contracts. Numbers in, numbers out."""
