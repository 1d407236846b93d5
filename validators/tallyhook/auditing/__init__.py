"""The audit of rating packages by their own rules."""
