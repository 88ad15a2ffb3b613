"""Madhusudana, Thermal Contact Conductance: gas in a narrow gap."""
