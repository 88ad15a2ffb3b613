"""Balances of heat that any text works out exactly."""
