"""Correlations of convection and the law of radiation, by their authors."""
