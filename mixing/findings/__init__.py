"""What the audit looks for: one module a topic, one function a code, each a generator of findings."""
