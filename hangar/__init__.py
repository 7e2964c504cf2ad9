"""The Django site around the computation in mixing: one package a feature."""
