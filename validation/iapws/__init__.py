"""IAPWS: properties of water and steam."""
