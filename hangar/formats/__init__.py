"""How dates are written, a language each."""
