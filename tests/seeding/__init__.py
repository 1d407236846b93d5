"""Clean stock lists of several invented shops, and the mistakes that people make in them."""
